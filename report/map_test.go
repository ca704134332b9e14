package report

import (
	"bytes"
	"flag"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/orient"
)

var update = flag.Bool("update", false, "rewrite golden files")

const deg = math.Pi / 180

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		t.Errorf("%s differs from what is drawn now (%d and %d bytes); look at it and run with -update", name, len(want), len(got))
	}
}

// someRaster is a smooth hill at tilt 25°, azimuth 40°, on n × n pixels, with intervals that widen outwards.
func someRaster(n int, tiltMax float64) Raster {
	r := Raster{N: n, P: make([]float64, n*n), Low: make([]float64, n*n), High: make([]float64, n*n)}
	top := orient.FromDirectionHeading(25*deg, 40*deg, 0).Direction()
	for row := range n {
		for col := range n {
			x, y := (2*float64(col)+1)/float64(n)-1, 1-(2*float64(row)+1)/float64(n)
			i := row*n + col
			rho := math.Hypot(x, y)
			if rho > 1 {
				r.P[i], r.Low[i], r.High[i] = math.NaN(), math.NaN(), math.NaN()
				continue
			}
			tilt := 2 * math.Asin(rho*math.Sin(tiltMax/2))
			d := orient.FromDirectionHeading(tilt, math.Atan2(y, x), 0).Direction()
			z := 3.2 - 6*math.Acos(min(1, d.Dot(top)))
			w := 0.3 + 1.6*rho*rho*(1.2+x)/2
			logistic := func(z float64) float64 { return 1 / (1 + math.Exp(-z)) }
			r.P[i], r.Low[i], r.High[i] = logistic(z), logistic(z-w), logistic(z+w)
		}
	}
	return r
}

func someMap(n int) *MapFigure {
	m := &MapFigure{
		Title: "Croissant on baking tray, surface-guided, soft hand 2", Subtitle: "Heading 30°, chance of success with its 90 % interval",
		TiltMax: 60 * deg, Raster: someRaster(n, 60*deg), Hatch: 0.3, Target: 0.9, Trials: 240, Held: 171, Invented: true,
		Warnings: []string{"The counts are more even than independent trials would be (lower-tail p = 0.004), so the intervals may not mean what they say."},
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		tilt := 2 * math.Asin(math.Sqrt(rng.Float64())*math.Sin(30*deg))
		m.Marks = append(m.Marks, Mark{tilt, 2 * math.Pi * rng.Float64(), domain.Outcomes[min(8, int(rng.ExpFloat64()*2))]})
	}
	return m
}

func mustScene(t *testing.T, m *MapFigure, width float64) *Scene {
	t.Helper()
	s, err := m.Scene(width)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestMapFigureGolden(t *testing.T) {
	svg := mustScene(t, someMap(40), 150).SVG()
	golden(t, "map.svg", svg)
	for _, want := range []string{"<title id=\"t\">Croissant on baking tray", "N = 240 trials, 171 held", "Beware: The counts", "Invented data", "highest at tilt"} {
		if !strings.Contains(string(svg), want) {
			t.Errorf("the SVG does not say %q", want)
		}
	}
}

func TestMapFigurePNG(t *testing.T) {
	s := mustScene(t, someMap(60), 150)
	data, err := s.PNG(1200)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds().Dx() != 1200 {
		t.Errorf("%d pixels wide", img.Bounds().Dx())
	}
}
