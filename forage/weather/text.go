package weather

import (
	"bytes"
	"math"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"bloomgap/forage/read"
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

// number reads a cell. A cell that says "not known" (read.Figure, and the M, x and
// lone point of weather services) is NaN and good. whole is false when the cell
// has decimals.
func number(cell []byte) (v float64, whole, good bool) {
	if len(cell) == 1 {
		switch cell[0] {
		case 'M', 'm', 'X', 'x', '.':
			return math.NaN(), true, true
		}
	}
	return read.Figure(cell)
}
