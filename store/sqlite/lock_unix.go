//go:build unix

package sqlite

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/sys/unix"

	"holdfast/domain"
)

// lock takes the lab's advisory lock and writes the process id into the lock file, for the sentence that the next one
// gets. The operating system gives the lock up when the process ends, however it ends, so a killed server leaves
// nothing to clean up; the file itself stays.
func lock(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, unix.EROFS) {
		return nil, domain.Errorf(domain.KindRefused, "the lab in %s can not be written to (%v); ask for the right to its folder and files, or copy it to a folder of yours", filepath.Dir(path), err)
	}
	if err != nil {
		return nil, domain.Internal("opening the lab's lock file", err)
	}
	if err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB); err != nil {
		holder, _ := io.ReadAll(io.LimitReader(f, 300))
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

// servedAt stands in the lock file between the process and the address that it answers at.
const servedAt = ", which answers at "

// Announce writes the address at which the lab is served into its lock file: another program that finds the lab open learns there
// where to turn. KindRefused for a lab that was opened for reading.
func (l *Lab) Announce(address string) error {
	if l.locked == nil {
		return domain.Errorf(domain.KindRefused, "a lab that is only read can not be served for others to write to")
	}
	err := l.locked.Truncate(0)
	if err == nil {
		_, err = l.locked.WriteAt(fmt.Appendf(nil, "process %d%s%s\n", os.Getpid(), servedAt, address), 0)
	}
	if err != nil {
		return domain.Internal("writing the lab's lock file", err)
	}
	return nil
}

// ServedAt returns the address at which another process serves the lab in the folder; empty when none does, or the process that has
// the lab open gave none.
func ServedAt(dir string) string {
	f, err := os.Open(filepath.Join(dir, lockFile))
	if err != nil {
		return ""
	}
	defer f.Close() // gives back a lock that was got
	if err := unix.Flock(int(f.Fd()), unix.LOCK_SH|unix.LOCK_NB); err == nil {
		return ""
	}
	text, err := io.ReadAll(io.LimitReader(f, 300))
	if err != nil {
		return ""
	}
	_, address, _ := strings.Cut(strings.TrimSpace(string(text)), servedAt)
	return address
}

// atRest says that nobody can change the database through this process and nobody has it open: its folder takes no new files, which a
// reader else makes beside the database, and no log of changes lies there.
func atRest(path string) bool {
	if err := unix.Access(filepath.Dir(path), unix.W_OK); err == nil {
		return false
	}
	_, err := os.Stat(path + "-wal")
	return errors.Is(err, fs.ErrNotExist)
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
