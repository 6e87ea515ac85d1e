package feed

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
)

// manyHives is an invented yard of singles, from light to heavy.
func manyHives(b *testing.B, n int) *season.Season {
	s := seasontest.OneHive(b, map[string]string{"gross": "22"}, nil)
	one := s.Colonies[0]
	s.Colonies = nil
	for i := range n {
		c := one
		c.Name = fmt.Sprintf("H%d", i)
		c.Observations = []season.Observation{one.Observations[0]}
		c.Observations[0].Food.GrossKg = 19 + float64(i%13)
		s.Colonies = append(s.Colonies, c)
	}
	s.Settings.ProteinConsidered = true
	return s
}

// BenchmarkPlan is the whole planning of colonies of both arms, by the number of
// colonies and of members; ns/member is flat when the cost is linear in both.
func BenchmarkPlan(b *testing.B) {
	for _, size := range []struct{ colonies, members int }{{25, 200}, {100, 200}, {400, 200}, {100, 800}} {
		b.Run(fmt.Sprintf("%dx%d", size.colonies, size.members), func(b *testing.B) {
			s := manyHives(b, size.colonies)
			ws, ps := visits.Worlds(s, nil)
			require.NoError(b, ps.Err())
			b.ReportAllocs()
			for b.Loop() {
				opt := DefaultOptions(s.Settings)
				opt.Members, opt.MostFactor = size.members, 1
				p, err := NewPlanner(s, ws, opt)
				require.NoError(b, err)
				_, err = p.Run(context.Background())
				require.NoError(b, err)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*size.colonies*size.members), "ns/member")
		})
	}
}

// BenchmarkWorkers is the same work on one and on two workers.
func BenchmarkWorkers(b *testing.B) {
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprint(workers), func(b *testing.B) {
			s := manyHives(b, 200)
			ws, ps := visits.Worlds(s, nil)
			require.NoError(b, ps.Err())
			for b.Loop() {
				opt := DefaultOptions(s.Settings)
				opt.Members, opt.MostFactor, opt.Workers = 400, 1, workers
				p, err := NewPlanner(s, ws, opt)
				require.NoError(b, err)
				_, err = p.Run(context.Background())
				require.NoError(b, err)
			}
		})
	}
}
