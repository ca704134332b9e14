package api_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/signals/sound"
	"holdfast/signals/touch"
	"holdfast/signals/touch/finger"
	"holdfast/workflow"
)

// wavOf is a clip of an invented finger.
func wavOf(t testing.TB, piece int, atMm float64, number int) []byte {
	t.Helper()
	p := finger.Specimens(3, 1)[piece]
	x := p.Touch(atMm, 0.03, 1, number)
	for i := range x {
		x[i] *= 0.01
	}
	var b bytes.Buffer
	if err := sound.Write(&b, &sound.Recording{RateHz: p.RateHz, Channels: [][]float64{x}}, sound.Coding{Bits: 24}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// touchTrained keeps so many clips of the hand trefoil and learns from them.
func touchTrained(t *testing.T, b *bench, clips int) {
	t.Helper()
	var list []workflow.TouchSound
	for i := range clips {
		at := 25 + 55*float64(i/2)/float64(clips/2)
		var snr *float64 // known of every second clip
		if i%2 == 0 {
			snr = new(31.0)
		}
		list = append(list, workflow.TouchSound{WAV: wavOf(t, i%2, at, i), TouchClip: domain.TouchClip{
			Hand: "trefoil", Key: fmt.Sprint("k", i), Session: fmt.Sprint(i % 4), Specimen: fmt.Sprint(i % 2), SNRDB: snr, Object: []string{"roll", "egg"}[i/2%2],
			Label: domain.TouchLabel{Zone: []string{"root", "tip"}[2*i/clips], PositionMm: &at},
		}})
	}
	if _, _, err := b.lab.KeepTouchClips(t.Context(), list); err != nil {
		t.Fatal(err)
	}
	if _, err := b.lab.TrainTouch(t.Context(), "trefoil", 1, nil); err != nil {
		t.Fatal(err)
	}
}

func TestTouchScenarios(t *testing.T) {
	b := stocked(t)
	const url = "/hands/trefoil/touch"
	clip := string(wavOf(t, 0, 40, 1))
	for _, s := range []scenario{
		{name: "nothing yet", method: "GET", url: url, status: 200, want: []string{`"clips":[]`, `"stale":false`}},
		{name: "no model", method: "GET", url: url + "/model.json", status: 404, want: []string{"train a model first"}},
		{name: "keep", method: "POST", url: url + "/clips?key=a&zone=tip&position_mm=40&session=mon&specimen=1&by=ada", body: clip, status: 201, want: []string{`"id":1`, `"rate_hz":48000`, `"samples":2400`}, events: []string{"touch"}},
		{name: "no session", method: "POST", url: url + "/clips?key=b&specimen=1", body: clip, status: 422, want: []string{`"location":"session"`}},
		{name: "no sound", method: "POST", url: url + "/clips?key=b&session=mon&specimen=1", body: "RIFF", status: 422, want: []string{`"location":"sound"`, "byte 0"}},
		{name: "unknown hand", method: "POST", url: "/hands/paw/touch/clips?session=mon&specimen=1", body: clip, status: 404},
		{name: "relabel", method: "POST", url: url + "/labels", body: `[{"clip":1,"zone":"pad","by":"bo"}]`, status: 200, want: []string{`"zone":"pad"`}, not: []string{`"zone":"tip"`}, events: []string{"touch"}},
		{name: "all that is known", method: "GET", url: url + "?after=2", status: 200, want: []string{`"clips":[]`, `"since":2`, `"newest":2`}},
		{name: "what came after", method: "GET", url: url + "?after=1", status: 200, want: []string{`"label":2`, `"since":1`}},
		{name: "after what never was", method: "GET", url: url + "?after=7", status: 200, want: []string{`"label":2`, `"since":0`}},
		{name: "before all", method: "GET", url: url + "?after=-1", status: 422},
		{name: "nobody labels", method: "POST", url: url + "/labels", body: `[{"clip":1,"zone":"pad","by":" "}]`, status: 422, want: []string{`"location":"by"`}},
		{name: "no such clip", method: "POST", url: url + "/labels", body: `[{"clip":9,"zone":"pad","by":"bo"}]`, status: 404},
		{name: "history", method: "GET", url: url + "/clips/1/labels", status: 200, want: []string{`"zone":"tip"`, `"zone":"pad"`, `"by":"ada"`}},
		{name: "a seed that is none", method: "POST", url: url + "/training", body: `{"seed":"x"}`, status: 422},
		{name: "invented knock", method: "GET", url: "/invented-knocks/7", status: 200, want: []string{`"rate_hz":48000`, `"position_mm":`}},
		{name: "picture", method: "GET", url: url + "/clips/1/picture", status: 200, want: []string{`"span_s":0.05`, `"step_hz":187.5`, `"levels_dB":[[`}},
		{name: "picture of nothing", method: "GET", url: url + "/clips/9/picture", status: 404},
		{name: "listening with an unknown hand", method: "GET", url: "/hands/paw/touch/live?rate_hz=48000", status: 404},
		{name: "listening at no rate", method: "GET", url: url + "/live?rate_hz=0", status: 422, want: []string{"8000 to 192000 Hz"}},
	} {
		b.t = t
		b.run(s)
	}
	if err := b.lab.StartTouchTraining(t.Context(), "trefoil", 1); err != nil {
		t.Fatal(err)
	}
	until(t, func() bool {
		st, err := b.lab.TouchLab(t.Context(), "trefoil")
		return err == nil && st.Running == nil
	})
	st, err := b.lab.TouchLab(t.Context(), "trefoil")
	if err != nil || !strings.Contains(st.Failed, "label at least 8") {
		t.Errorf("%v %q", err, st.Failed)
	}
}

func until(t *testing.T, done func() bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); !done(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("it does not come to its end")
		}
	}
}

func TestTouchTrainedEvidence(t *testing.T) {
	b := stocked(t)
	b.t = t
	touchTrained(t, b, 96)
	var s api.TouchState
	read(t, b.run(scenario{name: "state", method: "GET", url: "/hands/trefoil/touch", status: 200}), &s)
	if m := s.Model; m == nil || s.Stale || m.Evidence.HeldOut != "specimen" || m.Evidence.Zones == nil || m.Evidence.Zones.Grouped.Accuracy.Mean <= m.Evidence.Zones.Guess.Accuracy.Mean || m.Zones[0] != "root" {
		t.Errorf("%+v", s.Model)
	}
	// Two objects, in both pieces: each is told with and without having been heard. Each day is of one piece alone.
	if c := s.Model.Evidence.Changes; len(c) != 6 || c[2].What != "day" || c[2].Why == "" || c[0].What != "object" || c[0].Level != "roll" || c[0].Clips != 48 || c[0].Unheard == nil || c[1].HeardMm == nil {
		t.Errorf("%+v", c)
	}
	// As much noise as sound hides what 60 dB less leaves.
	if n := s.Model.Evidence.UnderNoise; len(n) != len(touch.UsualRatiosDB) || n[0].RatioDB != 60 || n[0].Clips != 96 || n[0].Right.Mean < n[5].Right.Mean || n[5].Unsure.Mean < n[0].Unsure.Mean || n[0].Right.High < n[0].Right.Mean {
		t.Errorf("%+v", n)
	}
	if own := s.Model.Evidence.OwnSNR; own == nil || own.MedianDB != 31 || own.Clips != 48 {
		t.Errorf("%+v", own)
	}
	b.run(scenario{name: "label", method: "POST", url: "/hands/trefoil/touch/labels", body: `[{"clip":1,"zone":"tip","position_mm":3,"by":"bo"}]`, status: 200, want: []string{`"stale":true`}, events: []string{"touch"}})
	// The answer to a label holds the clips labelled; with after, what others labelled meanwhile too.
	for query, want := range map[string][]int64{"": {2, 5}, fmt.Sprint("?after=", s.Newest): {1, 2, 5}} {
		var told api.TouchState
		read(t, b.run(scenario{name: "label two", method: "POST", url: "/hands/trefoil/touch/labels" + query, body: `[{"clip":5,"zone":"tip","position_mm":3,"by":"bo"},{"clip":2,"zone":"tip","position_mm":3,"by":"bo"}]`, status: 200, events: []string{"touch"}}), &told)
		ids := []int64{}
		for _, c := range told.Clips {
			ids = append(ids, c.ID)
		}
		if !slices.Equal(ids, want) || told.Newest <= s.Newest || told.Model == nil {
			t.Errorf("%q answers with clips %v, since %d, newest %d", query, ids, told.Since, told.Newest)
		}
	}
	b.run(scenario{name: "model", method: "GET", url: "/hands/trefoil/touch/model.json", status: 200, want: []string{"holdfast touch model"}})
}

// What an earlier version kept as evidence has no word of noise; it is read all the same.
func TestTouchEvidenceOfEarlierVersions(t *testing.T) {
	b := stocked(t)
	b.t = t
	touchTrained(t, b, 48)
	kept, err := b.lab.Store.TouchModels(t.Context(), "trefoil")
	if err != nil {
		t.Fatal(err)
	}
	old := kept[0]
	old.Evidence = []byte(`{"clips":48,"held_out":"specimen","groups":2,"folds":2}`)
	if _, err := b.lab.Store.AddTouchModel(t.Context(), old); err != nil {
		t.Fatal(err)
	}
	b.run(scenario{name: "state", method: "GET", url: "/hands/trefoil/touch", status: 200, want: []string{`"under_noise":[]`, `"changes":[]`}, not: []string{`"own_snr"`}})
}

// Samples go in over the socket, answers come back; other sites and what is no sound are refused.
func TestTouchLive(t *testing.T) {
	b := stocked(t)
	b.t = t
	touchTrained(t, b, 48)
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	at := "ws" + strings.TrimPrefix(b.server.URL, "http") + "/api/v1/hands/trefoil/touch/live"
	if _, r, err := websocket.Dial(ctx, at+"?rate_hz=48000", &websocket.DialOptions{HTTPHeader: http.Header{"Origin": {"http://elsewhere.example"}}}); err == nil || r.StatusCode != 403 {
		t.Error("another site's page may listen")
	}
	for query, want := range map[string]string{"?rate_hz=44100": "trained at 48000 Hz", "?rate_hz=48000&format=mp3": "not known", "": "Hz"} {
		if _, r, err := websocket.Dial(ctx, at+query, nil); err == nil || r.StatusCode != 422 {
			t.Errorf("%s was taken: %v", query, err)
		} else if text, _ := io.ReadAll(r.Body); !strings.Contains(string(text), want) {
			t.Errorf("%s: %s", query, text)
		}
	}
	c, _, err := websocket.Dial(ctx, at+"?rate_hz=48000&format=s16", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer c.CloseNow()
	r := b.run(scenario{name: "knock", method: "GET", url: "/invented-knocks/3", status: 200})
	var knock api.InventedKnock
	read(t, r, &knock)
	raw := []byte{}
	for _, v := range knock.Samples {
		raw = binary.LittleEndian.AppendUint16(raw, uint16(v))
	}
	for len(raw) > 0 {
		n := min(777, len(raw))
		if err := c.Write(ctx, websocket.MessageBinary, raw[:n]); err != nil {
			t.Fatal(err)
		}
		raw = raw[n:]
	}
	_, text, err := c.Read(ctx)
	var a api.TouchAnswer
	if err != nil || json.Unmarshal(text, &a) != nil || a.Kind != "touch" || len(a.Probabilities) != 2 || a.Samples != 2304 || math.Abs(a.StartS-a.OnsetS) > 1e-9 || a.PositionMm == nil || math.Abs(*a.HighMm-*a.PositionMm-1.6449**a.ErrorMm) > 1e-3**a.ErrorMm || math.Abs(a.OnsetS-0.06) > 0.001 || a.LatencyMs < 0 {
		t.Fatalf("%v %s", err, text)
	}
	f, _, err := websocket.Dial(ctx, at+"?rate_hz=48000", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer f.CloseNow()
	if err := f.Write(ctx, websocket.MessageBinary, []byte{0, 0, 0xC0, 0x7F}); err != nil {
		t.Fatal(err)
	}
	if _, text, err = f.Read(ctx); err != nil || !strings.Contains(string(text), `"kind":"fault"`) {
		t.Errorf("%v %s", err, text)
	}
}

// While nothing was learnt a touch is cut out and nothing is said of where it was.
func TestTouchLiveWithoutModel(t *testing.T) {
	b := stocked(t)
	b.t = t
	ctx, stop := context.WithTimeout(t.Context(), 20*time.Second)
	defer stop()
	c, _, err := websocket.Dial(ctx, "ws"+strings.TrimPrefix(b.server.URL, "http")+"/api/v1/hands/trefoil/touch/live?rate_hz=48000&format=s16", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer c.CloseNow()
	var knock api.InventedKnock
	read(t, b.run(scenario{name: "knock", method: "GET", url: "/invented-knocks/3", status: 200}), &knock)
	raw := []byte{}
	for _, v := range knock.Samples {
		raw = binary.LittleEndian.AppendUint16(raw, uint16(v))
	}
	if err := c.Write(ctx, websocket.MessageBinary, raw); err != nil {
		t.Fatal(err)
	}
	_, text, err := c.Read(ctx)
	var a api.TouchAnswer
	if err != nil || json.Unmarshal(text, &a) != nil || a.Kind != "touch" || a.Zone != "" || a.Probabilities != nil || a.PositionMm != nil || a.Samples < 2000 || math.Abs(a.OnsetS-0.06) > 0.001 {
		t.Fatalf("%v %s", err, text)
	}
}

// A long clip is drawn in few spectra, and a short click in it stays in sight; what is shorter than a window is drawn too.
func TestTouchPictureOfAnyLength(t *testing.T) {
	b := stocked(t)
	b.t = t
	for i, n := range []int{1, 100, 2400, 1_000_000} {
		x := make([]float64, n)
		x[n/3] = 0.5
		var wav bytes.Buffer
		if err := sound.Write(&wav, &sound.Recording{RateHz: 48000, Channels: [][]float64{x}}, sound.Coding{Bits: 16}); err != nil {
			t.Fatal(err)
		}
		clip := workflow.TouchSound{WAV: wav.Bytes(), TouchClip: domain.TouchClip{Hand: "trefoil", Session: "s", Specimen: "f"}}
		if _, _, err := b.lab.KeepTouchClips(t.Context(), []workflow.TouchSound{clip}); err != nil {
			t.Fatal(err)
		}
		var p api.TouchPicture
		read(t, b.run(scenario{name: "picture", method: "GET", url: fmt.Sprintf("/hands/trefoil/touch/clips/%d/picture", i+1), status: 200}), &p)
		most, at := -1e9, 0
		for f, spectrum := range p.LevelsDB {
			if spectrum[20] > most {
				most, at = spectrum[20], f
			}
		}
		if len(p.LevelsDB) > 400 || len(p.High) > 1000 || len(p.LevelsDB[0]) != 129 {
			t.Fatalf("%d samples: %d spectra of %d, %d parts", n, len(p.LevelsDB), len(p.LevelsDB[0]), len(p.High))
		}
		if when := p.FirstS + float64(at)*p.StepS; math.Abs(when-float64(n/3)/48000) > p.StepS+p.WindowMs/1000 {
			t.Errorf("%d samples: the click at %g s is drawn at %g s", n, float64(n/3)/48000, when)
		}
	}
}

// A training that is stopped leaves the model as it was, and another can begin. Asked without scenarios: when its events come
// is up to the training.
func TestTouchTrainingIsStopped(t *testing.T) {
	b := stocked(t)
	b.t = t
	touchTrained(t, b, 96)
	ask := func(method string) (int, string) {
		t.Helper()
		r, err := http.NewRequestWithContext(t.Context(), method, b.server.URL+"/api/v1/hands/trefoil/touch/training", strings.NewReader("{}"))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		res, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		defer res.Body.Close()
		text, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res.StatusCode, string(text)
	}
	for range 2 {
		for _, s := range []struct {
			method string
			status int
			want   string
		}{{"POST", 202, `"running":`}, {"POST", 409, "under way already"}, {"DELETE", 204, ""}} {
			if status, text := ask(s.method); status != s.status || !strings.Contains(text, s.want) {
				t.Errorf("%s: %d %s", s.method, status, text)
			}
		}
	}
	if status, text := ask("DELETE"); status != 404 {
		t.Errorf("nothing to stop: %d %s", status, text)
	}
	st, err := b.lab.TouchLab(t.Context(), "trefoil")
	if err != nil || st.Running != nil || st.Failed != "" || st.Model == nil || st.Model.ID != 1 {
		t.Errorf("%v %+v %q %+v", err, st.Running, st.Failed, st.Model)
	}
}
