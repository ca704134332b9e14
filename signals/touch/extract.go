package touch

import (
	"fmt"
	"math"

	"holdfast/signals"
)

// quiet bounds logarithms from below, relative to the clip's strongest bin: −100 dB.
const quiet = 1e-10

// Extract writes the features of a clip into dst, which has Count places; equations (1) and (2) of DESIGN.md. A clip of
// silence has log-mel features of 0. A sample that is not finite is an error.
func (e *Extractor) Extract(dst, clip []float64) error {
	for i, v := range clip {
		if v-v != 0 { // quicker than asking for either kind
			return fmt.Errorf("sample %d is no finite number", i)
		}
	}
	r := &e.recipe
	if r.Align {
		if k, _ := signals.OnsetByAIC(clip); k > r.Hop/2 {
			clip = clip[k-r.Hop/2:]
		}
	}
	if n := copy(e.clip, clip); n < len(e.clip) {
		clear(e.clip[n:])
	}
	bins := e.transform.Bins()
	e.top = 0
	for f := range r.Frames {
		p := e.power[f*bins : (f+1)*bins]
		most := e.transform.WindowedPower(p, e.clip[f*r.Hop:f*r.Hop+r.Frame], e.window)
		if len(r.Floor) > 0 {
			most = 0
			for k, v := range r.Floor {
				p[k] = max(0, p[k]-v)
				most = max(most, p[k])
			}
		}
		e.top = max(e.top, most)
	}
	e.logMel()
	at := 0
	for _, name := range r.Features {
		at += e.write(dst[at:], name)
	}
	return nil
}

// logMel fills bands, band by band, with the logarithms of the mel bands less their mean.
func (e *Extractor) logMel() {
	r, bins := &e.recipe, e.transform.Bins()
	if e.top == 0 {
		clear(e.bands)
		return
	}
	sum := 0.0
	for f := range r.Frames {
		e.bank.Apply(e.mel, e.power[f*bins:(f+1)*bins])
		for b, v := range e.mel {
			l := math.Log(v + quiet*e.top)
			sum += l
			e.bands[b*r.Frames+f] = l
		}
	}
	mean := sum / float64(len(e.bands))
	for i := range e.bands {
		e.bands[i] -= mean
	}
}

// write writes one named feature and returns how many numbers it has.
func (e *Extractor) write(dst []float64, name string) int {
	r, bins := &e.recipe, e.transform.Bins()
	step := float64(r.RateHz) / float64(r.Frame)
	switch name {
	case LogMel:
		return copy(dst, e.bands)
	case Cepstra:
		for f := range r.Frames {
			for b := range e.mel {
				e.mel[b] = e.bands[b*r.Frames+f]
			}
			e.cosine.Apply(e.cepstrum, e.mel)
			copy(dst[f*r.Cepstra:], e.cepstrum)
		}
		return r.Frames * r.Cepstra
	case Flux:
		sum := 0.0
		for f := 1; f < r.Frames; f++ {
			sum += signals.Flux(e.power[(f-1)*bins:f*bins], e.power[f*bins:(f+1)*bins])
		}
		dst[0] = sum / float64(max(r.Frames-1, 1))
		return 1
	case Decay:
		dst[0] = e.logDecay(e.clip, e.noisePower(0, e.transform.Bins()))
		return 1
	case OctaveEnergies:
		return e.octaveEnergies(dst)
	case OctaveDecays:
		return e.octaveDecays(dst)
	case Loudness:
		dst[0] = 20 * math.Log10(signals.RootMeanSquare(e.clip)+1e-9)
		return 1
	}
	clear(e.mean)
	for f := range r.Frames {
		for k, v := range e.power[f*bins : (f+1)*bins] {
			e.mean[k] += v
		}
	}
	if name == Shape {
		dst[0] = signals.Centroid(e.mean, step) / 1000
		dst[1] = signals.Bandwidth(e.mean, step) / 1000
		dst[2] = signals.RollOff(e.mean, step, 0.85) / 1000
		return 3
	}
	if name == LogSpectrum {
		return e.logSpectrum(dst)
	}
	clear(dst[:2*r.Peaks])
	for i, p := range signals.Resonances(e.mean, step, r.Peaks, 3) {
		dst[2*i], dst[2*i+1] = p.FrequencyHz/1000, math.Log1p(p.Q)
	}
	return 2 * r.Peaks
}

// logDecay returns the logarithm of a decay time in ms, of the clip's length where it does not die away.
func (e *Extractor) logDecay(clip []float64, noisePower float64) float64 {
	rate := float64(e.recipe.RateHz)
	tau, err := signals.DecayTime(clip, rate, noisePower)
	if err != nil {
		tau = float64(len(clip)) / rate
	}
	return math.Log(1000 * tau)
}

// noisePower returns what the noise floor's bins from one to another, that excluded, are as mean square of the signal.
func (e *Extractor) noisePower(from, to int) float64 {
	if len(e.recipe.Floor) == 0 {
		return 0
	}
	sum, square := 0.0, 0.0
	for k := from; k < to; k++ {
		v := e.recipe.Floor[k]
		if k > 0 && 2*k != e.recipe.Frame {
			v *= 2
		}
		sum += v
	}
	for _, w := range e.window {
		square += w * w
	}
	return sum / (square * float64(e.recipe.Frame))
}

// NoiseFloor returns the mean power by bin of a recipe's frames over a recording of silence, for Recipe.Floor. It needs at
// least 8 frames.
func NoiseFloor(r Recipe, silence []float64) ([]float64, error) {
	r.Floor = nil
	e, err := NewExtractor(r)
	if err != nil {
		return nil, err
	}
	frames := (len(silence)-r.Frame)/r.Hop + 1
	if len(silence) < r.Frame || frames < 8 {
		return nil, fmt.Errorf("the silence has %d samples; record at least %d", len(silence), r.Frame+7*r.Hop)
	}
	floor, p := make([]float64, e.transform.Bins()), make([]float64, e.transform.Bins())
	for f := range frames {
		e.transform.WindowedPower(p, silence[f*r.Hop:f*r.Hop+r.Frame], e.window)
		for k, v := range p {
			floor[k] += v / float64(frames)
		}
	}
	return floor, nil
}
