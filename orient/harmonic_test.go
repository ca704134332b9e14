package orient

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// symmetriesUnderTest covers every way a symmetry cuts the functions.
var symmetriesUnderTest = []Symmetry{
	{},
	{HandFold: 2},
	{HandFold: 3, Surroundings: Surroundings{Fold: 2}},
	{Surroundings: Surroundings{Axial: true}},
	{HandFold: 2, HandMirror: true, Surroundings: Surroundings{Axial: true, Mirror: true}},
	{HandFold: 2, HandMirror: true, Surroundings: Surroundings{Fold: 4, Mirror: true}},
	{HandFold: 360},
	{HandFold: 360, Surroundings: Surroundings{Axial: true}},
}

func someRotations(n int, seed uint64) []Rotation {
	rng := rand.New(rand.NewPCG(seed, 1))
	rs := make([]Rotation, n)
	for i := range rs {
		rs[i], _ = Rotation{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}.Normalized()
	}
	// The places where charts are singular belong to every test.
	return append(rs, Identity, RotX(math.Pi), RotZ(1), RotY(1e-9), RotX(math.Pi-1e-9), RotY(-math.Pi/2))
}

func TestTorusAgreesWithPlainSums(t *testing.T) {
	for _, s := range symmetriesUnderTest {
		for _, degree := range []int{0, 1, 5, 12} {
			t.Run(fmt.Sprintf("%v degree %d", s, degree), func(t *testing.T) {
				h, err := NewHarmonics(degree, s)
				if err != nil {
					t.Fatal(err)
				}
				rs := someRotations(200, 7)
				rng := rand.New(rand.NewPCG(3, 4))
				coef := make([]float64, h.Len())
				for i := range coef {
					coef[i] = rng.NormFloat64()
				}
				weight := make([]float64, len(rs))
				for i := range weight {
					weight[i] = rng.NormFloat64()
				}
				wantValues, wantMoments := make([]float64, len(rs)), make([]float64, h.Len())
				phi := make([]float64, h.Len())
				for i, r := range rs {
					h.Values(phi, r)
					for j := range phi {
						wantValues[i] += coef[j] * phi[j]
						wantMoments[j] += weight[i] * phi[j]
					}
				}
				torus := NewTorus(h, 2)
				points := torus.Points(rs)
				values, moments := make([]float64, len(rs)), make([]float64, h.Len())
				if err := torus.Evaluate(values, h, coef, points); err != nil {
					t.Fatal(err)
				}
				if err := torus.Moments(moments, h, points, weight); err != nil {
					t.Fatal(err)
				}
				if e := relativeError(values, wantValues); e > 2e-6 {
					t.Errorf("values: relative error %.2g", e)
				}
				if e := relativeError(moments, wantMoments); e > 2e-6 {
					t.Errorf("moments: relative error %.2g", e)
				}
			})
		}
	}
}

func TestProductsAgreeWithPlainSums(t *testing.T) {
	for _, s := range symmetriesUnderTest {
		for _, degree := range []int{0, 1, 4} {
			t.Run(fmt.Sprintf("%v degree %d", s, degree), func(t *testing.T) {
				h, err := NewHarmonics(degree, s)
				if err != nil {
					t.Fatal(err)
				}
				product, err := NewHarmonicProduct(h, 2)
				if err != nil {
					t.Fatal(err)
				}
				double := product.Double()
				n := h.Len()
				rs := someRotations(40, 5)
				rng := rand.New(rand.NewPCG(8, 9))
				v := make([]float64, n*n)
				for i := range n {
					for j := range i + 1 {
						v[i*n+j] = rng.NormFloat64()
					}
				}
				moments, phi, phi2 := make([]float64, double.Len()), make([]float64, n), make([]float64, double.Len())
				wantGram, wantForm := make([]float64, n*n), make([]float64, len(rs))
				form := make([]float64, double.Len())
				product.Quadratic(form, v)
				gotForm := make([]float64, len(rs))
				for r, rot := range rs {
					w := rng.Float64()
					h.Values(phi, rot)
					double.Values(phi2, rot)
					for i, p := range phi2 {
						moments[i] += w * p
						gotForm[r] += form[i] * p
					}
					for i := range n {
						for j := range i + 1 {
							wantGram[i*n+j] += w * phi[i] * phi[j]
							both := 2.0
							if i == j {
								both = 1
							}
							wantForm[r] += both * v[i*n+j] * phi[i] * phi[j]
						}
					}
				}
				gram := make([]float64, n*n)
				product.Gram(gram, moments)
				if e := relativeError(gram, wantGram); e > 1e-11 {
					t.Errorf("Gram: relative error %.2g", e)
				}
				if e := relativeError(gotForm, wantForm); e > 1e-11 {
					t.Errorf("quadratic form: relative error %.2g", e)
				}
			})
		}
	}
}

// relativeError is the largest difference, against the root mean square of what is wanted.
func relativeError(got, want []float64) float64 {
	worst, sum := 0.0, 0.0
	for i := range want {
		worst = math.Max(worst, math.Abs(got[i]-want[i]))
		sum += want[i] * want[i]
	}
	return worst / math.Sqrt(sum/float64(len(want)))
}

func TestHarmonicGridIsExact(t *testing.T) {
	for _, s := range symmetriesUnderTest {
		for _, degree := range []int{0, 1, 4} {
			h, err := NewHarmonics(degree, s)
			if err != nil {
				t.Fatal(err)
			}
			high, err := NewHarmonics(degree+3, s)
			if err != nil {
				t.Fatal(err)
			}
			g := NewHarmonicGrid(high, degree+3, 2)
			rng := rand.New(rand.NewPCG(1, 2))
			coef := make([]float64, high.Len())
			for i := range coef {
				coef[i] = rng.NormFloat64()
			}
			values := make([]float64, g.Len())
			if err := g.Values(values, high, coef); err != nil {
				t.Fatal(err)
			}
			phi := make([]float64, high.Len())
			for i, r := range g.Rotations() {
				high.Values(phi, r)
				want := 0.0
				for j, c := range coef {
					want += c * phi[j]
				}
				if math.Abs(values[i]-want) > 1e-10*(1+math.Abs(want)) {
					t.Fatalf("%v: value %d is %g, want %g", s, i, values[i], want)
				}
			}
			// A grid for the low set sees values of higher degree and must still return the low coefficients.
			low := NewHarmonicGrid(h, degree+3, 1)
			values = make([]float64, low.Len())
			for i, r := range low.Rotations() {
				high.Values(phi, r)
				for j, c := range coef {
					values[i] += c * phi[j]
				}
			}
			got := make([]float64, h.Len())
			if err := low.Project(got, h, values); err != nil {
				t.Fatal(err)
			}
			for j, v := range got {
				if math.Abs(v-coef[j]) > 1e-10 {
					t.Fatalf("%v degree %d: coefficient %d is %g, want %g", s, degree, j, v, coef[j])
				}
			}
		}
	}
}
