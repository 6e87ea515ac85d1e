package season

import (
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
)

// A season as one workbook: the tables of the starter folder as sheets, with lists to
// choose from and checks of what is typed, and their notes on a sheet of their own.

// bookRows are the rows that a table of the workbook is checked in, own choice: more
// than the colonies of any yard; a table may be longer.
const bookRows = 2000

// bookTables are the sheets in their order.
func bookTables() []string {
	return []string{yardsName, coloniesName, talliesName, equipName, givenName}
}

// bookList are the words that may stand in a column; open ones may be others besides.
type bookList struct {
	words []string
	open  bool
}

func bookLists() map[string]bookList {
	yesNo := bookList{words: []string{"yes", "no"}}
	var places []string
	for _, n := range climate.Builtin() {
		town, _, _ := strings.Cut(n.Place, ",")
		places = append(places, town)
	}
	return map[string]bookList{
		"alive": yesNo, "wrapped": yesNo, "disease": yesNo, "confirmed": yesNo, "taken": yesNo,
		"heft":         {words: []string{"light", "fair", "heavy"}},
		"early_forage": {words: []string{"none", "some", "good"}},
		"item":         {words: items()},
		"climate":      {words: append([]string{autoClimate}, places...)},
		"boxes":        {words: []string{"1 deep", "2 deep", "1 deep + 1 medium", "2 deep + 1 medium", "1 large", "2 medium"}, open: true},
		"strength":     {words: []string{"1:1", "3:2", "2:1"}, open: true},
	}
}

// bookBounds are the least and the most that may stand in a column.
func bookBounds() map[string][2]float64 {
	return map[string][2]float64{
		"lat": {leastLatDeg, mostLatDeg}, "lon": {-180, 180}, "elev_m": {leastElevM, mostElevM}, "days_between": {1, mostDaysBetween}, "bloom_spread": {0, mostSpreadDays},
		"gross_kg": {0, mostGrossKg}, "lift_back_kg": {0, mostGrossKg}, "lift_left_kg": {0, mostGrossKg}, "lift_right_kg": {0, mostGrossKg},
		"food_frames_deep": {0, mostFrames}, "food_frames_medium": {0, mostFrames}, "seams": {0, mostSeams}, "count_temp_c": {leastCountC, mostCountC},
		"brood_frames": {0, mostFrames}, "sugar_over_cluster_kg": {0, mostSolidKg}, "count": {0, mostItems}, "holds_l": {0.1, mostHoldsL},
		"colonies": {0, mostTallied}, "looked_at": {0, mostTallied}, "syrup_l": {0, mostSyrupL}, "solid_kg": {0, mostSolidKg}, "left_l": {0, mostSyrupL}, "left_solid_kg": {0, mostSolidKg},
	}
}

// bookDates are the columns that hold a date; visits holds several, as text.
func bookDates() []string { return []string{"date", "next_visit", "bloom_date"} }

// writeBook writes the tables of the starter folder, given as text by name, as one
// workbook.
func writeBook(w io.Writer, tables map[string]string) error {
	f := excelize.NewFile()
	defer f.Close()
	b := starterBook{f: f}
	for i, name := range bookTables() {
		if i == 0 {
			b.keep(f.SetSheetName(f.GetSheetName(0), name))
		} else {
			_, err := f.NewSheet(name)
			b.keep(err)
		}
		b.table(name, tables[name])
	}
	b.notes(tables)
	if b.err != nil {
		return b.err
	}
	f.SetActiveSheet(1)
	return f.Write(w)
}

// starterBook writes sheets and keeps the first error.
type starterBook struct {
	f   *excelize.File
	err error
}

func (b *starterBook) keep(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *starterBook) style(s *excelize.Style) int {
	id, err := b.f.NewStyle(s)
	b.keep(err)
	return id
}

// table writes a sheet with its rows, and what may stand in each column.
func (b *starterBook) table(name, text string) {
	rows, err := csv.NewReader(strings.NewReader(tableText(text, false))).ReadAll()
	if err != nil || len(rows) == 0 {
		b.keep(fmt.Errorf("the table of %s of the starter folder cannot be read: %w", name, err))
		return
	}
	format := "yyyy-mm-dd"
	date := b.style(&excelize.Style{CustomNumFmt: &format})
	head := b.style(&excelize.Style{Font: &excelize.Font{Bold: true}, Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E6E6E6"}}})
	for i, column := range rows[0] {
		letter, err := excelize.ColumnNumberToName(i + 1)
		b.keep(err)
		b.keep(b.f.SetColWidth(name, letter, letter, max(10, 1.2*float64(len(column)))))
		for _, d := range bookDates() {
			if column == d {
				b.keep(b.f.SetColStyle(name, letter, date))
			}
		}
		b.check(name, column, letter)
		for k, row := range rows {
			b.keep(b.f.SetCellValue(name, fmt.Sprint(letter, k+1), cellOf(row[i], k > 0)))
		}
	}
	b.keep(b.f.SetRowStyle(name, 1, 1, head))
	b.keep(b.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}

// cellOf is the text of a cell as a number or a date where it is one.
func cellOf(text string, typed bool) any {
	if !typed {
		return text
	}
	if v, err := strconv.ParseFloat(text, 64); err == nil {
		return v
	}
	if d, err := time.Parse(time.DateOnly, text); err == nil {
		return d
	}
	if text == "" {
		return nil
	}
	return text
}

// check says what may be typed in a column.
func (b *starterBook) check(sheet, column, letter string) {
	cells := fmt.Sprintf("%s2:%s%d", letter, letter, bookRows)
	v := excelize.NewDataValidation(true)
	v.Sqref = cells
	title, text := "Not as usual", ""
	hard := excelize.DataValidationErrorStyleStop
	switch list, isList := bookLists()[column]; {
	case isList:
		b.keep(v.SetDropList(list.words))
		text = "Choose one of the list."
		if list.open {
			hard, text = excelize.DataValidationErrorStyleInformation, "This is not in the list. It may be right all the same."
		}
	case column == "yard" && sheet != yardsName:
		v.SetSqrefDropList(fmt.Sprintf("%s!$A$2:$A$%d", yardsName, bookRows))
		hard, text = excelize.DataValidationErrorStyleWarning, "This yard is not on the sheet of yards."
	default:
		lo, hi, bounded := 0.0, 0.0, false
		if x, ok := bookBounds()[column]; ok {
			lo, hi, bounded = x[0], x[1], true
			text = fmt.Sprintf("A number from %g to %g, or nothing where you did not look.", lo, hi)
		}
		for _, d := range bookDates() {
			if column == d {
				bounded = true
				b.keep(v.SetRange("DATE(1990,1,1)", "DATE(2200,1,1)", excelize.DataValidationTypeDate, excelize.DataValidationOperatorBetween))
				text = "A date, such as 2027-03-20."
			}
		}
		if !bounded {
			return
		}
		if hi > lo {
			b.keep(v.SetRange(lo, hi, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween))
		}
	}
	v.SetError(hard, title, text)
	b.keep(b.f.AddDataValidation(sheet, v))
}

// bookNotes is the sheet with what the starter folder says of its tables.
const bookNotes = "read me"

func (b *starterBook) notes(tables map[string]string) {
	_, err := b.f.NewSheet(bookNotes)
	b.keep(err)
	lines := []string{"What stands on the sheets. The rows are INVENTED: put your own in their place. The settings stand in " + settingsFile + " beside this workbook."}
	for _, name := range bookTables() {
		lines = append(lines, "", strings.ToUpper(name))
		lines = append(lines, strings.Split(strings.TrimSpace(tableText(tables[name], true)), "\n")...)
	}
	wrap := b.style(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	b.keep(b.f.SetColWidth(bookNotes, "A", "A", 110))
	b.keep(b.f.SetColStyle(bookNotes, "A", wrap))
	for i, line := range lines {
		b.keep(b.f.SetCellValue(bookNotes, fmt.Sprint("A", i+1), read.SafeCell(line)))
	}
}

// tableText is a table of the starter folder without its notes, or its notes alone.
func tableText(text string, notes bool) string {
	var out strings.Builder
	for line := range strings.Lines(text) {
		if note, is := strings.CutPrefix(line, "# "); is && notes {
			out.WriteString(note)
		} else if !is && !notes {
			out.WriteString(line)
		}
	}
	return out.String()
}

// WriteStarterBook writes what WriteStarter does, the tables as one workbook.
func WriteStarterBook(dir string, today time.Time) error {
	texts, err := starterTexts(dir, today)
	if err != nil {
		return err
	}
	tables := map[string]string{}
	for _, name := range bookTables() {
		tables[name] = string(texts[name+".csv"])
	}
	if err := read.WriteFile(filepath.Join(dir, settingsFile), func(w io.Writer) error {
		_, err := w.Write(texts[settingsFile])
		return err
	}); err != nil {
		return err
	}
	return read.WriteFile(filepath.Join(dir, seasonBook), func(w io.Writer) error { return writeBook(w, tables) })
}
