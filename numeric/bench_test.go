package numeric

import "testing"

func BenchmarkBetaQuantile(b *testing.B) {
	for _, c := range []struct {
		name string
		a, b float64
	}{{"rare", 1.5, 148}, {"small", 16, 5}, {"middle", 150, 150}, {"large", 19_000, 1_000}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				BetaQuantile(c.a, c.b, 0.025)
			}
		})
	}
}
