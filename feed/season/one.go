package season

import (
	"maps"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/read"
)

// ThisYard is what the yard of a hive is called that is asked about alone.
const ThisYard = "this yard"

// One makes a season of one colony from values as they would stand in the
// tables: column name to cell, for its yard, for what was seen of it, and for
// each item of equipment. It checks what Load checks. A yard and a colony
// without names are called "this yard" and "this hive"; a colony without a date was seen
// today. Weather files are found from the working folder. A problem names the
// column as a flag, "--count-temp".
func One(set Settings, today time.Time, yard, colony map[string]string, equipment []map[string]string) (*Season, read.Problems) {
	yard, colony = withDefault(yard, "yard", ThisYard), withDefault(colony, "colony", "this hive")
	colony["yard"] = yard["yard"]
	colony = withDefault(colony, "date", iso(today))
	given := map[string]*read.Grid{yardsName: gridOf(yard), coloniesName: gridOf(colony)}
	if len(equipment) > 0 {
		given[equipName] = gridOf(equipment...)
	}
	var ps read.Problems
	l := loader{disk: true, s: &Season{Today: midnight(today), Settings: set}}
	for _, name := range []string{yardsName, coloniesName, equipName} {
		// One table at a time, so that each problem can be named by its own columns.
		l.ps, l.given = nil, map[string]*read.Grid{name: given[name]}
		switch name {
		case yardsName:
			l.yards()
		case coloniesName:
			l.colonies()
		default:
			l.equipment()
		}
		ps = append(ps, asFlags(l.ps, given[name])...)
	}
	ps = ps.Confirm(set.Confirmed)
	l.s.Reading = ps.Warnings()
	for i := range l.s.Reading { // there is no file to look into
		l.s.Reading[i].File = ""
	}
	return l.s, ps
}

// OneYard makes a season of one yard without colonies, as One does.
func OneYard(set Settings, today time.Time, yard map[string]string) (*Season, read.Problems) {
	g := gridOf(withDefault(yard, "yard", ThisYard))
	l := loader{disk: true, s: &Season{Today: midnight(today), Settings: set}, given: map[string]*read.Grid{yardsName: g}}
	l.yards()
	return l.s, asFlags(l.ps, g)
}

// withDefault copies the cells and fills in one that is missing or blank.
func withDefault(cells map[string]string, col, text string) map[string]string {
	out := maps.Clone(cells)
	if out == nil {
		out = map[string]string{}
	}
	if strings.TrimSpace(out[col]) == "" {
		out[col] = text
	}
	return out
}

// gridOf makes a table of rows that need not have the same columns.
func gridOf(rows ...map[string]string) *read.Grid {
	cols := map[string]bool{}
	for _, r := range rows {
		for c := range r {
			cols[c] = true
		}
	}
	head := slices.Sorted(maps.Keys(cols))
	g := &read.Grid{Rows: []read.GridRow{{Line: 1, Cells: head}}}
	for i, r := range rows {
		cells := make([]string, len(head))
		for j, c := range head {
			cells[j] = strings.TrimSpace(r[c])
		}
		g.Rows = append(g.Rows, read.GridRow{Line: i + 2, Cells: cells})
	}
	return g
}

// asFlags names each problem by the flag that its column came from.
func asFlags(ps read.Problems, g *read.Grid) read.Problems {
	for i := range ps {
		p := &ps[i]
		p.File = "flags"
		if g != nil && p.Column > 0 && p.Column <= len(g.Rows[0].Cells) {
			p.File = "--" + strings.ReplaceAll(g.Rows[0].Cells[p.Column-1], "_", "-")
		}
		p.Line, p.Column = 0, 0
	}
	return InFlags(ps)
}
