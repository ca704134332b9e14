package pushing

import "math"

// A support's mean distance c (m) is the largest friction moment about its middle over the largest friction force, for even
// pressure: the mean distance of its points from the middle. With it the limit surface is drawn as an ellipsoid,
// (f/f_max)² + (m/(c·f_max))² = 1.

// RectangleDistance returns c of a rectangle with the sides a and b (m): the integral of the distance in closed form.
func RectangleDistance(a, b float64) float64 {
	p, q := a/2, b/2
	d := math.Hypot(p, q)
	return (2*p*q*d + p*p*p*math.Log((q+d)/p) + q*q*q*math.Log((p+d)/q)) / (6 * p * q)
}

// DiskDistance returns c of a disk of radius r (m), two thirds of it.
func DiskDistance(r float64) float64 { return 2 * r / 3 }

// RingDistance returns c of a thin ring of radius r (m), which is the radius.
func RingDistance(r float64) float64 { return r }

// Patch is a piece of a support: where its middle lies and its share of the weight.
type Patch struct{ X, Y, Share float64 }

// Rectangle cuts a rectangle with the sides a and b (m) into n × n patches of even pressure about its middle.
func Rectangle(a, b float64, n int) []Patch {
	list := make([]Patch, 0, n*n)
	for i := range n {
		for j := range n {
			list = append(list, Patch{a * ((float64(i)+0.5)/float64(n) - 0.5), b * ((float64(j)+0.5)/float64(n) - 0.5), 1 / float64(n*n)})
		}
	}
	return list
}

// Disk cuts a disk of radius r (m) into n rings of 6n patches of even pressure about its middle.
func Disk(r float64, n int) []Patch {
	list := make([]Patch, 0, 6*n*n)
	for i := range n {
		inner, outer := float64(i)/float64(n), float64(i+1)/float64(n)
		middle := r * 2 * (outer*outer*outer - inner*inner*inner) / (3 * (outer*outer - inner*inner))
		for j := range 6 * n {
			sin, cos := math.Sincos(2 * math.Pi * (float64(j) + 0.5) / float64(6*n))
			list = append(list, Patch{middle * cos, middle * sin, (outer*outer - inner*inner) / float64(6*n)})
		}
	}
	return list
}
