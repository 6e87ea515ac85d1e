package weather

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// plainText strips byte order marks and turns UTF-16 into UTF-8. Latin-1 is left
// as it is: figures and separators are the same bytes.
func plainText(data []byte) []byte {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		lo := 0
		if data[0] == 0xfe {
			lo = 1
		}
		units := make([]uint16, 0, len(data)/2)
		for i := 2; i+1 < len(data); i += 2 {
			units = append(units, uint16(data[i+lo])|uint16(data[i+1-lo])<<8)
		}
		return []byte(string(utf16.Decode(units)))
	}
	return data
}

// text makes a string of a cell; bytes that are not UTF-8 are taken as Latin-1.
func text(cell []byte) string {
	cell = bytes.TrimSpace(cell)
	if utf8.Valid(cell) {
		return string(cell)
	}
	var b strings.Builder
	for _, c := range cell {
		b.WriteRune(rune(c))
	}
	return b.String()
}

// lines walks over the lines of a text that end in LF, CR or CRLF.
type lines struct {
	rest []byte
	no   int // 1-based number of the line that next returned last
}

func (l *lines) next() (line []byte, ok bool) {
	if len(l.rest) == 0 {
		return nil, false
	}
	l.no++
	end := -1
	for i, c := range l.rest {
		if c == '\n' || c == '\r' {
			end = i
			break
		}
	}
	if end < 0 {
		line, l.rest = l.rest, nil
		return line, true
	}
	line = l.rest[:end]
	if l.rest[end] == '\r' && end+1 < len(l.rest) && l.rest[end+1] == '\n' {
		end++
	}
	l.rest = l.rest[end+1:]
	return line, true
}

// split cuts a line at the separator into dst[:0] and trims each cell. A cell may
// be quoted and then hold the separator.
func split(line []byte, sep byte, dst [][]byte) [][]byte {
	dst = dst[:0]
	for {
		start := 0
		for start < len(line) && line[start] == ' ' {
			start++
		}
		if start < len(line) && line[start] == '"' {
			end := start + 1
			for end < len(line) {
				if line[end] == '"' {
					if end+1 < len(line) && line[end+1] == '"' {
						end += 2
						continue
					}
					break
				}
				end++
			}
			dst = append(dst, trim(line[start+1:min(end, len(line))]))
			for end < len(line) && line[end] != sep {
				end++
			}
			if end >= len(line) {
				return dst
			}
			line = line[end+1:]
			continue
		}
		end := bytes.IndexByte(line, sep)
		if end < 0 {
			return append(dst, trim(line))
		}
		dst = append(dst, trim(line[:end]))
		line = line[end+1:]
	}
}

func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	return b
}

var pow10 = [...]float64{1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8}

// number reads a cell. A cell that says "not known" (blank, M, NA, -, -9999 and
// the like) is NaN and good. whole is false when the cell has decimals.
func number(cell []byte) (v float64, whole, good bool) {
	if len(cell) == 0 {
		return math.NaN(), true, true
	}
	b := cell
	negative := false
	switch {
	case b[0] == '-':
		negative, b = true, b[1:]
	case b[0] == '+':
		b = b[1:]
	case bytes.HasPrefix(b, []byte("\u2212")):
		negative, b = true, b[len("\u2212"):]
	}
	mantissa, digits, decimals, point := 0, 0, 0, false
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9' && digits < 15:
			mantissa = mantissa*10 + int(c-'0')
			digits++
			if point {
				decimals++
			}
		case (c == '.' || c == ',') && !point:
			point = true
		default:
			return oddNumber(cell)
		}
	}
	if digits == 0 || decimals >= len(pow10) {
		return oddNumber(cell)
	}
	v = float64(mantissa) / pow10[decimals]
	if negative {
		v = -v
	}
	if v == -9999 || v == -999 {
		return math.NaN(), true, true
	}
	return v, !point || decimals == 0, true
}

func oddNumber(cell []byte) (v float64, whole, good bool) {
	switch strings.ToLower(string(cell)) {
	case "m", "na", "n/a", "n.a.", "#n/a", "nan", "null", "none", "nil", "-", "--", "---", ".", "x", "?", "missing":
		return math.NaN(), true, true
	}
	for _, c := range cell {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return math.NaN(), false, false
		}
	}
	v, err := strconv.ParseFloat(string(cell), 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN(), false, false
	}
	if v == -9999 || v == -999 {
		v = math.NaN()
	}
	return v, false, true
}

// dateOrder tells how the three numbers of a date stand.
type dateOrder uint8

const (
	yearFirst dateOrder = iota
	dayFirst
	monthFirst
	yearLast // day and month still to be told apart
)

// datePart reads three numbers off a cell such as 2014-01-31, 2014/1/31,
// 20140131, 31.01.2014 or 1/31/2014, with or without a time behind.
func datePart(cell []byte) (n [3]int, order dateOrder, ok bool) {
	var width [3]int
	k, i := 0, 0
	var sep byte
	for i < len(cell) {
		c := cell[i]
		if c >= '0' && c <= '9' {
			if width[k] == 8 {
				return n, 0, false
			}
			n[k] = n[k]*10 + int(c-'0')
			width[k]++
			i++
			continue
		}
		if k < 2 && width[k] > 0 && width[0] < 8 && (c == '-' || c == '/' || c == '.') && (sep == 0 || sep == c) {
			sep = c
			k++
			i++
			continue
		}
		break
	}
	if i < len(cell) && cell[i] != ' ' && cell[i] != 'T' {
		return n, 0, false
	}
	switch {
	case k == 0 && width[0] == 8:
		return [3]int{n[0] / 10000, n[0] / 100 % 100, n[0] % 100}, yearFirst, true
	case k != 2 || width[1] == 0 || width[1] > 2:
		return n, 0, false
	case width[0] == 4 && width[2] > 0 && width[2] <= 2:
		return n, yearFirst, true
	case width[2] == 4 && width[0] <= 2:
		if sep == '.' {
			return n, dayFirst, true
		}
		return n, yearLast, true
	}
	return n, 0, false
}

const (
	firstYear = 1700 // daily records begin about then; an earlier year is a slip of the pen
	lastYear  = 2200
)

// dayNumber counts days since 1 January 1970, negative before; false for a date
// that is not in the calendar or outside firstYear..lastYear.
func dayNumber(year, month, day int) (int32, bool) {
	if year < firstYear || year > lastYear || month < 1 || month > 12 || day < 1 || day > monthLength(year, month) {
		return 0, false
	}
	// Count from 1 March of year 0, so that the leap day ends a year.
	y, m := year, month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return int32(365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + day - 1 - 719468), true
}

func monthLength(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}
