package peerscene

import (
	"bufio"
	_ "embed"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

//go:embed engine/engine.c
var program string

// ErrNoEngine says that the engine cannot be built here.
var ErrNoEngine = errors.New("needs a C compiler and Debian's package libmujoco-dev (apt-get install gcc libc6-dev libmujoco-dev)")

// Engine is the general-purpose engine (MuJoCo, as Debian packages it), built into a folder.
type Engine struct{ folder, binary string }

// BuildEngine compiles our program for the engine into the folder. It wraps [ErrNoEngine] where compiler or library is missing.
func BuildEngine(folder string) (*Engine, error) {
	source, binary := filepath.Join(folder, "engine.c"), filepath.Join(folder, "engine")
	if err := os.WriteFile(source, []byte(program), 0o644); err != nil {
		return nil, err
	}
	out, err := exec.Command("cc", "-O2", "-o", binary, source, "-lmujoco", "-lm").CombinedOutput()
	if err != nil {
		return nil, fmt.Errorf("%w: %w\n%s", ErrNoEngine, err, out)
	}
	return &Engine{folder, binary}, nil
}

// EngineScene is a scene in a file that the engine reads.
type EngineScene struct {
	file    string
	contact EngineContact
}

// Scene writes the scene for the engine under a name.
func (e *Engine) Scene(name string, s *trialsim.Scene, c EngineContact) (EngineScene, error) {
	file := filepath.Join(e.folder, name+".xml")
	return EngineScene{file, c}, os.WriteFile(file, []byte(describe(s, c)), 0o644)
}

// Spent is what the engine took for its attempts, without reading the scene.
type Spent struct {
	CPUSeconds float64
	Steps      int
}

// Run makes the attempts in the engine, in one process, with steps of so many seconds.
func (e *Engine) Run(s EngineScene, attempts []*Attempt, step float64) ([]Result, error) {
	results, _, err := e.Timed(s, attempts, step)
	return results, err
}

// Timed is Run and what it took.
func (e *Engine) Timed(s EngineScene, attempts []*Attempt, step float64) (results []Result, spent Spent, err error) {
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	args := []string{s.file, number(step)}
	if c := s.contact; c.Stiffness > 0 {
		args = append(args, number(c.Stiffness), number(c.Damping), number(c.Share))
	}
	cmd := exec.Command(e.binary, args...)
	cmd.Stdin = strings.NewReader(Lines(attempts))
	var out, complaint strings.Builder
	cmd.Stdout, cmd.Stderr = &out, &complaint
	if err := cmd.Run(); err != nil {
		return nil, spent, fmt.Errorf("%w: %s", err, complaint.String())
	}
	for lines := bufio.NewScanner(strings.NewReader(out.String())); lines.Scan(); {
		var x []float64
		for _, f := range strings.Fields(lines.Text()) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				return nil, spent, err
			}
			x = append(x, v)
		}
		if len(x) < 4 {
			return nil, spent, fmt.Errorf("the engine's program says %q", lines.Text())
		}
		results = append(results, Result{Height: x[0], Grip: x[1], Tension: x[2], Astray: x[3], Angles: x[4:]})
	}
	if len(results) != len(attempts) {
		return nil, spent, fmt.Errorf("%d results for %d attempts: %s", len(results), len(attempts), complaint.String())
	}
	if _, err := fmt.Sscan(complaint.String(), &spent.CPUSeconds, &spent.Steps); err != nil {
		return nil, spent, fmt.Errorf("the engine's program says %q: %w", complaint.String(), err)
	}
	return results, spent, nil
}

// Lines are the attempts as the engine's program reads them.
func Lines(attempts []*Attempt) string {
	var b strings.Builder
	for _, a := range attempts {
		q := a.Turn
		fmt.Fprintf(&b, "%.17g %.17g %.17g %.17g  %s  %s  %.17g %.17g %.17g %.17g\n",
			q.W, q.X, q.Y, q.Z, triple(a.End), triple(a.Along), a.Back, a.Lift, pull*a.Command, a.Seconds)
	}
	return b.String()
}

// EngineContact is how soft the engine's contacts are. The zero value is what the engine is usually given, in its own terms:
// back within 10 ms, enforced to 90 to 95 % over 1 mm, friction ten times as hard as the normal. With a stiffness all
// contacts are springs and dampers, as ours are.
type EngineContact struct {
	Stiffness float64 // N/m
	Damping   float64 // N·s/m
	Share     float64 // by which the engine enforces it: its own inertia in the contact is share/(1 − share) of the bodies'
	Hardness  float64 // of friction against the normal (impratio)
}

// Everything that may touch has a bit of its own: finger i bit i, then these.
const (
	itemBit = 1 << (10 + iota)
	tableBit
	palmBit
)

// describe is the scene in the engine's own format. Links carry the very inertia of the chain.
func describe(s *trialsim.Scene, c EngineContact) string {
	var b strings.Builder
	all := 1<<len(s.Hand.Fingers) - 1
	meets := func(bit, others int) string {
		if c.Stiffness > 0 {
			return `contype="0" conaffinity="0"` // pairs are listed
		}
		return fmt.Sprintf(`contype="%d" conaffinity="%d"`, bit, others)
	}
	hardness := 10.0
	if c.Stiffness > 0 {
		hardness = c.Hardness
	}
	fmt.Fprintf(&b, `<mujoco model="hand over an ellipsoid">
  <compiler angle="radian"/>
  <option cone="elliptic" impratio="%.17g" solver="Newton" iterations="30" tolerance="1e-8" gravity="0 0 %.17g"/>
  <size nconmax="100" njmax="400"/>
  <default>
    <geom friction="%.17g 0.005 0.0001" condim="3" solref="0.01 1" solimp="0.9 0.95 0.001"/>
  </default>
  <worldbody>
    <geom name="table" type="plane" size="0.5 0.5 0.05" %s/>
`, hardness, -s.Gravity, s.Hand.Skin.Friction, meets(tableBit, all|itemBit|palmBit))
	if e, ok := s.Item.Shape.(shape.Ellipsoid); ok {
		fmt.Fprintf(&b, `    <body name="item" pos="0 0 %.17g">
      <freejoint name="item"/>
      <geom name="item" type="ellipsoid" size="%s" mass="%.17g" %s/>
    </body>
`, e.Semi[2], triple(e.Semi), s.Item.Mass, meets(itemBit, all|tableBit|palmBit))
	}
	b.WriteString(`    <body name="carriage">
      <joint name="railx" type="slide" damping="600" axis="1 0 0"/>
      <joint name="raily" type="slide" damping="600" axis="0 1 0"/>
      <joint name="railz" type="slide" damping="600" axis="0 0 1"/>
      <inertial pos="0 0 0" mass="1.5" diaginertia="0.002 0.002 0.002"/>
      <body name="palm">
`)
	fmt.Fprintf(&b, `        <geom name="palm" type="cylinder" size="%.17g 0.008" pos="0 0 -0.008" mass="0.2" %s/>
`, s.Hand.PalmRadius, meets(palmBit, 0))
	for i := range s.Hand.Fingers {
		f := &s.Hand.Fingers[i]
		n := f.Chain.Joints()
		for j := range n {
			joint := f.Chain.Joint(j)
			place, turn := joint.Origin, orient.Identity
			if j == 0 {
				o := f.Turn.Apply(orient.Vec3{place.X, place.Y, place.Z})
				place, turn = hand.Vec{X: f.Root[0] + o[0], Y: f.Root[1] + o[1], Z: f.Root[2] + o[2]}, f.Turn
			}
			l := &joint.Link
			in := l.Inertia
			fmt.Fprintf(&b, `<body pos="%s" quat="%.17g %.17g %.17g %.17g">
<joint name="f%dj%d" type="hinge" axis="%s" stiffness="%.17g" springref="%.17g" damping="%.17g" armature="%.17g" limited="%t" range="%.17g %.17g"/>
<inertial pos="%s" mass="%.17g" fullinertia="%.17g %.17g %.17g %.17g %.17g %.17g"/>
<geom name="f%dl%d" type="capsule" fromto="%s %s" size="%.17g" %s/>
`, spatial(place), turn.W, turn.X, turn.Y, turn.Z,
				i, j, spatial(joint.Axis), joint.Stiffness, joint.Rest, joint.Damping, joint.Armature, joint.Stops != hand.Stops{}, joint.Stops.Lower, joint.Stops.Upper,
				spatial(l.Centre), l.Mass, in.XX, in.YY, in.ZZ, in.XY, in.XZ, in.YZ,
				i, j, spatial(l.From), spatial(l.To), l.Radius, meets(1<<i, all&^(1<<i)))
		}
		b.WriteString(strings.Repeat("</body>", n) + "\n")
	}
	b.WriteString(`      </body>
    </body>
  </worldbody>
`)
	if c.Stiffness > 0 {
		b.WriteString(pairs(s))
	}
	b.WriteString(`  <tendon>
    <fixed name="cable">
`)
	joint := 0
	for i := range s.Hand.Fingers {
		for j := range s.Hand.Fingers[i].Chain.Joints() {
			fmt.Fprintf(&b, `      <joint joint="f%dj%d" coef="%.17g"/>`+"\n", i, j, s.Hand.Cords[0].Arms[joint])
			joint++
		}
	}
	fmt.Fprintf(&b, `    </fixed>
  </tendon>
  <actuator>
    <position name="railx" joint="railx" kp="100000"/>
    <position name="raily" joint="raily" kp="100000"/>
    <position name="railz" joint="railz" kp="100000"/>
    <position name="cable" tendon="cable" kp="%.17g" forcelimited="true" forcerange="0 %.17g"/>
  </actuator>
</mujoco>
`, s.Hand.Motors[0].Stiffness, s.Hand.Motors[0].MostForce)
	return b.String()
}

// pairs lists all that may touch, so that each can have a softness of its own.
func pairs(s *trialsim.Scene) string {
	var b strings.Builder
	mu := s.Hand.Skin.Friction
	touch := func(one, other string) {
		fmt.Fprintf(&b, `    <pair geom1="%s" geom2="%s" condim="3" friction="%.17g %.17g 0.005 0.0001 0.0001"/>`+"\n", one, other, mu, mu)
	}
	b.WriteString("  <contact>\n")
	_, item := s.Item.Shape.(shape.Ellipsoid)
	if item {
		touch("item", "table")
		touch("item", "palm")
	}
	for i := range s.Hand.Fingers {
		for j := range s.Hand.Fingers[i].Chain.Joints() {
			link := fmt.Sprintf("f%dl%d", i, j)
			touch(link, "table")
			if item {
				touch(link, "item")
			}
			for k := range i {
				for l := range s.Hand.Fingers[k].Chain.Joints() {
					touch(link, fmt.Sprintf("f%dl%d", k, l))
				}
			}
		}
	}
	b.WriteString("  </contact>\n")
	return b.String()
}

func triple(v orient.Vec3) string { return fmt.Sprintf("%.17g %.17g %.17g", v[0], v[1], v[2]) }

func spatial(v hand.Vec) string { return fmt.Sprintf("%.17g %.17g %.17g", v.X, v.Y, v.Z) }
