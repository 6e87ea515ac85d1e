package main

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// table is a run with one file of the season written otherwise.
func table(name string, f fate, file, text string) oddRun {
	files := plainSeason()
	files[file] = text
	return oddRun{name: name, fate: f, files: files, args: planAsJSON(), likeFiles: plainSeason()}
}

// unlike is a run that nothing plainer would be answered like.
func (r oddRun) unlike() oddRun {
	r.answersOnly = true
	return r
}

// saying is a run whose answer says something of it.
func (r oddRun) saying(text string) oddRun {
	r.says, r.answersOnly = text, true
	return r
}

// like is a run whose plain writing has another file.
func (r oddRun) like(file, text string) oddRun {
	r.likeFiles = plainSeason()
	r.likeFiles[file] = text
	return r
}

// oddTables are whole files as spreadsheets and keepers leave them.
func oddTables(t *testing.T) []oddRun {
	t.Helper()
	const head = "yard,colony,date,boxes,wrapped,heft,seams,count_temp_c,brood_frames\n"
	const row = "Mill,A1,2027-03-18,1 deep,no,light,5,6,1\n"
	const plain = head + row
	const two = plain + "Mill,A2,2027-03-18,1 deep,no,fair,7,6,1\n"
	const c = "s/colonies.csv"
	semicolons := strings.ReplaceAll(plain, ",", ";")
	list := []oddRun{
		table("few columns", right, c, plain),
		table("a mark of byte order", right, c, "\ufeff"+plain),
		table("line ends of two letters", right, c, strings.ReplaceAll(plain, "\n", "\r\n")),
		table("line ends of old", right, c, strings.ReplaceAll(plain, "\n", "\r")),
		table("no line end at the end", right, c, strings.TrimSuffix(plain, "\n")),
		table("semicolons", right, c, semicolons),
		table("tabs", right, c, strings.ReplaceAll(plain, ",", "\t")),
		table("bars", refused, c, strings.ReplaceAll(plain, ",", "|")),
		table("a line that names the separator", right, c, "sep=;\n"+semicolons),
		table("semicolons and a decimal comma", right, c, strings.ReplaceAll(semicolons, ";6;", ";6,0;")),
		table("semicolons and a point between thousands", refused, c, "yard;colony;date;boxes;gross_kg;seams\nMill;A1;2027-03-18;1 deep;1.200;5\n"),
		table("semicolons and both marks", refused, c, "yard;colony;date;boxes;gross_g;seams\nMill;A1;2027-03-18;1 deep;27.000,0;5\n"),
		table("every cell in quotes", right, c, `"`+strings.ReplaceAll(strings.ReplaceAll(strings.TrimSuffix(plain, "\n"), ",", `","`), "\n", "\"\n\"")+"\"\n"),
		table("a quotation mark that does not end", refused, c, plain+"Mill,\"A2,2027-03-18,1 deep,no,fair,7,6,1\n"),
		table("a quotation mark in a cell", refused, c, strings.ReplaceAll(plain, "A1", `A"1`)),
		table("UTF-16", right, c, utf16Text(plain)),
		table("Western European letters", noted, c, strings.ReplaceAll(plain, "A1", "R\xe9mi")).like(c, strings.ReplaceAll(plain, "A1", "Rémi")),
		table("blank lines between", right, c, strings.ReplaceAll(plain, "\n", "\n\n\n")),
		table("rows of commas only", right, c, plain+",,,,,,,,\n,,,,,,,,\n"),
		table("a title above the headings", refused, c, "Spring survey 2027,,,,,,,,\n"+plain),
		table("a remark above the headings", right, c, "# spring survey\n"+plain),
		table("a totals row", refused, c, plain+"Total,2,,,,,12,,\n"),
		table("a totals row without a yard", refused, c, plain+",Total,,,,,12,,\n"),
		table("a row of averages", refused, c, plain+"Mill,average,,,,,6,,\n"),
		table("headings repeated in the middle", refused, c, plain+head+strings.ReplaceAll(row, "A1", "A2")),
		table("a row of units under the headings", refused, c, head+",,,,,,seams,C,frames\n"+row),
		table("yards of merged cells", right, c, two+",A3,2027-03-18,1 deep,no,fair,7,6,1\n").like(c, two+"Mill,A3,2027-03-18,1 deep,no,fair,7,6,1\n"),
		table("dates of merged cells", refused, c, two+"Mill,A3,,1 deep,no,fair,7,6,1\n"),
		table("ditto marks", refused, c, two+"\",A3,\",1 deep,no,fair,7,6,1\n"),
		table("the same row twice", refused, c, plain+row),
		table("the same colony twice on a day, otherwise", refused, c, plain+strings.ReplaceAll(row, "light", "heavy")),
		table("the same colony in other letters", refused, c, plain+strings.ReplaceAll(row, "A1", "a1")),
		table("the same colony with a space behind", refused, c, plain+strings.ReplaceAll(row, "A1", "A1 ")),
		table("two colonies of the names A1 and A 1", right, c, plain+strings.ReplaceAll(row, "A1", "A 1")).like(c, plain+strings.ReplaceAll(row, "A1", "A  1")),
		table("a cell too many", noted, c, head+strings.TrimSuffix(row, "\n")+",wet lid\n"),
		table("a comma in a note without quotes", noted, c, strings.TrimSuffix(head, "\n")+",note\n"+strings.TrimSuffix(row, "\n")+",wet, cold\n").
			like(c, strings.TrimSuffix(head, "\n")+",note\n"+strings.TrimSuffix(row, "\n")+",wet\n"),
		table("a cell too few", right, c, head+"Mill,A1,2027-03-18,1 deep,no,light,5,6\n").like(c, head+"Mill,A1,2027-03-18,1 deep,no,light,5,6,\n"),
		table("a column shifted by one", refused, c, head+"Mill,,A1,2027-03-18,1 deep,no,light,5,6\n"),
		table("headings in the order of the keeper", right, c, "seams,heft,boxes,date,colony,yard,count_temp_c,wrapped,brood_frames\n5,light,1 deep,2027-03-18,A1,Mill,6,no,1\n"),
		table("a heading twice", refused, c, "yard,colony,date,boxes,wrapped,heft,seams,seams\nMill,A1,2027-03-18,1 deep,no,light,5,6\n"),
		table("columns for rows", refused, c, "colony,A1,A2\ndate,2027-03-18,2027-03-18\nseams,5,7\n"),
		table("headings only", refused, c, head),
		table("an empty file", refused, c, ""),
		table("a file of blank lines", refused, c, "\n\n\n"),
		table("a page of the web", refused, c, "<!DOCTYPE html>\n<html><body>Sign in</body></html>\n"),
		table("a text that is no table", refused, c, "Hive A1 was light, five seams.\nHive A2 fair.\n"),
		table("an old workbook", refused, c, "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"),
		table("an archive that is none", refused, c, "PK\x03\x04 broken"),
		table("a picture", refused, c, "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"),
		table("zero bytes", refused, c, strings.Repeat("\x00", 300)),
		table("a row of 1,000 cells", refused, c, head+strings.Repeat("x,", 1000)+"\n"),
		table("a line of 300,000 letters", refused, c, head+strings.Repeat("x", 300_000)+"\n"),
		table("dead once, alive later", refused, c, "yard,colony,date,alive,boxes,heft,seams\nMill,A1,2027-03-08,no,1 deep,,\nMill,A1,2027-03-18,yes,1 deep,light,5\n"),
		table("rows of a colony out of order", right, c, head+row+strings.ReplaceAll(row, "03-18", "03-08")).like(c, head+strings.ReplaceAll(row, "03-18", "03-08")+row),
		table("a look of last spring beside", noted, c, plain+strings.ReplaceAll(row, "2027", "2026")),
		table("all looks of last spring", refused, c, head+strings.ReplaceAll(row, "2027", "2026")),
		table("dates of which one settles the order", refused, c, head+strings.ReplaceAll(row, "2027-03-18", "3/4/2027")+strings.ReplaceAll(strings.ReplaceAll(row, "2027-03-18", "3/18/2027"), "A1", "A2")),
		table("yard twice", refused, "s/yards.csv", "yard,lat,lon,climate\nMill,45.3,-72.9,farnham\nMILL,45.4,-72.9,farnham\n"),
		table("no yard", refused, "s/yards.csv", "yard,lat,lon,climate\n"),
		table("a colony of no yard among two", refused, "s/yards.csv", "yard,lat,lon,climate\nMall,45.3,-72.9,farnham\nHill,45.4,-72.9,farnham\n"),
		table("equipment with a unit", refused, "s/equipment.csv", "item,count\npail,3 pcs\n"),
		table("equipment with a half", refused, "s/equipment.csv", "item,count\npail,2.5\n"),
		table("equipment in plural", right, "s/equipment.csv", "yard,item,count,holds_l\n,Pails,3,4\n"),
		table("equipment about", refused, "s/equipment.csv", "item,count\npail,~3\n"),
		table("equipment lots", refused, "s/equipment.csv", "item,count\npail,lots\n"),
		table("equipment negative", refused, "s/equipment.csv", "item,count\npail,-3\n"),
		table("equipment that is not known", refused, "s/equipment.csv", "item,count\nsmoker,3\n"),
		table("equipment of a yard that is not known", refused, "s/equipment.csv", "yard,item,count\nMall,pail,3\n"),
		table("equipment that holds in gal", right, "s/equipment.csv", "yard,item,count,holds\n,pail,3,4 L\n"),
		table("equipment that holds in gal under l", refused, "s/equipment.csv", "item,count,holds_l\npail,3,1 gal\n"),
		table("equipment that holds in mL forgotten", refused, "s/equipment.csv", "item,count,holds_l\npail,3,400\n"),
		table("equipment that holds in gal forgotten, no harm", right, "s/equipment.csv", "item,count,holds_l\npail,3,1\n").like("s/equipment.csv", "item,count,holds_l\npail,3,1.0\n"),
	}
	const given = "yard,colony,date,syrup_l,strength,solid_kg,food_frames_deep,taken,left_l,left_solid_kg\n"
	g := func(name string, f fate, row string) oddRun { return table(name, f, "s/given.csv", given+row+"\n") }
	list = append(list,
		g("given in gal under l", refused, "Mill,A1,2027-03-18,1 gal,3:2,,,yes,,"),
		g("given strength as a word", refused, "Mill,A1,2027-03-18,2,thick,,,yes,,"),
		g("given strength with water first", asked, "Mill,A1,2027-03-18,2,1:2,,,yes,,"),
		g("given strength that does not dissolve", asked, "Mill,A1,2027-03-18,2,4:1,,,yes,,"),
		g("given strength as a fraction", right, "Mill,A1,2027-03-18,2,3/2,,,yes,,").like("s/given.csv", given+"Mill,A1,2027-03-18,2,3:2,,,yes,,\n"),
		g("given strength missing", noted, "Mill,A1,2027-03-18,2,,,,yes,,").like("s/given.csv", given+"Mill,A1,2027-03-18,2,3:2,,,yes,,\n"),
		g("given tomorrow", refused, "Mill,A1,2027-03-21,2,3:2,,,,,"),
		g("given last year", noted, "Mill,A1,2026-03-18,2,3:2,,,,,"),
		g("given to a colony that is not there", refused, "Mill,A9,2027-03-18,2,3:2,,,,,"),
		g("given nothing", refused, "Mill,A1,2027-03-18,,,,,,,"),
		g("given zero", right, "Mill,A1,2027-03-18,0,3:2,,,,,"),
		g("given 300 litres", refused, "Mill,A1,2027-03-18,300,3:2,,,,,"),
		g("given 2000 litres for mL", refused, "Mill,A1,2027-03-18,2000,3:2,,,,,"),
		g("given 2.5 bags", refused, "Mill,A1,2027-03-18,,,2.5 bags,,,,"),
		g("given 500 g under kg", refused, "Mill,A1,2027-03-18,,,500,,,,"),
		g("more left than given", refused, "Mill,A1,2027-03-18,2,3:2,,,,3,"),
		g("left and all taken", refused, "Mill,A1,2027-03-18,2,3:2,,,yes,1,"),
		g("taken half", refused, "Mill,A1,2027-03-18,2,3:2,,,half,,"),
		g("given date without a year", refused, "Mill,A1,18 Mar,2,3:2,,,,,"),
		g("given twice alike", refused, "Mill,A1,2027-03-18,2,3:2,,,yes,,\nMill,A1,2027-03-18,2,3:2,,,yes,,"),
	)
	return append(list, oddBooks(t)...)
}

// oddBooks are workbooks.
func oddBooks(t *testing.T) []oddRun {
	t.Helper()
	head := []any{"yard", "colony", "date", "boxes", "wrapped", "heft", "seams", "count_temp_c", "brood_frames"}
	sheet := func(name string, f fate, row []any, do ...func(*excelize.File)) oddRun {
		return workbook(t, name, f, "colonies", [][]any{head, row}, do...)
	}
	row := func(date, seams any) []any { return []any{"Mill", "A1", date, "1 deep", "no", "light", seams, 6, 1} }
	percent := workbook(t, "workbook with a cell in percent", refused, "colonies", [][]any{append(head[:len(head):len(head)], "sealed_percent"), append(row("2027-03-18", 5), 0.4)})
	return []oddRun{
		sheet("workbook with a date cell", right, row(46464, 5)),
		sheet("workbook with a date as text", right, row("2027-03-18", 5)),
		sheet("workbook with a date and time", right, row(46464.6, 5)),
		sheet("workbook that counts from 1904", right, row(46464-1462, 5), func(f *excelize.File) {
			yes := true
			require.NoError(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
		}),
		sheet("workbook with a date off by four years", refused, row(46464-1462, 5)),
		sheet("workbook with a number that is no date", refused, row(5, 5)),
		sheet("workbook with a range made a date", refused, row("2027-03-18", 46148)),
		sheet("workbook with a number as text", right, row("2027-03-18", "5")),
		sheet("workbook with an error cell", refused, row("2027-03-18", "#REF!")),
		sheet("workbook with a half", right, row("2027-03-18", 5.0)),
		percent,
		workbook(t, "workbook with a title above", refused, "colonies", [][]any{{"Spring 2027"}, head, row("2027-03-18", 5)}),
		workbook(t, "workbook with a sheet of another name", right, "Sheet1", [][]any{head, row("2027-03-18", 5)}),
		workbook(t, "workbook with a totals row", refused, "colonies", [][]any{head, row("2027-03-18", 5), {"Total", nil, nil, nil, nil, nil, 5}}),
	}
}

func workbook(t *testing.T, name string, f fate, sheet string, rows [][]any, do ...func(*excelize.File)) oddRun {
	t.Helper()
	book := excelize.NewFile()
	defer book.Close()
	require.NoError(t, book.SetSheetName("Sheet1", sheet))
	for i, row := range rows {
		require.NoError(t, book.SetSheetRow(sheet, fmt.Sprintf("A%d", i+1), &row))
	}
	for _, change := range do {
		change(book)
	}
	b, err := book.WriteToBuffer()
	require.NoError(t, err)
	files := plainSeason()
	delete(files, "s/colonies.csv")
	files["s/colonies.xlsx"] = b.String()
	return oddRun{name: name, fate: f, files: files, args: planAsJSON(), likeFiles: plainSeason()}
}

// utf16Text is a text as some spreadsheets save "Unicode text".
func utf16Text(s string) string {
	out := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(s)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return string(out)
}
