package read

import (
	"math"
	"strconv"
	"strings"
)

// IsMissing tells whether a cell says that there is no value.
func IsMissing(cell string) bool {
	switch strings.ToLower(strings.TrimSpace(cell)) {
	case "", "-", "--", "---", "?", "n/a", "na", "n.a.", "nan", "#n/a", "null", "none", "nil", "unknown", "missing", "err", "error", "offline":
		return true
	}
	return false
}

var pow10 = [...]float64{1, 10, 100, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8}

// Figure reads a number as instruments and services write it, with a point or a
// comma for decimals. A cell that says "no value" (IsMissing, -999, -9999) is NaN
// and good. whole is false when the cell has decimals. It allocates nothing for
// an ordinary number.
func Figure[T ~string | ~[]byte](cell T) (v float64, whole, good bool) {
	if len(cell) == 0 {
		return math.NaN(), true, true
	}
	i, negative := 0, false
	switch {
	case cell[0] == '-':
		i, negative = 1, true
	case cell[0] == '+':
		i = 1
	case len(cell) > 2 && cell[0] == 0xe2 && cell[1] == 0x88 && cell[2] == 0x92: // the minus of typesetters
		i, negative = 3, true
	}
	mantissa, digits, decimals, point := 0, 0, 0, false
	for ; i < len(cell); i++ {
		switch c := cell[i]; {
		case c >= '0' && c <= '9' && digits < 15:
			mantissa = mantissa*10 + int(c-'0')
			digits++
			if point {
				decimals++
			}
		case (c == '.' || c == ',') && !point:
			point = true
		default:
			return oddFigure(string(cell))
		}
	}
	if digits == 0 || decimals >= len(pow10) {
		return oddFigure(string(cell))
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

func oddFigure(cell string) (v float64, whole, good bool) {
	if IsMissing(cell) {
		return math.NaN(), true, true
	}
	if strings.Trim(cell, "0123456789.-+eE") != "" {
		return math.NaN(), false, false
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN(), false, false
	}
	if v == -9999 || v == -999 {
		v = math.NaN()
	}
	return v, false, true
}
