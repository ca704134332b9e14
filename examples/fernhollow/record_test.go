package fernhollow

import (
	"bytes"
	"context"
	"flag"
	"os"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

var update = flag.Bool("update", false, "simulate the record again")

// The record holds just the trials that the demonstration asks for; with -update all are simulated anew.
func TestRecordIsWhatFillAsksFor(t *testing.T) {
	r, err := readRecord(recordFile)
	if *update {
		r, err = &record{}, nil
	}
	if err != nil {
		t.Fatal(err)
	}
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{Clock: &bench{}})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	if err := fill(context.Background(), store, r); err != nil {
		t.Fatal(err)
	}
	for i := range r.asked {
		if e := &r.asked[i]; e.outcome == domain.OutcomeVoid {
			t.Errorf("%s asks in trial %d for what can not be tried: %s", e.source, e.number, e.reason)
		}
	}
	var text bytes.Buffer
	if err := writeRecord(&text, r.asked); err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(recordName, text.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if !bytes.Equal(text.Bytes(), recordFile) {
		t.Errorf("the record is not what is asked for now; run: go test ./examples/fernhollow -run Record -update")
	}
}

// Every seventh trial of the record, simulated again, ends as the record says.
func TestRecordIsWhatTheSimulatorSays(t *testing.T) {
	r, err := readRecord(recordFile)
	if err != nil {
		t.Fatal(err)
	}
	tried, other := 0, 0
	for _, e := range r.known {
		if e.number%7 != 0 {
			continue
		}
		s, err := r.simulator.try(&e.attempt)
		if err != nil {
			t.Fatal(err)
		}
		tried++
		if s.outcome != e.outcome || s.reason != e.reason {
			other++
			t.Errorf("%s, trial %d: %s, %s; the record has %s, %s", e.source, e.number, s.outcome, s.reason, e.outcome, e.reason)
		}
	}
	if tried < 80 {
		t.Errorf("%d trials are too small a sample", tried)
	}
	if other > 0 {
		t.Error("the simulation changed; run: go test ./examples/fernhollow -run Record -update, and walk through the README again")
	}
}

func TestFaultsOfARecordAreTold(t *testing.T) {
	head := strings.Join(recordColumns, ",") + "\n"
	good := "s,1,trefoil,roll,open-table,free,1,0,0,0,0.8,0,0,held,2,10,3,kept\n"
	if r, err := readRecord([]byte(head + good)); err != nil || len(r.known) != 1 {
		t.Fatalf("%v, %v", r, err)
	}
	for words, text := range map[string]string{
		"EOF":                     "",
		"line 1: the columns are": "a" + head,
		"line 2":                  head + "s,1\n",
		"line 3: trial 1 of s":    head + good + good,
		`closing is "8"`:          head + strings.Replace(good, "0.8", "8", 1),
		`qw is "one"`:             head + strings.Replace(good, "free,1", "free,one", 1),
		`outcome is "won"`:        head + strings.Replace(good, "held", "won", 1),
		`peak_force_N is "NaN"`:   head + strings.Replace(good, "held,2", "held,NaN", 1),
	} {
		if _, err := readRecord([]byte(text)); err == nil || !strings.Contains(err.Error(), words) || !strings.Contains(err.Error(), recordName) {
			t.Errorf("%q does not say %q", err, words)
		}
	}
}

// What was asked for otherwise than the record has it is simulated, not taken from it.
func TestWhatTheRecordDoesNotHoldIsSimulated(t *testing.T) {
	r, err := readRecord(recordFile)
	if err != nil {
		t.Fatal(err)
	}
	e := *r.known[name{FinishedStudy, 1}]
	e.shown = shown{outcome: domain.OutcomeStopped}
	r.known[name{FinishedStudy, 1}] = &e
	if s, err := r.try(&e.attempt); err != nil || s != e.shown {
		t.Errorf("%+v, %v", s, err)
	}
	a := e.attempt
	a.closing = 0.7
	if s, err := r.try(&a); err != nil || s.outcome == domain.OutcomeStopped || s.duration == 0 {
		t.Errorf("%+v, %v", s, err)
	}
}

func TestLateCracksGrowWithPressure(t *testing.T) {
	for _, c := range []struct {
		pressure, limit, u float64
		want               bool
	}{{20e3, 35e3, 0, false}, {35e3, 35e3, 0.49, true}, {35e3, 35e3, 0.51, false}, {28e3, 35e3, 0.24, true}, {28e3, 35e3, 0.26, false}, {50e3, 0, 0, false}} {
		if got := lateCrack(c.pressure, c.limit, c.u); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}
