package plan

import (
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Code names what a Note says, "kind.name" in lower case: "warning.small_cluster".
// Codes do not change; the sentence behind one may.
type Code string

// Kind is the part of a code before the point: reason, confidence, feeder,
// against, supplement, warning, task, caution, limit, change, answer.
func (c Code) Kind() string {
	kind, _, _ := strings.Cut(string(c), ".")
	return kind
}

// Note is something to say: a code, and the figures that its sentence holds as
// the fields of the struct.
type Note interface{ Code() Code }

// Figures are the fields of a note under their names in JSON: stores_kg for
// StoresKg. Dates are yyyy-mm-dd; what is not known is null.
func Figures(n Note) map[string]any {
	out := map[string]any{}
	v := reflect.ValueOf(n)
	for i := range v.NumField() {
		out[snake(v.Type().Field(i).Name)] = figure(v.Field(i))
	}
	return out
}

// figure is a field as it is written in JSON, numbers to five figures.
func figure(v reflect.Value) any {
	switch x := v.Interface().(type) {
	case time.Time:
		if x.IsZero() {
			return nil
		}
		return x.Format(time.DateOnly)
	case Note: // one within another
		return map[string]any{"code": string(x.Code()), "figures": Figures(x)}
	case interface{ FigureCode() string }:
		return x.FigureCode()
	case interface{ String() string }:
		return x.String()
	}
	switch v.Kind() {
	case reflect.Float64:
		f := v.Float()
		if math.IsNaN(f) || math.IsInf(f, 0) {
			return nil
		}
		f, _ = strconv.ParseFloat(strconv.FormatFloat(f, 'g', 5, 64), 64) // what was just written
		return f + 0
	case reflect.Slice:
		out := make([]any, v.Len())
		for i := range out {
			out[i] = figure(v.Index(i))
		}
		return out
	case reflect.Struct:
		out := map[string]any{}
		for i := range v.NumField() {
			out[snake(v.Type().Field(i).Name)] = figure(v.Field(i))
		}
		return out
	}
	return v.Interface()
}

// snake writes StoresKg as stores_kg and SyrupL as syrup_l.
func snake(name string) string {
	var b strings.Builder
	letters := []rune(name)
	for i, r := range letters {
		if unicode.IsUpper(r) {
			startsWord := i > 0 && (unicode.IsLower(letters[i-1]) || unicode.IsDigit(letters[i-1]) || i+1 < len(letters) && unicode.IsLower(letters[i+1]))
			if startsWord {
				b.WriteByte('_')
			}
			r = unicode.ToLower(r)
		}
		b.WriteRune(r)
	}
	return b.String()
}
