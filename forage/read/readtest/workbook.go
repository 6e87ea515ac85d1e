// Package readtest makes workbooks for tests of what reads them.
package readtest

import (
	"io"
	"math"
	"time"

	"github.com/xuri/excelize/v2"
)

// Sheet is a sheet of a workbook; its first row is the headings.
type Sheet struct {
	Name string
	Rows [][]any // cells: string, float64, int, bool, time.Time or nil; NaN and the zero time are empty
}

// WriteXLSX writes a workbook with numbers and dates as a spreadsheet stores them.
func WriteXLSX(w io.Writer, sheets []Sheet) error {
	f := excelize.NewFile()
	defer f.Close()
	first := f.GetSheetName(0)
	dateFormat := "yyyy-mm-dd"
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: &dateFormat})
	if err != nil {
		return err
	}
	for i, s := range sheets {
		if i == 0 {
			err = f.SetSheetName(first, s.Name)
		} else {
			_, err = f.NewSheet(s.Name)
		}
		if err != nil {
			return err
		}
		for r, row := range s.Rows {
			for c, v := range row {
				at, err := excelize.CoordinatesToCellName(c+1, r+1)
				if err != nil {
					return err
				}
				if err := put(f, s.Name, at, v, day); err != nil {
					return err
				}
			}
		}
	}
	return f.Write(w)
}

func put(f *excelize.File, sheet, at string, v any, day int) error {
	switch x := v.(type) {
	case float64:
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
	case time.Time:
		if x.IsZero() {
			return nil
		}
		if err := f.SetCellStyle(sheet, at, at, day); err != nil {
			return err
		}
	}
	return f.SetCellValue(sheet, at, v)
}
