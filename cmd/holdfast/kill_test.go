package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

// killLab names the lab that this test program serves instead of testing, when another copy of it asks for that.
const killLab = "HOLDFAST_TEST_SERVE_LAB"

// TestServedForKilling is no test of its own: it is the server that TestKilledServerKeepsWhatItAcknowledged kills.
func TestServedForKilling(t *testing.T) {
	dir := os.Getenv(killLab)
	if dir == "" {
		t.Skip("serves only for TestKilledServerKeepsWhatItAcknowledged")
	}
	m := &Main{environment: environment{ctx: context.Background(), stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr}}
	os.Exit(m.exitCode([]string{"serve", "--lab", dir, "--listen", "127.0.0.1:0"}))
}

// benchClient is one client of the killed server: it logs trial after trial and, like any client should, sends a trial that
// was not acknowledged again under the same key.
type benchClient struct {
	name    string
	sent    int // trials begun
	pending bool
	http    *http.Client
	acked   map[string]domain.TrialID
}

// trial gives the client's n-th trial. Every third carries out a planned run of the client's own.
func (c *benchClient) trial(n int) map[string]any {
	t := map[string]any{
		"key": fmt.Sprintf("%s-%d", c.name, n), "outcome": []string{"held", "slipped", "missed"}[n%3], "closing": 0.5, "peak_force_N": float64(n),
		"note":        strings.Repeat("crumb ", n%40),
		"orientation": map[string]any{"tilt_deg": 10.0, "azimuth_deg": float64(n % 360), "roll_deg": 5.0},
	}
	if n%3 == 0 && n/3 < runsEach {
		t["order"] = runsEach*int(c.name[0]-'a') + n/3 + 1
		delete(t, "orientation")
		delete(t, "closing")
	}
	return t
}

const (
	clients  = 4
	runsEach = 100
)

// log logs trials until the server is gone.
func (c *benchClient) log(address string, acknowledged *atomic.Int64) error {
	for {
		if !c.pending {
			c.sent++
			c.pending = true
		}
		body, err := json.Marshal(c.trial(c.sent))
		if err != nil {
			return err
		}
		res, err := c.http.Post(address+"/api/v1/studies/s/trials", "application/json", bytes.NewReader(body))
		if err != nil {
			return nil
		}
		answer, err := io.ReadAll(res.Body)
		res.Body.Close()
		if err != nil {
			return nil
		}
		if res.StatusCode/100 != 2 {
			return fmt.Errorf("%s: %s: %s", body, res.Status, answer)
		}
		var t struct{ ID domain.TrialID }
		if err := json.Unmarshal(answer, &t); err != nil {
			return err
		}
		c.acked[fmt.Sprintf("%s-%d", c.name, c.sent)] = t.ID
		c.pending = false
		acknowledged.Add(1)
	}
}

// TestKilledServerKeepsWhatItAcknowledged starts the real server, lets clients log trials, and kills it with SIGKILL at
// random moments, also while it starts. In the end every acknowledged trial is in the record exactly once, under the
// number that was told, with what was sent; and the lab is sound.
func TestKilledServerKeepsWhatItAcknowledged(t *testing.T) {
	kills := 50
	if testing.Short() {
		kills = 5
	}
	const seed = 20260314
	random := rand.New(rand.NewPCG(seed, 1))
	dir := filepath.Join(t.TempDir(), "lab")
	makeKillLab(t, dir)

	all := make([]*benchClient, clients)
	for i := range all {
		all[i] = &benchClient{name: string(rune('a' + i)), http: &http.Client{Timeout: 10 * time.Second}, acked: map[string]domain.TrialID{}}
	}
	proof := &prover{http: &http.Client{Timeout: 10 * time.Second}}
	added := &extender{http: &http.Client{Timeout: 30 * time.Second}}
	var acknowledged, proven, batches atomic.Int64
	early := 0
	for round := range kills {
		startUp := random.IntN(10) == 0
		wait := time.Duration(random.IntN(150_000)) * time.Microsecond
		server, address := startServer(t, dir, !startUp)
		if startUp {
			early++
			time.Sleep(wait)
			kill(t, server)
			continue
		}
		before, planned := acknowledged.Load(), batches.Load()
		var wg sync.WaitGroup
		errs := make(chan error, clients+2)
		for _, c := range all {
			wg.Go(func() { errs <- c.log(address, &acknowledged) })
		}
		wg.Go(func() { errs <- proof.log(address, &proven) })
		wg.Go(func() { errs <- added.log(address, &batches) })
		for patience := time.Now().Add(10 * time.Second); acknowledged.Load() == before && time.Now().Before(patience); {
			time.Sleep(time.Millisecond)
		}
		// A server's first proposal takes longer than most servers here live.
		for patience := time.Now().Add(10 * time.Second); round%5 == 0 && batches.Load() == planned && time.Now().Before(patience); {
			time.Sleep(time.Millisecond)
		}
		time.Sleep(wait)
		kill(t, server)
		wg.Wait()
		for range clients + 2 {
			if err := <-errs; err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
		}
		for _, c := range all {
			c.http.CloseIdleConnections()
		}
	}
	t.Logf("%d kills, %d of them during start; %d trials acknowledged", kills, early, acknowledged.Load())
	if acknowledged.Load() < int64(kills) {
		t.Errorf("only %d trials were acknowledged: the test says little", acknowledged.Load())
	}
	judge(t, dir, all, proof, added)
}

// judge compares the record with what the clients were told.
func judge(t *testing.T, dir string, all []*benchClient, proof *prover, added *extender) {
	t.Helper()
	lab, err := sqlite.OpenReadOnly(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer lab.Close()
	list, err := lab.Counted(t.Context(), "s", domain.TrialFilter{})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]domain.CountedTrial{}
	for _, c := range list {
		if _, twice := found[c.Key]; twice || c.Entries != 1 {
			t.Errorf("%s is in the record more than once", c.Key)
		}
		found[c.Key] = c
	}
	unacknowledged := 0
	for _, c := range all {
		for n := 1; n <= c.sent; n++ {
			key := fmt.Sprintf("%s-%d", c.name, n)
			got, there := found[key]
			delete(found, key)
			id, told := c.acked[key]
			switch sent := c.trial(n); {
			case told && !there:
				t.Errorf("%s was acknowledged as %v and is lost", key, id)
			case told && got.ID != id:
				t.Errorf("%s was acknowledged as %v and is %v", key, id, got.ID)
			case !told && n < c.sent:
				t.Errorf("%s was given up by its client", key)
			case there && (string(got.Outcome) != sent["outcome"] || got.Note != sent["note"] || got.PeakForce == nil || *got.PeakForce != sent["peak_force_N"]):
				t.Errorf("%s is half written: %+v", key, got)
			case there && !told:
				unacknowledged++
			}
		}
	}
	for key := range found {
		t.Errorf("%s is in the record, and nobody sent it", key)
	}
	t.Logf("%d trials in the record, %d of them stored but not acknowledged when the server was killed last", len(list), unacknowledged)

	judgeProof(t, lab, proof, added)

	var out bytes.Buffer
	check := checkCommand{Lab: dir}
	if err := check.Run(&environment{ctx: t.Context(), stdout: &out, stderr: &out}); err != nil || !strings.Contains(out.String(), "is sound") {
		t.Errorf("check: %v\n%s", err, out.String())
	}
}

// startServer starts this test program as the server. With ready it waits until the server tells its address.
func startServer(t *testing.T, dir string, ready bool) (*exec.Cmd, string) {
	t.Helper()
	server := exec.Command(os.Args[0], "-test.run=^TestServedForKilling$")
	server.Env = append(os.Environ(), killLab+"="+dir)
	out, err := server.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var trouble bytes.Buffer
	server.Stderr = &trouble
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	if !ready {
		return server, ""
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if _, address, ok := strings.Cut(lines.Text(), " at http://"); ok {
			return server, "http://" + address
		}
	}
	server.Wait()
	t.Fatalf("the server did not start: %s", trouble.String())
	return nil, ""
}

func kill(t *testing.T, server *exec.Cmd) {
	t.Helper()
	if err := server.Process.Kill(); err != nil { // SIGKILL
		t.Fatal(err)
	}
	server.Wait()
}

// makeKillLab makes a lab with a running study and a plan for each client.
func makeKillLab(t *testing.T, dir string) {
	t.Helper()
	lab, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer lab.Close()
	ctx := t.Context()
	runs := make([]domain.PlannedRun, clients*runsEach)
	for i := range runs {
		runs[i] = domain.PlannedRun{Study: "s", Order: i + 1, Block: 1, WholePlot: 1, Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree, Replicate: 1, Closing: 0.5}
		runs[i].Planned.W = 1
	}
	_, err = lab.PutHand(ctx, domain.Hand{ID: "h", Name: "H", Actuation: domain.ActuationMotor, Fingers: 2, RollFold: 2, FingerLength: 0.09, PalmDiameter: 0.07, OpeningMax: 0.1, CommandUnit: "mm", CommandFull: 30, ForceMax: 10})
	if err == nil {
		_, err = lab.PutItem(ctx, domain.Item{ID: "i", Name: "I", Shape: domain.ShapeBox, Size: [3]float64{0.1, 0.1, 0.1}, Mass: 0.1, Friction: 0.5, Turning: domain.Turning{Fold: 1}})
	}
	if err == nil {
		_, err = lab.PutSetting(ctx, domain.Setting{ID: "t", Name: "T", Support: domain.SupportTable, Friction: 0.5, Turning: domain.Turning{Axial: true}})
	}
	if err == nil {
		_, err = lab.PutStudy(ctx, domain.Study{ID: "s", Name: "S", State: domain.StudyPlanned, Hands: []domain.ID{"h"}, Items: []domain.ID{"i"}, Settings: []domain.ID{"t"},
			Strategies: []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree)}, ClosingLevels: []float64{0.5}, Replicates: 1, BlockSize: 10,
			Orientations: domain.OrientationPlan{Kind: "even", TiltMax: 1, Count: 10}, Offset: domain.OffsetPlan{Kind: "none"}}, runs)
	}
	if err != nil {
		t.Fatal(err)
	}
	makeProvenStudy(t, lab)
}
