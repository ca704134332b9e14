package scenes

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/shape"
)

// along is the capsule within a cylinder of a length about an axis: as long as it, of its radius; a short one becomes a ball.
func along(o frame, axis hand.Vec, length, radius float64) capsule {
	half := math.Max(length/2-radius, 0)
	return capsule{o.point(axis.Scale(-half)), o.point(axis.Scale(half)), radius}
}

// boxed is the capsule along a box's longest side, as thick as its shortest.
func boxed(o frame, size hand.Vec) capsule {
	radius := math.Min(size.X, math.Min(size.Y, size.Z)) / 2
	switch {
	case size.Z >= size.X && size.Z >= size.Y:
		return along(o, hand.Vec{Z: 1}, size.Z, radius)
	case size.X >= size.Y:
		return along(o, hand.Vec{X: 1}, size.X, radius)
	}
	return along(o, hand.Vec{Y: 1}, size.Y, radius)
}

// meshed is the capsule within the box around a mesh along its principal axes, those of its surface.
func meshed(o frame, mesh *shape.Mesh, scale hand.Vec) capsule {
	corner := func(i int32) [3]float64 {
		v := mesh.Vertices[i]
		return [3]float64{v[0] * scale.X, v[1] * scale.Y, v[2] * scale.Z}
	}
	// Integrals over the triangles, so that how the surface is cut into them does not matter: ∫1, ∫p and ∫p·pᵀ, the last of them
	// A/12·(Σ v·vᵀ + s·sᵀ) with s the sum of the corners v.
	whole, first, second := 0.0, [3]float64{}, [3][3]float64{}
	for _, t := range mesh.Triangles {
		v := [3][3]float64{corner(t[0]), corner(t[1]), corner(t[2])}
		p := hand.Vec{X: v[1][0] - v[0][0], Y: v[1][1] - v[0][1], Z: v[1][2] - v[0][2]}
		q := hand.Vec{X: v[2][0] - v[0][0], Y: v[2][1] - v[0][1], Z: v[2][2] - v[0][2]}
		area := p.Cross(q).Norm() / 2
		whole += area
		var sum [3]float64
		for i := range 3 {
			sum[i] = v[0][i] + v[1][i] + v[2][i]
			first[i] += area / 3 * sum[i]
		}
		for i := range 3 {
			for j := range 3 {
				second[i][j] += area / 12 * (v[0][i]*v[0][j] + v[1][i]*v[1][j] + v[2][i]*v[2][j] + sum[i]*sum[j])
			}
		}
	}
	if !(whole > 0) {
		return capsule{o.at, o.at, 0}
	}
	spread := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := range i + 1 {
			spread.SetSym(i, j, (second[i][j]-first[i]*first[j]/whole)/whole)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(spread, true) {
		return capsule{o.at, o.at, 0}
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	column := func(k int) hand.Vec { return hand.Vec{X: axes.At(0, k), Y: axes.At(1, k), Z: axes.At(2, k)} }
	box := frame{turn: hand.Turn{X: column(0), Y: column(1), Z: column(0).Cross(column(1))}}
	low, high := hand.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}, hand.Vec{X: math.Inf(-1), Y: math.Inf(-1), Z: math.Inf(-1)}
	for i := range mesh.Vertices {
		p := corner(int32(i))
		q := box.turn.Back(hand.Vec{X: p[0], Y: p[1], Z: p[2]})
		low = hand.Vec{X: math.Min(low.X, q.X), Y: math.Min(low.Y, q.Y), Z: math.Min(low.Z, q.Z)}
		high = hand.Vec{X: math.Max(high.X, q.X), Y: math.Max(high.Y, q.Y), Z: math.Max(high.Z, q.Z)}
	}
	box.at = box.turn.Apply(low.Add(high).Scale(0.5))
	return boxed(o.then(box), high.Sub(low))
}
