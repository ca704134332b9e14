package scenes

import (
	"fmt"
	"math"
	"os"
	"path"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// The numbers that a hand is, without what they are kept in.
func figures(h *trialsim.Hand) string { return figuresWith(h, func(x float64) float64 { return x }) }

// figuresWith gives inertias as they are told.
func figuresWith(h *trialsim.Hand, told func(float64) float64) string {
	var b strings.Builder
	for _, f := range h.Fingers {
		fmt.Fprintf(&b, "%s %v %v\n", f.Name, f.Root, f.Turn)
		for k := range f.Chain.Joints() {
			j := f.Chain.Joint(k)
			for _, x := range []*float64{&j.Link.Inertia.XX, &j.Link.Inertia.YY, &j.Link.Inertia.ZZ, &j.Link.Inertia.XY, &j.Link.Inertia.XZ, &j.Link.Inertia.YZ} {
				*x = told(*x)
			}
			fmt.Fprintf(&b, "  %+v\n", j)
		}
	}
	fmt.Fprintf(&b, "%+v\n%+v\n%+v %g %+v %g %g %d %t\n", h.Motors, h.Cords, h.Wrist, h.PalmRadius, h.Skin, h.SkinModulus, h.SkinThickness, h.RollFold, h.Mirror)
	// A zero may lose its sign.
	return strings.NewReplacer(":-0 ", ":0 ", ":-0}", ":0}").Replace(b.String())
}

// torques sums what the chambers of equal pressure and times do to each joint.
func torques(h *trialsim.Hand) map[[3]float64][]float64 {
	sums := map[[3]float64][]float64{}
	for _, c := range h.Chambers {
		key := [3]float64{c.Pressure, c.Filling, c.Venting}
		if sums[key] == nil {
			sums[key] = make([]float64, h.Joints())
		}
		for j, t := range c.Torque {
			sums[key][j] += t
		}
	}
	return sums
}

// A hand that was read, written in full and read again is the same hand.
func TestHandsWrittenInFullReadBack(t *testing.T) {
	for _, name := range hands {
		h, err := ReadHand(shipped, "hands/"+name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		text := WriteHand(h)
		again, err := ReadHand(fstest.MapFS{"f": {Data: text}}, "f")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		// To some inertias no decimal of g·mm² leads: then the one beside it is written, and no further.
		want := figuresWith(h, func(x float64) float64 {
			written := nano(toNano(x))
			if math.Abs(written-x) > math.Nextafter(math.Abs(x), 1)-math.Abs(x) {
				t.Errorf("%s: an inertia of %v is written as %v", name, x, written)
			}
			return written
		})
		if diff := cmp.Diff(want, figures(again)); diff != "" {
			t.Errorf("%s (-first +again):\n%s", name, diff)
		}
		if diff := cmp.Diff(torques(h), torques(again)); diff != "" {
			t.Errorf("%s (-first +again):\n%s", name, diff)
		}
		doc, err := asJSON(text)
		if err != nil {
			t.Fatal(err)
		}
		if err := compiled(t, "hand").Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Remarks stand before a hand and say nothing to its reader, whatever is in them.
func TestRemarksAreComments(t *testing.T) {
	h, err := ReadHand(shipped, "hands/air-four.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := WriteHand(h, "first: line", "two\nname: other\u2028name: third\u0085name: fourth\r", "")
	if want := "# first: line\n# two name: other name: third name: fourth\n#\nname:"; !strings.HasPrefix(string(text), want) {
		t.Errorf("%.200s", text)
	}
	again, err := ReadHand(fstest.MapFS{"f": {Data: text}}, "f")
	if err != nil || figures(again) != figures(h) || again.Name != h.Name {
		t.Errorf("%v: %s", err, text)
	}
}

// Every shipped strategy, written, reads back as it was.
func TestStrategiesWrittenReadBack(t *testing.T) {
	eachShipped(t, func(name, format string, _ []byte) {
		if format != "strategy" {
			return
		}
		s, err := ReadStrategy(shipped, name)
		if err != nil {
			t.Error(err)
			return
		}
		text := WriteStrategy(s, "as it was")
		again, err := ReadStrategy(fstest.MapFS{"f": {Data: text}}, "f")
		if err != nil || !reflect.DeepEqual(s, again) {
			t.Errorf("%s: %v\n%s", name, err, text)
		}
	})
}

// What a strategy does by the direction of a touch reads back, zeros and all.
func TestDirectionsWrittenReadBack(t *testing.T) {
	s, err := ReadStrategy(shipped, "strategies/feel-first.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for i := range s.Phases {
		for k := range s.Phases[i].Adjustments {
			s.Phases[i].Adjustments[k].ByDirection = &trialsim.ByDirection{
				PerX: orient.Vec3{0.0123, 0, -0.004}, PerY: orient.Vec3{0, 0, 0}, At: [2]float64{0, -0.25}, Low: [2]float64{-1, -0.5}, High: [2]float64{0.125, 0},
			}
		}
	}
	text := WriteStrategy(s, "as it was")
	again, err := ReadStrategy(fstest.MapFS{"f": {Data: text}}, "f")
	if again != nil {
		again.Name = s.Name
	}
	if err != nil || !reflect.DeepEqual(s, again) {
		t.Errorf("%v\n%s", err, text)
	}
	doc, err := asJSON(text)
	if err != nil {
		t.Fatal(err)
	}
	if err := compiled(t, "strategy").Validate(doc); err != nil {
		t.Error(err)
	}
	bad := strings.Replace(string(text), "low: [-1, -0.5]", "low: [-3, -0.5]", 1)
	if _, err := ReadStrategy(fstest.MapFS{"f": {Data: []byte(bad)}}, "f"); err == nil || !strings.Contains(err.Error(), "low") {
		t.Errorf("a direction beyond 1: %v", err)
	}
}

// A scene written whole needs no other file, and gives the same scene.
func TestScenesWrittenWholeReadBack(t *testing.T) {
	eachShipped(t, func(name, format string, _ []byte) {
		if format != "scene" {
			return
		}
		s, err := ReadScene(shipped, name)
		if err != nil {
			t.Error(err)
			return
		}
		text := s.Whole()
		again, err := ReadScene(fstest.MapFS{"f": {Data: text}}, "f")
		if err != nil {
			t.Errorf("%s: %v\n%s", name, err, text)
			return
		}
		if diff := cmp.Diff(figures(&s.Hand), figures(&again.Hand)); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
		if !reflect.DeepEqual(s.Item, again.Item) || !reflect.DeepEqual(s.Setting, again.Setting) || !reflect.DeepEqual(s.Strategy, again.Strategy) || s.Error != again.Error || s.Closing != again.Closing || s.Gravity != again.Gravity {
			t.Errorf("%s is another scene when written whole:\n%s", name, text)
		}
		if second := again.Whole(); string(second) != string(text) {
			t.Errorf("%s written twice differs:\n%s", name, cmp.Diff(string(text), string(second)))
		}
		doc, err := asJSON(text)
		if err != nil {
			t.Error(err)
			return
		}
		if err := compiled(t, "scene").Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	})
}

// Any decimal of up to nine digits at the edge comes back as it was.
func TestUnitsThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := float64(rapid.Int64Range(-999999999, 999999999).Draw(t, "digits")) / math.Pow(10, float64(rapid.IntRange(0, 9).Draw(t, "places")))
		for _, c := range []struct {
			name       string
			into, back func(float64) float64
		}{{"mm", milli, toMilli}, {"deg", radians, toDegrees}, {"N/mm", kilo, toKilo}, {"N·mm²", micro, toMicro}, {"g·mm²", nano, toNano}} {
			if got := c.back(c.into(x)); got != x {
				t.Errorf("%s: %v came back as %v", c.name, x, got)
			}
		}
	})
}

// Texts with anything in them are written so that they read back.
func TestTextsThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringN(1, 60, 200).Draw(t, "text")
		if strings.TrimSpace(s) == "" || strings.ContainsRune(s, '\r') || !printableYAML(s) {
			t.Skip()
		}
		f := strategyFile{Name: s, Kind: "free", Phases: []phaseFile{{Do: "hold", Seconds: 1}}}
		text := encode(reflect.ValueOf(&f).Elem())
		var again strategyFile
		src := &source{file: "f", at: map[string]position{}, errors: &Errors{}}
		if !src.fill(text, reflect.ValueOf(&again).Elem()) || again.Name != s {
			t.Errorf("%q became %q: %v\n%s", s, again.Name, src.errors, text)
		}
	})
}

// printableYAML says whether YAML allows the characters at all.
func printableYAML(s string) bool {
	for _, r := range s {
		if r < 0x20 && r != '\n' && r != '\t' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0xd800 && r < 0xe000 || r == 0xfeff || r >= 0xfffe {
			return false
		}
	}
	return true
}

var hands = []string{"jaws-two", "rigid-three", "tendon-five", "air-four", "trefoil"}

// describe says what people would measure on a hand.
func describe(h *trialsim.Hand) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d fingers, %d joints, %d motors, %d cords, %d chambers\n", h.Name, len(h.Fingers), h.Joints(), len(h.Motors), len(h.Cords), len(h.Chambers))
	least := math.Inf(1)
	for i, f := range h.Fingers {
		s := f.Chain.NewState()
		s.Base.Turn, s.Base.Position = turnOf(f.Turn), hand.Vec{X: f.Root[0], Y: f.Root[1], Z: f.Root[2]}
		for k := range f.Chain.Joints() {
			s.Q[k] = f.Chain.Joint(k).Rest
		}
		s.Update()
		length, mass, inner := 0.0, 0.0, math.Inf(1)
		for k := range f.Chain.Joints() {
			from, to, r := s.Capsule(k)
			root := s.Base.Position
			length = math.Max(length, math.Max(from.Sub(root).Norm(), to.Sub(root).Norm())+r)
			mass += f.Chain.Joint(k).Link.Mass
			inner = math.Min(inner, math.Min(math.Hypot(from.X, from.Y), math.Hypot(to.X, to.Y))-r)
		}
		least = math.Min(least, inner)
		if i == 0 || len(h.Fingers) == 5 && i == 1 {
			fmt.Fprintf(&b, "  %s: %d joints, %.1f mm long, %.1f g\n", f.Name, f.Chain.Joints(), length*1e3, mass*1e3)
		}
	}
	fmt.Fprintf(&b, "  room between the open fingers: %.1f mm, palm %.0f mm, skin %.2g N/mm with friction %.2g\n", 2*least*1e3, 2*h.PalmRadius*1e3, h.Skin.Stiffness/1e3, h.Skin.Friction)
	return b.String()
}

func TestShippedHandsAreWhatTheyWere(t *testing.T) {
	var b strings.Builder
	for _, name := range hands {
		h, err := ReadHand(shipped, "hands/"+name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString(describe(h))
	}
	golden(t, "hands.txt", b.String())
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := path.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-was +is); rewrite with -update and look at it:\n%s", file, diff)
	}
}

// closing keeps the flange in the air and closes.
type closing struct{ full float64 }

var down = orient.RotX(math.Pi)

func (c closing) At(t float64) trialsim.Flange {
	return trialsim.Flange{Place: [3]float64{0, 0, 1}, Turn: down, Command: c.full * math.Min(1, t/0.5)}
}

// Closing on nothing, every hand's tips come together from the open hand's width, more with more command, and nothing of it
// swings on at the end.
func TestShippedHandsClose(t *testing.T) {
	for _, name := range hands {
		h, err := ReadHand(shipped, "hands/"+name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		item, err := ReadItem(shipped, "items/egg.yaml")
		if err != nil {
			t.Fatal(err)
		}
		setting, err := ReadSetting(shipped, "settings/table.yaml")
		if err != nil {
			t.Fatal(err)
		}
		s := &trialsim.Scene{Hand: *h, Item: *item, Setting: *setting, Gravity: 9.81, Closing: 1}
		widths := []float64{}
		for _, command := range []float64{0, 0.25, 0.5} {
			g := trialsim.NewStage(s)
			path := closing{command}
			g.Start(path, [3]float64{0, 0, 0.022}, item.Rest)
			for range 1500 {
				g.Step(path, 1e-3)
			}
			before := width(g, h)
			for range 100 {
				g.Step(path, 1e-3)
			}
			after := width(g, h)
			if math.Abs(after-before) > 1e-4 {
				t.Errorf("%s at command %g: the tips still move, %.2f mm in 0.1 s", name, command, (after-before)*1e3)
			}
			widths = append(widths, after)
		}
		t.Logf("%s: tips on a circle of %.1f mm open, %.1f mm at a quarter, %.1f mm at half", name, widths[0]*2e3, widths[1]*2e3, widths[2]*2e3)
		if !(widths[0] > 0.03 && widths[1] < widths[0]-0.003 && widths[2] < widths[1]-0.003 && widths[2] > 0) {
			t.Errorf("%s: tips stand %v m from the axis at commands of 0, 0.25 and 0.5", name, widths)
		}
	}
}

// width is the mean distance of the fingertips from the palm's axis, m.
func width(g *trialsim.Stage, h *trialsim.Hand) float64 {
	sum := 0.0
	for i, f := range h.Fingers {
		s := f.Chain.NewState()
		s.Base.Turn, s.Base.Position = turnOf(f.Turn), hand.Vec{X: f.Root[0], Y: f.Root[1], Z: f.Root[2]}
		for k := range s.Q {
			s.Q[k] = g.Angle(i, k)
		}
		s.Update()
		from, to, _ := s.Capsule(f.Chain.Joints() - 1)
		tip := from.Add(to).Scale(0.5)
		sum += math.Hypot(tip.X, tip.Y)
	}
	return sum / float64(len(h.Fingers))
}
