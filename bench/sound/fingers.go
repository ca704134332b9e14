package main

import (
	"context"
	"fmt"
	"math"

	"holdfast/signals/touch"
	"holdfast/signals/touch/finger"
)

// fingers prints the error of learnt positions by noise: on the finger that was trained on, on one that was not, by the
// largest likelihood with the finger fully known, and the Cramér–Rao bound.
func fingers() error {
	const lowMm, highMm, each, tested = 22.0, 85.0, 150, 150
	specimens := finger.Specimens(4, 1)
	e, err := touch.NewExtractor(recipe())
	if err != nil {
		return err
	}
	place := func(i, n int) float64 { return lowMm + (highMm-lowMm)*(float64(i)+0.5)/float64(n) }
	fmt.Printf("invented fingers, places %g to %g mm, root-mean-square error in mm; three fingers trained on, %d taps each\n", lowMm, highMm, each)
	fmt.Printf("%-8s %12s %12s %18s %12s\n", "noise", "same finger", "other finger", "largest likelihood", "bound")
	for _, noise := range []float64{0.01, 0.05, 0.2, 0.5} {
		x, target := touch.NewMatrix(3*each, e.Count()), make([]float64, 3*each)
		for f := range 3 {
			for i := range each {
				k := f*each + i
				target[k] = place(i, each)
				if err := e.Extract(x.Row(k), specimens[f].Touch(target[k], noise, 1, k)); err != nil {
					return err
				}
			}
		}
		p, err := touch.FitPosition(context.Background(), x, target, 2)
		if err != nil {
			return err
		}
		row := make([]float64, e.Count())
		learnt := func(s *finger.Specimen, at float64, number int) (float64, error) {
			err := e.Extract(row, s.Touch(at, noise, 2, number))
			mean, _ := p.Predict(row)
			return mean - at, err
		}
		var same, other, likely, bound float64
		locate := finger.NewLocator(specimens[0])
		for i := range tested {
			at := place(i, tested)
			a, err := learnt(specimens[0], at, i)
			if err != nil {
				return err
			}
			b, err := learnt(specimens[3], at, i)
			if err != nil {
				return err
			}
			c := locate.Locate(specimens[0].Touch(at, noise, 2, i), lowMm-5, highMm+3) - at
			d := specimens[0].Bound(at, noise)
			same, other, likely, bound = same+a*a, other+b*b, likely+c*c, bound+d*d
		}
		root := func(s float64) float64 { return math.Sqrt(s / tested) }
		fmt.Printf("%-8s %12.3f %12.3f %18.4f %12.4f\n", fmt.Sprintf("%g %%", 100*noise), root(same), root(other), root(likely), root(bound))
	}
	return nil
}
