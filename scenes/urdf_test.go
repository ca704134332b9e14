package scenes

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"holdfast/mechanics/hand"
	"holdfast/orient"
)

// Two fingers on a palm: one of a hinge and a slide, whose tip is fixed to it with a mass of its own and whose frames are turned
// every way; one of a single hinge.
const twoFingers = `<?xml version="1.0"?>
<robot name="test">
  <link name="arm"/>
  <link name="palm"/>
  <joint name="wrist" type="fixed"><parent link="arm"/><child link="palm"/><origin xyz="0 0 0.1"/></joint>
  <joint name="base" type="revolute">
    <parent link="palm"/><child link="lower"/>
    <origin xyz="0.02 0.01 0.005" rpy="0.3 -0.4 0.5"/>
    <axis xyz="0 -2 0"/>
    <limit lower="-0.2" upper="1.5" effort="1" velocity="1"/>
    <dynamics damping="0.004"/>
  </joint>
  <link name="lower">
    <visual><geometry><mesh filename="looks.stl"/></geometry></visual>
    <inertial><origin xyz="0.001 0 0.02" rpy="0 0 1.5707963267948966"/><mass value="0.02"/>
      <inertia ixx="4e-6" iyy="4.5e-6" izz="1e-6" ixy="1e-7" ixz="0" iyz="0"/></inertial>
    <collision><origin xyz="0 0 0.02"/><geometry><cylinder radius="0.008" length="0.056"/></geometry></collision>
  </link>
  <joint name="reach" type="prismatic">
    <parent link="lower"/><child link="upper"/>
    <origin xyz="0 0 0.04" rpy="0 1.5707963267948966 0"/>
    <axis xyz="1 0 0"/>
    <limit lower="-0.004" upper="0.006" effort="1" velocity="1"/>
  </joint>
  <link name="upper">
    <inertial><origin xyz="-0.01 0 0"/><mass value="0.006"/><inertia ixx="1e-7" iyy="6e-7" izz="6e-7"/></inertial>
  </link>
  <joint name="glue" type="fixed"><parent link="upper"/><child link="tip"/><origin xyz="-0.02 0 0"/></joint>
  <link name="tip">
    <inertial><mass value="0.003"/><inertia ixx="1e-7" iyy="1e-7" izz="1e-7"/></inertial>
    <collision><geometry><sphere radius="0.007"/></geometry></collision>
  </link>
  <joint name="thumb" type="continuous">
    <parent link="palm"/><child link="thumb"/><origin xyz="-0.02 0 0" rpy="0 0 3.141592653589793"/><axis xyz="0 -1 0"/>
  </joint>
  <link name="thumb">
    <inertial><origin xyz="0 0 0.02"/><mass value="0.01"/><inertia ixx="2e-6" iyy="2e-6" izz="3e-7"/></inertial>
    <collision><origin xyz="0 0 0.02"/><geometry><box size="0.014 0.012 0.05"/></geometry></collision>
  </link>
</robot>
`

const ofURDF = `name: From URDF
urdf:
  file: hand.urdf
  palm: palm
  every_joint: {stiffness_Nm_per_rad: 0.1, stiffness_N_per_mm: 2, damping_Ns_per_mm: 0.003}
  joints:
    - {joint: thumb, stiffness_Nm_per_rad: 0.3, damping_Nms_per_rad: 0.01, rest_deg: -10}
motors:
  - {travel_mm: 20, stiffness_N_per_mm: 1, most_force_N: 30}
cords:
  - by_joint: [{joint: base, arm_mm: 8}, {joint: thumb, arm_mm: 9, wrap_deg: 30}]
    friction: 0.1
palm: {radius_mm: 30}
skin: {friction: 0.6, stiffness_N_per_mm: 4}
`

// The same by hand: frames turned back into the finger's own, masses put together.
const ofYAML = `name: The same
fingers:
  - name: lower
    root_mm: [20, 10, 5]
    turn: [{about: x, by_deg: 17.188733853924695}, {about: y, by_deg: -22.918311805232932}, {about: z, by_deg: 28.64788975654116}]
    joints:
      - name: base
        stiffness_Nm_per_rad: 0.1
        damping_Nms_per_rad: 0.004
        stops: {lower_deg: -11.459155902616466, upper_deg: 85.94366926962348, stiffness_Nm_per_rad: 5}
        link:
          from_mm: [0, 0, 0]
          to_mm: [0, 0, 40]
          radius_mm: 8
          mass_g: 20
          centre_mm: [1, 0, 20]
          inertia_g_mm2: {xx: 4500, yy: 4000, zz: 1000, xy: -100}
      - name: reach
        slides: true
        axis: [0, 0, -1]
        stiffness_N_per_mm: 2
        damping_Ns_per_mm: 0.003
        stops: {lower_mm: -4, upper_mm: 6, stiffness_N_per_mm: 100}
        link:
          from_mm: [0, 0, 20]
          to_mm: [0, 0, 20]
          radius_mm: 7
          mass_g: 9
          centre_mm: [0, 0, 13.333333333333334]
          inertia_g_mm2: {xx: 900, yy: 900, zz: 200}
  - name: thumb
    root_mm: [-20, 0, 0]
    turn: [{about: z, by_deg: 180}]
    joints:
      - stiffness_Nm_per_rad: 0.3
        damping_Nms_per_rad: 0.01
        rest_deg: -10
        link: {from_mm: [0, 0, 1], to_mm: [0, 0, 39], radius_mm: 6, mass_g: 10, centre_mm: [0, 0, 20], inertia_g_mm2: {xx: 2000, yy: 2000, zz: 300}}
motors:
  - {travel_mm: 20, stiffness_N_per_mm: 1, most_force_N: 30}
cords:
  - over: [{fingers: [lower], arms_mm: [8, 0]}, {fingers: [thumb], arms_mm: [9], wraps_deg: [30]}]
    friction: 0.1
palm: {radius_mm: 30}
skin: {friction: 0.6, stiffness_N_per_mm: 4}
`

func TestURDFHandEqualsTheSameInYAML(t *testing.T) {
	files := fstest.MapFS{"urdf": {Data: []byte(ofURDF)}, "hand.urdf": {Data: []byte(twoFingers)}, "yaml": {Data: []byte(ofYAML)}}
	a, err := ReadHand(files, "urdf")
	if err != nil {
		t.Fatal(err)
	}
	b, err := ReadHand(files, "yaml")
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Fingers) != 2 || len(b.Fingers) != 2 {
		t.Fatalf("%d and %d fingers", len(a.Fingers), len(b.Fingers))
	}
	for i := range a.Fingers {
		f, g := &a.Fingers[i], &b.Fingers[i]
		if f.Name != g.Name || f.Chain.Joints() != g.Chain.Joints() {
			t.Fatalf("%s of %d joints, want %s of %d", f.Name, f.Chain.Joints(), g.Name, g.Chain.Joints())
		}
		near(t, "root", f.Root, g.Root)
		if angle := f.Turn.AngleTo(g.Turn); angle > 1e-15 {
			t.Errorf("%s is turned by %v, want %v", f.Name, f.Turn, g.Turn)
		}
		for k := range f.Chain.Joints() {
			if x, y := f.Chain.Joint(k), g.Chain.Joint(k); !sameJoint(x, y, 1e-14) {
				t.Errorf("%s, joint %d:\n%+v, want\n%+v", f.Name, k+1, x, y)
			}
		}
	}
	for j, want := range b.Cords[0].Arms {
		if a.Cords[0].Arms[j] != want || a.Cords[0].Wraps[j] != b.Cords[0].Wraps[j] {
			t.Errorf("cord %+v, want %+v", a.Cords[0], b.Cords[0])
		}
	}
}

// Where a tip comes to lie is worked out a second time with the file's own frames, one homogeneous transform after the other.
func TestURDFTipIsWhereTheFileSays(t *testing.T) {
	files := fstest.MapFS{"urdf": {Data: []byte(ofURDF)}, "hand.urdf": {Data: []byte(twoFingers)}}
	h, err := ReadHand(files, "urdf")
	if err != nil {
		t.Fatal(err)
	}
	f := &h.Fingers[0]
	s := f.Chain.NewState()
	s.Base.Turn, s.Base.Position = turnOf(f.Turn), hand.Vec{X: f.Root[0], Y: f.Root[1], Z: f.Root[2]}
	s.Q[0], s.Q[1] = 0.7, 0.003
	s.Update()
	_, tip, _ := s.Capsule(1)
	rpy := func(r, p, y float64) orient.Rotation { return orient.RotZ(y).Mul(orient.RotY(p)).Mul(orient.RotX(r)) }
	at, turn := orient.Vec3{0.02, 0.01, 0.005}, rpy(0.3, -0.4, 0.5)
	turn = turn.Mul(orient.AboutAxis(orient.Vec3{0, -2, 0}, 0.7))
	at = at.Add(turn.Apply(orient.Vec3{0, 0, 0.04}))
	turn = turn.Mul(rpy(0, math.Pi/2, 0))
	at = at.Add(turn.Apply(orient.Vec3{0.003, 0, 0})).Add(turn.Apply(orient.Vec3{-0.02, 0, 0}))
	near(t, "tip", orient.Vec3{tip.X, tip.Y, tip.Z}, at)
}

func TestURDFErrorsSayWhere(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"broken", "</robot>", "", `hand.urdf:41:1: is not XML that can be read: unexpected EOF`},
		{"no robot", twoFingers, `<model/>`, `hand.urdf:1:1: begins with <model>; a URDF file begins with <robot>`},
		{"two roots", `</robot>`, `</robot><robot/>`, `hand.urdf:40:9: has a second root element`},
		{"macros", `<link name="arm"/>`, `<xacro:include filename="x"/><link name="arm"/>`, `hand.urdf:3:3: holds <xacro:include>; expand the macros first`},
		{"no link", `<child link="lower"/>`, `<child link="middle"/>`, `hand.urdf:7:26: joint base.child: names link "middle", which is not there`},
		{"type", `name="base" type="revolute"`, `name="base" type="planar"`, `hand.urdf:6:3: joint base: is planar; a finger's joint has one axis: revolute, continuous, prismatic or fixed`},
		{"axis", `<axis xyz="0 -2 0"/>`, `<axis xyz="0 0 0"/>`, `hand.urdf:9:5: joint base.axis: has no direction`},
		{"short axis", `<axis xyz="0 -2 0"/>`, `<axis xyz="0 -2"/>`, `hand.urdf:9:5: joint base.axis: xyz is "0 -2"; it must be 3 numbers`},
		{"no number", `rpy="0.3 -0.4 0.5"`, `rpy="0.3 x 0.5"`, `hand.urdf:8:5: joint base.origin: rpy is "0.3 x 0.5"; it must be 3 numbers`},
		{"limits", `lower="-0.2" upper="1.5"`, `lower="2" upper="1.5"`, `hand.urdf:10:5: joint base.limit: lower is 2 and upper 1.5; the first must lie below the second (a joint without way is fixed)`},
		{"no limit", `<limit lower="-0.004" upper="0.006" effort="1" velocity="1"/>`, ``, `hand.urdf:19:3: joint reach: is prismatic and needs a limit`},
		{"mimic", `<dynamics damping="0.004"/>`, `<mimic joint="reach"/>`, `hand.urdf:11:5: joint base.mimic: ties joints together; take it out and let a cord run over both`},
		{"radius", `<sphere radius="0.007"/>`, `<sphere radius="0"/>`, `hand.urdf:31:26: link tip.collision.sphere: radius is 0; it must be above 0`},
		{"no radius", `<sphere radius="0.007"/>`, `<sphere/>`, `hand.urdf:31:26: link tip.collision.sphere: needs radius`},
		{"ring", `<parent link="arm"/><child link="palm"/>`, `<parent link="thumb"/><child link="palm"/>`, `hand.urdf:4:3: link palm: hangs on itself: its joints run in a ring`},
		{"branch", `<parent link="palm"/><child link="thumb"/>`, `<parent link="lower"/><child link="thumb"/>`, `hand.urdf:33:3: joint thumb: branches off where joint "reach" goes on; a finger is one chain`},
		{"two parents", `<parent link="upper"/><child link="tip"/>`, `<parent link="upper"/><child link="thumb"/>`, `hand.urdf:33:3: joint thumb: link "thumb" hangs on joint "glue" already`},
		{"twice", `<link name="thumb">`, `<link name="tip">`, `hand.urdf:34:26: joint thumb.child: names link "thumb", which is not there|hand.urdf:36:3: link tip: a link before has the name "tip" already`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(twoFingers, c.old) != 1 {
				t.Fatalf("%q stands %d times in the good file", c.old, strings.Count(twoFingers, c.old))
			}
			files := fstest.MapFS{"f": {Data: []byte(ofURDF)}, "hand.urdf": {Data: []byte(strings.Replace(twoFingers, c.old, c.new, 1))}}
			_, err := ReadHand(files, "f")
			var faults *Errors
			if !errors.As(err, &faults) {
				t.Fatal(err)
			}
			var lines []string
			for _, f := range faults.Faults {
				lines = append(lines, f.String())
			}
			if got := strings.Join(lines, "|"); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}

// Faults of what stands beside the URDF file.
func TestBesideURDFErrorsSayWhere(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"file", "file: hand.urdf", "file: none.urdf", `f:3:9: urdf.file: "none.urdf" is not there`},
		{"palm", "palm: palm", "palm: plam", `f:4:9: urdf.palm: hand.urdf has no link "plam"`},
		{"joint", "joint: thumb, stiff", "joint: thump, stiff", `f:7:15: urdf.joints.1.joint: "thump" is no joint of a finger that moves`},
		{"kind", "{joint: thumb, stiffness_Nm_per_rad: 0.3", "{joint: reach, stiffness_Nm_per_rad: 0.3", `f:7:44: urdf.joints.1.stiffness_Nm_per_rad: does not suit a joint that slides|f:7:70: urdf.joints.1.damping_Nms_per_rad: does not suit a joint that slides|f:7:86: urdf.joints.1.rest_deg: does not suit a joint that slides`},
		{"fingers too", "motors:", "fingers:\n  - segments: {count: 2, length_mm: 9, radius_mm: 3, mass_g: 2, bend_closing_Nmm2: 5}\nmotors:", `f:9:3: fingers: is given beside urdf; keep one of them`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(ofURDF, c.old) != 1 {
				t.Fatalf("%q stands %d times in the good file", c.old, strings.Count(ofURDF, c.old))
			}
			files := fstest.MapFS{"f": {Data: []byte(strings.Replace(ofURDF, c.old, c.new, 1))}, "hand.urdf": {Data: []byte(twoFingers)}}
			_, err := ReadHand(files, "f")
			var faults *Errors
			if !errors.As(err, &faults) {
				t.Fatal(err)
			}
			var lines []string
			for _, f := range faults.Faults {
				lines = append(lines, f.String())
			}
			if got := strings.Join(lines, "|"); got != c.want {
				t.Errorf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}
