package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"time"

	"bloomgap/cmd/bloomgap/outputs"
	"bloomgap/feed/plan"
	"bloomgap/forage/read"
	"bloomgap/plots"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
	"bloomgap/sim/hindcast"
)

// files draws and writes what was asked for beside the printed report.
func (r *hindcastReport) files(ctx context.Context, c *console, out *outputs.Set, o *hindcastOptions, format string) (err error) {
	defer func() { err = errors.Join(err, out.Close()) }()
	if o.chart != "" {
		look := plots.DefaultLook()
		if o.units == "us" {
			look.Units = plots.US
		}
		for i, h := range r.shown.Springs {
			path := o.chart
			if len(r.shown.Springs) > 1 {
				ext := filepath.Ext(path)
				path = strings.TrimSuffix(path, ext) + "-" + fileWord(h.Hive, i)
				if r.again(i) {
					path += fmt.Sprint("-", h.Spring)
				}
				path += ext
			}
			chart := plots.HindcastChart(hindcastPicture(h), look)
			if err := writeAndSay(ctx, c, out, path, func(w io.Writer) error { return chart.Write(w, format, chartWidthCm, 0) }); err != nil {
				return err
			}
		}
	}
	if o.outCSV == "" {
		return nil
	}
	return writeAndSay(ctx, c, out, o.outCSV, func(w io.Writer) error { return read.WriteCSV(w, r.rows()) })
}

// again tells whether the hive of a spring has other springs.
func (r *hindcastReport) again(i int) bool {
	for k, h := range r.shown.Springs {
		if k != i && h.Hive == r.shown.Springs[i].Hive {
			return true
		}
	}
	return false
}

// fileWord is a hive's name as a part of a file's.
func fileWord(name string, i int) string {
	word := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			return r
		}
		return '_'
	}, name)
	if strings.Trim(word, "_") == "" {
		return fmt.Sprint(i + 1)
	}
	return word
}

func hindcastPicture(h *hindcast.Result) plots.Hindcast {
	out := plots.Hindcast{What: "Hive weight", Unit: "kg", Name: h.Hive, Dates: h.Dates, Band: plan.Band(h.Band), StartsOn: h.From.AddDate(0, 0, -1)}
	for _, p := range h.Points {
		if !p.LeftOut {
			out.SeenOn, out.Seen = append(out.SeenOn, p.Date), append(out.Seen, p.Kg)
		}
	}
	return out
}

// rows are the bands and readings of each day, as a table.
func (r *hindcastReport) rows() [][]any {
	out := [][]any{{"hive", "date", "p10_kg", "p25_kg", "p50_kg", "p75_kg", "p90_kg", "scale_kg", "used_kg", "left_out"}}
	kg := func(v float64) any { return read.Number{Value: v, Decimals: 3} }
	for _, h := range r.shown.Springs {
		at := h.ByDay()
		for d, date := range h.Dates {
			row := []any{h.Hive, date, kg(h.Band.P10[d]), kg(h.Band.P25[d]), kg(h.Band.P50[d]), kg(h.Band.P75[d]), kg(h.Band.P90[d]), nil, nil, nil}
			if p := at[d]; p != nil {
				row[7], row[8] = kg(p.SeenKg), kg(p.Kg)
				if p.LeftOut {
					row[8], row[9] = nil, "yes"
				}
			}
			out = append(out, row)
		}
	}
	return out
}

// hindcastDoc is the JSON of the command hindcast. Figures are metric; null is
// not known.
type hindcastDoc struct {
	Format  string            `json:"format"`
	Weights string            `json:"weights"`
	Weather string            `json:"weather"`
	LatDeg  files.Num         `json:"lat_deg"`
	LatFrom string            `json:"lat_from"`
	Size    string            `json:"colony_at_start"`
	Hives   []hindcastHiveDoc `json:"hives"`
	Pooled  *scoresDoc        `json:"all_hives,omitempty"`
}

type hindcastHiveDoc struct {
	Hive      string       `json:"hive"`
	Spring    int          `json:"spring"`
	First     string       `json:"first"`
	Last      string       `json:"last"`
	Weighings int          `json:"weighings"`
	Beyond    int          `json:"not_used_after_nectar"`
	ScatterKg files.Num    `json:"scatter_kg"`
	Members   int          `json:"members"`
	Bloom     []string     `json:"bloom_p10_p50_p90"`
	Nectar    []string     `json:"nectar_p10_p50_p90"`
	Steps     []stepDoc    `json:"steps_taken_out"`
	Learned   *learnedDoc  `json:"learned,omitempty"`
	Scores    scoresDoc    `json:"scores"`
	Warnings  []string     `json:"warnings"`
	Days      []bandDayDoc `json:"days"`
}

type stepDoc struct {
	From string    `json:"from"`
	To   string    `json:"to"`
	Kg   files.Num `json:"kg"`
	Why  string    `json:"why"`
	Note string    `json:"note,omitempty"`
}

type learnedDoc struct {
	Days      int         `json:"days"`
	Readings  int         `json:"readings"`
	ESS       files.Num   `json:"effective_members"`
	WidenedBy files.Num   `json:"errors_widened_by"`
	Before    []files.Num `json:"bees_before_p10_p50_p90"`
	Now       []files.Num `json:"bees_now_p10_p50_p90"`
}

type scoresDoc struct {
	Readings int          `json:"readings"`
	Held50   files.Num    `json:"held_50_frac"`
	Held80   files.Num    `json:"held_80_frac"`
	Below    files.Num    `json:"below_frac"`
	Above    files.Num    `json:"above_frac"`
	SeenKg   files.Num    `json:"last_change_kg"`
	BiasKg   files.Num    `json:"last_bias_kg"`
	Changes  []horizonDoc `json:"changes"`
}

type horizonDoc struct {
	Days      int         `json:"days"`
	Pairs     int         `json:"pairs"`
	SeenKg    files.Num   `json:"seen_mean_kg"`
	BiasKg    files.Num   `json:"bias_kg"`
	MeanAbsKg files.Num   `json:"mean_abs_error_kg"`
	Held50    files.Num   `json:"held_50_frac"`
	Held80    files.Num   `json:"held_80_frac"`
	StartKg   files.Num   `json:"from_start_seen_kg"`
	StartKgs  []files.Num `json:"from_start_p10_p50_p90_kg"`
}

type bandDayDoc struct {
	Date    string    `json:"date"`
	P10Kg   files.Num `json:"p10_kg"`
	P25Kg   files.Num `json:"p25_kg"`
	P50Kg   files.Num `json:"p50_kg"`
	P75Kg   files.Num `json:"p75_kg"`
	P90Kg   files.Num `json:"p90_kg"`
	ScaleKg files.Num `json:"scale_kg"`
	UsedKg  files.Num `json:"used_kg"`
	LeftOut bool      `json:"left_out,omitempty"`
}

func newScoresDoc(s *hindcast.Scores) scoresDoc {
	n := func(v float64) files.Num { return files.Num(v) }
	d := scoresDoc{Readings: s.Readings, Held50: n(s.Held50), Held80: n(s.Held80), Below: n(s.Below), Above: n(s.Above),
		SeenKg: n(s.LastKg), BiasKg: n(s.LastBiasKg)}
	for _, h := range s.Horizons {
		d.Changes = append(d.Changes, horizonDoc{h.Days, h.Pairs, n(h.SeenMeanKg), n(h.BiasKg), n(h.MeanAbsKg), n(h.Held50), n(h.Held80),
			n(h.FromStartSeenKg), []files.Num{n(h.FromStartP10), n(h.FromStartP50), n(h.FromStartP90)}})
	}
	return d
}

func newHindcastDoc(r *hindcastReport) hindcastDoc {
	n := func(v float64) files.Num { return files.Num(v) }
	iso := func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return t.Format(time.DateOnly)
	}
	d := hindcastDoc{Format: "bloomgap hindcast", Weights: r.weights, Weather: r.shown.Weather, LatDeg: n(r.shown.LatDeg),
		LatFrom: r.shown.LatFrom, Size: r.shown.Colony}
	for _, h := range r.shown.Springs {
		e := hindcastHiveDoc{Hive: h.Hive, Spring: h.Spring, First: iso(h.Dates[0]), Last: iso(h.Dates[len(h.Dates)-1]), Weighings: len(h.Points), Beyond: h.Beyond,
			ScatterKg: n(h.Noise.ScatterKg), Members: h.Members, Bloom: []string{iso(h.Bloom.P10), iso(h.Bloom.P50), iso(h.Bloom.P90)},
			Nectar: []string{iso(h.Nectar.P10), iso(h.Nectar.P50), iso(h.Nectar.P90)}, Steps: []stepDoc{}, Scores: newScoresDoc(&h.Scores), Warnings: []string{}}
		for _, w := range h.Warnings {
			e.Warnings = append(e.Warnings, terminal.HindcastWarning(w))
		}
		for _, s := range h.Steps {
			e.Steps = append(e.Steps, stepDoc{iso(s.From), iso(s.To), n(s.Kg), words.StepCause(string(s.Cause)), s.Note})
		}
		if l := h.Learned; l.Days > 0 {
			e.Learned = &learnedDoc{l.Days, l.Readings, n(l.ESS), n(l.WidenedBy), []files.Num{n(l.Bees[0]), n(l.Bees[1]), n(l.Bees[2])},
				[]files.Num{n(l.BeesNow[0]), n(l.BeesNow[1]), n(l.BeesNow[2])}}
		}
		at := h.ByDay()
		for t, date := range h.Dates {
			b := bandDayDoc{Date: iso(date), P10Kg: n(h.Band.P10[t]), P25Kg: n(h.Band.P25[t]), P50Kg: n(h.Band.P50[t]),
				P75Kg: n(h.Band.P75[t]), P90Kg: n(h.Band.P90[t]),
				ScaleKg: n(math.NaN()), UsedKg: n(math.NaN())}
			if p := at[t]; p != nil {
				b.ScaleKg, b.LeftOut = n(p.SeenKg), p.LeftOut
				if !p.LeftOut {
					b.UsedKg = n(p.Kg)
				}
			}
			e.Days = append(e.Days, b)
		}
		d.Hives = append(d.Hives, e)
	}
	if len(r.shown.Springs) > 1 {
		pooled, _, _ := hindcast.Pool(r.shown.Springs)
		s := newScoresDoc(&pooled)
		d.Pooled = &s
	}
	return d
}
