package api

import (
	"math"

	"holdfast/domain"
	"holdfast/signals"
)

// A clip is drawn in so many parts and spectra at most; windows are about 5 ms, and levels reach so far down.
const (
	mostParts, mostSpectra = 1000, 400
	pictureWindowS         = 0.005
	pictureDepthDB         = 100
)

// pictureOf draws a clip from its samples, full scale 1. A clip shorter than a window is lengthened by silence.
func pictureOf(clip domain.TouchClip, x []float64) (TouchPicture, error) {
	rate := float64(clip.RateHz)
	p := TouchPicture{Clip: clip.ID, SpanS: float64(len(x)) / rate}
	parts := min(mostParts, len(x))
	p.Low, p.High = make([]float64, parts), make([]float64, parts)
	for i := range parts {
		low, high := math.Inf(1), math.Inf(-1)
		for _, v := range x[i*len(x)/parts : (i+1)*len(x)/parts] {
			low, high = min(low, v), max(high, v)
		}
		p.Low[i], p.High[i] = rounded(low, 1e5), rounded(high, 1e5)
	}
	frame := 16
	for float64(2*frame) <= 1.5*pictureWindowS*rate {
		frame *= 2
	}
	if len(x) < frame {
		x = append(append([]float64{}, x...), make([]float64, frame-len(x))...)
	}
	hop := min(frame, max(frame/8, (len(x)-frame)/mostSpectra+1))
	power, err := signals.Spectrogram(x, signals.Segments{RateHz: rate, Length: frame, Overlap: frame - hop, Window: signals.Hann})
	if err != nil {
		return p, domain.Internal("drawing a clip", err)
	}
	p.StepHz, p.WindowMs = rate/float64(frame), 1000*float64(frame)/rate
	gathered := (len(power) + mostSpectra - 1) / mostSpectra
	p.FirstS, p.StepS = float64(frame+hop*(gathered-1))/2/rate, float64(hop*gathered)/rate
	p.LevelsDB = levels(loudest(power, gathered))
	return p, nil
}

// loudest gathers neighbouring spectra, so many into one, by the greatest power at each frequency: a short touch stays in sight.
func loudest(power [][]float64, gathered int) (list [][]float64) {
	for i, spectrum := range power {
		if i%gathered == 0 {
			list = append(list, spectrum)
			continue
		}
		for k, v := range spectrum {
			list[len(list)-1][k] = max(list[len(list)-1][k], v)
		}
	}
	return list
}

// levels turns powers into decibels, none lower than the depth under the strongest.
func levels(power [][]float64) [][]float64 {
	top := 0.0
	for _, spectrum := range power {
		for _, v := range spectrum {
			top = max(top, v)
		}
	}
	if top == 0 {
		top = 1
	}
	least := top * math.Pow(10, -pictureDepthDB/10)
	out := make([][]float64, len(power))
	for i, spectrum := range power {
		out[i] = make([]float64, len(spectrum))
		for k, v := range spectrum {
			out[i][k] = rounded(10*math.Log10(max(v, least)), 10)
		}
	}
	return out
}
