package report

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/orient"
)

// The rings around {f ≥ level} enclose it: a point is inside by even-odd count exactly where the interpolated field
// says so, and the area of a disc comes out right.
func TestContourEnclosesTheRegion(t *testing.T) {
	const n = 80
	f := &field{n, make([]float64, n*n)}
	for r := range n {
		for c := range n {
			f.v[r*n+c] = 0.7 - math.Hypot(f.centre(float64(c))-0.1, f.centre(float64(r)))
		}
	}
	area := 0.0
	for _, ring := range f.above(0) {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			area += (a.X*b.Y - b.X*a.Y) / 2
		}
	}
	if want := math.Pi * 0.7 * 0.7; math.Abs(math.Abs(area)-want) > 0.002*want {
		t.Errorf("area %g, want %g", area, want)
	}

	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 7).Draw(t, "n")
		f := &field{n, rapid.SliceOfN(rapid.Float64Range(0, 1), n*n, n*n).Draw(t, "v")}
		level := rapid.Float64Range(0.05, 0.95).Draw(t, "level")
		rings := f.above(level)
		for r := range n {
			for c := range n {
				if math.Abs(f.at(r, c)-level) < 1e-6 {
					continue
				}
				if in := inside(rings, f.centre(float64(c)), -f.centre(float64(r))); in != (f.at(r, c) > level) {
					t.Fatalf("node %d,%d with %g is inside: %v, level %g", r, c, f.at(r, c), in, level)
				}
			}
		}
	})
}

func inside(rings [][]Point, x, y float64) bool {
	in := false
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.Y > y) != (b.Y > y) && x < a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y) {
				in = !in
			}
		}
	}
	return in
}

func TestPaintedAreas(t *testing.T) {
	s := &Scene{W: 100, H: 100}
	s.Draw(circle(50, 50, 30), fill(Colour{0, 0, 0}))
	s.Draw(circle(50, 50, 10), fill(Paper))
	s.Clip(rect(0, 0, 50, 100), func() { s.Draw(rect(2, 2, 96, 10), fill(Colour{0, 0, 0})) })
	s.Draw(polyline(Point{10, 90}, Point{90, 90}), stroke(Colour{0, 0, 0}, 2))
	data, err := s.PNG(500)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	dark := func(y0, y1 int) (mm2 float64) {
		for y := y0 * 5; y < y1*5; y++ {
			for x := range 500 {
				r, _, _, _ := img.At(x, y).RGBA()
				mm2 += (1 - float64(r)/0xffff) / 25
			}
		}
		return mm2
	}
	for _, c := range []struct {
		name      string
		y0, y1    int
		want, tol float64
	}{
		{"ring", 19, 81, math.Pi * (900 - 100), 8},
		{"clipped bar", 0, 15, 480, 1},
		{"line with round ends", 85, 95, 160 + math.Pi, 1.5},
	} {
		if got := dark(c.y0, c.y1); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s covers %.1f mm², want %.1f", c.name, got, c.want)
		}
	}
	if _, err := s.PNG(20); err == nil {
		t.Error("a picture of 20 pixels is drawn")
	}
}

// Every sign that the page's faces have is drawn in pictures too, or is blank on purpose.
func TestStrokeFaceCoversWestern(t *testing.T) {
	face := strokeFace()
	const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;-–—_+=±×·/|\\%()[]°'’\"“”<>!?#*&@…•~" +
		"éèêëáàâäãåçíìîïñóòôöõøúùûüýÿßæÉÈÊÀÂÄÅÇÖÜØÑµ²½"
	for _, r := range letters {
		if len(face[r]) == 0 {
			t.Errorf("no strokes for %q", r)
		}
		for _, line := range face[r] {
			for _, p := range line {
				if p.X < -25 || p.X > 125 || p.Y < -30 || p.Y > 100 {
					t.Errorf("%q strays to %v", r, p)
				}
			}
		}
	}
}

// After a clipped group the document's colours must be set anew, or a text loses its own.
func TestTextAfterClipKeepsItsColour(t *testing.T) {
	s := &Scene{W: 100, H: 100}
	s.Clip(rect(0, 0, 10, 10), func() { s.Draw(rect(0, 0, 10, 10), fill(Accent)) })
	s.Text(20, 20, "green", 5, Accent, Start)
	pdf := newPDF("t", time.Unix(0, 0))
	pdf.SetCompression(false)
	pdf.AddPageFormat("P", fpdf.SizeType{Wd: 100, Ht: 100})
	drawPDF(pdf, s)
	data, err := finishPDF(pdf)
	if err != nil {
		t.Fatal(err)
	}
	after := string(data[bytes.LastIndex(data, []byte("\nQ\n")):])
	if q := bytes.Index(data, []byte("(green)")); q < 0 {
		t.Fatal("the text is not there")
	}
	const accent = "0.059 0.361 0.259 rg"
	if i := strings.Index(string(data), "(green)"); !strings.Contains(string(data[max(0, i-120):i]), accent) {
		t.Errorf("the text is not set in the accent:\n%s", after)
	}
}

func TestSVGIsWellFormed(t *testing.T) {
	s := &Scene{W: 10, H: 10, Title: `<&">` + "\x01", Desc: "\xff"}
	s.Text(1, 1, "a < b & \"c\" \x02", 2, Ink, End)
	s.Place((&Pose{Rotation: orient.Identity}).FromSide(5), 0, 0, 1)
	d := xml.NewDecoder(bytes.NewReader(s.SVG()))
	for {
		_, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func TestPoseGolden(t *testing.T) {
	parts := someParts()
	sheet := &Scene{W: 186, H: 62, Title: "Poses", Desc: "Six poses from above and from the side."}
	for i, a := range []orient.Approach{{Roll: 0}, {Roll: 45 * deg}, {Tilt: 30 * deg}, {Tilt: 30 * deg, Azimuth: 90 * deg},
		{Tilt: 60 * deg, Azimuth: -160 * deg, Roll: 30 * deg}, {Tilt: 90 * deg, Roll: 90 * deg}} {
		p := &Pose{Rotation: orient.FromApproach(a), Hand: parts.Hand, Item: parts.Item, Setting: parts.Setting}
		sheet.Place(p.FromAbove(30), float64(i)*31, 0, 1)
		sheet.Place(p.FromSide(30), float64(i)*31, 31, 1)
	}
	golden(t, "poses.svg", sheet.SVG())
}

func someSheet() *RunSheet {
	parts := someParts()
	r := &RunSheet{
		Study:    domain.Study{Name: "Croissants on trays", Question: "Does surface-guided picking beat free picking?", Seed: 20260301, Target: 0.95, Meta: domain.Meta{Invented: true}},
		Hands:    map[domain.ID]domain.Hand{"soft-hand-2": *parts.Hand},
		Items:    map[domain.ID]domain.Item{"croissant": *parts.Item, "eclair": {ID: "eclair", Name: "Éclair", Shape: domain.ShapeBox, Size: [3]float64{0.12, 0.04, 0.03}, Food: true}},
		Settings: map[domain.ID]domain.Setting{"baking-tray": *parts.Setting}, Printed: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC),
	}
	for i := range 30 {
		run := domain.PlannedRun{Order: i + 1, Block: 1 + i/15, WholePlot: 1 + i/10, Hand: "soft-hand-2", Item: "croissant", Setting: "baking-tray",
			Strategy: domain.StrategySurface, Cell: i, Replicate: 1, Closing: 0.55, Offset: [3]float64{0.001 * float64(i%5), -0.0023},
			Planned: orient.FromApproach(orient.Approach{Tilt: float64(i*7%60) * deg, Azimuth: float64(i*50%360) * deg, Roll: float64(i*30) * deg})}
		if i/10 == 1 {
			run.Item = "eclair"
		}
		if i%15 == 0 {
			run.Reference, run.Cell, run.Planned, run.Offset, run.Replicate = true, -1, orient.Identity, [3]float64{}, 0
		}
		r.Runs = append(r.Runs, run)
	}
	return r
}

func TestRunSheet(t *testing.T) {
	checkPDF(t, "sheet", someSheet().PDF, 3, []string{"Run sheet", "Croissants on trays", "Invented data", "20260301", "30 runs in 2 blocks, 2 of them reference runs",
		"Cautions", "Compressed air", "This sheet is not a safety function", "Block 1", "Block 1, continued", "Block 2", "reference run", "Éclair", "44 kPa",
		"dropped", "damaged", "void", "page 1 of 3", "page 3 of 3", "–2.3 mm"})
	empty := someSheet()
	empty.Runs = nil
	checkPDF(t, "empty", empty.PDF, 1, []string{"This study has no plan yet."})
	stray := someSheet()
	stray.Runs[3].Item = "egg"
	if _, err := stray.PDF(); domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), `"egg"`) {
		t.Errorf("an unknown item is printed: %v", err)
	}
}

func TestMapFigureRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*MapFigure){
		"no raster":   func(m *MapFigure) { m.Raster = Raster{} },
		"short low":   func(m *MapFigure) { m.Raster.Low = m.Raster.Low[1:] },
		"no tilt":     func(m *MapFigure) { m.TiltMax = 0 },
		"tilt is NaN": func(m *MapFigure) { m.TiltMax = math.NaN() },
	} {
		m := someMap(10)
		spoil(m)
		if _, err := m.Scene(150); domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	empty := &MapFigure{Title: "No trials", TiltMax: 1, Raster: Raster{N: 2, P: make([]float64, 4), Low: make([]float64, 4), High: make([]float64, 4)}}
	for i := range empty.Raster.P {
		empty.Raster.P[i] = math.NaN()
	}
	if svg := mustScene(t, empty, 100).SVG(); !strings.Contains(string(svg), "No trials yet.") || strings.Contains(string(svg), "NaN") {
		t.Error("a map without values is not drawn as such")
	}
}

func BenchmarkMapPNG(b *testing.B) {
	m := someMap(128)
	for b.Loop() {
		s, err := m.Scene(150)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.PNG(1200); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRunSheet600(b *testing.B) {
	r := someSheet()
	for len(r.Runs) < 600 {
		r.Runs = append(r.Runs, r.Runs[:30]...)
	}
	for b.Loop() {
		if _, err := r.PDF(); err != nil {
			b.Fatal(err)
		}
	}
}
