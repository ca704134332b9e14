// Package measure runs whole processes for the programs that measure the bars, and tells what they took.
package measure

import (
	"bytes"
	"fmt"
	"os/exec"
	"strings"
	"syscall"
	"time"
)

// Usage is what a whole process took, from start to exit.
type Usage struct {
	Seconds    float64 // wall clock
	CPUSeconds float64 // user and system, all threads
	PeakMB     float64 // largest resident set, 2²⁰ bytes
	Output     string  // what it printed, without blanks at both ends
}

// Process runs a command to its end. When it fails, the error tells what it printed.
func Process(name string, args ...string) (Usage, error) {
	cmd := exec.Command(name, args...)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	start := time.Now()
	err := cmd.Run()
	u := Usage{Seconds: time.Since(start).Seconds(), Output: strings.TrimSpace(out.String())}
	if err != nil {
		return u, fmt.Errorf("%s %s: %w\n%s", name, strings.Join(args, " "), err, u.Output)
	}
	if r, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		u.PeakMB = float64(r.Maxrss) / 1024
	}
	u.CPUSeconds = (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
	return u, nil
}
