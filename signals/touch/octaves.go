package touch

import (
	"fmt"
	"math"

	"holdfast/signals"
)

// octaves are the octave bands of a recipe: those whose middle lies in its range, that hold a bin of its frames and end
// below half the sampling rate.
type octaves struct {
	edgesHz []float64 // one more than bands
	bins    []int     // the first of each band, and the one after the last
	filters []signals.Cascade
}

func (o *octaves) count() int { return len(o.filters) }

// octaveOrder is that of the low pass that octaves' filters come from: 18 dB an octave on either side.
const octaveOrder = 3

func newOctaves(r Recipe) (octaves, error) {
	var o octaves
	step, rate := float64(r.RateHz)/float64(r.Frame), float64(r.RateHz)
	edges := signals.OctaveEdges(max(r.LowHz, 1), r.HighHz)
	first := func(hz float64) int { return int(math.Ceil(hz/step - 1e-9)) }
	for i := 0; i+1 < len(edges) && edges[i+1] < rate/2; i++ {
		from, to := first(edges[i]), first(edges[i+1])
		if from == to {
			continue // bands are wider and wider, so those that follow hold one
		}
		if o.edgesHz == nil {
			o.edgesHz, o.bins = append(o.edgesHz, edges[i]), append(o.bins, from)
		}
		filter, err := signals.BandPass(octaveOrder, edges[i], edges[i+1], rate)
		if err != nil {
			return o, fmt.Errorf("octave from %.0f to %.0f Hz: %w", edges[i], edges[i+1], err)
		}
		o.edgesHz, o.bins, o.filters = append(o.edgesHz, edges[i+1]), append(o.bins, to), append(o.filters, filter)
	}
	return o, nil
}

// octaveEnergies writes the logarithms of the octaves' energies, octave by octave, less their mean.
func (e *Extractor) octaveEnergies(dst []float64) int {
	r, bins, count := &e.recipe, e.transform.Bins(), e.octaves.count()
	dst = dst[:count*r.Frames]
	if e.top == 0 {
		clear(dst)
		return len(dst)
	}
	for f := range r.Frames {
		signals.BandEnergies(e.energy, e.power[f*bins:(f+1)*bins], float64(r.RateHz)/float64(r.Frame), e.octaves.edgesHz)
		for b, v := range e.energy {
			dst[b*r.Frames+f] = math.Log(v + quiet*e.top)
		}
	}
	takeMeanOff(dst)
	return len(dst)
}

// octaveDecays writes the logarithms of the octaves' decay times. Each is filtered from the clip's end backwards, so that the
// filter's own ringing stands before the sound and not in its decay (F. Jacobsen, J. H. Rindel, "Time reversed decay
// measurements", 1987; from memory: then a decay may be four times as short).
func (e *Extractor) octaveDecays(dst []float64) int {
	for b, filter := range e.octaves.filters {
		dst[b] = e.logDecay(filter.ApplyBackward(e.clip), e.noisePower(e.octaves.bins[b], e.octaves.bins[b+1]))
	}
	return e.octaves.count()
}

// bins returns the first bin of a recipe's range, and the one after its last.
func (r *Recipe) bins() (from, to int) {
	step := float64(r.RateHz) / float64(r.Frame)
	return int(math.Ceil(r.LowHz/step - 1e-9)), min(int(r.HighHz/step+1e-9), r.Frame/2) + 1
}

// logSpectrum writes the logarithms of the mean spectrum's bins less their mean; e.mean holds the sum over frames.
func (e *Extractor) logSpectrum(dst []float64) int {
	from, to := e.recipe.bins()
	dst = dst[:to-from]
	top := 0.0
	for _, v := range e.mean {
		top = max(top, v)
	}
	if top == 0 {
		clear(dst)
		return len(dst)
	}
	for k, v := range e.mean[from:to] {
		dst[k] = math.Log(v + quiet*top)
	}
	takeMeanOff(dst)
	return len(dst)
}

func takeMeanOff(x []float64) {
	mean := meanOf(x)
	for i := range x {
		x[i] -= mean
	}
}
