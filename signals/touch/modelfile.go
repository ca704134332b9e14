package touch

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
)

// What a model file says of itself. A reader of a later version must still read this one, or say what to do.
const (
	fileFormat  = "holdfast touch model"
	fileVersion = 3 // 1 wrote kept clips in digits, 2 knew no octaves and no log spectrum
)

// version returns the earliest version that tells what a model with this recipe does, so that earlier programs go on reading
// what they understand.
func (r *Recipe) version() int {
	for _, f := range r.Features {
		if f == LogSpectrum || f == OctaveEnergies || f == OctaveDecays {
			return 3
		}
	}
	return 2
}

// maxFile bounds a model file, in bytes.
const maxFile = 256 << 20

type modelFile struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	*Model
}

// Write writes a model as JSON. Numbers are written so that they are read back bit by bit.
func (m *Model) Write(w io.Writer) error {
	return json.NewEncoder(w).Encode(modelFile{fileFormat, m.Recipe.version(), m})
}

// ReadModel reads what Write wrote. A file of another kind or a later version, or one whose parts do not fit together, is an
// error that says which part.
func ReadModel(r io.Reader) (*Model, error) {
	f := modelFile{Model: &Model{}}
	if err := json.NewDecoder(io.LimitReader(r, maxFile)).Decode(&f); err != nil {
		return nil, fmt.Errorf("the model file is no JSON that fits: %w", err)
	}
	if f.Format != fileFormat {
		return nil, fmt.Errorf("this is no touch model: its field format is %q instead of %q", f.Format, fileFormat)
	}
	if f.Version < 1 || f.Version > fileVersion {
		return nil, fmt.Errorf("the touch model has version %d, and this program reads up to version %d; train it again, or take a later program", f.Version, fileVersion)
	}
	m := f.Model
	e, err := NewExtractor(m.Recipe)
	if err != nil {
		return nil, fmt.Errorf("recipe: %w", err)
	}
	if err := m.check(e.Count()); err != nil {
		return nil, err
	}
	return m, nil
}

// shapeError says which part of a model does not fit.
func shapeError(part string) error {
	return fmt.Errorf("%s of the touch model does not fit the rest or holds no finite numbers; the file is damaged: train again", part)
}

func (m *Model) check(features int) error {
	if m.Zone == nil && m.Position == nil {
		return shapeError("zone and position")
	}
	if !(m.Level > 0 && m.Level < 1) {
		return shapeError("level")
	}
	if t := m.Temperature; t != 0 && !(t >= 1 && t <= softest) {
		return shapeError("temperature")
	}
	if m.Samples < 0 || m.Samples > m.Recipe.Samples() {
		return shapeError("clip_samples")
	}
	if m.Zone != nil {
		if err := m.Zone.check(features, len(m.Zones)); err != nil {
			return err
		}
	}
	if p := m.Position; p != nil {
		d, ok := p.PCA.check(features)
		if !ok || p.Process == nil || !p.Process.check(d) {
			return shapeError("position")
		}
		if err := p.Process.prepare(context.Background(), 1); err != nil {
			return fmt.Errorf("position: %w", err)
		}
	}
	return m.Novelty.check(features)
}

func finite(lists ...[]float64) bool {
	for _, l := range lists {
		if slices.ContainsFunc(l, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }) {
			return false
		}
	}
	return true
}

// rows says whether a table is so wide, not empty and finite.
func rows(table [][]float64, width int) bool {
	for _, r := range table {
		if len(r) != width || !finite(r) {
			return false
		}
	}
	return len(table) > 0
}

func (p *PCA) check(features int) (directions int, ok bool) {
	if p == nil || len(p.Mean) != features || !finite(p.Mean, p.Variance) || !rows(p.Directions, features) {
		return 0, false
	}
	return len(p.Directions), true
}

func (p *Pipeline) check(features, zones int) error {
	if zones < 2 {
		return shapeError("zones")
	}
	if p.PCA != nil {
		d, ok := p.PCA.check(features)
		if !ok {
			return shapeError("zone.pca")
		}
		features = d
	}
	if s := p.Standard; s != nil {
		if len(s.Mean) != features || len(s.Scale) != features || !finite(s.Mean, s.Scale) || slices.Contains(s.Scale, 0) {
			return shapeError("zone.standard")
		}
	}
	given := 0
	for _, there := range []bool{p.Linear != nil, p.Neighbours != nil, p.SVM != nil} {
		if there {
			given++
		}
	}
	if given != 1 {
		return shapeError("zone")
	}
	if l := p.Linear; l != nil && (len(l.Weights) != zones || len(l.Intercept) != zones || !rows(l.Weights, features) || !finite(l.Intercept)) {
		return shapeError("zone.linear")
	}
	if n := p.Neighbours; n != nil {
		if n.Zones != zones || n.K < 1 || n.K > len(n.Clips) || len(n.ZoneOf) != len(n.Clips) || !rows(n.Clips, features) || !within(n.ZoneOf, zones) {
			return shapeError("zone.neighbours")
		}
	}
	if s := p.SVM; s != nil {
		if !s.check(features, zones) {
			return shapeError("zone.svm")
		}
		s.prepare()
	}
	return nil
}

func within(list []int, below int) bool {
	return !slices.ContainsFunc(list, func(i int) bool { return i < 0 || i >= below })
}

func (m *SVM) check(features, zones int) bool {
	if m.Zones != zones || len(m.Pairs) != zones*(zones-1)/2 || !finite([]float64{m.Gamma}) || m.Gamma < 0 || !rows(m.Vectors, features) {
		return false
	}
	for _, p := range m.Pairs {
		if len(p.At) != len(p.Weight) || !within(p.At, len(m.Vectors)) || !within([]int{p.A, p.B}, zones) || p.A >= p.B || !finite(p.Weight, []float64{p.Intercept, p.Slope, p.Offset}) {
			return false
		}
	}
	return true
}

func (g *Gaussian) check(width int) bool {
	return len(g.Clips) >= 4 && len(g.Clips) <= MaxGaussian && len(g.Target) == len(g.Clips) && rows(g.Clips, width) && finite(g.Target, []float64{g.Mean, g.Signal, g.Length, g.Noise, g.Spread}) &&
		g.Signal > 0 && g.Length > 0 && g.Noise > 0 && g.Spread > 0
}

func (n *Novelty) check(features int) error {
	if n == nil {
		return shapeError("novelty")
	}
	d, ok := n.PCA.check(features)
	if !ok || !rows(n.Centres, d+1) || len(n.Factor) != d+1 || !(n.Limit > 0) {
		return shapeError("novelty")
	}
	for i, r := range n.Factor {
		if len(r) != i+1 || !finite(r) || !(r[i] > 0) {
			return shapeError("novelty.factor")
		}
	}
	return nil
}
