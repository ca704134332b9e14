package orient

import "math"

// ClebschGordan returns the coefficient ⟨l1 m1 l2 m2 | l m⟩ for whole-number degrees, 0 where the rules forbid it. It
// sums Racah's formula (Varshalovich et al. 1988 §8.2.1; from memory, checked by orthogonality); relative accuracy is
// about 1e-12 for degrees up to 10 and worsens slowly beyond.
func ClebschGordan(l1, m1, l2, m2, l, m int) float64 {
	if l1 < 0 || l2 < 0 || m1+m2 != m || abs(m1) > l1 || abs(m2) > l2 || abs(m) > l || l < abs(l1-l2) || l > l1+l2 {
		return 0
	}
	front := 0.5 * (math.Log(float64(2*l+1)) +
		logFactorial(l1+l2-l) + logFactorial(l1-l2+l) + logFactorial(-l1+l2+l) - logFactorial(l1+l2+l+1) +
		logFactorial(l+m) + logFactorial(l-m) + logFactorial(l1+m1) + logFactorial(l1-m1) + logFactorial(l2+m2) + logFactorial(l2-m2))
	sum := 0.0
	for k := max(0, l2-l-m1, l1-l+m2); k <= min(l1+l2-l, l1-m1, l2+m2); k++ {
		sum += parity(k) * math.Exp(front-logFactorial(k)-logFactorial(l1+l2-l-k)-logFactorial(l1-m1-k)-
			logFactorial(l2+m2-k)-logFactorial(l-l2+m1+k)-logFactorial(l-l1-m2+k))
	}
	return sum
}

// logFactorials holds ln n! for every argument that degrees up to 60 can ask for.
var logFactorials = func() (t [256]float64) {
	for n := 2; n < len(t); n++ {
		t[n] = t[n-1] + math.Log(float64(n))
	}
	return t
}()

func logFactorial(n int) float64 {
	if n < len(logFactorials) {
		return logFactorials[n]
	}
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}
