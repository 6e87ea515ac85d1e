package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?([eE][+-]?[0-9]+)?$`)

// SafeCell puts an apostrophe in front of text that a spreadsheet would run as
// a formula: text that begins with = + - @, a tab or a line break. Numbers are
// left alone.
func SafeCell(s string) string {
	trimmed := strings.TrimLeft(s, " \u00a0\ufeff")
	if trimmed == "" || plainNumber.MatchString(trimmed) || !strings.ContainsAny(trimmed[:1], "=+-@\t\r\n") && !strings.HasPrefix(trimmed, "＝") &&
		!strings.HasPrefix(trimmed, "＋") && !strings.HasPrefix(trimmed, "－") && !strings.HasPrefix(trimmed, "＠") {
		return s
	}
	return "'" + s
}

// Number is a cell with a number and the decimals it is printed with. NaN and
// infinities become an empty cell.
type Number struct {
	Value    float64
	Decimals int
}

func (n Number) text() string {
	if math.IsNaN(n.Value) || math.IsInf(n.Value, 0) {
		return ""
	}
	s := strconv.FormatFloat(n.Value, 'f', n.Decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return s
}

// cellText is a value as a cell of text: strings are made safe, days are
// yyyy-mm-dd, yes and no stand for true and false, nil and the zero time for
// nothing.
func cellText(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case string:
		return SafeCell(v)
	case Number:
		return v.text()
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ""
		}
		return strconv.FormatFloat(v, 'g', -1, 64)
	case int:
		return strconv.Itoa(v)
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case time.Time:
		if v.IsZero() {
			return ""
		}
		return v.Format(time.DateOnly)
	case fmt.Stringer:
		return SafeCell(v.String())
	}
	panic("table: a cell holds a type that cannot be written")
}

// WriteCSV writes rows of cells parted by commas. Cells may be string, Number,
// float64, int, bool, time.Time, nil or a fmt.Stringer.
func WriteCSV(w io.Writer, rows [][]any) error {
	cw := csv.NewWriter(w)
	for _, row := range rows {
		rec := make([]string, len(row))
		for i, v := range row {
			rec[i] = cellText(v)
		}
		if err := cw.Write(rec); err != nil {
			return err
		}
	}
	cw.Flush()
	return cw.Error()
}

// Sheet is a sheet of a workbook to write; its first row is the headings.
type Sheet struct {
	Name string
	Rows [][]any // cells as for WriteCSV
}

// WriteXLSX writes a workbook with one sheet for each of sheets, numbers and
// dates as such, the headings frozen. There must be at least one sheet.
func WriteXLSX(w io.Writer, sheets []Sheet) error {
	if len(sheets) == 0 {
		panic("table: a workbook without sheets cannot be written")
	}
	f := excelize.NewFile()
	defer f.Close()
	first := f.GetSheetName(0)
	for i, s := range sheets {
		if i == 0 {
			if err := f.SetSheetName(first, s.Name); err != nil {
				return err
			}
		} else if _, err := f.NewSheet(s.Name); err != nil {
			return err
		}
		if err := writeSheet(f, s); err != nil {
			return err
		}
	}
	return f.Write(w)
}

func writeSheet(f *excelize.File, s Sheet) error {
	bold, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	dateFormat := "yyyy-mm-dd"
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: &dateFormat})
	if err != nil {
		return err
	}
	sw, err := f.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	if err := sw.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	decimals := map[int]int{}
	for r, row := range s.Rows {
		cells := make([]any, len(row))
		for c, v := range row {
			switch v := v.(type) {
			case Number:
				if v.text() == "" {
					break
				}
				style, ok := decimals[v.Decimals]
				if !ok {
					format := "0"
					if v.Decimals > 0 {
						format += "." + strings.Repeat("0", v.Decimals)
					}
					if style, err = f.NewStyle(&excelize.Style{CustomNumFmt: &format}); err != nil {
						return err
					}
					decimals[v.Decimals] = style
				}
				cells[c] = excelize.Cell{StyleID: style, Value: v.Value}
			case float64:
				if text := cellText(v); text != "" {
					cells[c] = v
				}
			case int:
				cells[c] = v
			case time.Time:
				if !v.IsZero() {
					cells[c] = excelize.Cell{StyleID: day, Value: v}
				}
			default:
				cells[c] = cellText(v)
			}
			if r == 0 {
				cells[c] = excelize.Cell{StyleID: bold, Value: cellText(v)}
			}
		}
		at, err := excelize.CoordinatesToCellName(1, r+1)
		if err != nil {
			return err
		}
		if err := sw.SetRow(at, cells); err != nil {
			return err
		}
	}
	return sw.Flush()
}

// WriteFile writes a file whole or not at all: beside its place first, then
// renamed. A file of that name is replaced only when write succeeded. The
// folder must exist.
func WriteFile(path string, write func(io.Writer) error) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = tmp.Close()
			_ = os.Remove(tmp.Name())
		}
	}()
	if err = write(tmp); err != nil {
		return err
	}
	if err = tmp.Sync(); err != nil {
		return err
	}
	if err = tmp.Close(); err != nil {
		return err
	}
	if err = os.Chmod(tmp.Name(), 0o644); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
