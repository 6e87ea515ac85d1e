package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/plots/words"
	"bloomgap/sim/hindcast"
)

// figure reads a number that may have its unit behind it; NaN when it is not
// given.
func figure(flag, text, unit string, lo, hi float64) (float64, error) {
	if text = strings.TrimSpace(text); text == "" {
		return math.NaN(), nil
	}
	var ps read.Problems
	g := &read.Grid{File: "--" + flag, Rows: []read.GridRow{{Cells: []string{"value"}}, {Cells: []string{text}}}}
	t := read.New(g, []read.Column{{Name: "value", Unit: unit}}, &ps)
	v := t.Rows[0].FloatIn("value", lo, hi)
	for _, p := range ps.Fatal() {
		return v, usageError{fmt.Errorf("--%s: %s; %s", flag, strings.TrimPrefix(p.Message, "value "), p.Fix)}
	}
	return v, nil
}

func (c *console) readWeights(file string, ps *read.Problems) []scales.Series {
	data, ok := c.content(file, ps)
	if !ok {
		return nil
	}
	return scales.Read(shownName(file), bytes.NewReader(data), ps)
}

// hindcastWeather reads and fills the weather of the hives, from the records, or
// from a table with hours, or from the table of weights itself. It says how the
// source is called in messages.
func hindcastWeather(opts weather.Options, usual climate.Normals, weights string, files []string, ps *read.Problems) (*weather.Record, string) {
	beside := func(file string) *weather.Record {
		var unused read.Problems // said already, where the weights were read
		data, ok := read.File(file, file, mostStdinBytes, &unused)
		if !ok {
			return nil
		}
		return scales.ReadWeather(file, bytes.NewReader(data), usual, ps)
	}
	var rec *weather.Record
	shown := strings.Join(files, ", ")
	switch {
	case len(files) == 0 || len(files) == 1 && files[0] == weights:
		shown = weights
		if rec = beside(weights); rec == nil {
			if _, err := os.Stat(weights); err == nil {
				ps.Add(weights, 0, 0, "holds no temperatures of the air", "name a weather record of the place behind it")
			}
			return nil, shown
		}
	default:
		var found read.Problems
		if rec, found = opts.ReadFiles(files); rec == nil && len(files) == 1 {
			if rec = beside(files[0]); rec != nil {
				found = nil
			}
		}
		*ps = append(*ps, found...)
	}
	if rec != nil {
		rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
	}
	return rec, shown
}

// pickHives keeps the hives that are wanted.
func pickHives(all []scales.Series, wanted []string, file string, ps *read.Problems) []scales.Series {
	if len(wanted) == 0 || len(all) == 0 {
		return all
	}
	var names []string
	for _, s := range all {
		names = append(names, s.Hive)
	}
	var out []scales.Series
	for _, w := range wanted {
		i := slices.IndexFunc(all, func(s scales.Series) bool { return strings.EqualFold(s.Hive, strings.TrimSpace(w)) })
		switch {
		case i < 0:
			ps.Add(file, 0, 0, fmt.Sprintf("has no hive %q", w), "the hives are: "+listed(names))
		case !slices.ContainsFunc(out, func(s scales.Series) bool { return s.Hive == all[i].Hive }):
			out = append(out, all[i])
		}
	}
	return out
}

// withinWeather keeps the weighings of the days that the record reaches over, and
// tells of springs and holes that are left out; it gives the springs that can be
// run.
func withinWeather(springs []hindcast.Hive, file, shown string, ps *read.Problems) []hindcast.Hive {
	rec := springs[0].Weather
	first, last := reach(rec)
	span := fmt.Sprintf("the weather of %s to %s", first.Format(time.DateOnly), last.Format(time.DateOnly))
	filled := map[time.Time]bool{}
	var out []hindcast.Hive
	var left read.Problems
	for _, h := range springs {
		name := ""
		if len(springs) > 1 {
			name = "hive " + h.Name + ": "
		}
		n := len(h.Weighings)
		h.Weighings = scales.Between(h.Weighings, first, last)
		k := n - len(h.Weighings)
		if len(h.Weighings) < 2 {
			within := ""
			if k > 0 {
				within = " within " + span
			}
			left.Add(file, 0, 0, fmt.Sprintf("%s%s left%s, and two on two days are needed", name, words.Count(len(h.Weighings), "weighing is", "weighings are"), within),
				"give more weighings, or the weather of their days, or other --from and --to")
			continue
		}
		if k > 0 {
			ps.Warn(file, 0, 0, fmt.Sprintf("%s%s outside %s not used", name, words.Count(k, "weighing is", "weighings are"), span), "give the weather of all days")
		}
		if holes, at := holesIn(&h); holes > 0 {
			left.Add(shown, 0, 0, fmt.Sprintf("%s without temperatures within the weighings, the first %s", words.Count(holes, "day", "days"), at.Format(time.DateOnly)),
				"use another record, or --from and --to to stay clear of them")
			continue
		}
		for _, f := range rec.Filled {
			for d := f.First; !d.After(f.Last); d = d.AddDate(0, 0, 1) {
				if !d.Before(h.Weighings[0].Date) && !d.After(h.Weighings[len(h.Weighings)-1].Date) {
					filled[d] = true
				}
			}
		}
		out = append(out, h)
	}
	if n := len(filled); n > 0 {
		ps.Warn(shown, 0, 0, words.Count(n, "day", "days")+" without temperatures within the weighings filled from the days beside them",
			"give a fuller record where it matters")
	}
	for i := range left {
		if left[i].Level = read.Error; len(out) > 0 {
			left[i].Level = read.Note
		}
	}
	*ps = append(*ps, left...)
	return out
}

// reach is the first and the last day of a record with temperatures.
func reach(rec *weather.Record) (first, last time.Time) {
	for i := range rec.Days {
		if d := rec.Date(i); rec.Days[i].HasTemp() {
			if first.IsZero() {
				first = d
			}
			last = d
		}
	}
	return first, last
}

// holesIn counts the days without weather within the weighings of a hive.
func holesIn(h *hindcast.Hive) (holes int, first time.Time) {
	for d := h.Weighings[0].Date; !d.After(h.Weighings[len(h.Weighings)-1].Date); d = d.AddDate(0, 0, 1) {
		if _, ok := h.Weather.At(d); !ok {
			if holes++; holes == 1 {
				first = d
			}
		}
	}
	return holes, first
}
