package api_test

import (
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"holdfast/api"
	"holdfast/bus/embedded"
	"holdfast/domain"
	"holdfast/store/sqlite"
	"holdfast/workflow"
)

// bench is a running server over a new lab, with a clock that moves a second at each look.
type bench struct {
	t      *testing.T
	server *httptest.Server
	lab    *workflow.Lab

	mu     sync.Mutex
	now    time.Time
	events []string // topics in order
}

func (b *bench) Now() time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.now = b.now.Add(time.Second)
	return b.now
}

// Publish notes the event and hands it on.
type noted struct {
	domain.Bus
	bench *bench
}

func (n noted) Publish(e domain.Event) {
	n.bench.mu.Lock()
	n.bench.events = append(n.bench.events, e.Topic)
	n.bench.mu.Unlock()
	n.Bus.Publish(e)
}

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, now: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)}
	store, err := sqlite.Open(t.TempDir(), sqlite.Options{Clock: b})
	if err != nil {
		t.Fatal(err)
	}
	seed := uint64(0)
	b.lab = workflow.New(workflow.Options{
		Store: store, Bus: noted{embedded.New(), b}, Clock: b, Name: "bench", Version: "test",
		Seed: func() uint64 { seed += 1 << 20; return seed },
	})
	handler, err := api.New(api.Options{Lab: b.lab, Hands: describedHands(t), Scenes: describedScene})
	if err != nil {
		t.Fatal(err)
	}
	b.server = httptest.NewServer(handler)
	t.Cleanup(func() {
		handler.Close()
		b.server.Close()
		if err := store.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

// scenario is one request and what must, and must not, come of it.
type scenario struct {
	name    string
	method  string
	url     string // below /api/v1
	body    string
	headers map[string]string
	status  int
	want    []string // all of these are in the answer
	not     []string // none of these is
	events  []string // exactly these topics are published, in order
	etag    string   // expected ETag, when given
}

// run carries out the scenario and returns the answer's body.
func (b *bench) run(s scenario) string {
	b.t.Helper()
	b.mu.Lock()
	b.events = nil
	b.mu.Unlock()
	url := b.server.URL + "/api/v1" + s.url
	if strings.HasPrefix(s.url, "!") {
		url = b.server.URL + s.url[1:]
	}
	req, err := http.NewRequestWithContext(context.Background(), s.method, url, strings.NewReader(s.body))
	if err != nil {
		b.t.Fatal(err)
	}
	if s.body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	for k, v := range s.headers {
		req.Header.Set(k, v)
		if k == "Host" {
			req.Host = v
		}
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err := io.ReadAll(res.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	body := string(raw)
	if res.StatusCode != s.status {
		b.t.Errorf("%s: status %d, want %d: %s", s.name, res.StatusCode, s.status, short(body))
	}
	for _, w := range s.want {
		if !strings.Contains(body, w) {
			b.t.Errorf("%s: the answer lacks %q: %s", s.name, w, short(body))
		}
	}
	for _, w := range s.not {
		if strings.Contains(body, w) {
			b.t.Errorf("%s: the answer must not hold %q: %s", s.name, w, short(body))
		}
	}
	if s.etag != "" && res.Header.Get("ETag") != s.etag {
		b.t.Errorf("%s: ETag %s, want %s", s.name, res.Header.Get("ETag"), s.etag)
	}
	if res.StatusCode >= 400 {
		var p api.Problem
		if err := json.Unmarshal(raw, &p); err != nil || p.Kind == "" || p.Detail == "" || p.Status != res.StatusCode {
			b.t.Errorf("%s: not a problem document: %s", s.name, short(body))
		}
		if got := res.Header.Get("Content-Type"); got != "application/problem+json" {
			b.t.Errorf("%s: content type %q", s.name, got)
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if !slices.Equal(b.events, s.events) {
		b.t.Errorf("%s: events %v, want %v", s.name, b.events, s.events)
	}
	return body
}

func short(s string) string { return s[:min(len(s), 600)] }

const (
	handBody = `{"name":"Trefoil","actuation":"air","fingers":3,"roll_fold":3,"mirror":true,"finger_length_mm":70,"palm_diameter_mm":60,
		"opening_max_mm":110,"command_unit":"kPa","command_full":80,"force_max_N":12,"food_contact":true}`
	itemBody = `{"name":"Soft roll","shape":"ellipsoid","size_x_mm":90,"size_y_mm":70,"size_z_mm":45,"size_spread":0.05,"mass_g":55,
		"mass_spread":0.05,"friction":0.6,"stiffness_N_per_mm":0.4,"damage_force_N":9,"late_damage_h":2,"turning":{"axial":false,"fold":2,"mirror":true},"food":true}`
	settingBody = `{"name":"Open table","support":"table","wall":false,"wall_gap_mm":0,"edge":false,"edge_gap_mm":0,"friction":0.4,
		"turning":{"axial":true,"fold":1,"mirror":true}}`
	studyBody = `{"name":"Rolls","question":"From which side?","hands":["trefoil"],"items":["soft-roll"],"settings":["open-table"],
		"strategies":[{"kind":"free"},{"kind":"surface-guided"}],"orientations":{"kind":"rings","tilts_deg":[0,30],"azimuths":[4],"rolls_deg":[0,60]},
		"closing_levels":[0.8],"offset":{"kind":"gaussian","sigma_x_mm":4,"sigma_y_mm":4},"replicates":2,"block_size":10,
		"reference":{"orientation":{"tilt_deg":0,"azimuth_deg":0,"roll_deg":0},"strategy":"free","closing":0.8},"references":1,"seed":"",
		"trial_s":25,"change_s":240,"line_error":{"angle_deg":6,"position_mm":3},"target":0.8}`
)

// stocked is a bench with a hand, an item, a setting and a draft study.
func stocked(t *testing.T) *bench {
	b := newBench(t)
	b.run(scenario{name: "hand", method: "POST", url: "/hands", body: handBody, status: 201, want: []string{`"id":"trefoil"`}, events: []string{"hand"}})
	b.run(scenario{name: "item", method: "POST", url: "/items", body: itemBody, status: 201, want: []string{`"id":"soft-roll"`}, events: []string{"item"}})
	b.run(scenario{name: "setting", method: "POST", url: "/settings", body: settingBody, status: 201, want: []string{`"id":"open-table"`}, events: []string{"setting"}})
	b.run(scenario{name: "study", method: "POST", url: "/studies", body: studyBody, status: 201, want: []string{`"id":"rolls"`, `"state":"draft"`}, events: []string{"study"}})
	return b
}

func TestCatalogueScenarios(t *testing.T) {
	b := newBench(t)
	for _, s := range []scenario{
		{name: "empty list", method: "GET", url: "/hands", status: 200, want: []string{"[]"}},
		{name: "create", method: "POST", url: "/hands", body: handBody, status: 201, want: []string{`"id":"trefoil"`, `"revision":1`, `"finger_length_mm":70`}, events: []string{"hand"}, etag: `"1"`},
		{name: "name taken", method: "POST", url: "/hands", body: handBody, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "read", method: "GET", url: "/hands/trefoil", status: 200, want: []string{`"opening_max_mm":110`}, etag: `"1"`},
		{name: "edit without If-Match", method: "PUT", url: "/hands/trefoil", body: handBody, status: 428, want: []string{"If-Match"}},
		{name: "edit with a bad If-Match", method: "PUT", url: "/hands/trefoil", body: handBody, headers: map[string]string{"If-Match": "*"}, status: 422, want: []string{`"kind":"invalid"`}},
		{name: "edit", method: "PUT", url: "/hands/trefoil", body: strings.Replace(handBody, `"fingers":3`, `"fingers":4`, 1), headers: map[string]string{"If-Match": `"1"`}, status: 200, want: []string{`"fingers":4`, `"revision":2`}, events: []string{"hand"}, etag: `"2"`},
		{name: "edit a stale one", method: "PUT", url: "/hands/trefoil", body: handBody, headers: map[string]string{"If-Match": `"1"`}, status: 412, want: []string{`"kind":"stale"`}},
		{name: "edit under another ID", method: "PUT", url: "/hands/trefoil", body: strings.Replace(handBody, `{`, `{"id":"other",`, 1), headers: map[string]string{"If-Match": `"2"`}, status: 422, want: []string{`"location":"id"`}},
		{name: "out of range", method: "POST", url: "/hands", body: strings.Replace(handBody, `"fingers":3`, `"fingers":30`, 1), status: 422, want: []string{`"location":"fingers"`, `"value":"30"`}, not: []string{"body."}},
		{name: "unknown field", method: "POST", url: "/hands", body: strings.Replace(handBody, `"fingers"`, `"fingres"`, 1), status: 422, want: []string{"fingres", "check its spelling"}},
		{name: "missing field", method: "POST", url: "/hands", body: `{"name":"x"}`, status: 422, want: []string{"fingers"}},
		{name: "no JSON", method: "POST", url: "/hands", body: `{"name"`, status: 422, want: []string{"not valid JSON"}},
		{name: "not there", method: "GET", url: "/hands/nobody", status: 404, want: []string{`"kind":"notFound"`}},
		{name: "unknown parameter", method: "GET", url: "/hands?limt=3", status: 422, want: []string{"limt"}},
		{name: "no such address", method: "GET", url: "/feet", status: 404, want: []string{"openapi.json"}},
		{name: "wall without sides", method: "POST", url: "/settings", body: strings.Replace(settingBody, `"wall":false`, `"wall":true`, 1), status: 422, want: []string{`"location":"turning"`}},
		{name: "contract", method: "GET", url: "!/api/openapi.json", status: 200, want: []string{`"openapi": "3.1.0"`, "/api/v1/studies/{study}/map/raster"}},
	} {
		b.t = t
		b.run(s)
	}
}

func TestStudyScenarios(t *testing.T) {
	b := stocked(t)
	edit := func(old, new string) string { return strings.Replace(studyBody, old, new, 1) }
	match := func(n string) map[string]string { return map[string]string{"If-Match": `"` + n + `"`} }
	for _, s := range []scenario{
		{name: "unknown hand", method: "POST", url: "/studies", body: edit(`"hands":["trefoil"]`, `"hands":["trefoil","ghost"]`), status: 422, want: []string{`"location":"hands[1]"`, "ghost"}},
		{name: "bad seed", method: "POST", url: "/studies", body: edit(`"seed":""`, `"seed":"-4"`), status: 422, want: []string{`"location":"seed"`}},
		{name: "half an orientation", method: "POST", url: "/studies", body: edit(`{"tilt_deg":0,"azimuth_deg":0,"roll_deg":0}`, `{"tilt_deg":0}`), status: 422, want: []string{"reference.orientation"}},
		{name: "no plan yet", method: "GET", url: "/studies/rolls/plan", status: 404, want: []string{"draw it up first"}},
		{name: "next without a plan", method: "GET", url: "/studies/rolls/next?holder=rig", status: 404, want: []string{"draw it up first"}},
		{name: "finish a draft", method: "POST", url: "/studies/rolls/finish", status: 409, want: []string{`"kind":"refused"`}},
		{name: "draw", method: "POST", url: "/studies/rolls/plan", status: 200, want: []string{`"reference_runs":`, `"symmetry":"The hand looks the same after 1/3 of a turn`}, events: []string{"study"}},
		{name: "planned", method: "GET", url: "/studies/rolls", status: 200, want: []string{`"state":"planned"`}, etag: `"2"`},
		{name: "edit the note of a planned one", method: "PUT", url: "/studies/rolls", body: edit(`"target":0.8`, `"target":0.7`), headers: match("2"), status: 200, want: []string{`"state":"planned"`, `"target":0.7`}, events: []string{"study"}},
		{name: "edit its conditions", method: "PUT", url: "/studies/rolls", body: edit(`"replicates":2`, `"replicates":3`), headers: match("3"), status: 200, want: []string{`"state":"draft"`}, events: []string{"study"}},
		{name: "plan gone", method: "GET", url: "/studies/rolls/plan", status: 404},
		{name: "draw again", method: "POST", url: "/studies/rolls/plan", status: 200, events: []string{"study"}},
		{name: "next without a holder", method: "GET", url: "/studies/rolls/next", status: 422, want: []string{"query.holder"}},
		{name: "next", method: "GET", url: "/studies/rolls/next?holder=rig-1", status: 200, want: []string{`"order":1,`, `"lease_until":`, `"cautions":["Moving robot`, "Compressed air"}},
		{name: "the same again", method: "GET", url: "/studies/rolls/next?holder=rig-1", status: 200, want: []string{`"order":1,`}},
		{name: "another rig", method: "GET", url: "/studies/rolls/next?holder=rig-2", status: 200, want: []string{`"order":2,`}},
		{name: "give back", method: "DELETE", url: "/studies/rolls/next?holder=rig-2", status: 204},
		{name: "taken by a third", method: "GET", url: "/studies/rolls/next?holder=rig-3", status: 200, want: []string{`"order":2,`}},
		{name: "log by order", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a1","order":1,"outcome":"held","peak_force_N":4.5}`, status: 201, want: []string{`"hand":"trefoil"`, `"counted":"held"`, `"peak_force_N":4.5`, `"reference":true`}, events: []string{"study", "trials"}},
		{name: "running", method: "GET", url: "/studies/rolls", status: 200, want: []string{`"state":"running"`}},
		{name: "the same key again", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a1","order":1,"outcome":"held","peak_force_N":4.5}`, status: 200, want: []string{`"repeated":true`}},
		{name: "the key for another trial", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a1","order":2,"outcome":"held"}`, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "the run again", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a2","order":1,"outcome":"missed"}`, status: 409, want: []string{"already carried out"}},
		{name: "no such run", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a3","order":1000,"outcome":"held"}`, status: 422, want: []string{`"location":"order"`}},
		{name: "run with other conditions", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a4","order":2,"hand":"ghost","outcome":"held"}`, status: 422, want: []string{`"location":"hand"`}},
		{name: "void without a reason", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a5","order":2,"outcome":"void"}`, status: 422, want: []string{"void_reason"}},
		{name: "not an outcome", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a5","order":2,"outcome":"kept"}`, status: 422, want: []string{`"location":"outcome"`}},
		{name: "outside the plan, strategy missing", method: "POST", url: "/studies/rolls/trials", body: `{"key":"b1","orientation":{"tilt_deg":10,"azimuth_deg":0,"roll_deg":0},"outcome":"held"}`, status: 422, want: []string{`"location":"strategy"`}, not: []string{`"location":"hand"`}},
		{name: "outside the plan", method: "POST", url: "/studies/rolls/trials", body: `{"key":"b1","strategy":"free","orientation":{"tilt_deg":10,"azimuth_deg":0,"roll_deg":0},"outcome":"held"}`, status: 201, want: []string{`"tilt_deg":10,`, `"item":"soft-roll"`}, events: []string{"trials"}},
		{name: "correct", method: "POST", url: "/studies/rolls/trials", body: `{"key":"b2","corrects":2,"outcome":"slipped"}`, status: 201, want: []string{`"counted":"slipped"`, `"entries":2`, `"root":2`, `"strategy":"free"`}, events: []string{"trials"}},
		{name: "correct the old one", method: "POST", url: "/studies/rolls/trials", body: `{"key":"b3","corrects":2,"outcome":"held"}`, status: 409, want: []string{`"kind":"conflict"`}},
		{name: "history", method: "GET", url: "/studies/rolls/trials/2", status: 200, want: []string{`"counted":"slipped"`, `"outcome":"held"`}},
		{name: "inspect", method: "POST", url: "/studies/rolls/inspections", body: `{"trial":1,"key":"i1","finding":"damaged","seen_at":"2026-03-02T12:00:00Z"}`, status: 201, want: []string{`"finding":"damaged"`}, events: []string{"inspections"}},
		{name: "counted as damaged", method: "GET", url: "/studies/rolls/trials?reference=true", status: 200, want: []string{`"counted":"damaged"`, `"outcome":"held"`, `"total":1`}},
		{name: "newest first", method: "GET", url: "/studies/rolls/trials?newest=true&limit=1", status: 200, want: []string{`"key":"b2"`, `"total":2`}, not: []string{`"key":"a1"`}},
		{name: "progress", method: "GET", url: "/studies/rolls/progress", status: 200, want: []string{`"done":1,`, `"trials":1,"held":0`, `"drift":`}},
		{name: "list", method: "GET", url: "/studies", status: 200, want: []string{`"done":1,`, `"state":"running"`}},
		{name: "conditions fixed", method: "PUT", url: "/studies/rolls", body: edit(`"replicates":2`, `"replicates":5`), headers: match("6"), status: 409, want: []string{`"kind":"refused"`, "replicates"}},
		{name: "plan fixed", method: "POST", url: "/studies/rolls/plan", status: 409, want: []string{`"kind":"refused"`}},
		{name: "finish", method: "POST", url: "/studies/rolls/finish", status: 200, want: []string{`"state":"finished"`}, events: []string{"study"}},
		{name: "log to a finished one", method: "POST", url: "/studies/rolls/trials", body: `{"key":"c1","order":2,"outcome":"held"}`, status: 409, want: []string{"open it again"}},
		{name: "repeat to a finished one", method: "POST", url: "/studies/rolls/trials", body: `{"key":"a1","order":1,"outcome":"held","peak_force_N":4.5}`, status: 200, want: []string{`"repeated":true`}},
		{name: "next of a finished one", method: "GET", url: "/studies/rolls/next?holder=rig-1", status: 409},
		{name: "reopen", method: "POST", url: "/studies/rolls/reopen", status: 200, want: []string{`"state":"running"`}, events: []string{"study"}},
		{name: "no such study", method: "POST", url: "/studies/none/trials", body: `{"key":"c1","order":2,"outcome":"held"}`, status: 404, want: []string{`"kind":"notFound"`}},
		{name: "preview", method: "POST", url: "/design/orientations", body: `{"plan":{"kind":"rings","tilts_deg":[0,30],"azimuths":[4],"rolls_deg":[0,120]},"hand":"trefoil","item":"soft-roll","setting":"open-table"}`, status: 200, want: []string{`"folded":`, `"covering_deg":`}},
		{name: "preview of nonsense", method: "POST", url: "/design/orientations", body: `{"plan":{"kind":"even","tilt_max_deg":300,"count":0},"hand":"trefoil","item":"soft-roll","setting":"open-table"}`, status: 422, want: []string{"orientations.tilt_max_deg", "orientations.count"}},
		{name: "sample size", method: "POST", url: "/design/sample-size", body: `{"kind":"prove","prove":0.9,"confidence":0.95}`, status: 200, want: []string{`"trials":29,`}},
		{name: "sample size of nonsense", method: "POST", url: "/design/sample-size", body: `{"kind":"interval","confidence":95}`, status: 422, want: []string{`"location":"confidence"`, `"location":"half_width"`}},
	} {
		b.run(s)
	}
}

func TestOtherSitesAreKeptOut(t *testing.T) {
	b := newBench(t)
	own := strings.TrimPrefix(b.server.URL, "http://")
	for _, s := range []scenario{
		{name: "foreign name", method: "GET", url: "/hands", headers: map[string]string{"Host": "evil.example:8420"}, status: 403, want: []string{"this machine only"}},
		{name: "foreign port", method: "GET", url: "/hands", headers: map[string]string{"Host": "127.0.0.1:1"}, status: 403},
		{name: "localhost by name", method: "GET", url: "/hands", headers: map[string]string{"Host": "localhost:" + own[strings.LastIndex(own, ":")+1:]}, status: 200},
		{name: "foreign origin", method: "POST", url: "/hands", body: handBody, headers: map[string]string{"Origin": "http://evil.example"}, status: 403, want: []string{"another site"}},
		{name: "null origin", method: "POST", url: "/hands", body: handBody, headers: map[string]string{"Origin": "null"}, status: 403},
		{name: "cross-site by the browser's word", method: "POST", url: "/hands", body: handBody, headers: map[string]string{"Sec-Fetch-Site": "cross-site"}, status: 403},
		{name: "own origin", method: "POST", url: "/hands", body: handBody, headers: map[string]string{"Origin": b.server.URL, "Sec-Fetch-Site": "same-origin"}, status: 201, events: []string{"hand"}},
	} {
		b.run(s)
	}
}
