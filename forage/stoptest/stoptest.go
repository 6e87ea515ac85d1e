// Package stoptest has a context for tests of work that must stop when it is told to. How soon it
// does is counted in looks at the context, which a loaded machine does not change.
package stoptest

import (
	"context"
	"sync"
	"time"
)

// Counted is a context that ends when it has been looked at so many times.
type Counted struct {
	context.Context
	lock        sync.Mutex
	ends, looks int
	last        time.Time
	longest     time.Duration
}

// After ends at a look; 0 never.
func After(parent context.Context, looks int) *Counted {
	return &Counted{Context: parent, ends: looks, last: time.Now()}
}

// Err is one look.
func (c *Counted) Err() error {
	c.lock.Lock()
	defer c.lock.Unlock()
	now := time.Now()
	c.looks++
	c.longest, c.last = max(c.longest, now.Sub(c.last)), now
	if c.ends > 0 && c.looks >= c.ends {
		return context.Canceled
	}
	return nil
}

// Looks is how many there were.
func (c *Counted) Looks() int {
	c.lock.Lock()
	defer c.lock.Unlock()
	return c.looks
}

// Longest is the most time from one look to the next, and from the last to now. It is for
// logs: another program may take the time.
func (c *Counted) Longest() time.Duration {
	c.lock.Lock()
	defer c.lock.Unlock()
	return max(c.longest, time.Since(c.last))
}
