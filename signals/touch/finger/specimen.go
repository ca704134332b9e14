package finger

import (
	"math"

	"holdfast/numeric"
)

// mode is one decaying tone.
type mode struct {
	hz, damping float64                                // damping is a ratio
	weight      func(s float64) (value, slope float64) // by the struck place as a share of the length
	gain        float64                                // what the pick-up hears of it
	air         bool                                   // it rings in the chamber; otherwise the finger bends
}

// Specimen is one finger. Fingers of one make differ by a few per cent in stiffness, length and damping.
type Specimen struct {
	LengthMm float64
	RateHz   int
	Samples  int
	modes    []mode
	beam     Beam
	wallPa   float64 // modulus of the chamber's wall
	contactS float64 // how long what strikes it touches; 0: no time
}

// Of every chamber: the air in it without pressure, and its radius by the thickness of its wall.
const airKgM3, chamberByWall = 1.204, 3.0

// Specimens returns n fingers of one make, drawn by seed: 90 mm long, bending and ringing, sampled at 48 kHz for 50 ms.
func Specimens(n int, seed uint64) []*Specimen {
	list := make([]*Specimen, n)
	for i := range list {
		r := numeric.Stream(seed, "touched finger", i)
		scatter := func(share float64) float64 { return math.Exp(share * r.NormFloat64()) }
		length := 0.090 * scatter(0.005)
		beam := Beam{ModulusPa: 30e6 * scatter(0.04), LengthM: length, WidthM: 0.020, ThicknessM: 0.012 * scatter(0.01), DensityKgM3: 1070}
		wall := 5e6 * scatter(0.04)
		air := SoftWallSpeed(SpeedOfSound(20), airKgM3, wall, chamberByWall)
		sp := &Specimen{LengthMm: 1000 * length, RateHz: 48000, Samples: 2400, beam: beam, wallPa: wall}
		for k, beta := range BeamRoots(Free, 9)[1:] {
			heard, _ := Shape(beta, 0.12)
			sp.modes = append(sp.modes, mode{
				hz: beam.FrequencyHz(beta), damping: 0.02 * scatter(0.05), gain: heard / (1 + 0.3*float64(k)),
				weight: func(s float64) (float64, float64) { return Shape(beta, s) },
			})
		}
		for k := 1; k <= 5; k++ {
			wave := float64(2*k-1) * math.Pi / 2
			sp.modes = append(sp.modes, mode{
				hz: TubeFrequencyHz(k, air, length, 0.005, Unflanged), damping: 0.03 * scatter(0.05), gain: 0.7 / float64(k),
				air:    true,
				weight: func(s float64) (float64, float64) { sin, cos := math.Sincos(wave * s); return cos, -wave * sin },
			})
		}
		list[i] = sp
	}
	return list
}

// tones returns each mode's decaying sine, sample by sample.
func (p *Specimen) tones() [][]float64 {
	t := make([][]float64, len(p.modes))
	for k, m := range p.modes {
		t[k] = make([]float64, p.Samples)
		if p.contactS > 0 {
			m.struck(t[k], p.contactS, float64(p.RateHz))
			continue
		}
		for i := range t[k] {
			w := 2 * math.Pi * m.hz * float64(i) / float64(p.RateHz)
			t[k][i] = m.gain * math.Exp(-m.damping*w) * math.Sin(w)
		}
	}
	return t
}

// Clean returns the clip without noise of a touch of strength 1 at a place in mm from the root, and its change by mm.
func (p *Specimen) Clean(placeMm float64) (clip, slope []float64) {
	return p.mix(p.tones(), placeMm)
}

func (p *Specimen) mix(tones [][]float64, placeMm float64) (clip, slope []float64) {
	clip, slope = make([]float64, p.Samples), make([]float64, p.Samples)
	for k, m := range p.modes {
		v, d := m.weight(placeMm / p.LengthMm)
		for i, t := range tones[k] {
			clip[i] += v * t
			slope[i] += d / p.LengthMm * t
		}
	}
	return clip, slope
}

// Touch returns a clip of a touch at a place in mm: strength varies by a factor of two, and white noise of the given share of
// the clip's root mean square is added. The same seed and number give the same clip.
func (p *Specimen) Touch(placeMm, noise float64, seed uint64, number int) []float64 {
	clip, _ := p.Clean(placeMm)
	r := numeric.Stream(seed, "touch", number)
	strength := math.Exp2(2*r.Float64() - 1)
	level := noise * strength * rms(clip)
	for i, v := range clip {
		clip[i] = strength*v + level*r.NormFloat64()
	}
	return clip
}

// SNRDB returns by how many dB a touch is above noise of the given share of its root mean square.
func SNRDB(noise float64) float64 { return -20 * math.Log10(noise) }

func rms(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}

// Bound returns the Cramér–Rao bound of position at a place: the least standard deviation in mm of any unbiased method that
// knows this very finger, hears one clip with noise of the given share of its root mean square, and does not know the
// strength. With g the clip and g' its change by mm, the information on the place that strength does not explain is
// |g' − g·(g·g')/(g·g)|²/σ².
func (p *Specimen) Bound(placeMm, noise float64) float64 {
	g, d := p.Clean(placeMm)
	gg, gd, dd := 0.0, 0.0, 0.0
	for i, v := range g {
		gg += v * v
		gd += v * d[i]
		dd += d[i] * d[i]
	}
	sigma := noise * math.Sqrt(gg/float64(len(g)))
	return sigma / math.Sqrt(dd-gd*gd/gg)
}

// Locator finds places by the largest likelihood on one known finger: what a perfect model of the finger would reach.
type Locator struct {
	specimen *Specimen
	tones    [][]float64
	gram     [][]float64 // of the tones
}

// NewLocator prepares for a finger.
func NewLocator(p *Specimen) *Locator {
	l := &Locator{specimen: p, tones: p.tones()}
	for _, a := range l.tones {
		row := make([]float64, len(l.tones))
		for k, b := range l.tones {
			for i, v := range a {
				row[k] += v * b[i]
			}
		}
		l.gram = append(l.gram, row)
	}
	return l
}

// Locate returns the place in mm between low and high at which the clip is most likely, strength being free.
func (l *Locator) Locate(clip []float64, lowMm, highMm float64) float64 {
	heard := make([]float64, len(l.tones))
	for k, t := range l.tones {
		for i, v := range t {
			heard[k] += v * clip[i]
		}
	}
	// The likelihood grows with (clip·g)²/(g·g), strength being positive.
	score := func(place float64) float64 {
		dot, square := 0.0, 0.0
		w := make([]float64, len(l.tones))
		for k, m := range l.specimen.modes {
			w[k], _ = m.weight(place / l.specimen.LengthMm)
			dot += w[k] * heard[k]
		}
		for a, row := range l.gram {
			for b, v := range row {
				square += w[a] * w[b] * v
			}
		}
		return dot / math.Sqrt(square)
	}
	best, at := math.Inf(-1), lowMm
	const grid = 400
	step := (highMm - lowMm) / grid
	for k := range grid + 1 {
		if s := score(lowMm + float64(k)*step); s > best {
			best, at = s, lowMm+float64(k)*step
		}
	}
	a, b := max(at-step, lowMm), min(at+step, highMm)
	for range 40 { // thirds
		u, v := a+(b-a)/3, b-(b-a)/3
		if score(u) < score(v) {
			a = u
		} else {
			b = v
		}
	}
	return (a + b) / 2
}
