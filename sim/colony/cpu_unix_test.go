//go:build unix

package colony

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that this program has taken.
var cpuTime = func() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
