package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// program runs the real program inside the test and returns its exit code and what it printed.
func program(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, err bytes.Buffer
	m := &Main{environment: environment{ctx: t.Context(), stdin: strings.NewReader(""), stdout: &out, stderr: &err}}
	code = m.exitCode(args)
	return code, out.String(), err.String()
}

// serving starts the real server over a lab and returns its address, and a function that stops it and waits for its
// end.
func serving(t testing.TB, lab string) (address string, stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ready, ended := make(chan string, 1), make(chan int, 1)
	var stderr bytes.Buffer
	go func() {
		m := &Main{environment: environment{ctx: ctx, stdout: io.Discard, stderr: &stderr, ready: func(a string) { ready <- a }}}
		ended <- m.exitCode([]string{"serve", "--lab", lab, "--listen", "127.0.0.1:0"})
	}()
	stopped := false
	stop = func() {
		if stopped {
			return
		}
		stopped = true
		cancel()
		select {
		case code := <-ended:
			if code != 0 {
				t.Errorf("the server ended with %d: %s", code, stderr.String())
			}
		case <-time.After(30 * time.Second):
			t.Error("the server does not stop")
		}
	}
	t.Cleanup(stop)
	select {
	case address = <-ready:
	case code := <-ended:
		stopped = true
		cancel()
		t.Fatalf("the server ended with %d: %s", code, stderr.String())
	case <-time.After(30 * time.Second):
		t.Fatal("the server does not start")
	}
	return address, stop
}

// send sends JSON and returns the answer, which must have the status.
func send(t testing.TB, method, url, body string, status int) string {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, url, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	if res.StatusCode != status {
		t.Fatalf("%s %s: status %d, want %d: %s", method, url, res.StatusCode, status, raw)
	}
	return string(raw)
}

// stock puts a hand, an item, a setting and a small planned study into the lab behind the address.
func stock(t testing.TB, address string) {
	t.Helper()
	api := address + "/api/v1"
	send(t, "POST", api+"/hands", `{"name":"Pair","actuation":"motor","fingers":2,"roll_fold":2,"mirror":true,"finger_length_mm":70,"palm_diameter_mm":60,"opening_max_mm":110,"command_unit":"mm","command_full":20,"force_max_N":12,"food_contact":true}`, 201)
	send(t, "POST", api+"/items", `{"name":"Roll","shape":"ellipsoid","size_x_mm":90,"size_y_mm":70,"size_z_mm":45,"size_spread":0.05,"mass_g":55,"mass_spread":0.05,"friction":0.6,"stiffness_N_per_mm":0.4,"damage_force_N":9,"late_damage_h":0,"turning":{"axial":false,"fold":2,"mirror":true},"food":true}`, 201)
	send(t, "POST", api+"/settings", `{"name":"Table","support":"table","wall":false,"wall_gap_mm":0,"edge":false,"edge_gap_mm":0,"friction":0.4,"turning":{"axial":true,"fold":1,"mirror":true}}`, 201)
	send(t, "POST", api+"/studies", `{"name":"Small","question":"?","hands":["pair"],"items":["roll"],"settings":["table"],"strategies":[{"kind":"free"}],
		"orientations":{"kind":"rings","tilts_deg":[0,30],"azimuths":[4],"rolls_deg":[0]},"closing_levels":[0.8],"offset":{"kind":"disc","radius_mm":5},
		"replicates":2,"block_size":6,"reference":{"orientation":{"qw":1,"qx":0,"qy":0,"qz":0},"strategy":"free","closing":0.8},"references":1,"seed":"5",
		"trial_s":20,"change_s":60,"line_error":{"angle_deg":5,"position_mm":2},"target":0.8}`, 201)
	send(t, "POST", api+"/studies/small/plan", "", 200)
}

func TestCommandLine(t *testing.T) {
	for _, c := range []struct {
		name           string
		args           []string
		code           int
		stdout, stderr string // must be part of it
	}{
		{"no command shows help", nil, 0, "Usage: holdfast", ""},
		{"help", []string{"--help"}, 0, "serve", ""},
		{"help of a command", []string{"map", "--help"}, 0, "--blur-deg", ""},
		{"version", []string{"version"}, 0, "holdfast " + programVersion(), ""},
		{"contract", []string{"openapi"}, 0, `"openapi": "3.1.0"`, ""},
		{"unknown command", []string{"grasp"}, 2, "", "Try: holdfast --help"},
		{"unknown flag", []string{"serve", "--lab", "x", "--public"}, 2, "", "--public"},
		{"serve without a lab", []string{"serve"}, 2, "", "--lab"},
		{"not loopback", []string{"serve", "--lab", "x", "--listen", "0.0.0.0:0"}, 2, "", "no sign-in yet"},
		{"no address", []string{"serve", "--lab", "x", "--listen", "8420"}, 2, "", "host and port"},
		{"import without a lab", []string{"import", "--lab", t.TempDir(), "--study", "s", os.DevNull}, 1, "", "is no file"},
		{"map of nothing", []string{"map", "--trials", "nowhere.csv"}, 1, "", "nowhere.csv"},
		{"map with a bad degree", []string{"map", "--trials", "x", "--degree", "lots"}, 2, "", "--degree lots"},
		{"map with a bad symmetry", []string{"map", "--trials", "x", "--item-symmetry", "round"}, 2, "", "--item-symmetry"},
		{"map with a bad blur", []string{"map", "--trials", "x", "--blur-deg", "400"}, 2, "", "--blur-deg 400"},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, stdout, stderr := program(t, c.args...)
			if code != c.code || !strings.Contains(stdout, c.stdout) || !strings.Contains(stderr, c.stderr) {
				t.Errorf("exit %d (want %d)\nstdout: %.300s\nstderr: %.300s", code, c.code, stdout, stderr)
			}
		})
	}
}

func TestServeAnswersAndStops(t *testing.T) {
	lab := t.TempDir()
	address, stop := serving(t, lab)
	if got := send(t, "GET", address+"/api/v1/lab", "", 200); !strings.Contains(got, `"add-hand"`) {
		t.Errorf("an empty lab does not say to add a hand: %s", got)
	}
	if got := send(t, "GET", address+"/studies/any", "", 200); !strings.Contains(got, "<title>") {
		t.Errorf("an address of the page does not give the page: %.200s", got)
	}
	send(t, "GET", address+"/assets/gone.js", "", 404)

	// An open page's event stream must not hold the server up when it stops.
	req, err := http.NewRequest("GET", address+"/api/v1/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	hello := make([]byte, 64)
	if n, err := res.Body.Read(hello); err != nil || !strings.Contains(string(hello[:n]), "event: hello") {
		t.Errorf("the stream begins with %q (%v)", hello[:n], err)
	}

	port := address[strings.LastIndex(address, ":")+1:]
	if code, _, stderr := program(t, "serve", "--lab", t.TempDir(), "--listen", "127.0.0.1:"+port); code != 1 || !strings.Contains(stderr, "port "+port+" is taken") {
		t.Errorf("a taken port: exit %d, %s", code, stderr)
	}
	if code, _, stderr := program(t, "serve", "--lab", lab, "--listen", "127.0.0.1:0"); code != 1 || !strings.Contains(stderr, "holdfast:") {
		t.Errorf("a lab that is open already: exit %d, %s", code, stderr)
	}
	began := time.Now()
	stop()
	if took := time.Since(began); took > 10*time.Second {
		t.Errorf("stopping took %v", took)
	}
	if code, stdout, stderr := program(t, "check", "--lab", lab); code != 0 {
		t.Errorf("check after serving: exit %d, %s%s", code, stdout, stderr)
	}
}

// A lab takes a file the same way whether a server has it open or not.
func TestImportIsAllOrNothing(t *testing.T) {
	t.Run("closed", func(t *testing.T) { importIsAllOrNothing(t, false) })
	t.Run("served", func(t *testing.T) { importIsAllOrNothing(t, true) })
}

func importIsAllOrNothing(t *testing.T, served bool) {
	lab, files := t.TempDir(), t.TempDir()
	address, stop := serving(t, lab)
	stock(t, address)
	if served {
		defer stop()
	} else {
		stop()
	}
	write := func(name, text string) string {
		path := filepath.Join(files, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good := "tilt_deg,azimuth_deg,roll_deg,outcome\n0,0,0,held\n30,90,0,missed\n30,180,0,held\n"
	bad := "tilt_deg,azimuth_deg,roll_deg,outcome\n0,0,0,held\n300,90,0,held\n30,180,0,kept\n"
	for _, c := range []struct {
		name           string
		args           []string
		code           int
		stdout, stderr string
	}{
		{"faults", []string{"--study", "small", write("bad.csv", bad)}, 1, "", `row 2 (line 3), column tilt_deg: "300"`},
		{"no such study", []string{"--study", "large", write("good.csv", good)}, 1, "", "this lab has small"},
		{"dry", []string{"--study", "small", "--dry-run", write("good.csv", good)}, 0, "Would store 3 trials", ""},
		{"stored, so nothing was before", []string{"--study", "Small", write("good.csv", good)}, 0, "Stored 3 trials from 3 rows", ""},
		{"again", []string{"--study", "small", write("good.csv", good)}, 0, "Stored 0 trials from 3 rows of good.csv in study small; 3 were known already", ""},
		{"as JSON", []string{"--study", "small", "--json", write("good.csv", good)}, 0, `"repeated":3`, ""},
	} {
		code, stdout, stderr := program(t, append([]string{"import", "--lab", lab}, c.args...)...)
		if code != c.code || !strings.Contains(stdout, c.stdout) || !strings.Contains(stderr, c.stderr) {
			t.Errorf("%s: exit %d (want %d)\nstdout: %.300s\nstderr: %.300s", c.name, code, c.code, stdout, stderr)
		}
	}
	code, _, stderr := program(t, "import", "--lab", lab, "--study", "small", "--columns", write("map.yaml", "columns:\n  outcome: held\n"), write("held.csv", strings.Replace(good, "outcome", "held", 1)))
	if served != (code == 1 && strings.Contains(stderr, "served at "+address)) {
		t.Errorf("with a column map: exit %d, %s", code, stderr)
	}
}

func TestMapOfAFile(t *testing.T) {
	dir := t.TempDir()
	var b strings.Builder
	b.WriteString("item,tilt_deg,azimuth_deg,roll_deg,held,trials\n")
	for a := 0; a < 360; a += 30 {
		for r := 0; r < 180; r += 45 {
			held := 4
			if a < 180 {
				held = 18
			}
			for _, item := range []string{"roll", "bun"} {
				fmt.Fprintf(&b, "%s,40,%d,%d,%d,10\n", item, a, r, held/2)
			}
		}
	}
	trials, grid := filepath.Join(dir, "trials.csv"), filepath.Join(dir, "grid.csv")
	if err := os.WriteFile(trials, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(grid, []byte("tilt_deg,azimuth_deg,roll_deg\n40,90,0\n40,270,0\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(dir, "out.csv")
	code, stdout, stderr := program(t, "map", "--trials", trials, "--at", grid, "--out", out, "--hand-symmetry", "2", "--blur-deg", "10", "--json")
	if code != 0 {
		t.Fatalf("exit %d: %s", code, stderr)
	}
	var sum mapSummary
	if err := json.Unmarshal([]byte(stdout), &sum); err != nil || sum.Trials != 960 || sum.Rows != 2 || sum.LogLoss == nil || *sum.LogLoss >= *sum.BaseLogLoss {
		t.Errorf("summary %+v (%v)", sum, err)
	}
	// The same counts of both items everywhere are far more even than chance would have it.
	if !strings.Contains(sum.Dispersion, "more even") {
		t.Errorf("dispersion: %q", sum.Dispersion)
	}
	raw, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(raw)), "\n")
	if len(lines) != 3 || !strings.HasSuffix(lines[0], "p,p_low,p_high,p_blurred") {
		t.Fatalf("output:\n%s", raw)
	}
	p := make([]float64, 2)
	for i, line := range lines[1:] {
		f := strings.Split(line, ",")
		if _, err := fmt.Sscan(f[len(f)-4], &p[i]); err != nil {
			t.Fatal(err)
		}
	}
	if !(p[0] > 0.8 && p[1] < 0.3) {
		t.Errorf("p %v, want about 0.9 and 0.2", p)
	}
}

// The real data lie beside the tree, not in it.
func TestMapSparesItsInputs(t *testing.T) {
	dir := t.TempDir()
	trials := filepath.Join(dir, "trials.csv")
	const text = "tilt_deg,azimuth_deg,roll_deg,outcome\n10,0,0,held\n20,0,0,dropped\n"
	if err := os.WriteFile(trials, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		args []string
		code int
		want string
	}{
		{"over the trials", []string{"--trials", trials, "--out", trials}, 2, "is the file that --trials reads"},
		{"over the grid by another name", []string{"--trials", trials, "--at", trials, "--out", dir + "/./trials.csv"}, 2, "name another file"},
		{"no such trials", []string{"--trials", dir + "/none.csv"}, 1, "none.csv: there is no such file or folder; check the path"},
		{"no such folder", []string{"--trials", trials, "--out", dir + "/none/map.csv"}, 1, dir + "/none: there is no such file or folder; check the path"},
		{"a folder", []string{"--trials", dir}, 1, "is no file; name a CSV or Parquet file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if code, _, stderr := program(t, append([]string{"map", "--no-scores"}, c.args...)...); code != c.code || !strings.Contains(stderr, c.want) {
				t.Errorf("exit %d: %s", code, stderr)
			}
			if raw, err := os.ReadFile(trials); err != nil || string(raw) != text {
				t.Errorf("the trials are now %q (%v)", raw, err)
			}
		})
	}
}

// The same trials tell the same, whichever of the equal orientations they are written as.
func TestMapCountsEqualOrientationsAsOne(t *testing.T) {
	dir := t.TempDir()
	summary := func(name string, roll func(i, twin int) int) (s mapSummary) {
		var b strings.Builder
		b.WriteString("tilt_deg,azimuth_deg,roll_deg,held,trials\n")
		for i := range 30 {
			for twin := range 3 {
				fmt.Fprintf(&b, "%d,%d,%d,%d,2\n", 2*i, 77*i%360, roll(i, twin), i*i%7%2*2)
			}
		}
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		code, stdout, stderr := program(t, "map", "--trials", path, "--hand-symmetry", "3", "--item-symmetry", "2", "--degree", "4", "--json")
		if err := json.Unmarshal([]byte(stdout), &s); code != 0 || err != nil {
			t.Fatalf("exit %d: %s (%v)", code, stderr, err)
		}
		s.Seconds = 0
		return s
	}
	one := summary("one.csv", func(i, _ int) int { return i })
	twins := summary("twins.csv", func(i, twin int) int { return i + 120*(twin-1) })
	if one.Orientations != 30 || twins.Orientations != 30 || twins.Rows != 30 || twins.LogLoss == nil {
		t.Fatalf("%+v\n%+v", one, twins)
	}
	if math.Abs(*one.LogLoss-*twins.LogLoss) > 1e-6 || math.Abs(*one.Brier-*twins.Brier) > 1e-6 {
		t.Errorf("log loss %v and %v, Brier score %v and %v", *one.LogLoss, *twins.LogLoss, *one.Brier, *twins.Brier)
	}
}

func TestMapOfOpenData(t *testing.T) {
	const counts = "../../../shared/data/palm-orientation-slip/counts.csv"
	if _, err := os.Stat(counts); err != nil {
		t.Skip("SKIP open data palm-orientation-slip: it does not lie in ../shared/data")
	}
	code, stdout, stderr := program(t, "map", "--trials", counts, "--columns", "../../examples/palm-orientation-slip.columns.yaml")
	if code != 0 || !strings.Contains(stdout, "N=2549 ") || !strings.Contains(stdout, "more even than independent trials") {
		t.Errorf("exit %d\n%s%s", code, stdout, stderr)
	}
}

func TestRobotBench(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Skip("SKIP examples/robot_bench.py: python3 is not installed")
	}
	lab := t.TempDir()
	address, _ := serving(t, lab)
	stock(t, address)
	run := func(args ...string) (string, error) {
		out, err := exec.CommandContext(t.Context(), python, append([]string{"../../examples/robot_bench.py", "--server", address, "--study", "small"}, args...)...).CombinedOutput()
		return string(out), err
	}
	if out, err := run("--rig", "rig-1", "--most", "3"); err != nil || !strings.Contains(out, "CAUTION: Moving robot") || !strings.Contains(out, "3 trials logged.") {
		t.Fatalf("first part: %v\n%s", err, out)
	}
	out, err := run("--rig", "rig-2")
	if err != nil {
		t.Fatalf("second part: %v\n%s", err, out)
	}
	var p struct{ Planned, Done, Left int }
	if err := json.Unmarshal([]byte(send(t, "GET", address+"/api/v1/studies/small/progress", "", 200)), &p); err != nil || p.Left != 0 || p.Done != p.Planned || p.Planned < 10 {
		t.Errorf("progress %+v (%v) after\n%s", p, err, out)
	}
	if !strings.Contains(send(t, "GET", address+"/api/v1/studies/small/trials?limit=1", "", 200), `"note":"simulated"`) {
		t.Error("a simulated trial is not labelled")
	}
	if out, err := run("--rig", "rig-1"); err == nil || !strings.Contains(out, "The server refused") {
		t.Errorf("with nothing left: %v\n%s", err, out)
	}
}
