package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"holdfast/replay"
)

const peerScene = "../../examples/scenes/peer.yaml"

// simulated runs the command and returns its exit code with what it printed.
func simulated(ctx context.Context, args ...string) (code int, stdout, stderr string) {
	var out, told bytes.Buffer
	m := &Main{environment: environment{ctx: ctx, stdin: strings.NewReader(""), stdout: &out, stderr: &told}}
	code = m.exitCode(append([]string{"simulate"}, args...))
	return code, out.String(), told.String()
}

func TestSimulateWritesTrialsThatAMapReads(t *testing.T) {
	dir := t.TempDir()
	one, two := filepath.Join(dir, "one.csv"), filepath.Join(dir, "two.csv")
	films := filepath.Join(dir, "replays")
	code, out, told := simulated(t.Context(), "--scene", peerScene, "--trials", "24", "--seed", "3", "--workers", "1", "--step-ms", "2", "--out", one)
	if code != 0 || !strings.Contains(out, "24 trials") || !strings.Contains(out, "held") {
		t.Fatalf("%d: %s%s", code, out, told)
	}
	if code, _, told := simulated(t.Context(), "--scene", peerScene, "--trials", "24", "--seed", "3", "--workers", "3", "--step-ms", "2", "--out", two, "--replay", films, "--replay-every", "10"); code != 0 {
		t.Fatal(told)
	}
	a, b := fileText(t, one), fileText(t, two)
	if a != b {
		t.Error("one worker and three write different files")
	}
	kept, err := filepath.Glob(filepath.Join(films, "*"))
	if err != nil || len(kept) != 3 {
		t.Fatalf("replays %v, %v", kept, err)
	}
	f, err := os.Open(kept[0])
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if _, err := replay.Read(f); err != nil {
		t.Error(err)
	}
	var picture bytes.Buffer
	m := &Main{environment: environment{ctx: t.Context(), stdout: &picture, stderr: &picture}}
	if code := m.exitCode([]string{"map", "--trials", one}); code != 0 || !strings.Contains(picture.String(), "24") {
		t.Errorf("map: %d %s", code, picture.String())
	}
}

func fileText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A trial that the planner refuses is void and has no replay; the others keep theirs.
func TestSimulateKeepsNoReplayOfVoidTrials(t *testing.T) {
	dir := t.TempDir()
	films, out := filepath.Join(dir, "replays"), filepath.Join(dir, "trials.csv")
	code, _, told := simulated(t.Context(), "--scene", "../../examples/scenes/roll-at-wall.yaml", "--trials", "6", "--tilt-max", "60", "--seed", "3", "--workers", "1", "--step-ms", "2", "--out", out, "--replay", films)
	if code != 0 {
		t.Fatal(told)
	}
	void := strings.Count(fileText(t, out), ",void,")
	kept, err := filepath.Glob(filepath.Join(films, "*"))
	if err != nil || void == 0 || void+len(kept) != 6 {
		t.Errorf("%d void trials and %d replays of 6: %v", void, len(kept), err)
	}
}

func TestSimulateRefuses(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "t.csv")
	foreign := filepath.Join(dir, "foreign.csv")
	if err := os.WriteFile(foreign, []byte("qw,qx\n1,0\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if code, _, told := simulated(t.Context(), "--scene", peerScene, "--trials", "3", "--step-ms", "4", "--out", out); code != 0 {
		t.Fatal(told)
	}
	before := fileText(t, out)
	for want, args := range map[string][]string{
		"--trials is 0":               {"--scene", peerScene, "--out", out},
		"--workers is 2000":           {"--scene", peerScene, "--trials", "3", "--workers", "2000", "--out", out},
		"--step-ms is 9":              {"--scene", peerScene, "--trials", "3", "--step-ms", "9", "--out", out},
		"another run":                 {"--scene", peerScene, "--trials", "3", "--step-ms", "4", "--seed", "2", "--out", out},
		"holds more than 2 trials":    {"--scene", peerScene, "--trials", "2", "--step-ms", "4", "--out", out},
		"holds no simulated trials":   {"--scene", peerScene, "--trials", "3", "--out", foreign},
		"nothing.yaml":                {"--scene", filepath.Join(dir, "nothing.yaml"), "--trials", "3", "--out", out},
		"--closing is 2":              {"--scene", peerScene, "--trials", "3", "--closing", "2", "--out", out},
		"--tilt-max is 200":           {"--scene", peerScene, "--trials", "3", "--tilt-max", "200", "--out", out},
		"--replay-every is 0":         {"--scene", peerScene, "--trials", "3", "--replay-every", "0", "--out", out},
		"foreign.csv":                 {"--scene", foreign, "--trials", "3", "--out", out},
		"do not tell the orientation": {"--scene", peerScene, "--orientations", kindless(t, dir), "--out", out},
	} {
		code, _, told := simulated(t.Context(), args...)
		if code != 2 || !strings.Contains(told, want) {
			t.Errorf("%v: %d %q does not say %q", args, code, told, want)
		}
	}
	if fileText(t, out) != before {
		t.Error("a refused run changed the file")
	}
}

func TestSchemasArePrinted(t *testing.T) {
	for _, name := range []string{"scene", "hand", "item", "setting", "strategy"} {
		if code, out, _ := program(t, "schema", name); code != 0 || !strings.Contains(out, "json-schema.org/draft/2020-12") {
			t.Errorf("%s: %d %.60s", name, code, out)
		}
	}
	if code, _, told := program(t, "schema", "colour"); code != 2 || !strings.Contains(told, "there are scene") {
		t.Errorf("%d %s", code, told)
	}
}

func kindless(t *testing.T, dir string) string {
	t.Helper()
	name := filepath.Join(dir, "kindless.csv")
	if err := os.WriteFile(name, []byte("colour\nred\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// A run that is stopped keeps what is done, and the same command goes on to the same bytes.
func TestSimulateGoesOnAfterAStop(t *testing.T) {
	dir := t.TempDir()
	whole, parted := filepath.Join(dir, "whole.csv"), filepath.Join(dir, "parted.csv")
	args := []string{"--scene", peerScene, "--trials", "200", "--seed", "5", "--workers", "2", "--step-ms", "4", "--out"}
	if code, _, told := simulated(t.Context(), append(args, whole)...); code != 0 {
		t.Fatal(told)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	go func() {
		// As soon as anything is kept.
		for {
			if info, err := os.Stat(parted); err == nil && info.Size() > 4000 || ctx.Err() != nil {
				cancel()
				return
			}
			time.Sleep(time.Millisecond)
		}
	}()
	code, _, told := simulated(ctx, append(args, parted)...)
	if code != 1 || !strings.Contains(told, "goes on from there") {
		t.Errorf("stopped: %d %q", code, told)
	}
	if text := fileText(t, parted); !strings.HasPrefix(fileText(t, whole), text) {
		t.Error("what was kept is not the beginning of the whole")
	}
	// And a row that was cut short by a kill is written again.
	f, err := os.OpenFile(parted, os.O_APPEND|os.O_WRONLY, 0)
	if err == nil {
		_, err = f.WriteString("sim-123,half a r")
	}
	if err := errors.Join(err, f.Close()); err != nil {
		t.Fatal(err)
	}
	if code, _, told := simulated(t.Context(), append(args, parted)...); code != 0 {
		t.Fatal(told)
	}
	if fileText(t, parted) != fileText(t, whole) {
		t.Error("the resumed file differs from the whole one")
	}
}

// killSimulate names the file that this test program simulates into, when another copy of it asks for that.
const killSimulate = "HOLDFAST_TEST_SIMULATE"

func killedArguments(out string, trials int) []string {
	return []string{"simulate", "--scene", peerScene, "--trials", fmt.Sprint(trials), "--seed", "8", "--workers", "2", "--step-ms", "4", "--out", out}
}

// TestSimulatedForKilling is no test of its own: it is the run that TestKilledSimulationGoesOn kills.
func TestSimulatedForKilling(t *testing.T) {
	out := os.Getenv(killSimulate)
	if out == "" {
		t.Skip("simulates only for TestKilledSimulationGoesOn")
	}
	var trials int
	if _, err := fmt.Sscan(os.Getenv(killSimulate+"_TRIALS"), &trials); err != nil {
		t.Fatal(err)
	}
	m := &Main{environment: environment{ctx: context.Background(), stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr}}
	os.Exit(m.exitCode(killedArguments(out, trials)))
}

// A run killed with SIGKILL again and again goes on each time; in the end no trial is lost or doubled. The soak asks for
// 10,000 trials.
func TestKilledSimulationGoesOn(t *testing.T) {
	trials, kills := 120, 3
	if n := os.Getenv("HOLDFAST_SOAK_TRIALS"); n != "" {
		if _, err := fmt.Sscan(n, &trials); err != nil {
			t.Fatal(err)
		}
		kills = 25
	}
	dir := t.TempDir()
	out := filepath.Join(dir, "killed.csv")
	random := rand.New(rand.NewPCG(20261125, 4))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for range kills {
		c := exec.Command(self, "-test.run", "^TestSimulatedForKilling$")
		c.Env = append(os.Environ(), killSimulate+"="+out, fmt.Sprintf("%s_TRIALS=%d", killSimulate, trials))
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(300+random.IntN(1000)) * time.Millisecond)
		_ = c.Process.Kill()
		_ = c.Wait()
	}
	var told bytes.Buffer
	m := &Main{environment: environment{ctx: t.Context(), stdout: &told, stderr: &told}}
	if code := m.exitCode(killedArguments(out, trials)); code != 0 {
		t.Fatal(told.String())
	}
	lines := strings.Split(strings.TrimSuffix(fileText(t, out), "\n"), "\n")[1:]
	if len(lines) != trials {
		t.Fatalf("%d trials, want %d", len(lines), trials)
	}
	for i, line := range lines {
		key, _, _ := strings.Cut(line, ",")
		if !strings.HasSuffix(key, fmt.Sprintf("-%d", i+1)) {
			t.Fatalf("row %d holds %s", i+2, key)
		}
	}
}
