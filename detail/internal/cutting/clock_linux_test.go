package cutting_test

import (
	"runtime"
	"syscall"
	"time"
)

// took is the processor time that a function takes on one core, whoever else uses the machine.
func took(f func()) time.Duration {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	now := func() time.Duration {
		const thisThread = 1
		var u syscall.Rusage
		if err := syscall.Getrusage(thisThread, &u); err != nil {
			panic(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	start := now()
	f()
	return now() - start
}
