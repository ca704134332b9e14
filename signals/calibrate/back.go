package calibrate

import (
	"fmt"
	"math"
)

// Back reads signals backwards, many of them one after the other, by a curve that rises or falls over the range that was
// calibrated. Beyond the range it goes on straight, with the range's mean steepness where the curve's end is level.
type Back struct {
	Low, High float64 // range of the reference

	curve             func(float64) float64
	atLow, atHigh     float64 // signals there
	slopeLow, slopeUp float64
	sd                float64 // of a reading about the curve
}

// Back returns the reader of a polynomial at its middle temperature. A curve that turns back inside the range is an error.
func (p *Polynomial) Back() (*Back, error) {
	curve := func(x float64) float64 { return p.Predict(x, p.TemperatureMid, 0.5).Value }
	const cells = 400
	sign := 0.0
	for i := range cells {
		a, b := p.Low+(p.High-p.Low)*float64(i)/cells, p.Low+(p.High-p.Low)*float64(i+1)/cells
		step := curve(b) - curve(a)
		if step == 0 || sign*step < 0 {
			return nil, fmt.Errorf("the curve turns back near %.4g, so a signal does not say which side; take a lower degree or a monotone curve", a)
		}
		sign = step
	}
	return newBack(curve, p.Low, p.High, p.SD), nil
}

// Back returns the reader of a monotone curve. Scatter that is not known is an error: repeat some references.
func (m *MonotoneFit) Back() (*Back, error) {
	if m.DF < 1 {
		return nil, fmt.Errorf("each reading is a level of its own, so the scatter is not known; take some references twice")
	}
	return newBack(m.Curve.At, m.References[0], m.References[len(m.References)-1], m.SD), nil
}

func newBack(curve func(float64) float64, low, high, sd float64) *Back {
	b := &Back{Low: low, High: high, curve: curve, atLow: curve(low), atHigh: curve(high), sd: sd}
	const near = 1e-4
	step := near * (high - low)
	mean := (b.atHigh - b.atLow) / (high - low)
	end := func(slope float64) float64 {
		if !(slope/mean > 0.05) {
			return mean
		}
		return slope
	}
	b.slopeLow, b.slopeUp = end((curve(low+step)-b.atLow)/step), end((b.atHigh-curve(high-step))/step)
	return b
}

// Read returns the reference of a signal, its standard uncertainty from the scatter of readings about the curve (half the way
// between the references of signal ± one standard deviation; the curve's own error, the same in all readings, is not in it), and
// whether the signal lies beyond what was calibrated.
func (b *Back) Read(signal float64) (value, sd float64, beyond bool) {
	value, beyond = b.at(signal)
	up, _ := b.at(signal + b.sd)
	down, _ := b.at(signal - b.sd)
	return value, math.Abs(up-down) / 2, beyond
}

func (b *Back) at(signal float64) (value float64, beyond bool) {
	sign := math.Copysign(1, b.atHigh-b.atLow)
	switch {
	case sign*(signal-b.atLow) < 0:
		return b.Low + (signal-b.atLow)/b.slopeLow, true
	case sign*(signal-b.atHigh) > 0:
		return b.High + (signal-b.atHigh)/b.slopeUp, true
	}
	return bisect(func(x float64) float64 { return sign * (b.curve(x) - signal) }, b.Low, b.High), false
}
