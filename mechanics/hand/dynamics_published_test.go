package hand_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"

	"holdfast/mechanics/hand"
)

const degree = math.Pi / 180

// near demands agreement to a tolerance, as a rule half a unit of the last digit that the expected figure shows.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g ± %.1g", what, got, want, tolerance)
	}
}

// close demands relative agreement.
func close(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	near(t, what, got, want, relative*math.Max(math.Abs(want), 1e-300))
}

// pendulum hangs n point masses of 1 kg on massless rods of 1 m, joints about y, zero angles straight down.
func pendulum(t *testing.T, n int) *hand.State {
	t.Helper()
	joints := make([]hand.Joint, n)
	for i := range joints {
		joints[i] = hand.Joint{Axis: hand.Vec{Y: 1}, Link: hand.Link{Mass: 1, Centre: hand.Vec{Z: -1}, To: hand.Vec{Z: -1}}}
		if i > 0 {
			joints[i].Origin = hand.Vec{Z: -1}
		}
	}
	c, err := hand.NewChain(joints)
	if err != nil {
		t.Fatal(err)
	}
	s := c.NewState()
	s.Gravity = hand.Vec{Z: -9.81}
	return s
}

// accelerate returns the accelerations of a free chain at angles q and speeds v.
func accelerate(s *hand.State, q, v []float64) []float64 {
	copy(s.Q, q)
	copy(s.Speed, v)
	s.Update()
	s.Move()
	n := len(q)
	m, b, e := make([]float64, n*n), make([]float64, n), make([]float64, n)
	s.MassMatrix(m)
	s.Bias(b)
	s.Elastic(e, nil)
	for i := range e {
		e[i] -= b[i]
	}
	return gauss(m, e)
}

// gauss solves a small system; of the test's own, so that the room's solver is not checked by itself.
func gauss(a, b []float64) []float64 {
	n := len(b)
	x := append([]float64(nil), b...)
	m := append([]float64(nil), a...)
	for k := range n {
		p := k
		for i := k + 1; i < n; i++ {
			if math.Abs(m[i*n+k]) > math.Abs(m[p*n+k]) {
				p = i
			}
		}
		for j := range n {
			m[k*n+j], m[p*n+j] = m[p*n+j], m[k*n+j]
		}
		x[k], x[p] = x[p], x[k]
		for i := k + 1; i < n; i++ {
			f := m[i*n+k] / m[k*n+k]
			for j := k; j < n; j++ {
				m[i*n+j] -= f * m[k*n+j]
			}
			x[i] -= f * x[k]
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j < n; j++ {
			x[k] -= m[k*n+j] * x[j]
		}
		x[k] /= m[k*n+k]
	}
	return x
}

// rungeKutta steps a free chain by the classical fourth-order rule.
func rungeKutta(s *hand.State, q, v []float64, h float64) {
	n := len(q)
	shift := func(x, d []float64, f float64) []float64 {
		y := make([]float64, n)
		for i := range y {
			y[i] = x[i] + f*d[i]
		}
		return y
	}
	a1 := accelerate(s, q, v)
	v2 := shift(v, a1, h/2)
	a2 := accelerate(s, shift(q, v, h/2), v2)
	v3 := shift(v, a2, h/2)
	a3 := accelerate(s, shift(q, v2, h/2), v3)
	v4 := shift(v, a3, h)
	a4 := accelerate(s, shift(q, v3, h), v4)
	for i := range q {
		q[i] += h / 6 * (v[i] + 2*v2[i] + 2*v3[i] + v4[i])
		v[i] += h / 6 * (a1[i] + 2*a2[i] + 2*a3[i] + a4[i])
	}
}

func total(s *hand.State, q, v []float64) float64 {
	copy(s.Q, q)
	copy(s.Speed, v)
	s.Update()
	s.Move()
	k, p := s.Energy()
	return k + p
}

// D9: double pendulum, both rods level at rest; elementary mechanics, computed by two integrators (DOP853; Taylor series
// of 30 digits). Angles there are absolute, here the second is relative.
func TestDoublePendulum(t *testing.T) {
	s := pendulum(t, 2)
	q, v := []float64{math.Pi / 2, 0}, []float64{0, 0}
	const h = 1.0 / 4000
	for second, want := range [][4]float64{
		{-.625087699806, -1.03458508568, -3.92227957289, -1.3030992487},
		{-.482971534252, -1.3240487123, 3.06528819207, 2.94927154757},
		{1.78579552208, 1.11810746121, .327980619514, -.504455103945},
	} {
		for range 4000 {
			rungeKutta(s, q, v, h)
		}
		tolerance := 1e-8 * math.Pow(10, float64(second)) // the motion is chaotic: what rounding and the step leave grows
		near(t, "first angle", q[0], want[0], tolerance)
		near(t, "second angle", q[0]+q[1], want[1], tolerance)
		near(t, "first speed", v[0], want[2], tolerance)
		near(t, "second speed", v[0]+v[1], want[3], tolerance)
	}
}

// D10: drift of D9's energy (0 J), computed; asked for within a factor of 2, and for the order of the rules.
func TestEnergyDriftHasTheOrderOfTheRule(t *testing.T) {
	s := pendulum(t, 2)
	for _, c := range []struct{ h, want float64 }{{.010, 2.5e-4}, {.005, 1.8e-5}, {.002, 4.9e-7}, {.001, 3.2e-8}} {
		q, v, worst := []float64{math.Pi / 2, 0}, []float64{0, 0}, 0.0
		for range int(math.Round(10 / c.h)) {
			rungeKutta(s, q, v, c.h)
			worst = max(worst, math.Abs(total(s, q, v)))
		}
		if worst > 2*c.want || worst < c.want/2 {
			t.Errorf("Runge–Kutta at %g s drifts by %.3g J, want %.3g within a factor of 2", c.h, worst, c.want)
		}
	}
	for _, c := range []struct{ h, want float64 }{{.010, 3.09}, {.001, .286}, {.0001, .0284}} {
		q, v, worst := []float64{math.Pi / 2, 0}, []float64{0, 0}, 0.0
		for range int(math.Round(5 / c.h)) {
			a := accelerate(s, q, v)
			for i := range q {
				v[i] += c.h * a[i]
				q[i] += c.h * v[i]
			}
			worst = max(worst, math.Abs(total(s, q, v)))
		}
		if worst > 2*c.want || worst < c.want/2 {
			t.Errorf("semi-implicit Euler at %g s drifts by %.3g J, want %.3g within a factor of 2", c.h, worst, c.want)
		}
	}
}

// D12: period of a pendulum of large swing over that of a small one, 2K(sin A/2)/π; computed. Time to the lowest point is a
// quarter of it.
func TestLargeSwing(t *testing.T) {
	for _, c := range []struct{ amplitude, ratio float64 }{{10, 1.001907}, {45, 1.039973}, {90, 1.180341}, {120, 1.372881}, {170, 2.439363}} {
		near(t, "closed form", 2/math.Pi*mathext.CompleteK(math.Pow(math.Sin(c.amplitude*degree/2), 2)), c.ratio, 0.5e-6)
		s := pendulum(t, 1)
		q, v := []float64{c.amplitude * degree}, []float64{0}
		const h = 1e-3
		time := 0.0
		for q[0] > 0 {
			rungeKutta(s, q, v, h)
			time += h
		}
		time -= q[0] / v[0]
		close(t, "quarter period", 4*time/(2*math.Pi*math.Sqrt(1/9.81)), c.ratio, 1e-5)
	}
}
