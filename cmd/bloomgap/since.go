package main

import (
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/since"
	"bloomgap/forage/read"
	"bloomgap/plots/files"
)

// earlier reads the plan to compare with; nil when none was named. It is read as a
// whole before anything is written, so that --out may write over it.
func (o *planOptions) earlier(c *console, s *season.Season) (*since.Snapshot, error) {
	if o.since == "" {
		return nil, nil
	}
	var ps read.Problems
	data, ok := c.content(o.since, &ps)
	if !ok {
		return nil, ps.Err()
	}
	before, ps := files.ReadEarlier(shownName(o.since), data)
	if err := ps.Err(); err != nil {
		return nil, err
	}
	if err := before.Problems(shownName(o.since), s).Err(); err != nil {
		return nil, err
	}
	return &before, nil
}

// compare puts into a plan what changed since an earlier one.
func (o *planOptions) compare(before *since.Snapshot, pl *plan.Plan) {
	if before == nil {
		return
	}
	if len(o.yards) > 0 {
		before.Keep(o.yards)
	}
	now := since.Of(pl)
	pl.Changes = since.Compare(before, &now)
}
