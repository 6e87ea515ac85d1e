package feed_test

import (
	"context"
	"fmt"

	"bloomgap/feed"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// A season becomes a plan in three steps: weather, planner, run.
func ExamplePlanner_Run() {
	s := season.Demo()
	worlds, problems := visits.Worlds(s, func(paths []string, place string) (*weather.Record, read.Problems) {
		opt := weather.DefaultOptions()
		opt.Location = place
		return opt.ReadFiles(paths)
	})
	if err := problems.Err(); err != nil {
		fmt.Println(err)
		return
	}
	opt := feed.DefaultOptions(s.Settings)
	opt.Members = 50
	planner, err := feed.NewPlanner(s, worlds, opt)
	if err != nil {
		fmt.Println(err)
		return
	}
	plan, err := planner.Run(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(plan.Colonies), "colonies in", len(plan.Yards), "yards")
	// Output:
	// 36 colonies in 4 yards
}
