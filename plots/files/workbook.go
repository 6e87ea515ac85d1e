package files

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"bloomgap/feed/plan"
	"bloomgap/forage/read"
	"bloomgap/plots/words"
)

const (
	minColumn, maxColumn = 8, 48 // characters, width of a column of a sheet; own choice
	paperLetter, paperA4 = 1, 9  // paper sizes as a workbook numbers them
)

// WriteXLSX writes Sheets as a workbook: headings frozen and repeated on each
// page, columns as wide as they need, printed on the broad side of the paper.
// Text is stored as text, with an apostrophe before what would be a formula if
// it were typed in.
func WriteXLSX(w io.Writer, pl *plan.Plan, u words.Style) error {
	f := excelize.NewFile()
	defer f.Close()
	day := pl.Today.Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Title: "Feeding plan", Created: day, Modified: day, Creator: "bloomgap"}); err != nil {
		return err
	}
	b := book{f: f, styles: map[string]int{}}
	for i, s := range Sheets(pl, u) {
		if i == 0 {
			b.keep(f.SetSheetName(f.GetSheetName(0), s.Name))
		} else {
			_, err := f.NewSheet(s.Name)
			b.keep(err)
		}
		b.sheet(s, u, pl)
	}
	if b.err != nil {
		return b.err
	}
	return f.Write(w)
}

// book writes sheets and keeps the first error.
type book struct {
	f      *excelize.File
	styles map[string]int
	err    error
}

func (b *book) keep(err error) {
	if b.err == nil {
		b.err = err
	}
}

// style makes each kind of cell once.
func (b *book) style(name string, s excelize.Style) int {
	id, ok := b.styles[name]
	if !ok {
		var err error
		id, err = b.f.NewStyle(&s)
		b.keep(err)
		b.styles[name] = id
	}
	return id
}

func (b *book) sheet(s read.Sheet, u words.Style, pl *plan.Plan) {
	f := b.f
	head := b.style("head", excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"},
		Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E8E8E8"}}, Border: []excelize.Border{{Type: "bottom", Color: "000000", Style: 1}}})
	words := b.style("text", excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	dateFormat := "yyyy-mm-dd"
	date := b.style("date", excelize.Style{CustomNumFmt: &dateFormat, Alignment: &excelize.Alignment{Vertical: "top"}})
	widths := make([]int, len(s.Rows[0]))
	for r, row := range s.Rows {
		for c, v := range row {
			at, err := excelize.CoordinatesToCellName(c+1, r+1)
			b.keep(err)
			style, chars := words, 0
			switch v := v.(type) {
			case nil:
				continue
			case read.Number:
				if math.IsNaN(v.Value) || math.IsInf(v.Value, 0) {
					continue
				}
				format := "0"
				if v.Decimals > 0 {
					format += "." + strings.Repeat("0", v.Decimals)
				}
				style = b.style(format, excelize.Style{CustomNumFmt: &format, Alignment: &excelize.Alignment{Vertical: "top"}})
				b.keep(f.SetCellFloat(s.Name, at, v.Value, -1, 64))
			case int:
				style = b.style("0", excelize.Style{NumFmt: 1, Alignment: &excelize.Alignment{Vertical: "top"}})
				b.keep(f.SetCellInt(s.Name, at, int64(v)))
			case time.Time:
				if v.IsZero() {
					continue
				}
				style, chars = date, 10
				b.keep(f.SetCellValue(s.Name, at, v))
			case bool:
				word := "no"
				if v {
					word = "yes"
				}
				b.keep(f.SetCellStr(s.Name, at, word))
			case string:
				if v == "" {
					continue
				}
				text := read.SafeCell(strings.ToValidUTF8(v, "?"))
				chars = utf8.RuneCountInString(text)
				b.keep(f.SetCellStr(s.Name, at, text))
			default:
				panic("tables: a sheet holds a type that cannot be written")
			}
			if r == 0 {
				style, chars = head, (chars+1)/2 // headings wrap
			}
			widths[c] = max(widths[c], chars)
			b.keep(f.SetCellStyle(s.Name, at, at, style))
		}
	}
	for c, chars := range widths {
		name, err := excelize.ColumnNumberToName(c + 1)
		b.keep(err)
		b.keep(f.SetColWidth(s.Name, name, name, float64(min(max(chars+2, minColumn), maxColumn))))
	}
	b.keep(f.SetPanes(s.Name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	paper, tall, wide, landscape := paperA4, 0, 1, "landscape"
	if u.US {
		paper = paperLetter
	}
	if len(s.Rows[0]) > 24 { // too many columns to be read on one page
		wide = 4
	}
	b.keep(f.SetPageLayout(s.Name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &landscape, FitToWidth: &wide, FitToHeight: &tall}))
	fit := true
	b.keep(f.SetSheetProps(s.Name, &excelize.SheetPropsOptions{FitToPage: &fit}))
	b.keep(f.SetHeaderFooter(s.Name, &excelize.HeaderFooterOptions{OddHeader: "&L&A&R" + pl.Today.Format(time.DateOnly), OddFooter: "&RPage &P of &N"}))
	b.keep(f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("%s!$1:$1", s.Name), Scope: s.Name}))
}
