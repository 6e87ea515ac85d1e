package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"unicode"

	"golang.org/x/sync/errgroup"

	"bloomgap/cmd/bloomgap/outputs"
	"bloomgap/feed"
	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/plots"
	"bloomgap/plots/calendar"
	"bloomgap/plots/files"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

// mostDetailWorkers bounds how many colonies are run day by day at once,
// since each takes some 30 MB meanwhile; own choice, 2-16.
const mostDetailWorkers = 8

// files writes what was asked for beside the printed plan: tables, page, sheets
// and charts. One that cannot be written takes no other down.
func (o *planOptions) files(ctx context.Context, c *console, out *outputs.Set, planner *feed.Planner, pl *plan.Plan) (err error) {
	defer func() { err = errors.Join(err, out.Close()) }()
	for _, path := range out.Changed() {
		fmt.Fprintf(c.errs, "warning: %s was changed while the plan was made; run it again\n", path)
	}
	opt := report.DefaultOptions()
	opt.Units = unitsOf(pl)
	opt.Charts = report.DrawCharts(opt.Units.US)
	var details []plan.Detail // of all colonies, run once
	detailsOfAll := func() ([]plan.Detail, error) {
		var err error
		if details == nil {
			details, err = detailsOf(ctx, c, planner, pl, o.workers)
		}
		return details, err
	}
	var faults []error
	for _, f := range []struct {
		path  string
		write func() error
	}{
		{o.out, func() error { return o.tables(ctx, c, out, pl) }},
		{o.sums, func() error {
			write := func(w io.Writer) error { return order.WriteSums(w, pl.Sums) }
			if o.sums == standardOutput {
				return write(c.out)
			}
			return out.WriteFile(ctx, o.sums, write)
		}},
		{o.pdf, func() error {
			return writeAndSay(ctx, c, out, o.pdf, func(w io.Writer) error { return report.WriteSheets(w, pl, opt) })
		}},
		{o.report, func() error {
			if !report.OnePage(pl, opt) {
				if o.report == standardOutput {
					return errors.New("the report is more than one page; name a file in place of -")
				}
				return o.pages(ctx, c, out, planner, pl, opt)
			}
			list, err := detailsOfAll()
			if err != nil {
				return err
			}
			return writeAndSay(ctx, c, out, o.report, func(w io.Writer) error { return report.Write(w, pl, list, opt) })
		}},
		{o.charts, func() error {
			list, err := detailsOfAll()
			if err != nil {
				return err
			}
			return o.draw(ctx, c, out, pl, list)
		}},
	} {
		if f.path != "" {
			faults = append(faults, f.write())
		}
	}
	return errors.Join(faults...)
}

// pages writes a report that is too large for one page: an index page, and in a
// folder of its name a page for each yard.
func (o *planOptions) pages(ctx context.Context, c *console, out *outputs.Set, planner *feed.Planner, pl *plan.Plan, opt report.Options) error {
	index := filepath.Base(o.report)
	folder := strings.TrimSuffix(index, filepath.Ext(index)) + "-yards"
	dir := filepath.Join(filepath.Dir(o.report), folder)
	if err := out.MakeFolder(dir); err != nil {
		return err
	}
	step, end := c.progress("writing the pages of yards")
	defer end()
	var done atomic.Int64
	opt.Workers = min(cmp.Or(o.workers, runtime.GOMAXPROCS(0)), mostDetailWorkers)
	detail := func(ctx context.Context, places []int) ([]plan.Detail, error) {
		return detailsAt(ctx, planner, pl, o.workers, places, nil)
	}
	err := report.WritePages(ctx, pl, index, folder, detail, opt, func(name string, write func(io.Writer) error) error {
		path := o.report
		if name != "" {
			path = filepath.Join(dir, name)
		}
		if n := int(done.Add(1)); step != nil {
			step(n, len(pl.Yards)+1)
		}
		return out.WriteFile(ctx, path, write)
	})
	if err == nil {
		fmt.Fprintf(c.errs, "wrote %s and %s in %s\n", o.report, words.Count(len(pl.Yards), "page", "pages"), dir)
	}
	return err
}

// tables writes the plan for other programs.
func (o *planOptions) tables(ctx context.Context, c *console, out *outputs.Set, pl *plan.Plan) error {
	if err := out.MakeFolder(o.out); err != nil {
		return err
	}
	var before io.Reader // the calendar of an earlier run, whose events keep their names
	if b, err := os.ReadFile(filepath.Join(o.out, "visits.ics")); err == nil {
		before = bytes.NewReader(b)
	}
	units := unitsOf(pl)
	list := append(files.CSVs(pl, units),
		files.File{Name: "plan.xlsx", Write: func(w io.Writer) error { return files.WriteXLSX(w, pl, units) }},
		files.File{Name: "plan.json", Write: func(w io.Writer) error { return files.WriteJSON(w, pl) }},
		files.File{Name: "visits.ics", Write: func(w io.Writer) error { return calendar.Write(w, pl, before) }})
	for _, f := range list {
		if err := out.Check(filepath.Join(o.out, f.Name)); err != nil {
			return err
		}
	}
	for _, f := range list {
		if err := out.WriteFile(ctx, filepath.Join(o.out, f.Name), f.Write); err != nil {
			return err
		}
	}
	fmt.Fprintf(c.errs, "wrote %d files to %s\n", len(list), o.out)
	return nil
}

// detailsOf runs the colonies of a plan day by day, in the order of the plan. A
// colony of which nothing can be drawn gets an empty detail.
func detailsOf(ctx context.Context, c *console, planner *feed.Planner, pl *plan.Plan, workers int) ([]plan.Detail, error) {
	places := make([]int, len(pl.Colonies))
	for i := range places {
		places[i] = i
	}
	step, end := c.progress("running colonies day by day")
	defer end()
	return detailsAt(ctx, planner, pl, workers, places, step)
}

// detailsAt runs the colonies at some places of a plan day by day, in that order.
func detailsAt(ctx context.Context, planner *feed.Planner, pl *plan.Plan, workers int, places []int, step func(done, all int)) ([]plan.Detail, error) {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	return stoppable(ctx, func() ([]plan.Detail, error) {
		out := make([]plan.Detail, len(places))
		return out, each(ctx, min(workers, mostDetailWorkers), len(out), step, func(i int) error {
			d, ok, err := planner.Detail(ctx, &pl.Colonies[places[i]])
			if ok {
				out[i] = d
			}
			return err
		})
	})
}

// each does so many things, several at once, and tells how many are done.
func each(ctx context.Context, workers, all int, step func(done, all int), do func(i int) error) error {
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(workers)
	var done atomic.Int64
	for i := range all {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := do(i); err != nil {
				return err
			}
			if step != nil {
				step(int(done.Add(1)), all)
			}
			return nil
		})
	}
	return group.Wait()
}

// gridRows is the most colonies on one chart of risk by week, so that it can
// still be drawn and scrolled; own choice, 100-300.
const gridRows = 200

// chartFile is a chart and the name of its file without the ending.
type chartFile struct {
	name  string
	chart *plots.Chart
}

// draw writes all charts to the folder asked for.
func (o *planOptions) draw(ctx context.Context, c *console, out *outputs.Set, pl *plan.Plan, details []plan.Detail) error {
	if err := out.MakeFolder(o.charts); err != nil {
		return err
	}
	list, err := chartsOf(pl, details)
	if err != nil {
		return err
	}
	path := func(i int) string { return filepath.Join(o.charts, list[i].name+"."+o.format) }
	for i := range list {
		if err := out.Check(path(i)); err != nil {
			return err
		}
	}
	step, end := c.progress("drawing charts")
	defer end()
	err = each(ctx, runtime.GOMAXPROCS(0), len(list), step, func(i int) error {
		return out.WriteFile(ctx, path(i), func(w io.Writer) error { return list[i].chart.Write(w, o.format, chartWidthCm, 0) })
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.errs, "drew %d charts in %s\n", len(list), o.charts)
	return nil
}

// chartsOf lists the charts of a plan: those of all yards, of each yard, and of
// each colony in the order of the plan.
func chartsOf(pl *plan.Plan, details []plan.Detail) ([]chartFile, error) {
	look := plots.LookOf(*pl)
	var list []chartFile
	if pages := plots.RiskGridPages(*pl, look, gridRows); len(pages) == 1 {
		list = append(list, chartFile{"risk-by-week", pages[0]})
	} else {
		for i, chart := range pages {
			list = append(list, chartFile{fmt.Sprintf("risk-by-week-%d", i+1), chart})
		}
	}
	if pl.Order.Colonies > 0 {
		list = append(list, chartFile{"order", plots.OrderChart(*pl, look)})
	}
	if plots.MapSays(*pl) {
		chart, err := plots.YardMap(*pl, look)
		if err != nil {
			return nil, err
		}
		list = append(list, chartFile{"map", chart})
	}
	list = append(list, chartFile{"visits", plots.VisitsChart(*pl, look)})
	for i, y := range pl.Yards {
		name := fmt.Sprintf("yard-%02d-%s-", i+1, fileName(y.Name))
		list = append(list, chartFile{name + "risk", plots.RankChart(*pl, y.Name, look)}, chartFile{name + "need", plots.NeedChart(*pl, y.Name, look)})
		if len(y.Years) > 0 {
			list = append(list, chartFile{name + "springs", plots.SpringsChart(y, look)})
		}
	}
	for _, a := range pl.Asked {
		if len(a.Springs) > 0 {
			list = append(list, chartFile{"asked-" + a.Question.String(), plots.MovedChart(*pl, a, look)})
		}
	}
	for i := range details {
		d := details[i]
		if len(d.Dates) == 0 {
			continue
		}
		c := &pl.Colonies[i]
		name := fmt.Sprintf("colony-%03d-%s-%s-", i+1, fileName(c.Yard), fileName(c.Colony))
		list = append(list,
			chartFile{name + "stores", plots.StoresChart(d, look)},
			chartFile{name + "risk", plots.RiskChart(d, pl.AcceptPct, look)},
			chartFile{name + "bees", plots.BeesChart(d, c.Supplement, look)})
		if len(d.ByStart) > 0 {
			list = append(list, chartFile{name + "sugar", plots.SugarChart(d, pl.AcceptPct, look)}, chartFile{name + "start", plots.StartChart(d, pl.AcceptPct, look)})
		}
		if c.Supplement.Considered {
			list = append(list, chartFile{name + "supplement", plots.GainChart(d, c.Supplement, look)})
		}
	}
	return list, nil
}

// longestName is the most letters of a name that a file's name takes, own choice.
const longestName = 30

// fileName makes a name fit for the name of a file on any system.
func fileName(name string) string {
	letters := []rune(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, words.Clean(name)))
	return strings.Trim(string(letters[:min(len(letters), longestName)]), "-")
}
