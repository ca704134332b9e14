package main

import (
	"context"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"holdfast/api"
	"holdfast/bus/embedded"
	"holdfast/domain"
	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
	"holdfast/store/sqlite"
	"holdfast/web"
	"holdfast/workflow"
)

type serveCommand struct {
	Lab    string `required:"" placeholder:"DIR" help:"Folder of the lab; made when it does not exist."`
	Listen string `default:"127.0.0.1:8420" placeholder:"ADDR" help:"Address to answer at; it must be this machine's own (loopback). Port 0 takes a free one."`
	Scenes string `placeholder:"DIR" help:"Folder with hands/ID.yaml, items/ID.yaml, settings/ID.yaml and strategies/KIND.yaml, named as in the lab, to fit simulations to its trials; see docs/scenes.md."`
	Hands  string `placeholder:"DIR" help:"Folder of hand descriptions (*.yaml, see docs/scenes.md) to show how they close; a file's name is the hand's ID. By default those of --scenes."`
}

// Run serves the lab until the program is asked to stop.
func (c *serveCommand) Run(env *environment) error {
	var inScenes func(domain.Condition) (*trialsim.Scene, error)
	if c.Scenes != "" {
		if _, err := os.Stat(c.Scenes); err != nil {
			return inputError{fileError(c.Scenes, err)}
		}
		files := os.DirFS(c.Scenes)
		inScenes = func(want domain.Condition) (*trialsim.Scene, error) { return scenes.ReadCondition(files, nil, want) }
		if hands := filepath.Join(c.Scenes, "hands"); c.Hands == "" {
			c.Hands = hands
		}
	}
	hands, err := describedHands(c.Hands)
	if err != nil {
		return inputError{err}
	}
	listener, err := listenAt("--listen", c.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	store, err := openLab(c.Lab)
	if err != nil {
		return err
	}
	defer store.Close()
	return serve(env, listener, store, labName(c.Lab), inScenes, hands...)
}

// systemClock tells the wall clock's time in UTC.
type systemClock struct{}

func (systemClock) Now() time.Time { return time.Now().UTC() }

// drawSeed draws a seed that nobody can foresee; it is stored with what it made.
func drawSeed() uint64 {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the program instead
	return binary.LittleEndian.Uint64(b[:])
}

// openLab opens the lab in the folder, making it when it does not exist.
func openLab(dir string) (*sqlite.Lab, error) {
	return sqlite.Open(dir, sqlite.Options{Clock: systemClock{}})
}

// labName is what a lab is called: the name of its folder.
func labName(dir string) string {
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return filepath.Base(dir)
}

// newWorkflow wires the use cases for one process.
func newWorkflow(store domain.Store, name string) *workflow.Lab {
	return workflow.New(workflow.Options{
		Store: store, Bus: embedded.New(), Clock: systemClock{}, Seed: drawSeed, Name: name, Version: programVersion(),
	})
}

// portTaken says that another program answers at the port.
type portTaken struct{ port, flag string }

func (e portTaken) Error() string {
	return fmt.Sprintf("port %s is taken by another program; stop that one, or take a free port with %s 127.0.0.1:0", e.port, e.flag)
}

// listenAt opens the loopback address that a flag names.
func listenAt(flag, address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, usageError{fmt.Errorf("%s %s is no address; write host and port, such as 127.0.0.1:8420", flag, address)}
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, usageError{fmt.Errorf("%s %s is refused: Holdfast has no sign-in yet, so everybody who reaches it may change the lab; it answers on this machine only, such as at 127.0.0.1:8420", flag, address)}
	}
	listener, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, portTaken{port, flag}
	}
	if err != nil {
		return nil, fmt.Errorf("can not answer at %s: %w", address, err)
	}
	return listener, nil
}

// serve answers at the listener until the program is asked to stop, then lets requests under way finish.
// Hands that the files of the program describe can be looked at beside those given.
func serve(env *environment, listener net.Listener, store *sqlite.Lab, name string, inScenes func(domain.Condition) (*trialsim.Scene, error), hands ...api.DescribedHand) error {
	log := slog.New(slog.NewTextHandler(env.stderr, nil))
	hands, err := withShipped(hands)
	if err != nil {
		return err
	}
	handler, err := api.New(api.Options{Lab: newWorkflow(store, name), Page: web.Handler(), Log: log, Hands: hands, Scenes: inScenes})
	if err != nil {
		return err
	}
	defer handler.Close()
	server := &http.Server{
		Handler:           handler,
		ReadHeaderTimeout: 10 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
	}
	server.RegisterOnShutdown(handler.Close)

	address := "http://" + listener.Addr().String()
	if err := store.Announce(address); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "Holdfast %s serves the lab %s at %s\n", programVersion(), name, address)
	fmt.Fprintln(env.stdout, "Stop it with Ctrl+C. Moving robots, pinching hands and compressed air can injure: your risk assessment decides.")
	if env.ready != nil {
		env.ready(address)
	}

	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		return fmt.Errorf("serving stopped: %w", err)
	case <-env.ctx.Done():
	}
	ctx, cancel := context.WithTimeout(context.WithoutCancel(env.ctx), 15*time.Second)
	defer cancel()
	if err := server.Shutdown(ctx); err != nil {
		return fmt.Errorf("some requests did not finish in time: %w", err)
	}
	return nil
}
