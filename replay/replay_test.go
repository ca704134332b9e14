package replay

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

var update = flag.Bool("update", false, "write the replays of testdata again")

// scene is a hand of three fingers of three hinges on one cord over an egg on a table with a wall.
func scene(t testing.TB) *trialsim.Scene {
	t.Helper()
	table := motion.Surface{Friction: 0.5, Stiffness: 20000, Damping: 20, Shear: 15000}
	s := &trialsim.Scene{
		Name: "replay", Gravity: 9.81, Closing: 1,
		Item:    trialsim.Item{Name: "Egg", Shape: shape.Ellipsoid{Semi: orient.Vec3{0.028, 0.022, 0.022}}, Rest: orient.Identity, Mass: 0.06, Friction: 1},
		Setting: trialsim.Setting{Name: "Table with a wall", Support: table, Blocks: []trialsim.Block{trialsim.Wall(0.16, 0.08, table)}},
		Strategy: trialsim.Strategy{
			Name: "From above", Kind: "free", Clearance: -0.004, Standoff: 0.06, Nearest: 0.045, Farthest: 0.09,
			Phases: []trialsim.Phase{
				{Do: trialsim.Move, To: trialsim.Above}, {Do: trialsim.Move, To: trialsim.Grasp, Speed: 0.4}, {Do: trialsim.Close, Seconds: 0.5, Command: 1},
				{Do: trialsim.Lift, Distance: 0.1, Speed: 0.5, Command: -1}, {Do: trialsim.Hold, Seconds: 0.3, Command: -1},
			},
		},
	}
	h := &s.Hand
	h.Name, h.PalmRadius = "Three fingers", 0.03
	h.Skin = motion.Surface{Friction: 0.8, Stiffness: 4000, Damping: 8, Shear: 3000}
	h.Motors = []trialsim.Motor{{Travel: 0.05, Stiffness: 1000, MostForce: 25}}
	h.Cords = []trialsim.Cord{{Arms: []float64{0.008, 0.007, 0.006, 0.008, 0.007, 0.006, 0.008, 0.007, 0.006}}}
	for i, name := range []string{"thumb", "left finger", "right finger"} {
		phi := 2 * math.Pi * float64(i) / 3
		var joints []hand.Joint
		before := 0.0
		for _, length := range []float64{0.036, 0.03, 0.024} {
			joints = append(joints, hand.Joint{
				Origin: hand.Vec{Z: before}, Axis: hand.Vec{Y: -1}, Stiffness: 0.12, Damping: 0.01, Stops: hand.Stops{Lower: -0.6, Upper: 1.7, Stiffness: 5},
				Link: hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: length}, 0.007, 0.01),
			})
			before = length
		}
		chain, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		h.Fingers = append(h.Fingers, trialsim.Finger{Name: name, Chain: chain, Turn: orient.RotZ(phi).Mul(orient.RotY(0.35)), Root: orient.Vec3{0.016 * math.Cos(phi), 0.016 * math.Sin(phi), 0}})
	}
	return s
}

func filmed(t testing.TB, s *trialsim.Scene, tilt, closing, rate float64) *Trial {
	t.Helper()
	b, err := trialsim.NewBench(s, 2e-3)
	if err != nil {
		t.Fatal(err)
	}
	a := trialsim.Attempt{Orientation: orient.FromApproach(orient.Approach{Tilt: tilt, Azimuth: 1}), Closing: closing, Seed: math.MaxUint64, Number: 3}
	camera := trialsim.NewCamera(rate)
	r, err := b.Run(a, camera)
	if err != nil {
		t.Fatal(err)
	}
	return Of(s, a, r, camera.Film)
}

func written(t testing.TB, trial *Trial) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, trial); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// What is read back is what was written, to the rounding of the format, and is written with the same bytes again.
func TestThereAndBack(t *testing.T) {
	trial := filmed(t, scene(t), 0.1, 1, 50)
	packed := written(t, trial)
	if again := written(t, trial); !bytes.Equal(packed, again) {
		t.Error("the same film gives other bytes")
	}
	back, err := Read(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	if again := written(t, back); !bytes.Equal(packed, again) {
		t.Error("a replay that was read is written with other bytes")
	}
	if back.Hand != trial.Hand || back.Item != trial.Item || back.Setting != trial.Setting || back.Strategy != trial.Strategy || back.Kind != trial.Kind ||
		back.Result.Outcome != trial.Result.Outcome || back.Result.Reason != trial.Result.Reason || back.Attempt.Seed != trial.Attempt.Seed ||
		!reflect.DeepEqual(back.Joints, trial.Joints) || !reflect.DeepEqual(back.Cords, trial.Cords) || !reflect.DeepEqual(back.Film.Phases, trial.Film.Phases) {
		t.Errorf("read back %+v, written %+v", back.Result, trial.Result)
	}
	if trial.Hold == nil || back.Hold == nil || back.Hold.Closure != trial.Hold.Closure || math.Abs(back.Hold.Payload[5]-trial.Hold.Payload[5]) > 1e-3 ||
		math.Abs(back.Hold.MarginLower-trial.Hold.MarginLower) > 1e-5 {
		t.Errorf("the hold bears %+v, written %+v", back.Hold, trial.Hold)
	}
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance*(1+1e-9)) {
			t.Errorf("%s: %g, written %g", what, got, want)
		}
	}
	if len(back.Film.Frames) != len(trial.Film.Frames) || len(back.Film.Frames) < 50 {
		t.Fatalf("%d frames, written %d", len(back.Film.Frames), len(trial.Film.Frames))
	}
	touched := false
	for i, f := range trial.Film.Frames {
		g := back.Film.Frames[i]
		near("time", g.Time, f.Time, 5e-5)
		near("grip", g.Grip, f.Grip, 5e-4)
		near("tension", g.Tensions[0], f.Tensions[0], 5e-4)
		for j := range f.Joints {
			near("joint", g.Joints[j], f.Joints[j], 0.005*math.Pi/180)
		}
		for k := range f.Links {
			for c := range 3 {
				near("link", g.Links[k][1][c], f.Links[k][1][c], 5e-6)
			}
		}
		near("item", g.Items[0].Place[2], f.Items[0].Place[2], 5e-6)
		near("turn", g.Items[0].Turn.W, f.Items[0].Turn.W, 5e-6)
		for k, c := range f.Contacts {
			touched = true
			near("force", g.Contacts[k].Force[2], c.Force[2], 5e-4)
			if g.Contacts[k].From != c.From || g.Contacts[k].To != c.To || g.Contacts[k].Sliding != c.Sliding {
				t.Errorf("contact %+v, written %+v", g.Contacts[k], c)
			}
		}
	}
	if !touched {
		t.Error("nothing ever touched anything; the film shows nothing")
	}
}

func unpacked(t testing.TB, packed []byte) map[string]any {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	var d map[string]any
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	return d
}

func repack(t testing.TB, d any) []byte {
	t.Helper()
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return zip(text)
}

func zip(text []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	z.Write(text)
	z.Close()
	return b.Bytes()
}

// Whatever does not fit together is refused with a sentence that says what.
func TestFaults(t *testing.T) {
	packed := written(t, filmed(t, scene(t), 0, 1, 10))
	row := func(d map[string]any, name string, i int) []any { return d[name].([]any)[i].([]any) }
	for _, c := range []struct {
		name  string
		spoil func(d map[string]any)
		want  string
	}{
		{"format", func(d map[string]any) { d["format"] = "holdfast-replay/2" }, `"holdfast-replay/2"`},
		{"unknown field", func(d map[string]any) { d["colour"] = 1 }, "colour"},
		{"no frames", func(d map[string]any) { d["time_s"] = []any{} }, "no frames"},
		{"a column too short", func(d map[string]any) { d["grip_N"] = d["grip_N"].([]any)[1:] }, "grip_N has"},
		{"rows too few", func(d map[string]any) { d["felt_N"] = d["felt_N"].([]any)[1:] }, "felt_N has"},
		{"a row too short", func(d map[string]any) { d["links_mm"].([]any)[1] = row(d, "links_mm", 1)[1:] }, "links_mm[1] has"},
		{"time goes back", func(d map[string]any) { d["time_s"].([]any)[1] = -1.0 }, "goes back"},
		{"phase", func(d map[string]any) { d["phase"].([]any)[0] = 99 }, "phase is 99"},
		{"no rotation", func(d map[string]any) { row(d, "palm_mm_wxyz", 0)[3] = 3.0 }, "quaternion"},
		{"huge", func(d map[string]any) { row(d, "palm_mm_wxyz", 0)[0] = 1e300 }, "1e+300"},
		{"outcome", func(d map[string]any) { d["outcome"] = "perhaps" }, "perhaps"},
		{"corner", func(d map[string]any) {
			d["items"].([]any)[0].(map[string]any)["triangles"].([]any)[0] = 99999
		}, "corner"},
		{"part", func(d map[string]any) { d["parts"].([]any)[0].(map[string]any)["kind"] = "ghost" }, "ghost"},
		{"no such part", func(d map[string]any) { d["parts"] = []any{} }, "part"},
		{"cord's finger", func(d map[string]any) {
			d["cords"].([]any)[0].(map[string]any)["fingers"] = []any{7}
		}, "cord's finger is 7"},
		{"rate", func(d map[string]any) { d["frames_per_s"] = 0 }, "frames_per_s"},
		{"seed", func(d map[string]any) { d["seed"] = 3 }, "replay can not be read"},
	} {
		d := unpacked(t, packed)
		c.spoil(d)
		if _, err := Read(bytes.NewReader(repack(t, d))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want words on %q", c.name, err, c.want)
		}
	}
	for name, c := range map[string]struct {
		bytes []byte
		want  string
	}{
		"no gzip": {[]byte(`{"format":"holdfast-replay/1"}`), "not packed"},
		"cut off": {packed[:len(packed)/2], "damaged"},
		"no JSON": {zip([]byte("once upon a time")), "no JSON"},
		"bomb":    {zip(bytes.Repeat([]byte(" "), mostText+2)), "unpacks to more"},
	} {
		if _, err := Read(bytes.NewReader(c.bytes)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want words on %q", name, err, c.want)
		}
	}
}

func TestWhatCanNotBeWritten(t *testing.T) {
	good := filmed(t, scene(t), 0, 1, 10)
	for name, spoil := range map[string]func(t *Trial){
		"no frames":     func(t *Trial) { t.Film.Frames = nil },
		"not a number":  func(t *Trial) { t.Film.Frames[0].Grip = math.NaN() },
		"joints":        func(t *Trial) { t.Film.Frames[0].Joints = nil },
		"unknown kind":  func(t *Trial) { t.Film.Frames[0].Contacts = []trialsim.Contact{{From: trialsim.Part{Kind: 77}}} },
		"links missing": func(t *Trial) { t.Film.Links = t.Film.Links[1:] },
	} {
		bad := *good
		bad.Film.Frames = append([]trialsim.Frame(nil), good.Film.Frames...)
		spoil(&bad)
		var b bytes.Buffer
		if err := Write(&b, &bad); err == nil || b.Len() > 0 {
			t.Errorf("%s: %v with %d bytes written", name, err, b.Len())
		}
	}
}

// Rounding for the file is stable: what has been rounded once stays as it is, through SI and back.
func TestRoundingIsStable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e4, 1e4).Draw(t, "x")
		for _, in := range []struct{ unit, digits float64 }{{1e3, 100}, {1, 1000}, {1e-3, 1000}, {180 / math.Pi, 100}} {
			once := scaled(x, in.unit, in.digits)
			if twice := scaled(once/in.unit, in.unit, in.digits); twice != once {
				t.Fatalf("%g becomes %g, then %g", x, once, twice)
			}
			if once == 0 && math.Signbit(once) {
				t.Fatal("a zero with a sign")
			}
		}
	})
}

// The replays of testdata can be read; the page's tests show them.
func TestKeptReplays(t *testing.T) {
	kept := map[string][2]float64{"held.json.gz": {0.1, 1}, "lost.json.gz": {0.15, 0.42}} // tilt and closing command
	if *update {
		for name, c := range kept {
			s := scene(t)
			if name == "lost.json.gz" {
				press := trialsim.Phase{Do: trialsim.Press, Distance: 0.02, Speed: 0.05, UntilForce: 2}
				s.Strategy.Name, s.Strategy.Kind = "Pressed to the table", "surface-guided"
				s.Strategy.Phases = append(s.Strategy.Phases[:2:2], append([]trialsim.Phase{press}, s.Strategy.Phases[2:]...)...)
			}
			trial := filmed(t, s, c[0], c[1], 60)
			t.Log(name, trial.Result.Outcome, trial.Result.Reason)
			if err := os.WriteFile(filepath.Join("testdata", name), written(t, trial), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name := range kept {
		f, err := os.Open(filepath.Join("testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		trial, err := Read(f)
		if err != nil {
			t.Fatal(name, err)
		}
		if want := strings.TrimSuffix(name, ".json.gz"); (want == "held") != (trial.Result.Outcome == trialsim.Held) {
			t.Errorf("%s: %s", name, trial.Result.Outcome)
		}
	}
}

func BenchmarkWrite(b *testing.B) {
	trial := filmed(b, scene(b), 0.1, 1, 60)
	for b.Loop() {
		var out bytes.Buffer
		if err := Write(&out, trial); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(out.Len())/1024, "kB")
	}
}

func FuzzRead(f *testing.F) {
	packed := written(f, filmed(f, scene(f), 0, 1, 4))
	z, _ := gzip.NewReader(bytes.NewReader(packed))
	text, _ := io.ReadAll(z)
	f.Add(text)
	f.Add([]byte(`{"format":"holdfast-replay/1"}`))
	f.Add([]byte(`{"format":"holdfast-replay/1","time_s":[0],"frames_per_s":1,"outcome":"held","items":[{}],"seed":"1","orientation_wxyz":[1,0,0,0],"measured_wxyz":[1,0,0,0],"offset_mm":[0,0,0]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		trial, err := Read(bytes.NewReader(zip(text)))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := Write(&b, trial); err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		if _, err := Read(&b); err != nil {
			t.Fatalf("written but not read: %v", err)
		}
	})
}
