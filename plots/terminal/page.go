package terminal

import (
	"fmt"
	"io"
	"strings"

	pretty "github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"bloomgap/plots/words"
)

// Page collects what a study prints for people, so that nothing is printed of a
// call that fails half way. No line is wider than MinWidth, except what is to be
// copied. The zero value is an empty page with metric units.
type Page struct {
	words.Style
	out strings.Builder
}

// Flush writes the page.
func (p *Page) Flush(w io.Writer) error {
	_, err := io.WriteString(w, p.out.String())
	return err
}

// Heading begins a part.
func (p *Page) Heading(format string, args ...any) {
	if p.out.Len() > 0 {
		p.out.WriteByte('\n')
	}
	p.out.WriteString(wrapLines(words.Clean(fmt.Sprintf(format, args...)), MinWidth) + "\n")
}

// Line prints text, wrapped.
func (p *Page) Line(format string, args ...any) { p.hang("", fmt.Sprintf(format, args...)) }

// Item prints text set in, its later lines as well.
func (p *Page) Item(format string, args ...any) { p.hang("  ", fmt.Sprintf(format, args...)) }

// Exact prints a line that is to be copied, and so is not wrapped.
func (p *Page) Exact(s string) { p.out.WriteString("  " + words.Clean(s) + "\n") }

func (p *Page) hang(lead, s string) {
	for line := range strings.SplitSeq(wrapLines(words.Clean(s), MinWidth-len(lead)), "\n") {
		p.out.WriteString(strings.TrimRight(lead+line, " ") + "\n")
	}
}

// Column is a column of a page's table.
type Column struct {
	Name  string
	Most  int  // columns of the terminal that it may be wide; 0: no limit
	Right bool // set to the right
}

// Left is a column that is set to the left, at most so wide; 0: no limit.
func Left(name string, most int) Column { return Column{Name: name, Most: most} }

// Right is a column that is set to the right.
func Right(name string, most int) Column { return Column{Name: name, Most: most, Right: true} }

// Grid prints a table.
func (p *Page) Grid(cols []Column, rows [][]string) {
	inner := make([]column, len(cols))
	widths := make([]int, len(cols))
	for i, c := range cols {
		inner[i], widths[i] = column{name: c.Name}, c.Most
		if c.Right {
			inner[i].side = right
		}
	}
	clean := make([][]string, len(rows))
	for i, r := range rows {
		for _, cell := range r {
			clean[i] = append(clean[i], words.Clean(cell))
		}
	}
	writeTable(&p.out, inner, widths, clean, wrapLines)
}

// writeTable prints a table whose columns have these widths at most; 0 sets no
// limit.
func writeTable(out *strings.Builder, cols []column, widths []int, rows [][]string, wrap func(string, int) string) {
	t := pretty.NewWriter()
	style := pretty.StyleLight
	style.Options = pretty.Options{SeparateHeader: true}
	style.Box.PaddingLeft, style.Box.PaddingRight = "", strings.Repeat(" ", gap)
	style.Format.Header = text.FormatDefault
	t.SetStyle(style)
	t.SuppressTrailingSpaces()
	configs := make([]pretty.ColumnConfig, len(cols))
	header := make(pretty.Row, len(cols))
	for i, c := range cols {
		header[i] = c.name
		configs[i] = pretty.ColumnConfig{Number: i + 1, WidthMax: widths[i], WidthMaxEnforcer: wrap, VAlignHeader: text.VAlignBottom}
		if c.side == right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	t.SetColumnConfigs(configs)
	t.AppendHeader(header)
	for _, r := range rows {
		row := make(pretty.Row, len(cols))
		for i := range cols {
			row[i] = r[i]
		}
		t.AppendRow(row)
	}
	for line := range strings.Lines(t.Render() + "\n") {
		line = strings.TrimRight(line, " \n")
		if rule := strings.Repeat(style.Box.MiddleHorizontal, gap); strings.Trim(line, style.Box.MiddleHorizontal) == "" {
			line = strings.TrimSuffix(line, rule) // no rule under the last gap
		}
		out.WriteString(line + "\n")
	}
}

// Show is a value in the reader's unit, without the unit's name; "-" when it is
// not known.
func (p *Page) Show(v float64, metric string, decimals int) string {
	if metric == "mm" && p.US {
		decimals += 2
	}
	return words.Fixed(p.Value(v, metric), decimals)
}

// ShowDiff is the same of a difference or a standard deviation.
func (p *Page) ShowDiff(v float64, metric string, decimals int) string {
	return words.Fixed(p.Difference(v, metric), decimals)
}
