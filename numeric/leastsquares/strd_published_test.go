package leastsquares

import (
	"math"
	"testing"
)

func powers(x []float64, from, to int) [][]float64 {
	a := make([][]float64, len(x))
	for i, v := range x {
		for k := from; k <= to; k++ {
			a[i] = append(a[i], math.Pow(v, float64(k)))
		}
	}
	return a
}

// digits returns the least log relative error of got: how many digits agree.
func digits(got, want []float64) float64 {
	least := 16.0
	for i, w := range want {
		if d := math.Abs(got[i]-w) / math.Abs(w); d > 0 {
			least = min(least, -math.Log10(d))
		} else if math.IsNaN(d) {
			return math.Inf(-1)
		}
	}
	return least
}

// Certified values of the Statistical Reference Datasets, linear regression. The digits asked of Longley and Norris are those
// that normal equations do not reach; Filip's columns, powers rounded to float64, hold no more than about eight.
func TestLinearCertified(t *testing.T) {
	var longleyA [][]float64
	var longleyY []float64
	for _, row := range longley {
		longleyA, longleyY = append(longleyA, append([]float64{1}, row[1:]...)), append(longleyY, row[0])
	}
	var pontiusX, wamplerX, w1, w2, nointX, nointY []float64
	for i := range pontiusY {
		pontiusX = append(pontiusX, 150000*float64(i%20+1))
	}
	for i := range 21 {
		x, f, s, d := float64(i), 0.0, 0.0, 1.0
		for k := range 6 {
			f += math.Pow(x, float64(k))
			s += math.Pow(x, float64(k)) * math.Pow(10, float64(5-k))
			d *= 1
		}
		wamplerX, w1, w2 = append(wamplerX, x), append(w1, f), append(w2, s/1e5)
	}
	for i := range 11 {
		nointX, nointY = append(nointX, float64(60+i)), append(nointY, float64(130+i))
	}
	for _, c := range []struct {
		name        string
		a           [][]float64
		y, b, se    []float64
		sd, r2      float64
		constant    bool
		need, spare float64 // digits of the coefficients and of what is derived
	}{
		{"Norris", powers(norrisX, 0, 1), norrisY, []float64{-.262323073774029, 1.00211681802045}, []float64{.232818234301152, .429796848199937e-3}, .884796396144373, .999993745883712, true, 12, 12},
		{"Longley", longleyA, longleyY,
			[]float64{-3482258.63459582, 15.0618722713733, -.0358191792925910, -2.02022980381683, -1.03322686717359, -.0511041056535807, 1829.15146461355},
			[]float64{890420.383607373, 84.9149257747669, .0334910077722432, .488399681651699, .214274163161675, .226073200069370, 455.478499142212}, 304.854073561965, .995479004577296, true, 11, 9},
		{"Pontius", powers(pontiusX, 0, 2), pontiusY, []float64{.673565789473684e-3, .732059160401003e-6, -.316081871345029e-14},
			[]float64{.107938612033077e-3, .157817399981659e-9, .486652849992036e-16}, .205177424076185e-3, math.NaN(), true, 11, 11},
		{"NoInt1", powers(nointX, 1, 1), nointY, []float64{2.07438016528926}, []float64{.0165289256198347}, math.NaN(), math.NaN(), false, 13, 12},
		{"NoInt2", [][]float64{{4}, {5}, {6}}, []float64{3, 4, 4}, []float64{.727272727272727}, nil, math.NaN(), math.NaN(), false, 14, 12},
		{"Wampler1", powers(wamplerX, 0, 5), w1, []float64{1, 1, 1, 1, 1, 1}, nil, math.NaN(), math.NaN(), true, 12, 9},
		{"Wampler2", powers(wamplerX, 0, 5), w2, []float64{1, .1, .01, .001, 1e-4, 1e-5}, nil, math.NaN(), math.NaN(), true, 12, 9},
		{"Filip", powers(filipX, 0, 10), filipY,
			[]float64{-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349, -75.1242017393757, -10.8753180355343, -1.06221498588947, -.0670191154593408, -.00246781078275479, -.0000402962525080404},
			[]float64{298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751, 71.6478660875927, 15.2897178747400, 2.23691159816033, .221624321934227, .0142363763154724, .000535617408889821, .896632837373868e-5},
			.00334801051324544, .996727416185620, true, 7, 6},
	} {
		f, err := Linear(c.a, c.y)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		t.Logf("%s: %.1f digits of coefficients", c.name, digits(f.Coefficients, c.b))
		if d := digits(f.Coefficients, c.b); d < c.need {
			t.Errorf("%s: coefficients agree to %.1f digits, %g are asked\n%.15g", c.name, d, c.need, f.Coefficients)
		}
		if d := digits(f.SE, c.se); d < c.spare {
			t.Errorf("%s: standard errors agree to %.1f digits\n%.15g", c.name, d, f.SE)
		}
		if !math.IsNaN(c.sd) && digits([]float64{f.SD}, []float64{c.sd}) < c.spare {
			t.Errorf("%s: residual deviation %.15g", c.name, f.SD)
		}
		if !math.IsNaN(c.r2) && digits([]float64{f.R2(c.y, c.constant)}, []float64{c.r2}) < c.spare {
			t.Errorf("%s: R² %.15g", c.name, f.R2(c.y, c.constant))
		}
	}
}

// Certified analyses of variance of the same: F, the regression's sum of squares and the residuals'.
func TestLinearCertifiedVariance(t *testing.T) {
	var a [][]float64
	var y []float64
	for _, row := range longley {
		a, y = append(a, append([]float64{1}, row[1:]...)), append(y, row[0])
	}
	for _, c := range []struct {
		name        string
		a           [][]float64
		y           []float64
		f, ssr, sse float64
		need        float64
	}{
		{"Norris", powers(norrisX, 0, 1), norrisY, 5436385.54079785, 4255954.13232369, 26.6173985294224, 12},
		{"Longley", a, y, 330.285339234588, math.NaN(), 836424.055505915, 12},
	} {
		f, err := Linear(c.a, c.y)
		if err != nil {
			t.Fatal(err)
		}
		mean, ssr := 0.0, 0.0
		for _, v := range c.y {
			mean += v / float64(len(c.y))
		}
		for i, v := range c.y {
			d := v - f.Residuals[i] - mean
			ssr += d * d
		}
		got, want := []float64{ssr / float64(len(f.Coefficients)-1) / (f.SD * f.SD), f.RSS}, []float64{c.f, c.sse}
		if !math.IsNaN(c.ssr) {
			got, want = append(got, ssr), append(want, c.ssr)
		}
		if d := digits(got, want); d < c.need {
			t.Errorf("%s: F and sums of squares %.15g agree to %.1f digits", c.name, got, d)
		}
	}
}

// Certified values of the Statistical Reference Datasets, nonlinear regression, from both starts they give, with the model's own
// derivatives and with differences.
func TestNonlinearCertified(t *testing.T) {
	var lanczosX []float64
	for i := range lanczosY {
		lanczosX = append(lanczosX, .05*float64(i))
	}
	for _, c := range []struct {
		name       string
		x, y       []float64
		model      func(x float64, b, d []float64) float64 // the value; fills d with its derivatives
		starts     [2][]float64
		b, se      []float64
		rss        float64
		need       float64
		needDiffer float64
	}{
		{"Misra1a", misraX, misraY, func(x float64, b, d []float64) float64 {
			e := math.Exp(-b[1] * x)
			d[0], d[1] = 1-e, b[0]*x*e
			return b[0] * (1 - e)
		}, [2][]float64{{500, 1e-4}, {250, 5e-4}}, []float64{238.94212918, 5.5015643181e-4}, []float64{2.7070075241, 7.2668688436e-6}, .12455138894, 8, 8},
		{"Thurber", thurberX, thurberY, func(x float64, b, d []float64) float64 {
			n, q := b[0]+x*(b[1]+x*(b[2]+x*b[3])), 1+x*(b[4]+x*(b[5]+x*b[6]))
			for k := range 4 {
				d[k] = math.Pow(x, float64(k)) / q
			}
			for k := range 3 {
				d[4+k] = -n / q / q * math.Pow(x, float64(k+1))
			}
			return n / q
		}, [2][]float64{{1000, 1000, 400, 40, .7, .3, .03}, {1300, 1500, 500, 75, 1, .4, .05}},
			[]float64{1288.1396800, 1491.0792535, 583.23836877, 75.416644291, .96629502864, .39797285797, .049727297349},
			[]float64{4.6647963344, 39.571156086, 28.698696102, 5.5675370270, .031333340687, .014984928198, .0065842344623}, 5642.7082397, 7, 6},
		{"Lanczos3", lanczosX, lanczosY, func(x float64, b, d []float64) float64 {
			s := 0.0
			for k := 0; k < 6; k += 2 {
				e := math.Exp(-b[k+1] * x)
				d[k], d[k+1] = e, -b[k]*x*e
				s += b[k] * e
			}
			return s
		}, [2][]float64{{1.2, .3, 5.6, 5.5, 6.5, 7.6}, {.5, .7, 3.6, 4.2, 4, 6.3}},
			[]float64{.086816414977, .95498101505, .84400777463, 2.9515951832, 1.5825685901, 4.9863565084},
			[]float64{.017197908859, .097041624475, .041488663282, .10766312506, .058371576281, .034436403035}, 1.6117193594e-8, 6, 5},
		{"MGH09", mghX, mghY, func(x float64, b, d []float64) float64 {
			n, q := x*x+x*b[1], x*x+x*b[2]+b[3]
			d[0], d[1], d[2], d[3] = n/q, b[0]*x/q, -b[0]*n*x/q/q, -b[0]*n/q/q
			return b[0] * n / q
		}, [2][]float64{{25, 39, 41.5, 39}, {.25, .39, .415, .39}}, []float64{.19280693458, .19128232873, .12305650693, .13606233068},
			[]float64{.011435312227, .19633220911, .080842031232, .090025542308}, 3.0750560385e-4, 7, 6},
	} {
		p := len(c.b)
		d := make([]float64, p)
		own := Model{Readings: len(c.x), Residual: func(b, r []float64) {
			for i, x := range c.x {
				r[i] = c.y[i] - c.model(x, b, d)
			}
		}}
		derived := own
		derived.Jacobian = func(b, j []float64) {
			for i, x := range c.x {
				c.model(x, b, d)
				for k, v := range d {
					j[i*p+k] = -v
				}
			}
		}
		for k, start := range c.starts {
			for _, m := range []struct {
				how  string
				m    Model
				need float64
			}{{"derivatives", derived, c.need}, {"differences", own, c.needDiffer}} {
				f, err := Nonlinear(m.m, start)
				if err != nil {
					t.Errorf("%s from start %d by %s: %v", c.name, k+1, m.how, err)
					continue
				}
				t.Logf("%s from start %d by %s: %d steps, %.1f digits", c.name, k+1, m.how, f.Steps, digits(f.Coefficients, c.b))
				if d := digits(f.Coefficients, c.b); d < m.need {
					t.Errorf("%s from start %d by %s: %.1f digits, %g asked, after %d steps\n%.12g", c.name, k+1, m.how, d, m.need, f.Steps, f.Coefficients)
				}
				if sd := map[string]float64{"Misra1a": .10187876330, "Thurber": 13.714600784}[c.name]; sd > 0 && digits([]float64{f.SD}, []float64{sd}) < 9.9 {
					t.Errorf("%s from start %d by %s: residual deviation %.12g", c.name, k+1, m.how, f.SD)
				}
				if digits(f.SE, c.se) < 5 || digits([]float64{f.RSS}, []float64{c.rss}) < 9.9 {
					t.Errorf("%s from start %d by %s: SE %.10g RSS %.12g", c.name, k+1, m.how, f.SE, f.RSS)
				}
			}
		}
	}
}
