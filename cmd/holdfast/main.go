// Command holdfast plans trials of compliant hands, runs them, maps their success and hands over pick cards.
//
// Exit codes: 0 all went well, 1 something went wrong, 2 the command line or what it names can not be understood.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"

	"holdfast/domain"
)

// commands is the command line: a field for each command. Each command lies in a file of its own.
type commands struct {
	Serve     serveCommand     `cmd:"" help:"Open a lab and serve its page and interface on this machine."`
	Demo      demoCommand      `cmd:"" help:"Serve Fernhollow Bakery, an invented lab to try everything in."`
	Import    importCommand    `cmd:"" help:"Record the rows of a CSV or Parquet file as trials of a study, all or none."`
	Simulate  simulateCommand  `cmd:"" help:"Try a scene in simulation: thousands of trials with the columns of an import."`
	Calibrate calibrateCommand `cmd:"" help:"Fit a scene to bench trials: friction, stiffness, position error, and where simulation and bench disagree."`
	Rehearse  rehearseCommand  `cmd:"" help:"Carry out a study's open runs in simulation, over the interface that a robot uses."`
	Map       mapCommand       `cmd:"" help:"Fit a success map to a file of trials, without a lab."`
	Fit       fitCommand       `cmd:"" help:"Say how everything that was varied in a file of trials moves success, and what matters."`
	Compare   compareCommand   `cmd:"" help:"Say which of two files of trials, or of the groups in one, holds more often."`
	Agree     agreeCommand     `cmd:"" help:"Say how far people who judged the same trials agree, and which to look at again."`
	Value     valueCommand     `cmd:"" help:"What picking an item earns: retries, picks and net value an hour, break-even."`
	Handset   handsetCommand   `cmd:"" help:"Choose the few hands that serve a catalogue of items best."`
	Next      nextCommand      `cmd:"" help:"Say which trials to make next, and what choosing now would lose."`
	Accept    acceptCommand    `cmd:"" help:"Fix a proof run beforehand, and judge its trials."`
	Tolerance toleranceCommand `cmd:"" help:"Say how large errors of placement and orientation a pick stands."`
	Handtest  handtestGroup    `cmd:"" help:"Turn bench records of a hand into its numbers, and bring its description to them."`
	Handsheet handsheetCommand `cmd:"" help:"The hand tests of several hands side by side."`
	Touch     touchCommand     `cmd:"" help:"Where and when a finger was touched, and what to do about it: learn it, tell it."`
	Backup    backupCommand    `cmd:"" help:"Copy a lab into one file, also while a server has it open."`
	Restore   restoreCommand   `cmd:"" help:"Make a lab out of a backup file."`
	Check     checkCommand     `cmd:"" help:"Verify a lab: database, references, histories, recordings and cards."`
	Schema    schemaCommand    `cmd:"" help:"Print the JSON Schema of hand, item, setting, strategy or scene files."`
	OpenAPI   openapiCommand   `cmd:"" name:"openapi" help:"Print the contract of the HTTP interface (OpenAPI 3.1)."`
	Version   versionCommand   `cmd:"" help:"Print the program's version."`
}

// environment is what a command gets from outside, so that tests can run the real program inside themselves.
type environment struct {
	ctx            context.Context // ends when the program is asked to stop
	stdin          io.Reader
	stdout, stderr io.Writer
	ready          func(address string) // called when a server answers; may be nil
}

// Main is the program: parse the command line, then run it.
type Main struct {
	environment
	parsed *kong.Context
}

// usageError is a command line that can not be understood.
type usageError struct{ err error }

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }

// inputError is input that can not be used: a file, a row or a figure.
type inputError struct{ err error }

func (e inputError) Error() string { return e.err.Error() }
func (e inputError) Unwrap() error { return e.err }

// badInput marks an error as the fault of what was given, unless it is ours or the machine's.
func badInput(err error) error {
	var told *domain.Error
	if err == nil || errors.As(err, &told) && told.Kind == domain.KindInternal || errors.Is(err, context.Canceled) {
		return err
	}
	return inputError{err}
}

// errHelpShown ends a run that only showed help.
var errHelpShown = errors.New("help was shown")

// Parse reads the command line, without the program's name.
func (m *Main) Parse(args []string) (err error) {
	var c commands
	parser, err := kong.New(&c,
		kong.Name("holdfast"),
		kong.Description("A workbench for bringing compliant hands to delicate goods: plan, run, map, choose, hand over."),
		kong.Writers(m.stdout, m.stderr),
		kong.Exit(func(int) { panic(errHelpShown) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 100}),
	)
	if err != nil {
		return err
	}
	// kong ends the program after it printed help; here that is a way of returning.
	defer func() {
		if r := recover(); r == errHelpShown {
			err = errHelpShown
		} else if r != nil {
			panic(r)
		}
	}()
	if len(args) == 0 {
		args = []string{"--help"}
	}
	if m.parsed, err = parser.Parse(args); err != nil {
		return usageError{err}
	}
	return nil
}

// Run carries out the parsed command.
func (m *Main) Run() error { return m.parsed.Run(&m.environment) }

// exitCode runs the program and gives its exit code; what went wrong is printed.
func (m *Main) exitCode(args []string) int {
	err := m.Parse(args)
	if err == nil {
		err = m.Run()
	}
	var usage usageError
	var input inputError
	switch {
	case err == nil, errors.Is(err, errHelpShown):
		return 0
	case errors.As(err, &usage):
		fmt.Fprintf(m.stderr, "holdfast: %v\nTry: holdfast --help\n", err)
		return 2
	case errors.As(err, &input):
		fmt.Fprintf(m.stderr, "holdfast: %v\n", err)
		return 2
	default:
		fmt.Fprintf(m.stderr, "holdfast: %v\n", err)
		return 1
	}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	m := &Main{environment: environment{ctx: ctx, stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr}}
	code := m.exitCode(os.Args[1:])
	stop()
	os.Exit(code)
}
