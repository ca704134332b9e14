package shape

import (
	"testing"

	"holdfast/orient"
)

var benched = []struct {
	name string
	s    Solid
}{
	{"ellipsoid", Ellipsoid{orient.Vec3{0.035, 0.030, 0.028}}},
	{"box", must(NewBox(orient.Vec3{0.035, 0.030, 0.028}, 0.004))},
	{"superellipsoid", must(NewSuperellipsoid(orient.Vec3{0.035, 0.030, 0.028}, 0.6, 0.8))},
	{"cylinder", must(NewCylinder(0.03, 0.035, 0.003))},
	{"crescent", must(NewCrescent(0.045, 1.2, 0.02, 0.01))},
	{"polyhedron of 4608", func() Solid {
		p, _, err := NewPolyhedron(Ellipsoid{orient.Vec3{0.035, 0.030, 0.028}}.Outline(24))
		return must(p, err)
	}()},
	{"cone", must(NewFrustum(0.04, 0, 0.09, 0.003))},
}

// Eight segments around the solids, as a closing finger's links lie: beside, across, over the edge, pressed in a little.
var links = func() (list [8][2]orient.Vec3) {
	ends := [][2]orient.Vec3{
		{{0.045, -0.01, 0.02}, {0.04, 0.02, -0.015}}, {{0.042, 0.005, 0.03}, {0.041, 0.006, -0.01}},
		{{-0.01, 0.04, 0.03}, {0.02, 0.041, 0.02}}, {{0.03, 0.04, 0.0}, {0.05, 0.0, 0.03}},
		{{0, 0.02, 0.04}, {0.01, 0.05, 0.01}}, {{-0.04, -0.03, 0.01}, {-0.03, -0.04, -0.03}},
		{{0.034, 0.01, -0.02}, {0.036, 0.0, 0.02}}, {{0.01, -0.05, 0.02}, {0.0, -0.035, -0.02}},
	}
	copy(list[:], ends)
	return list
}()

func BenchmarkSegment(b *testing.B) {
	for _, k := range benched {
		b.Run(k.name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				l := &links[i&7]
				k.s.Segment(l[0], l[1])
				i++
			}
		})
	}
}

func BenchmarkApart(b *testing.B) {
	for _, k := range benched {
		b.Run(k.name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				l := &links[i&7]
				k.s.Apart(l[0], l[1])
				i++
			}
		})
	}
}

func BenchmarkPoint(b *testing.B) {
	for _, k := range benched {
		b.Run(k.name, func(b *testing.B) {
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				k.s.Point(links[i&7][0])
				i++
			}
		})
	}
}

func BenchmarkFooting(b *testing.B) {
	for _, k := range benched {
		b.Run(k.name, func(b *testing.B) {
			b.ReportAllocs()
			feet := make([]Foot, 0, FootingMost)
			d := orient.Vec3{0.28, 0, -0.96}
			for b.Loop() {
				feet = k.s.Footing(d, 0.002, feet[:0])
			}
		})
	}
}
