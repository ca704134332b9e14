package api_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"holdfast/api"
)

const runDesign = `"design":{"kind":"success-run","success":0.8,"confidence":0.8}` // 8 trials, no failure

// proving is a bench with a study and no trials.
func proving(t *testing.T) *bench {
	b := stocked(t)
	b.run(scenario{name: "plan", method: "POST", url: "/studies/rolls/plan", status: 200, events: []string{"study"}})
	return b
}

func (b *bench) proof(id string) (p api.Proof) {
	b.t.Helper()
	body := b.run(scenario{name: "read " + id, method: "GET", url: "/studies/rolls/proofs/" + id, status: 200})
	if err := json.Unmarshal([]byte(body), &p); err != nil {
		b.t.Fatal(err)
	}
	return p
}

func TestProofScenarios(t *testing.T) {
	b := proving(t)
	const trials = "/studies/rolls/proofs/p/trials"
	logged := []string{"trials", "proof"}
	sign := `{"id":"p","strategy":"free",` + runDesign + `,"orientation":{"tilt_deg":10,"azimuth_deg":0,"roll_deg":30},"signed_by":"Ada"}`
	for _, s := range []scenario{
		{name: "design", method: "POST", url: "/studies/rolls/proof-design", body: `{` + runDesign + `}`, status: 200,
			want: []string{`"longest":8,`, `"allowed":0,`, `8 trials with at most 0 failures`, `"prior_successes":1,`, `"target":0.8,`}},
		{name: "nothing to prove yet", method: "GET", url: "/studies/rolls/proof-subject?strategy=free", status: 200, want: []string{`"missing":"There is no region to prove yet`, "Moving robot"}, not: []string{"prior"}},
		{name: "subject without a strategy", method: "GET", url: "/studies/rolls/proof-subject", status: 422, want: []string{"strategy"}},
		{name: "design of nonsense", method: "POST", url: "/studies/rolls/proof-design", body: `{"design":{"kind":"two-point","good":0.2,"bad":0.1,"producer_risk":0.05,"consumer_risk":0.1}}`, status: 422, want: []string{"must be smaller than the bad one"}},
		{name: "design that takes too long", method: "POST", url: "/studies/rolls/proof-design", body: `{"design":{"kind":"success-run","success":0.9999,"confidence":0.9}}`, status: 422, want: []string{"more than"}},
		{name: "half a prior", method: "POST", url: "/studies/rolls/proof-design", body: `{` + runDesign + `,"prior_failures":1}`, status: 422, want: []string{`"location":"prior_successes"`}},
		{name: "sequential", method: "POST", url: "/studies/rolls/proof-design", body: `{"design":{"kind":"sequential","good":0.05,"bad":0.2,"producer_risk":0.05,"consumer_risk":0.1}}`, status: 200, want: []string{`"lines":{`, `"slope":0.110`}},
		{name: "sign without a region", method: "POST", url: "/studies/rolls/proofs", body: `{"strategy":"free",` + runDesign + `,"signed_by":"Ada"}`, status: 409, want: []string{`"kind":"refused"`, "name one orientation"}},
		{name: "sign without a name", method: "POST", url: "/studies/rolls/proofs", body: strings.Replace(sign, "Ada", " ", 1), status: 422, want: []string{`"location":"signed_by"`}},
		{name: "sign", method: "POST", url: "/studies/rolls/proofs", body: sign, status: 201, want: []string{`"verdict":"go on"`, `"intact":true`, `"number":1,`}, events: []string{"proof"}},
		{name: "sign again", method: "POST", url: "/studies/rolls/proofs", body: sign, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "no such run", method: "GET", url: "/studies/rolls/proofs/q", status: 404},
		{name: "older than the signature", method: "POST", url: trials, body: `{"key":"k0","outcome":"held","started_at":"2026-03-02T07:00:00Z"}`, status: 409, want: []string{"older than the signature"}},
		{name: "first trial", method: "POST", url: trials, body: `{"key":"k1","number":1,"outcome":"held"}`, status: 201, want: []string{`"trials":1,"failures":0`, `"number":2,`}, events: []string{"study", "trials", "proof"}},
		{name: "sent again", method: "POST", url: trials, body: `{"key":"k1","number":1,"outcome":"held"}`, status: 200, want: []string{`"trials":1,"failures":0`}},
		{name: "its key for another outcome", method: "POST", url: trials, body: `{"key":"k1","outcome":"missed"}`, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "its key for the next", method: "POST", url: trials, body: `{"key":"k1","number":2,"outcome":"held"}`, status: 409, want: []string{"already used by trial 1"}},
		{name: "somebody was faster", method: "POST", url: trials, body: `{"key":"k2","number":1,"outcome":"held"}`, status: 409, want: []string{"rial 2 is the next"}},
		{name: "void does not count", method: "POST", url: trials, body: `{"key":"k2","number":2,"outcome":"void","void_reason":"tray slid"}`, status: 201, want: []string{`"trials":1,"failures":0,"void":1`}, events: logged},
		{name: "kept out of the study's counts", method: "GET", url: "/studies/rolls/progress", status: 200, want: []string{`"trials":0,"held":0`}},
		{name: "shown in the record", method: "GET", url: "/studies/rolls/trials", status: 200, want: []string{`"proof":"p"`, `"total":2`}},
		{name: "kept out of the map", method: "GET", url: "/studies/rolls/map?strategy=free", status: 404},
		{name: "finish the study", method: "POST", url: "/studies/rolls/finish", status: 200, events: []string{"study"}},
		{name: "a finished study still takes proofs", method: "POST", url: trials, body: `{"key":"k3","number":3,"outcome":"held"}`, status: 201, events: logged},
	} {
		b.run(s)
	}
	for i := range 5 {
		b.run(scenario{name: fmt.Sprint("trial ", i), method: "POST", url: trials, body: fmt.Sprintf(`{"key":"m%d","outcome":"held"}`, i), status: 201, want: []string{`"verdict":"go on"`}, events: logged})
	}
	for _, s := range []scenario{
		{name: "the last one", method: "POST", url: trials, body: `{"key":"z","outcome":"held"}`, status: 201, want: []string{`"verdict":"accepted"`, "Accepted: 0 failures in 8 trials."}, not: []string{`"next":`}, events: logged},
		{name: "one more", method: "POST", url: trials, body: `{"key":"zz","outcome":"held"}`, status: 409, want: []string{"further trials belong to another run"}},
		{name: "the last one sent again", method: "POST", url: trials, body: `{"key":"z","outcome":"held"}`, status: 200},
		{name: "give a decided one up", method: "POST", url: "/studies/rolls/proofs/p/give-up", body: `{"by":"Bo","reason":"x"}`, status: 409, want: []string{"can not be given up"}},
		{name: "look at an item", method: "POST", url: "/studies/rolls/inspections", body: `{"trial":4,"key":"i1","finding":"damaged","seen_at":"2026-03-02T12:00:00Z"}`, status: 201, events: []string{"inspections"}},
		{name: "which rejects", method: "GET", url: "/studies/rolls/proofs/p", status: 200, want: []string{`"verdict":"rejected"`, `"as_entered":"accepted"`, `"changed":1,`, `"intact":true`}},
		{name: "another look", method: "POST", url: "/studies/rolls/inspections", body: `{"trial":4,"key":"i2","finding":"sound","seen_at":"2026-03-02T13:00:00Z"}`, status: 201, events: []string{"inspections"}},
		{name: "accepts again", method: "GET", url: "/studies/rolls/proofs/p", status: 200, want: []string{`"verdict":"accepted"`}, not: []string{"as_entered"}},
		{name: "reopen", method: "POST", url: "/studies/rolls/reopen", status: 200, events: []string{"study"}},
		{name: "a correction makes it void", method: "POST", url: "/studies/rolls/trials", body: `{"key":"c1","corrects":5,"outcome":"void","void_reason":"wrong roll"}`, status: 201, events: []string{"trials"}},
		{name: "so it goes on", method: "GET", url: "/studies/rolls/proofs/p", status: 200, want: []string{`"verdict":"go on"`, `"trials":7,"failures":0,"void":2`, `"number":10,`, `"as_entered":"accepted"`}},
		{name: "sign another", method: "POST", url: "/studies/rolls/proofs", body: strings.Replace(sign, `"id":"p",`, ``, 1), status: 201, want: []string{`"id":"proof-of-soft-roll-by-trefoil"`}, events: []string{"proof"}},
		{name: "give it up without a reason", method: "POST", url: "/studies/rolls/proofs/proof-of-soft-roll-by-trefoil/give-up", body: `{"by":"Bo","reason":""}`, status: 422, want: []string{`"location":"reason"`}},
		{name: "give it up", method: "POST", url: "/studies/rolls/proofs/proof-of-soft-roll-by-trefoil/give-up", body: `{"by":"Bo","reason":"Oven failed."}`, status: 200, want: []string{`"verdict":"given up"`, "Given up by Bo"}, events: []string{"proof"}},
		{name: "log to it", method: "POST", url: "/studies/rolls/proofs/proof-of-soft-roll-by-trefoil/trials", body: `{"key":"y","outcome":"held"}`, status: 409, want: []string{"was given up"}},
		{name: "list, newest first", method: "GET", url: "/studies/rolls/proofs", status: 200, want: []string{`"id":"proof-of-soft-roll-by-trefoil"`, `"id":"p"`}},
	} {
		b.run(s)
	}
}

// A proof drawn from the chosen region stays in it, is drawn alike each time, leaves the map alone and stands on the card.
func TestProofOfTheChosenRegion(t *testing.T) {
	b := proving(t)
	for i := range 60 {
		outcome := "held"
		if i%10 == 9 {
			outcome = "missed"
		}
		body := fmt.Sprintf(`{"key":"t%d","strategy":"free","orientation":{"tilt_deg":%d,"azimuth_deg":%d,"roll_deg":%d},"outcome":"%s"}`, i, i%31, (37*i)%360, (53*i)%360, outcome)
		events := []string{"trials"}
		if i == 0 {
			events = []string{"study", "trials"}
		}
		b.run(scenario{name: fmt.Sprint("trial ", i), method: "POST", url: "/studies/rolls/trials", body: body, status: 201, events: events})
	}
	before := b.run(scenario{name: "choice", method: "GET", url: "/studies/rolls/choice?strategy=free", status: 200, events: []string{"map"}})
	told := b.run(scenario{name: "subject", method: "GET", url: "/studies/rolls/proof-subject?strategy=free", status: 200, not: []string{`"missing"`}})
	var subject api.ProofSubject
	if err := json.Unmarshal([]byte(told), &subject); err != nil {
		t.Fatal(err)
	}
	if mean := *subject.PriorSuccesses / (*subject.PriorSuccesses + *subject.PriorFailures); math.Abs(mean-subject.Success) > 1e-3 {
		t.Errorf("the prior's mean is %.4f, the map says %.4f", mean, subject.Success)
	}
	b.run(scenario{name: "sign", method: "POST", url: "/studies/rolls/proofs", body: `{"id":"p","strategy":"free",` + runDesign + `,"steady":true,"signed_by":"Ada"}`, status: 201, events: []string{"proof"}})
	first := b.proof("p")
	for i := range 8 {
		b.run(scenario{name: fmt.Sprint("proof trial ", i), method: "POST", url: "/studies/rolls/proofs/p/trials", body: fmt.Sprintf(`{"key":"p%d","outcome":"held"}`, i), status: 201, events: []string{"trials", "proof"}})
	}
	p := b.proof("p")
	if p.Verdict != "accepted" || len(p.Steps) != 8 || *first.Next.Orientation.QW != *p.Steps[0].Orientation.QW {
		t.Fatalf("%s after %d steps; first task %v, carried out %v", p.Verdict, len(p.Steps), first.Next.Orientation, p.Steps[0].Orientation)
	}
	most := 0.0
	for _, r := range p.Region {
		most = math.Max(most, *r.TiltDeg)
	}
	for _, s := range p.Steps {
		nearest := math.Inf(1)
		for _, r := range p.Region {
			nearest = math.Min(nearest, turn(s.Orientation, r))
		}
		if nearest > p.SpacingDeg+1e-6 || *s.Orientation.TiltDeg > most+1e-6 || s.OffsetXMM != 0 {
			t.Errorf("trial %d is %.2f° from the region (spacing %.2f°), tilted %.2f° of %.2f°, put off by %g mm", s.Number, nearest, p.SpacingDeg, *s.Orientation.TiltDeg, most, s.OffsetXMM)
		}
	}
	if after := b.run(scenario{name: "choice again", method: "GET", url: "/studies/rolls/choice?strategy=free", status: 200}); after != before {
		t.Error("the proof's trials changed the choice")
	}
	b.run(scenario{name: "release", method: "POST", url: "/cards", body: `{"id":"c","study":"rolls","hand":"trefoil","item":"soft-roll","setting":"open-table","strategy":"free","released_by":"Ada"}`, status: 201,
		want: []string{`"proof":{"id":"p"`, `"verdict":"accepted"`, `"trials":8,"failures":0`, `"same_region":true`, p.Digest, `"matches":true`}, events: []string{"card"}})
	b.run(scenario{name: "document", method: "GET", url: "/cards/c/card.json", status: 200, want: []string{`"proof": {`, `"verdict": "accepted"`, p.Digest}})
	b.run(scenario{name: "paper", method: "GET", url: "/cards/c/card.pdf", status: 200})
}

// turn is the angle (degrees) between two orientations.
func turn(a, b api.Orientation) float64 {
	dot := math.Abs(*a.QW**b.QW + *a.QX**b.QX + *a.QY**b.QY + *a.QZ**b.QZ)
	return 2 * math.Acos(math.Min(dot, 1)) * 180 / math.Pi
}
