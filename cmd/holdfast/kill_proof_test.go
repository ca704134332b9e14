package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"sync/atomic"
	"testing"

	"holdfast/domain"
	"holdfast/store/sqlite"
)

// The study in which a proof run goes on and to whose plan batches are added while the server is killed.
const provenStudy = "proven"

// post sends a body and returns the answer; ok is false when the server went away before it had answered.
func post(client *http.Client, url string, body any) (status int, answer []byte, ok bool) {
	text, err := json.Marshal(body)
	if err != nil {
		panic(err)
	}
	res, err := client.Post(url, "application/json", bytes.NewReader(text))
	if err != nil {
		return 0, nil, false
	}
	defer res.Body.Close()
	answer, err = io.ReadAll(res.Body)
	return res.StatusCode, answer, err == nil
}

// prover carries out a proof run, trial after trial; one that was not acknowledged is sent again under its key.
type prover struct {
	http    *http.Client
	signed  bool
	sent    int // trials begun
	acked   int // trials acknowledged
	pending bool
}

func (p *prover) key(n int) string { return fmt.Sprintf("proof-%d", n) }

func (p *prover) log(address string, acknowledged *atomic.Int64) error {
	at := address + "/api/v1/studies/" + provenStudy + "/proofs"
	if !p.signed {
		status, answer, ok := post(p.http, at, map[string]any{
			"id": "p", "strategy": "free", "signed_by": "Ida Bench",
			"design":      map[string]any{"kind": "success-run", "success": 0.999, "confidence": 0.95},
			"orientation": map[string]any{"tilt_deg": 5.0, "azimuth_deg": 0.0, "roll_deg": 30.0},
		})
		switch {
		case !ok:
			return nil
		case status != http.StatusCreated && status != http.StatusConflict: // signed already, and the answer was lost
			return fmt.Errorf("sign: %d %s", status, answer)
		}
		p.signed = true
	}
	for {
		if !p.pending {
			p.sent++
			p.pending = true
		}
		status, answer, ok := post(p.http, at+"/p/trials", map[string]any{"key": p.key(p.sent), "outcome": "held"})
		if !ok {
			return nil
		}
		if status/100 != 2 {
			return fmt.Errorf("%s: %d %s", p.key(p.sent), status, answer)
		}
		var state struct{ Trials int }
		if err := json.Unmarshal(answer, &state); err != nil || state.Trials != p.sent {
			return fmt.Errorf("%s: %d trials, %v", p.key(p.sent), state.Trials, err)
		}
		p.acked++
		p.pending = false
		acknowledged.Add(1)
	}
}

// extender adds batches to a plan. When a batch was not acknowledged it looks, as a person would, whether it is there.
type extender struct {
	http *http.Client
	// ends are the plan's last runs after each batch that was acknowledged or found.
	ends []int
}

const addedAtOnce = 3

func (e *extender) log(address string, acknowledged *atomic.Int64) error {
	at := address + "/api/v1/studies/" + provenStudy + "/next-trials"
	res, err := e.http.Get(at + fmt.Sprintf("?trials=%d", addedAtOnce))
	if err != nil {
		return nil
	}
	text, err := io.ReadAll(res.Body)
	res.Body.Close()
	if err != nil {
		return nil
	}
	var plan struct {
		PlanEnd int `json:"plan_end"`
		Runs    []struct{}
	}
	if err := json.Unmarshal(text, &plan); err != nil || res.StatusCode != http.StatusOK {
		return fmt.Errorf("next trials: %d %s", res.StatusCode, text)
	}
	e.ends = append(e.ends, plan.PlanEnd)
	for {
		status, answer, ok := post(e.http, at, map[string]any{"trials": addedAtOnce, "plan_end": plan.PlanEnd})
		if !ok {
			return nil
		}
		if status != http.StatusCreated {
			return fmt.Errorf("add after %d: %d %s", plan.PlanEnd, status, answer)
		}
		before := plan.PlanEnd
		plan.Runs = nil
		if err := json.Unmarshal(answer, &plan); err != nil {
			return err
		}
		plan.PlanEnd = before + len(plan.Runs)
		e.ends = append(e.ends, plan.PlanEnd)
		acknowledged.Add(1)
	}
}

// judgeProof compares the proof run and the plan with what was told.
func judgeProof(t *testing.T, lab *sqlite.Lab, p *prover, e *extender) {
	t.Helper()
	list, err := lab.Counted(t.Context(), provenStudy, domain.TrialFilter{})
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < p.acked || len(list) > p.sent {
		t.Errorf("%d proof trials are in the record; %d were acknowledged, %d sent", len(list), p.acked, p.sent)
	}
	for i, c := range list {
		if c.Key != p.key(i+1) || c.Proof != "p" || c.Outcome != domain.OutcomeHeld {
			t.Errorf("proof trial %d is %q of run %q: %s", i+1, c.Key, c.Proof, c.Outcome)
		}
	}
	runs, err := lab.Plan(t.Context(), provenStudy)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range runs {
		if r.Order != i+1 {
			t.Fatalf("run %d of the plan has the number %d", i+1, r.Order)
		}
	}
	for i, end := range e.ends {
		switch {
		case i > 0 && end < e.ends[i-1]:
			t.Errorf("the plan shrank from %d runs to %d", e.ends[i-1], end)
		case (end-provenRuns)%addedAtOnce != 0:
			t.Errorf("the plan once had %d runs: half a batch", end)
		}
	}
	last := provenRuns
	if len(e.ends) > 0 {
		last = e.ends[len(e.ends)-1]
	}
	if n := len(runs); n != last && n != last+addedAtOnce {
		t.Errorf("the plan has %d runs; %d were told, and a batch has %d", n, last, addedAtOnce)
	}
	t.Logf("%d proof trials acknowledged; the plan grew from %d to %d runs", p.acked, provenRuns, len(runs))
	if p.acked == 0 || len(runs) == provenRuns {
		t.Error("no proof trial or no batch was acknowledged: the test says little")
	}
}

// provenRuns is how many runs the study's plan begins with.
const provenRuns = 1

func makeProvenStudy(t *testing.T, lab *sqlite.Lab) {
	t.Helper()
	run := domain.PlannedRun{Study: provenStudy, Order: 1, Block: 1, WholePlot: 1, Hand: "h", Item: "i", Setting: "t", Strategy: domain.StrategyFree, Replicate: 1, Closing: 0.5}
	run.Planned.W = 1
	// The first cover is so large that every batch goes on with it.
	_, err := lab.PutStudy(t.Context(), domain.Study{ID: provenStudy, Name: "Proven", State: domain.StudyPlanned, Hands: []domain.ID{"h"}, Items: []domain.ID{"i"}, Settings: []domain.ID{"t"},
		Strategies: []domain.Strategy{domain.DefaultStrategy(domain.StrategyFree)}, ClosingLevels: []float64{0.5}, Replicates: 1, BlockSize: 10, Target: 0.8, Aim: domain.Aim{FirstCover: 1000},
		Orientations: domain.OrientationPlan{Kind: "even", TiltMax: 0.5, Count: 10}, Offset: domain.OffsetPlan{Kind: "none"}}, []domain.PlannedRun{run})
	if err != nil {
		t.Fatal(err)
	}
}
