package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"holdfast/domain"
	"holdfast/examples"
	"holdfast/examples/fernhollow"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
)

type demoCommand struct {
	Lab    string `placeholder:"DIR" help:"Folder of the demonstration's lab; by default one in your cache folder, kept between runs."`
	Listen string `default:"127.0.0.1:8420" placeholder:"ADDR" help:"Loopback address to answer at; the next free port is taken when this one is not free."`
	Bench  bool   `default:"true" negatable:"" help:"Let the simulated bench carry out its studies while the demonstration is open."`
	Fresh  bool   `help:"Throw the demonstration's lab away first and start over."`
}

// demoMark is a file that says that a folder holds the demonstration, so that --fresh never throws a real lab away.
const demoMark = "INVENTED-DEMONSTRATION"

// Run opens the demonstration, making it first when it is not there, and serves it.
func (c *demoCommand) Run(env *environment) error {
	listener, err := listenFrom(env, c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	dir, err := c.folder()
	if err != nil {
		return err
	}
	if err := c.prepare(env, dir); err != nil {
		return err
	}
	store, err := openLab(dir)
	if err != nil {
		return err
	}
	defer store.Close()
	fmt.Fprintf(env.stdout, "This is Fernhollow Bakery: everything in it is invented. Its lab lies in %s\n", dir)
	if c.Bench {
		stop := c.rehearse(env, "http://"+listener.Addr().String())
		defer stop()
	}
	inScenes := func(c domain.Condition) (*trialsim.Scene, error) {
		return scenes.ReadCondition(examples.Scenes(), fernhollow.SceneNames, c)
	}
	return serve(env, listener, store, "Fernhollow Bakery", inScenes)
}

// rehearse lets the simulated bench carry out its studies over the interface that a robot uses, gently: the page has the
// machine first. What it returns waits for its end.
func (c *demoCommand) rehearse(env *environment, server string) (stop func()) {
	ctx, cancel := context.WithCancel(env.ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		for _, live := range fernhollow.Live() {
			r := &rehearsal{
				server: server, study: string(live.Study), rig: "simulated-bench", files: examples.Scenes(), alias: fernhollow.SceneNames, seed: fernhollow.Seed,
				every: 1, rest: 60 * time.Millisecond, keep: live.Keep,
			}
			err := r.run(ctx, 1)
			switch {
			case ctx.Err() != nil:
				return
			case err != nil && r.done.Load() > 0:
				fmt.Fprintf(env.stderr, "The simulated bench stopped: %v\n", err)
				return
			}
		}
	}()
	return func() {
		cancel()
		<-done
	}
}

func (c *demoCommand) folder() (string, error) {
	if c.Lab != "" {
		return filepath.Abs(c.Lab)
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", usageError{fmt.Errorf("no cache folder is known (%w); name a folder with --lab", err)}
	}
	return filepath.Join(cache, "holdfast", "fernhollow"), nil
}

// prepare makes the demonstration in a folder beside and moves it into place when it is whole, so that an interrupted
// start leaves nothing half filled.
func (c *demoCommand) prepare(env *environment, dir string) error {
	_, err := os.Stat(filepath.Join(dir, demoMark))
	marked := err == nil
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("can not look into %s: %w", dir, err)
	}
	switch {
	case len(entries) > 0 && !marked:
		return fmt.Errorf("%s is not empty and holds no demonstration; name another folder with --lab", dir)
	case marked && !c.Fresh:
		return nil
	}
	filling := dir + ".filling"
	if err := os.RemoveAll(filling); err != nil {
		return err
	}
	fmt.Fprintln(env.stdout, "Making the demonstration …")
	store, err := openLab(filling)
	if err != nil {
		return err
	}
	if err := errors.Join(fernhollow.Fill(env.ctx, store), store.Close()); err != nil {
		return fmt.Errorf("making the demonstration: %w", err)
	}
	if err := os.WriteFile(filepath.Join(filling, demoMark), []byte("Everything in this lab is invented. holdfast demo --fresh throws it away.\n"), 0o644); err != nil {
		return err
	}
	if err := os.RemoveAll(dir); err != nil {
		return err
	}
	return os.Rename(filling, dir)
}

// listenFrom opens the address, or the next free port of the 50 above it, and says which when it is another.
func listenFrom(env *environment, address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	first, convErr := strconv.Atoi(port)
	if err != nil || convErr != nil {
		return listenAt("--listen", address)
	}
	for p := first; p <= first+50 && p <= 65535; p++ {
		listener, err := listenAt("--listen", net.JoinHostPort(host, strconv.Itoa(p)))
		if err == nil {
			if p != first {
				fmt.Fprintf(env.stdout, "Port %d is taken; using %d instead.\n", first, p)
			}
			return listener, nil
		}
		var taken portTaken
		if !errors.As(err, &taken) {
			return nil, err
		}
	}
	return nil, fmt.Errorf("ports %d to %d are all taken; name a free one with --listen", first, first+50)
}
