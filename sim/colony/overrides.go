package colony

import (
	"fmt"
	"io"

	"bloomgap/forage/read"
)

// ReadOverrides reads a settings table with the columns name and value, and
// unit if wanted, and puts its values into base. The file may be a CSV or a
// workbook. A name that is no parameter, a value outside its range, a unit that
// is not the parameter's and a parameter set twice are problems, each with its
// line and column; base is then returned with what could be used.
func ReadOverrides(file string, r io.Reader, base Params) (Params, read.Problems) {
	var ps read.Problems
	grids := read.Read(file, r, read.DefaultLimits(), &ps)
	names := make([]string, len(catalogue))
	for i := range catalogue {
		names[i] = catalogue[i].Name
	}
	setAt := map[string]string{}
	for _, g := range grids {
		t := read.New(g, []read.Column{
			{Name: "name", Aliases: []string{"parameter"}, Required: true},
			{Name: "value", Aliases: []string{"typical"}, Required: true},
			{Name: "unit"},
		}, &ps)
		for _, row := range t.Rows {
			if !row.Need("name") || !row.Need("value") {
				continue
			}
			name := row.Text("name")
			c := parameter(name)
			if c == nil {
				fix := "list the parameters for their names"
				if near := read.Nearest(name, names); near != "" {
					fix = fmt.Sprintf("did you mean %s?", near)
				}
				row.Problem("name", fmt.Sprintf("there is no parameter %q", name), fix)
				continue
			}
			if unit := row.Text("unit"); unit != "" && unit != c.Unit {
				row.Problem("unit", fmt.Sprintf("%s is in %s, not %s", name, c.Unit, unit), "give the value in "+c.Unit)
				continue
			}
			if at, twice := setAt[name]; twice {
				row.Problem("name", fmt.Sprintf("%s is set twice, first at %s", name, at), "keep one of the two")
				continue
			}
			setAt[name] = fmt.Sprintf("%s:%d", t.File, row.Line)
			if v := row.FloatIn("value", c.Low, c.High); v >= c.Low && v <= c.High {
				*c.field(&base) = v
			}
		}
	}
	return base, ps
}

// parameter finds a parameter by name; nil when there is none.
func parameter(name string) *Parameter {
	for i := range catalogue {
		if catalogue[i].Name == name {
			return &catalogue[i]
		}
	}
	return nil
}
