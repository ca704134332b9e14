package touch

import (
	"context"
	"math"
)

// A method is as sure of a finger that it never heard as of those that it knows, and is right less often. So probabilities are
// made softer by one temperature T ≥ 1 until they fit groups that were held out, equations (15) and (16): what Guo, Pleiss, Sun and
// Weinberger do to networks ("On calibration of modern neural networks", 2017, section 4; from memory).

// softest bounds the temperature: beyond it all zones are alike.
const softest = 100

// leastLog stands for the logarithm of a probability that is too small for a number.
const leastLog = -690

// Soften raises probabilities to the power 1/T and makes them sum to 1 again, in place. A T of 0 stands for 1.
func Soften(p []float64, temperature float64) {
	if temperature == 0 || temperature == 1 {
		return
	}
	softened(p, p, 1/temperature)
}

// softened writes softmax(β·ln p) into dst, which may be p.
func softened(dst, p []float64, beta float64) {
	top := math.Inf(-1)
	for k, v := range p {
		dst[k] = beta * logOf(v)
		top = max(top, dst[k])
	}
	sum := 0.0
	for k, v := range dst {
		dst[k] = math.Exp(v - top)
		sum += dst[k]
	}
	for k := range dst {
		dst[k] /= sum
	}
}

func logOf(p float64) float64 { return max(math.Log(p), leastLog) }

// FitTemperature returns the T between 1 and 100 at which the mean of −ln p(zone of i), of softened probabilities, is least. That is
// convex in 1/T, so its slope is halved down to the place where it is 0.
func FitTemperature(p [][]float64, zone []int) float64 {
	if len(p) == 0 {
		return 1
	}
	scratch := make([]float64, len(p[0]))
	slope := func(beta float64) float64 {
		s := 0.0
		for i, row := range p {
			softened(scratch, row, beta)
			s -= logOf(row[zone[i]])
			for k, v := range row {
				s += scratch[k] * logOf(v)
			}
		}
		return s
	}
	low, high := 1.0/softest, 1.0
	if slope(high) <= 0 { // not too sure: left as it is
		return 1
	}
	if slope(low) >= 0 {
		return softest
	}
	for range 60 {
		if m := (low + high) / 2; slope(m) < 0 {
			low = m
		} else {
			high = m
		}
	}
	return 2 / (low + high)
}

// heldOutProbabilities returns each clip's probabilities of zones from a model without its fold.
func heldOutProbabilities(ctx context.Context, m Method, x Matrix, zone []int, zones int, folds Folds, workers int) ([][]float64, error) {
	p := make([][]float64, x.Rows)
	err := allInParallel(ctx, len(folds), workers, func(f int) error {
		training := folds.training(f, x.Rows)
		fitted, err := Fit(ctx, m, x.Pick(training), pick(zone, training), zones, true)
		if err != nil {
			return err
		}
		return eachUntil(ctx, folds[f], func(i int) { p[i] = fitted.Probabilities(x.Row(i)) })
	})
	return p, err
}

// calibrate finds the temperature and how sure the method was and is of clips that are held out. Shares of a few neighbours are no
// figures to soften: a share of 0 says little.
func (z *ZoneEvidence) calibrate(ctx context.Context, m Method, d Labelled, folds Folds, workers int) error {
	p, err := heldOutProbabilities(ctx, m, d.X, d.Zone, len(d.Zones), folds, workers)
	if err != nil {
		return err
	}
	z.Temperature = 1
	if m.Kind != NearestClips {
		z.Temperature = FitTemperature(p, d.Zone)
	}
	for _, row := range p {
		z.StatedBefore += row[largest(row)] / float64(len(p))
		Soften(row, z.Temperature)
		z.Stated += row[largest(row)] / float64(len(p))
	}
	return nil
}
