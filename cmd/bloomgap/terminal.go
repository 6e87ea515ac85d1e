package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	pretty "github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"bloomgap/forage/read"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

// pageWidth is how wide what is printed may be, columns.
const pageWidth = terminal.MinWidth

// page collects what a command prints for people, so that nothing is printed of
// a call that fails half way.
type page struct {
	out strings.Builder
	us  bool // lb, F and inches
}

func (p *page) flush(w io.Writer) error {
	_, err := io.WriteString(w, p.out.String())
	return err
}

// heading begins a part.
func (p *page) heading(format string, args ...any) {
	if p.out.Len() > 0 {
		p.out.WriteByte('\n')
	}
	p.out.WriteString(text.WrapSoft(words.Clean(fmt.Sprintf(format, args...)), pageWidth) + "\n")
}

// line prints text, wrapped.
func (p *page) line(format string, args ...any) { p.hang("", fmt.Sprintf(format, args...)) }

// item prints text set in, its later lines as well.
func (p *page) item(format string, args ...any) { p.hang("  ", fmt.Sprintf(format, args...)) }

// exact prints a line that is to be copied, and so is not wrapped.
func (p *page) exact(s string) { p.out.WriteString("  " + words.Clean(s) + "\n") }

func (p *page) hang(lead, s string) {
	for line := range strings.SplitSeq(text.WrapSoft(words.Clean(s), pageWidth-len(lead)), "\n") {
		p.out.WriteString(strings.TrimRight(lead+line, " ") + "\n")
	}
}

// column is a column of a table: its heading, the most it may be wide (0: no
// limit), and whether it is set to the right.
type column struct {
	name  string
	most  int
	right bool
}

// grid prints a table.
func (p *page) grid(cols []column, rows [][]string) {
	t := pretty.NewWriter()
	style := pretty.StyleLight
	style.Options = pretty.Options{SeparateHeader: true}
	style.Box.PaddingLeft, style.Box.PaddingRight = "", "  "
	style.Format.Header = text.FormatDefault
	t.SetStyle(style)
	t.SuppressTrailingSpaces()
	configs := make([]pretty.ColumnConfig, len(cols))
	head := make(pretty.Row, len(cols))
	for i, c := range cols {
		head[i] = c.name
		configs[i] = pretty.ColumnConfig{Number: i + 1, WidthMax: c.most, WidthMaxEnforcer: text.WrapSoft, VAlignHeader: text.VAlignBottom}
		if c.right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	t.SetColumnConfigs(configs)
	t.AppendHeader(head)
	for _, r := range rows {
		row := make(pretty.Row, len(r))
		for i, cell := range r {
			row[i] = words.Clean(cell)
		}
		t.AppendRow(row)
	}
	for line := range strings.Lines(t.Render() + "\n") {
		line = strings.TrimRight(line, " \n")
		if strings.Trim(line, "─") == "" {
			line = strings.TrimSuffix(line, "──") // no rule under the last gap
		}
		p.out.WriteString(line + "\n")
	}
}

// show is a value in the reader's unit, without the unit's name; "-" when it is
// not known.
func (p *page) show(v float64, metric string, decimals int) string {
	from, _ := read.FindUnit(metric)
	to := read.OutputUnit(metric, p.us)
	if metric == "mm" && p.us {
		decimals += 2
	}
	return fixed(read.Convert(v, from, to), decimals)
}

// showDiff is the same of a difference or a standard deviation.
func (p *page) showDiff(v float64, metric string, decimals int) string {
	from, _ := read.FindUnit(metric)
	return fixed(read.ConvertDifference(v, from, read.OutputUnit(metric, p.us)), decimals)
}

// unit is the name of the reader's unit.
func (p *page) unit(metric string) string { return read.OutputUnit(metric, p.us).Name }

// fixed is a number with so many decimals, "-" when it is not known.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return s
}

// share is a share as a percentage; one that is not whole is never shown as 100.
func share(frac float64) string {
	if frac < 1 && frac > 0.999 {
		return "99.9 %"
	}
	s := fixed(100*frac, 1)
	return strings.TrimSuffix(s, ".0") + " %"
}

func dayMonth(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.Format("2 Jan")
}

func fullDate(t time.Time) string { return t.Format("2 January 2006") }

func several(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
