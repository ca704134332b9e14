package calibrate

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
)

// Polynomial is a signal as a polynomial of the reference, possibly shifted and
// stretched by temperature: signal = Σ βₖuᵏ + γ₀v + γ₁uv with u the reference and v
// the temperature, each about its middle.
type Polynomial struct {
	Degree         int
	Low, High      float64 // range of the reference that was covered
	Center, Scale  float64 // u = (reference − Center)/Scale
	Temperature    bool    // whether temperature is a term
	TemperatureMid float64 // v = temperature − TemperatureMid
	SD             float64 // residual standard deviation of the signal
	DF             int     // degrees of freedom of SD
	R2             float64

	fit *leastsquares.Fit
}

// FitPolynomial fits signal by a polynomial of 1 ≤ degree ≤ 12 in reference.
// Temperature has a number for each reading, or is nil to leave it out.
func FitPolynomial(reference, signal, temperature []float64, degree int) (*Polynomial, error) {
	n := len(reference)
	switch {
	case degree < 1 || degree > 12:
		return nil, fmt.Errorf("the degree must be 1 to 12, not %d", degree)
	case len(signal) != n || temperature != nil && len(temperature) != n:
		return nil, fmt.Errorf("%d references, %d signals and %d temperatures do not belong together", n, len(signal), len(temperature))
	case n == 0:
		return nil, fmt.Errorf("there are no readings to fit")
	}
	p := &Polynomial{Degree: degree, Low: reference[0], High: reference[0], Temperature: temperature != nil}
	for i, x := range reference {
		p.Low, p.High = min(p.Low, x), max(p.High, x)
		p.Center += x / float64(n)
		if temperature != nil {
			p.TemperatureMid += temperature[i] / float64(n)
		}
	}
	p.Scale = max(p.High-p.Center, p.Center-p.Low)
	if !(p.Scale > 0) {
		return nil, fmt.Errorf("all readings were taken at the reference %g; take them over the range that is to be read", p.Low)
	}
	rows := make([][]float64, n)
	for i, x := range reference {
		t := 0.0
		if temperature != nil {
			t = temperature[i]
		}
		rows[i] = p.row(x, t)
	}
	fit, err := leastsquares.Linear(rows, signal)
	if err != nil {
		return nil, err
	}
	if fit.DF < 1 {
		return nil, fmt.Errorf("%d readings determine %d coefficients without any left for the interval; take more readings or a lower degree", n, len(fit.Coefficients))
	}
	p.fit, p.SD, p.DF, p.R2 = fit, fit.SD, fit.DF, fit.R2(signal, true)
	return p, nil
}

func (p *Polynomial) row(x, temperature float64) []float64 {
	u := (x - p.Center) / p.Scale
	row := make([]float64, 0, p.Degree+3)
	for k, v := 0, 1.0; k <= p.Degree; k, v = k+1, v*u {
		row = append(row, v)
	}
	if p.Temperature {
		v := temperature - p.TemperatureMid
		row = append(row, v, u*v)
	}
	return row
}

// Coefficients returns the coefficients of 1, x … xᵏ at the middle temperature.
func (p *Polynomial) Coefficients() []float64 {
	out := make([]float64, p.Degree+1)
	for k := p.Degree; k >= 0; k-- {
		// Horner's rule for the polynomial in (x − Center)/Scale.
		for j := p.Degree; j > 0; j-- {
			out[j] = out[j-1]/p.Scale - out[j]*p.Center/p.Scale
		}
		out[0] = p.fit.Coefficients[k] - out[0]*p.Center/p.Scale
	}
	return out
}

// Residuals returns signal minus curve for each reading, in their order.
func (p *Polynomial) Residuals() []float64 { return append([]float64(nil), p.fit.Residuals...) }

// Prediction is what the curve says at one reference.
type Prediction struct {
	Value     float64 // the curve
	SE        float64 // standard error of the curve
	Low, High float64 // limits that one further reading stays inside with the level asked
}

// Predict returns the signal expected at a reference and temperature (ignored
// when it is no term), with the limits of one further reading at a level in (0, 1).
func (p *Polynomial) Predict(x, temperature, level float64) Prediction {
	row := p.row(x, temperature)
	value := 0.0
	for i, v := range row {
		value += v * p.fit.Coefficients[i]
	}
	leverage := p.fit.Leverage(row)
	half := numeric.StudentQuantile((1+level)/2, float64(p.DF)) * p.SD * math.Sqrt(1+leverage)
	return Prediction{value, p.SD * math.Sqrt(leverage), value - half, value + half}
}

// TemperatureShift returns how the signal at the middle of the range moves per
// unit of temperature, with limits at the level; NaN when temperature is no term.
func (p *Polynomial) TemperatureShift(level float64) (shift, low, high float64) {
	if !p.Temperature {
		return math.NaN(), math.NaN(), math.NaN()
	}
	k := p.Degree + 1
	half := numeric.StudentQuantile((1+level)/2, float64(p.DF)) * p.fit.SE[k]
	return p.fit.Coefficients[k], p.fit.Coefficients[k] - half, p.fit.Coefficients[k] + half
}
