package read

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Limits keeps a wrong or hostile file from filling the memory.
type Limits struct {
	MaxBytes      int64 // size of a file
	MaxUnzipBytes int64 // size of a workbook once unpacked
	MaxRows       int   // rows of one table, headings and comments included
	MaxColumns    int   // cells of one row
}

// DefaultLimits suits anything a beekeeper writes, and a century of weather.
func DefaultLimits() Limits {
	return Limits{MaxBytes: 16 << 20, MaxUnzipBytes: 48 << 20, MaxRows: 200_000, MaxColumns: 400}
}

// Validate tells whether all limits are set.
func (l Limits) Validate() error {
	if l.MaxBytes <= 0 || l.MaxUnzipBytes <= 0 || l.MaxRows <= 0 || l.MaxColumns <= 0 {
		return errors.New("every limit on the size of a table must be above 0")
	}
	return nil
}

// maxBrokenLines is how many unreadable lines of one file are reported (own
// judgement; a file with more is not a table).
const maxBrokenLines = 20

// Grid is one table as it stands in its file: rows of text cells without blank
// rows and comments.
type Grid struct {
	Name         string // sheet name, or file name without its ending
	File         string // for messages: "yards.csv" or "season.xlsx!yards"
	Workbook     bool   // from a workbook: dates may be serial numbers
	Date1904     bool   // the workbook counts its days from 1904
	DecimalComma bool   // "3,5" is three and a half
	Rows         []GridRow
}

// SerialDay is the day of a workbook's date cell, which is stored as a number;
// false when the grid is of text or the cell no such number. A bare year is not
// taken for one, though it would be a day of 1904 to 1906.
func (g *Grid) SerialDay(cell string) (time.Time, bool) {
	serial, err := strconv.ParseFloat(cell, 64)
	if err != nil || !g.Workbook || serial >= firstYear && serial <= lastYear {
		return time.Time{}, false
	}
	day, err := excelize.ExcelDateToTime(serial, g.Date1904)
	if err != nil {
		return time.Time{}, false
	}
	return day.Round(time.Second).Truncate(24 * time.Hour), true
}

// GridRow is one row with its place in the file.
type GridRow struct {
	Line  int // 1-based
	Cells []string
}

// Open reads all tables of a file: one for text, one a sheet for a workbook
// (.xlsx, .xlsm). name is how the file is called in messages. What cannot be
// read is added to ps; then the tables may be incomplete or none.
func Open(path, name string, lim Limits, ps *Problems) []*Grid {
	f, err := os.Open(path)
	if err != nil {
		ps.Add(name, 0, 0, "the file cannot be opened: "+osReason(err), "check its name and place")
		return nil
	}
	defer f.Close()
	if st, err := f.Stat(); err == nil && st.IsDir() {
		ps.Add(name, 0, 0, "this is a folder, not a table", "name a .csv or .xlsx file")
		return nil
	}
	return Read(name, f, lim, ps)
}

// osReason is the reason of a file error without the path.
func osReason(err error) string {
	var pe *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "reading it is not allowed"
	case errors.As(err, &pe):
		return pe.Err.Error()
	}
	return err.Error()
}

// EmptyFile is the message for a file without a row, for readers that know a
// better remedy.
const EmptyFile = "the file is empty"

// Read reads all tables of a file that is already open, as Open does. A
// workbook is known by its content, not by its name.
func Read(name string, r io.Reader, lim Limits, ps *Problems) []*Grid {
	if err := lim.Validate(); err != nil {
		panic("read: limits are not set")
	}
	data, err := io.ReadAll(io.LimitReader(r, lim.MaxBytes+1))
	switch {
	case err != nil:
		ps.Add(name, 0, 0, "the file cannot be read: "+osReason(err), "save it again")
		return nil
	case int64(len(data)) > lim.MaxBytes:
		ps.Add(name, 0, 0, fmt.Sprintf("the file is larger than %d MB", lim.MaxBytes>>20), "keep only the rows that are needed")
		return nil
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readWorkbook(name, data, lim, ps)
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		ps.Add(name, 0, 0, "this is an old workbook (.xls) or one with a password", "save it as .xlsx without a password, or as .csv")
		return nil
	}
	g := readText(name, data, lim, ps)
	if len(g.Rows) == 0 {
		if !hasFatal(*ps, name) {
			ps.Add(name, 0, 0, EmptyFile, "write a heading row and one row for each entry")
		}
		return nil
	}
	return []*Grid{g}
}

func hasFatal(ps Problems, file string) bool {
	for _, p := range ps {
		if p.File == file && !p.Warning {
			return true
		}
	}
	return false
}

// baseName is the file name without folder and ending.
func baseName(name string) string {
	base := filepath.Base(name)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

func readText(name string, data []byte, lim Limits, ps *Problems) *Grid {
	data = decode(name, data, ps)
	g := &Grid{Name: baseName(name), File: name}
	comma, skip := delimiter(data)
	g.DecimalComma = comma != ','
	cr := csv.NewReader(bytes.NewReader(data))
	cr.Comma, cr.Comment, cr.FieldsPerRecord = comma, '#', -1
	cr.TrimLeadingSpace = comma != '\t'
	broken := 0
	for n := 0; ; n++ {
		rec, err := cr.Read()
		if errors.Is(err, io.EOF) {
			return g
		}
		var pe *csv.ParseError
		if errors.As(err, &pe) {
			ps.Add(name, pe.StartLine, 0, "the quotation marks of this line do not match", `put " round the whole cell and write a mark inside it twice`)
			if broken++; broken >= maxBrokenLines {
				return g
			}
			continue
		}
		if err != nil {
			ps.Add(name, 0, 0, "the file cannot be read: "+err.Error(), "save it again as .csv")
			return g
		}
		line, _ := cr.FieldPos(0)
		if line <= skip {
			continue
		}
		if !g.add(line, rec, n, lim, ps) {
			return g
		}
	}
}

// add takes one row in; false when a limit is reached.
func (g *Grid) add(line int, cells []string, n int, lim Limits, ps *Problems) bool {
	if n >= lim.MaxRows {
		ps.Add(g.File, line, 0, fmt.Sprintf("the table has more than %d rows", lim.MaxRows), "keep only the rows that are needed")
		return false
	}
	if len(cells) > lim.MaxColumns {
		ps.Add(g.File, line, 0, fmt.Sprintf("the row has more than %d cells", lim.MaxColumns), "check that this is the right file")
		return false
	}
	blank := true
	for i, c := range cells {
		cells[i] = strings.TrimSpace(strings.TrimPrefix(c, "\ufeff"))
		blank = blank && cells[i] == ""
	}
	if blank || strings.HasPrefix(cells[0], "#") {
		return true
	}
	g.Rows = append(g.Rows, GridRow{Line: line, Cells: cells})
	return true
}

// decode brings text to UTF-8 without a byte-order mark, with lines that end
// in a line feed.
func decode(name string, data []byte, ps *Problems) []byte {
	data = toUTF8(name, data, ps)
	data = bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
}

func toUTF8(name string, data []byte, ps *Problems) []byte {
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data)
		if err == nil {
			return out
		}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if utf8.Valid(data) {
		return data
	}
	out, err := charmap.Windows1252.NewDecoder().Bytes(data)
	if err != nil {
		return bytes.ToValidUTF8(data, []byte("?"))
	}
	ps.Warn(name, 0, 0, "the file is not in UTF-8 and was read as Western European text", "check names with accents, or save it as UTF-8")
	return out
}

// delimiter finds what parts the cells, from a "sep=" line or from the first
// line that is neither blank nor a comment. skip is the line number of the
// "sep=" line, 0 without one.
func delimiter(data []byte) (comma rune, skip int) {
	sc := bufio.NewScanner(bytes.NewReader(data))
	sc.Buffer(nil, len(data)+1)
	for line := 1; sc.Scan(); line++ {
		text := strings.TrimSpace(sc.Text())
		if rest, ok := strings.CutPrefix(strings.ToLower(text), "sep="); ok && line == 1 {
			if strings.ContainsAny(rest, ";\t,") {
				return rune(rest[strings.IndexAny(rest, ";\t,")]), line
			}
			return '\t', line // a trailing tab was trimmed off
		}
		bare := strings.TrimLeft(text, "\"")
		if bare == "" || bare[0] == '#' || strings.Trim(text, ";,\t\"") == "" {
			continue
		}
		best, most := ',', 0
		for _, c := range []rune{',', ';', '\t'} {
			if n := countOutsideQuotes(sc.Text(), c); n > most {
				best, most = c, n
			}
		}
		return best, 0
	}
	return ',', 0
}

func countOutsideQuotes(s string, want rune) int {
	n, quoted := 0, false
	for _, r := range s {
		switch {
		case r == '"':
			quoted = !quoted
		case r == want && !quoted:
			n++
		}
	}
	return n
}

func readWorkbook(name string, data []byte, lim Limits, ps *Problems) (out []*Grid) {
	bad := func(reason string) []*Grid {
		ps.Add(name, 0, 0, "the workbook cannot be read: "+reason, "open it, save it again as .xlsx without a password, or save the sheet as .csv")
		return nil
	}
	defer func() { // the reader of workbooks is not ours; a damaged file must not stop the run
		if recover() != nil {
			out = bad("it is damaged")
		}
	}()
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		RawCellValue: true, UnzipSizeLimit: lim.MaxUnzipBytes, UnzipXMLSizeLimit: lim.MaxUnzipBytes,
	})
	if err != nil {
		return bad(err.Error())
	}
	defer f.Close()
	date1904 := false
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		date1904 = *props.Date1904
	}
	for _, sheet := range f.GetSheetList() {
		g := &Grid{Name: sheet, File: name + "!" + sheet, Workbook: true, Date1904: date1904}
		rows, err := f.Rows(sheet)
		if err != nil {
			continue // a sheet of charts has no rows
		}
		for n, more := 0, true; more && rows.Next(); n++ {
			cells, err := rows.Columns(excelize.Options{RawCellValue: true})
			if err != nil {
				ps.Add(g.File, n+1, 0, "the row cannot be read: "+err.Error(), "save the workbook again")
				break
			}
			if len(cells) > 0 {
				more = g.add(n+1, cells, n, lim, ps)
			} else if n >= lim.MaxRows {
				break // a million empty rows are no table
			}
		}
		_ = rows.Close()
		out = append(out, g)
	}
	if len(out) == 0 {
		return bad("it has no sheet with rows")
	}
	return out
}
