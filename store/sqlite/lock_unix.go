//go:build unix

package sqlite

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/sys/unix"

	"holdfast/domain"
)

// lock takes the lab's advisory lock and writes the process id into the lock file, for the sentence that the next one
// gets. The operating system gives the lock up when the process ends, however it ends, so a killed server leaves
// nothing to clean up; the file itself stays.
func lock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, domain.Internal("opening the lab's lock file", err)
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		holder, _ := io.ReadAll(io.LimitReader(f, 100))
		f.Close()
		if !errors.Is(err, unix.EWOULDBLOCK) {
			return nil, domain.Internal("locking the lab", err)
		}
		who := strings.TrimSpace(string(holder))
		if who == "" {
			who = "another process"
		}
		return nil, domain.Errorf(domain.KindRefused,
			"this lab is already open in %s; stop that one first, or work through its address", who)
	}
	if err = f.Truncate(0); err == nil {
		_, err = fmt.Fprintf(f, "process %d\n", os.Getpid())
	}
	if err != nil {
		f.Close()
		return nil, domain.Internal("writing the lab's lock file", err)
	}
	return f, nil
}

// syncDir makes a folder's entries durable, so that a file renamed into it is still there after a power cut.
func syncDir(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}
