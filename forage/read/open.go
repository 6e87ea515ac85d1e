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
	"strings"
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
	MaxCells      int   // cells of one table
	MaxLineBytes  int   // bytes of one line of text
}

// DefaultLimits suits anything a beekeeper writes, and a century of weather. The
// bounds are own judgement: at them reading takes under 2 s and 300 MB.
func DefaultLimits() Limits {
	return Limits{MaxBytes: 64 << 20, MaxUnzipBytes: 48 << 20, MaxRows: 200_000, MaxColumns: 400, MaxCells: 3_000_000, MaxLineBytes: 256 << 10}
}

// Validate tells whether all limits are set.
func (l Limits) Validate() error {
	if l.MaxBytes <= 0 || l.MaxUnzipBytes <= 0 || l.MaxRows <= 0 || l.MaxColumns <= 0 || l.MaxCells <= 0 || l.MaxLineBytes <= 0 {
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

	cells int // so far, blank rows included
}

// GridRow is one row with its place in the file.
type GridRow struct {
	Line  int // 1-based
	Cells []string
}

// File is what a regular file holds, at most maxBytes of it. A pipe, a device or
// a folder is refused without being opened, since reading it may never end. name
// is how the file is called in messages; false when ps tells what is wrong.
func File(path, name string, maxBytes int64, ps *Problems) ([]byte, bool) {
	st, err := os.Stat(path)
	if err == nil && !regular(name, st, ps) {
		return nil, false
	}
	var f fs.File
	if err == nil {
		f, err = os.Open(path)
	}
	if err != nil {
		ps.Report(Problem{Code: FileUnreadable, File: name, Message: "the file cannot be opened: " + osReason(err), Fix: "check its name and place"})
		return nil, false
	}
	defer f.Close()
	return All(name, f, st.Size(), maxBytes, ps)
}

// FileIn is File for a file of a file system; a file that is not there is no
// problem, and found is false.
func FileIn(fsys fs.FS, path, name string, maxBytes int64, ps *Problems) (data []byte, found, ok bool) {
	st, err := fs.Stat(fsys, path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false, false
	}
	if err == nil && !regular(name, st, ps) {
		return nil, true, false
	}
	var f fs.File
	if err == nil {
		f, err = fsys.Open(path)
	}
	if err != nil {
		ps.Report(Problem{Code: FileUnreadable, File: name, Message: "the file cannot be opened: " + osReason(err), Fix: "check that you may read it"})
		return nil, true, false
	}
	defer f.Close()
	data, ok = All(name, f, st.Size(), maxBytes, ps)
	return data, true, ok
}

// regular tells whether something is a file that ends.
func regular(name string, st fs.FileInfo, ps *Problems) bool {
	switch {
	case st.IsDir():
		ps.Report(Problem{Code: FileUnreadable, File: name, Message: "this is a folder, not a file", Fix: "name a file, or rename the folder"})
	case !st.Mode().IsRegular():
		ps.Report(Problem{Code: FileNotRegular, File: name, Message: "this is a pipe or a device, not a file",
			Fix: "save what it gives in a file and name that; - reads standard input where a command takes it"})
	default:
		return true
	}
	return false
}

// All is the rest of what r gives, at most maxBytes of it; size is how much to
// expect, 0 when nobody knows.
func All(name string, r io.Reader, size, maxBytes int64, ps *Problems) ([]byte, bool) {
	tooLarge := func() ([]byte, bool) {
		ps.Report(Problem{Code: FileTooLarge, File: name, Message: "the file is larger than " + megabytes(maxBytes), Fix: "keep only the rows that are needed"})
		return nil, false
	}
	if size > maxBytes {
		return tooLarge()
	}
	var buf bytes.Buffer
	buf.Grow(int(size) + bytes.MinRead)
	n, err := buf.ReadFrom(io.LimitReader(r, maxBytes+1))
	switch {
	case n > maxBytes:
		return tooLarge()
	case err != nil:
		ps.Report(Problem{Code: FileUnreadable, File: name, Message: "the file cannot be read: " + osReason(err), Fix: "save it again"})
		return nil, false
	}
	return buf.Bytes(), true
}

// megabytes is a size for a message.
func megabytes(n int64) string {
	if n < 1<<20 {
		return fmt.Sprintf("%d kB", n>>10)
	}
	return fmt.Sprintf("%d MB", n>>20)
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

// Read reads all tables of a file that is already open: one for text, one a sheet
// for a workbook (.xlsx, .xlsm), which is known by its content, not by its name.
// name is how the file is called in messages. What cannot be read is added to ps;
// then the tables may be incomplete or none.
func Read(name string, r io.Reader, lim Limits, ps *Problems) []*Grid {
	if err := lim.Validate(); err != nil {
		panic("read: limits are not set")
	}
	data, ok := All(name, r, 0, lim.MaxBytes, ps)
	if !ok {
		return nil
	}
	return Tables(name, data, lim, ps)
}

// Tables reads all tables of what a file holds, as Read does. It may write into
// data.
func Tables(name string, data []byte, lim Limits, ps *Problems) []*Grid {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readWorkbook(name, data, lim, ps)
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		ps.Report(
			Problem{
				Code:    FileNotText,
				File:    name,
				Message: "this is an old workbook (.xls) or one with a password",
				Fix:     "save it as .xlsx without a password, or as .csv",
			},
		)
		return nil
	}
	before := len(ps.Errors())
	g := readText(name, data, lim, ps)
	if len(g.Rows) > 0 {
		return []*Grid{g}
	}
	if len(ps.Errors()) == before {
		ps.Report(Problem{Code: FileEmpty, File: name, Message: "the file is empty", Fix: "write a heading row and one row for each entry"})
	}
	return nil
}

// baseName is the file name without folder and ending.
func baseName(name string) string {
	base := filepath.Base(name)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

func readText(name string, data []byte, lim Limits, ps *Problems) *Grid {
	data = decode(name, data, ps)
	g := &Grid{Name: baseName(name), File: name}
	if line := longLine(data, lim.MaxLineBytes); line > 0 {
		ps.Report(
			Problem{
				Code:    FileTooLarge,
				File:    name,
				Line:    line,
				Message: fmt.Sprintf("the line has more than %d kB", lim.MaxLineBytes>>10),
				Fix:     "check that this is the right file",
			},
		)
		return g
	}
	if line := rowBeyond(data, lim.MaxRows); line > 0 { // told before it is taken apart, which takes ten times its size
		ps.Report(tooManyRows(name, line, lim.MaxRows))
		return g
	}
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
			ps.Report(Problem{Code: LineBroken, File: name, Line: pe.StartLine, Message: "the quotation marks of this line do not match",
				Fix: `put " round the whole cell and write a mark inside it twice`})
			if broken++; broken >= maxBrokenLines {
				return g
			}
			continue
		}
		if err != nil {
			ps.Report(Problem{Code: FileUnreadable, File: name, Message: "the file cannot be read: " + err.Error(), Fix: "save it again as .csv"})
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

// longLine is the number of the first line of more than so many bytes; 0 when
// there is none.
func longLine(data []byte, most int) int {
	for n := 1; len(data) > most; n++ {
		end := bytes.IndexByte(data, '\n')
		if end < 0 {
			end = len(data)
		}
		if end > most {
			return n
		}
		data = data[end+1:]
	}
	return 0
}

// rowBeyond is the line of the first row beyond so many; 0 when there is none. Blank lines
// and comments are no rows, and a cell in quotation marks may hold several lines.
func rowBeyond(data []byte, most int) int {
	rows, quoted := 0, false
	for n := 1; len(data) > 0; n++ {
		line, rest, _ := bytes.Cut(data, []byte{'\n'})
		data = rest
		if !quoted && (len(line) == 0 || line[0] == '#' || len(line) == 1 && line[0] == '\r') {
			continue
		}
		if !quoted {
			if rows++; rows > most {
				return n
			}
		}
		if bytes.Count(line, []byte{'"'})%2 == 1 {
			quoted = !quoted
		}
	}
	return 0
}

func tooManyRows(file string, line, most int) Problem {
	return Problem{Code: FileTooLarge, File: file, Line: line, Message: fmt.Sprintf("the table has more than %d rows", most),
		Fix: "keep only the rows that are needed"}
}

// add takes one row in; false when a limit is reached.
func (g *Grid) add(line int, cells []string, n int, lim Limits, ps *Problems) bool {
	g.cells += len(cells)
	if n >= lim.MaxRows {
		ps.Report(tooManyRows(g.File, line, lim.MaxRows))
		return false
	}
	message, fix := "", "keep only the rows that are needed"
	switch {
	case len(cells) > lim.MaxColumns:
		message, fix = fmt.Sprintf("the row has more than %d cells", lim.MaxColumns), "check that this is the right file"
	case g.cells > lim.MaxCells:
		message = fmt.Sprintf("the table has more than %d cells", lim.MaxCells)
	}
	if message != "" {
		ps.Report(Problem{Code: FileTooLarge, File: g.File, Line: line, Message: message, Fix: fix})
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
// in a line feed or in both. It may write into data.
func decode(name string, data []byte, ps *Problems) []byte {
	data = toUTF8(name, data, ps)
	for i, c := range data {
		if c == '\r' && (i+1 == len(data) || data[i+1] != '\n') {
			data[i] = '\n'
		}
	}
	return data
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
	ps.Report(Problem{Code: TextNotUTF8, Level: Note, File: name, Message: "the file is not in UTF-8 and was read as Western European text",
		Fix: "check names with accents, or save it as UTF-8"})
	return out
}

// delimiter finds what separates the cells, from a "sep=" line or from the first
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
		ps.Report(Problem{Code: WorkbookBroken, File: name, Message: "the workbook cannot be read: " + reason,
			Fix: "open it, save it again as .xlsx without a password, or save the sheet as .csv"})
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
				ps.Report(
					Problem{Code: WorkbookBroken, File: g.File, Line: n + 1, Message: "the row cannot be read: " + err.Error(), Fix: "save the workbook again"},
				)
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
