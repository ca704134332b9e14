package scenes

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// boxOBJ is a box of the given lengths with a corner at the origin, as OBJ text.
func boxOBJ(x, y, z float64) string {
	var b strings.Builder
	for i := range 8 {
		fmt.Fprintf(&b, "v %g %g %g\n", x*float64(i&1), y*float64(i>>1&1), z*float64(i>>2))
	}
	b.WriteString("f 1 3 4 2\nf 5 6 8 7\nf 1 2 6 5\nf 3 7 8 4\nf 1 5 7 3\nf 2 4 8 6\n")
	return b.String()
}

// An item from a mesh lies as its file has it, whatever its principal axes are called, and has the measures and moments of the
// same box.
func TestItemFromMesh(t *testing.T) {
	files := fstest.MapFS{
		"items/i.yaml":    {Data: []byte("name: I\nshape:\n  mesh: {file: ../shapes/box.obj, mm_per_unit: 10}\nturn: [{about: z, by_deg: 30}]\nmass_g: 50\n")},
		"items/bad.yaml":  {Data: []byte("name: I\nshape:\n  mesh: {file: ../shapes/open.obj, mm_per_unit: 10}\nmass_g: 50\n")},
		"shapes/box.obj":  {Data: []byte(boxOBJ(3, 12, 5))},
		"shapes/open.obj": {Data: []byte(strings.Replace(boxOBJ(3, 12, 5), "f 2 4 8 6\n", "", 1))},
		"scene.yaml":      {Data: []byte("name: S\nhand:\n  file: x\n")},
	}
	it, err := ReadItem(files, "items/i.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{0.03, 0.12, 0.05} {
		var axis orient.Vec3
		axis[k] = 1
		axis = orient.RotZ(math.Pi / 6).Apply(axis)
		own := it.Rest.Inverse().Apply(axis)
		back := own.Scale(-1)
		if size := it.Shape.Support(own).Dot(own) + it.Shape.Support(back).Dot(back); math.Abs(size-want) > 1e-12 {
			t.Errorf("%g m long along its file's axis %d, want %g", size, k, want)
		}
	}
	box, err := shape.NewBox(orient.Vec3{0.015, 0.06, 0.025}, 0)
	if err != nil {
		t.Fatal(err)
	}
	volume, _ := it.Shape.Moments()
	if want, _ := box.Moments(); math.Abs(volume-want) > 1e-12*want {
		t.Errorf("volume %g, want %g", volume, want)
	}
	_, err = ReadItem(files, "items/bad.yaml")
	if err == nil || !strings.Contains(err.Error(), "items/bad.yaml:3:9: shape.mesh: ") {
		t.Errorf("an open surface gives %v", err)
	}
}

// A link's mesh gives it the capsule of the box around it, however it is turned.
func TestLinkFromMesh(t *testing.T) {
	at := strings.Replace(twoFingers, `<origin xyz="0 0 0.02"/><geometry><cylinder radius="0.008" length="0.056"/></geometry>`,
		`<origin xyz="0.002 0 0.01" rpy="0 0.3 0"/><geometry><mesh filename="shapes/box.obj" scale="0.001 0.001 0.002"/></geometry>`, 1)
	files := fstest.MapFS{"f": {Data: []byte(ofURDF)}, "hand.urdf": {Data: []byte(at)}, "shapes/box.obj": {Data: []byte(boxOBJ(12, 14, 25))}}
	h, err := ReadHand(files, "f")
	if err != nil {
		t.Fatal(err)
	}
	l := h.Fingers[0].Chain.Joint(0).Link
	if math.Abs(l.Radius-0.006) > 1e-12 || math.Abs(l.To.Sub(l.From).Norm()-0.038) > 1e-12 {
		t.Errorf("a box of 12 × 14 × 50 mm became %g m thick and %g m long", 2*l.Radius, l.To.Sub(l.From).Norm())
	}
	turn := orient.RotY(0.3)
	middle := orient.Vec3{0.002, 0, 0.01}.Add(turn.Apply(orient.Vec3{0.006, 0.007, 0.025}))
	got := l.From.Add(l.To).Scale(0.5)
	if d := math.Abs(got.X-middle[0]) + math.Abs(got.Y-middle[1]) + math.Abs(got.Z-middle[2]); d > 1e-12 {
		t.Errorf("its middle is %v, want %v", got, middle)
	}
	along := turn.Apply(orient.Vec3{0, 0, 1})
	way := l.To.Sub(l.From).Scale(1 / 0.038)
	if d := math.Abs(math.Abs(way.X*along[0]+way.Y*along[1]+way.Z*along[2]) - 1); d > 1e-12 {
		t.Errorf("it runs along %v, want %v", way, along)
	}
	for name, filename := range map[string]string{"package": "package://hand/box.obj", "rooted": "/shapes/box.obj", "kind": "shapes/box.dae", "absent": "shapes/none.stl"} {
		files["hand.urdf"].Data = []byte(strings.Replace(at, "shapes/box.obj", filename, 1))
		if _, err := ReadHand(files, "f"); err == nil || !strings.Contains(err.Error(), "hand.urdf:17:68: link lower.collision.mesh: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
