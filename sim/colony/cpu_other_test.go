//go:build !unix

package colony

import "time"

var cpuTime func() time.Duration
