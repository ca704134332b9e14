package touch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"holdfast/signals"
)

// The features that a recipe names.
const (
	LogMel     = "log-mel"    // logarithms of mel bands by frame, the clip's mean taken off: what remains when loudness is left out
	Cepstra    = "cepstra"    // cepstral coefficients of those by frame
	Shape      = "shape"      // centroid, bandwidth and 85 % roll-off of the clip's mean spectrum, in kHz
	Flux       = "flux"       // mean change of the spectrum's shape from frame to frame
	Decay      = "decay"      // logarithm of the decay time in ms; of the clip's length where it does not die away
	Resonances = "resonances" // frequency in kHz and logarithm of Q of the strongest peaks, 0 where there is none
	// The octaves are those of a recipe's range that hold a bin of its frames; see signals.OctaveEdges.
	LogSpectrum    = "log-spectrum"    // logarithms of the bins of the clip's mean spectrum, low_hz to high_hz, their mean taken off
	OctaveEnergies = "octave-energies" // logarithms of the octaves' energies by frame, their mean taken off
	OctaveDecays   = "octave-decays"   // as decay, for each octave
	Loudness       = "loudness"        // level in dB; a harder tap is no other place, so it is not among the defaults
)

// Features lists every feature by name.
var Features = []string{LogMel, Cepstra, Shape, Flux, Decay, Resonances, LogSpectrum, OctaveEnergies, OctaveDecays, Loudness}

// Recipe says how a clip becomes features. It is stored in a model, so that a clip is treated as those trained on.
type Recipe struct {
	RateHz   int              `json:"rate_hz"`
	Frame    int              `json:"frame_samples"`
	Hop      int              `json:"hop_samples"`
	Frames   int              `json:"frames"` // shorter clips are lengthened by silence, longer ones cut
	Align    bool             `json:"align"`  // begin half a hop before the onset instead of at the clip's start
	Features []string         `json:"features"`
	Scale    signals.MelScale `json:"mel_scale"`
	Bands    int              `json:"mel_bands"`
	LowHz    float64          `json:"low_hz"`
	HighHz   float64          `json:"high_hz"`
	Cepstra  int              `json:"cepstra"`
	Peaks    int              `json:"peaks"`
	// Floor is the mean power of silence by bin of a frame, taken off every spectrum; empty when none was recorded.
	Floor []float64 `json:"noise_floor,omitempty"`
}

// DefaultRecipe returns the recipe for a sampling rate: 40 mel bands of 8 frames of about 11 ms, half overlapping.
func DefaultRecipe(rateHz int) Recipe {
	frame := 64
	for float64(frame) < 0.0075*float64(rateHz) {
		frame *= 2
	}
	return Recipe{
		RateHz: rateHz, Frame: frame, Hop: frame / 2, Frames: 8, Features: []string{LogMel}, Scale: signals.HTK, Bands: 40,
		LowHz: 50, HighHz: min(20000, 0.45*float64(rateHz)), Cepstra: 13, Peaks: 4,
	}
}

// Samples returns how many samples of a clip are looked at.
func (r *Recipe) Samples() int { return r.Frame + (r.Frames-1)*r.Hop }

func (r *Recipe) check() error {
	switch {
	case r.RateHz < 1000 || r.RateHz > 1_000_000:
		return fmt.Errorf("a sampling rate of %d Hz is not possible for touch", r.RateHz)
	case r.Frame < 16 || r.Frame > 1<<16 || r.Hop < 1 || r.Hop > r.Frame || r.Frames < 1 || r.Frames > 1024 || r.Frame*r.Frames > 1<<20:
		return fmt.Errorf("%d frames of %d samples, %d apart, are not possible", r.Frames, r.Frame, r.Hop)
	case len(r.Features) == 0:
		return fmt.Errorf("no feature is named; choose of %s", strings.Join(Features, ", "))
	case r.Cepstra < 1 || r.Cepstra > r.Bands || r.Peaks < 1 || r.Peaks > 64:
		return fmt.Errorf("%d cepstra of %d bands or %d peaks are not possible", r.Cepstra, r.Bands, r.Peaks)
	case len(r.Floor) != 0 && len(r.Floor) != r.Frame/2+1:
		return fmt.Errorf("the noise floor has %d bins, and a frame has %d", len(r.Floor), r.Frame/2+1)
	}
	for i, f := range r.Features {
		if !slices.Contains(Features, f) {
			return fmt.Errorf("feature %q is not known; choose of %s", f, strings.Join(Features, ", "))
		}
		if slices.Contains(r.Features[:i], f) {
			return fmt.Errorf("feature %q is named twice", f)
		}
	}
	for k, v := range r.Floor {
		if !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("bin %d of the noise floor is %g; it is a power", k, v)
		}
	}
	return nil
}

// Extractor turns clips into features by a recipe. It holds scratch memory, so one goroutine at a time may use it; Clone
// gives another its own.
type Extractor struct {
	recipe    Recipe
	transform *signals.Transform
	bank      *signals.Bank
	cosine    *signals.Cosine
	window    []float64
	octaves   octaves
	count     int

	clip, mean, mel, cepstrum, energy []float64
	power, bands                      []float64 // by frame
	top                               float64   // strongest bin of all frames
}

// NewExtractor checks a recipe and prepares for it.
func NewExtractor(r Recipe) (*Extractor, error) {
	if err := r.check(); err != nil {
		return nil, err
	}
	e := &Extractor{recipe: r, window: signals.Hann.Samples(r.Frame)}
	var err error
	if e.transform, err = signals.NewTransform(r.Frame); err != nil {
		return nil, err
	}
	if e.bank, err = signals.NewBank(r.Scale, r.Bands, r.Frame, float64(r.RateHz), r.LowHz, r.HighHz, false); err != nil {
		return nil, err
	}
	if e.cosine, err = signals.NewCosine(r.Bands, r.Cepstra); err != nil {
		return nil, err
	}
	if e.octaves, err = newOctaves(r); err != nil {
		return nil, err
	}
	for _, f := range r.Features {
		n := e.width(f)
		if n == 0 {
			return nil, fmt.Errorf("feature %q has nothing to be told from: no octave or bin of frames of %d samples lies from %g to %g Hz", f, r.Frame, r.LowHz, r.HighHz)
		}
		e.count += n
	}
	e.makeScratch()
	return e, nil
}

// width returns how many numbers a named feature has.
func (e *Extractor) width(name string) int {
	r := &e.recipe
	from, to := r.bins()
	return map[string]int{
		LogMel: r.Bands * r.Frames, Cepstra: r.Cepstra * r.Frames, Shape: 3, Flux: 1, Decay: 1, Resonances: 2 * r.Peaks, LogSpectrum: to - from,
		OctaveEnergies: e.octaves.count() * r.Frames, OctaveDecays: e.octaves.count(), Loudness: 1,
	}[name]
}

func (e *Extractor) makeScratch() {
	r, bins := e.recipe, e.transform.Bins()
	e.clip = make([]float64, r.Samples())
	e.mean, e.mel, e.cepstrum = make([]float64, bins), make([]float64, r.Bands), make([]float64, r.Cepstra)
	e.power, e.bands = make([]float64, bins*r.Frames), make([]float64, r.Bands*r.Frames)
	e.energy = make([]float64, e.octaves.count())
}

// Clone returns an extractor with scratch memory of its own.
func (e *Extractor) Clone() *Extractor {
	c := *e
	c.transform = e.transform.Clone()
	c.makeScratch()
	return &c
}

// Count returns the number of features.
func (e *Extractor) Count() int { return e.count }
