//go:build !linux

package cutting_test

import "time"

// took is the time that a function takes.
func took(f func()) time.Duration {
	start := time.Now()
	f()
	return time.Since(start)
}
