package scenes

import (
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/trialsim"
)

// WriteHand returns a hand as YAML in full: every joint of every finger, every moment arm, without the short forms that its own
// file may have used. Reading it back gives the same hand, numbers to the last digit wherever some decimal leads to them. Remarks
// stand before it as comments, a line each.
func WriteHand(h *trialsim.Hand, remarks ...string) []byte {
	f := handFile{Name: orName(h.Name, "Hand"), Note: h.Note, Palm: palmFile{toMilli(h.PalmRadius)}}
	f.Skin = skinFile{surfaceFile: surfaceOf(&h.Skin), Modulus: toKilo(h.SkinModulus), Thickness: toMilli(h.SkinThickness)}
	if h.RollFold > 1 || h.Mirror {
		f.Symmetry = &symmetryFile{max(h.RollFold, 1), h.Mirror}
	}
	first := make([]int, len(h.Fingers))
	joints := 0
	for i := range h.Fingers {
		first[i] = joints
		joints += h.Fingers[i].Chain.Joints()
		f.Fingers = append(f.Fingers, fingerOf(&h.Fingers[i], i))
	}
	for i, m := range h.Motors {
		f.Motors = append(f.Motors, motorFile{"motor-" + strconv.Itoa(i+1), toMilli(m.Travel), toKilo(m.Stiffness), m.MostForce, toMilli(m.Inertia), m.Friction})
	}
	for i := range h.Cords {
		c := &h.Cords[i]
		out := cordFile{Motor: "motor-" + strconv.Itoa(c.Motor+1), Gain: c.Gain, Stiffness: toKilo(c.Stiffness), Pushes: c.Pushes, Friction: c.Friction}
		for k := range h.Fingers {
			if o, used := overOf(c, &h.Fingers[k], first[k], f.Fingers[k].Name); used {
				out.Over = append(out.Over, o)
			}
		}
		f.Cords = append(f.Cords, out)
	}
	for i := range h.Chambers {
		f.Chambers = append(f.Chambers, chambersOf(h, &h.Chambers[i], first, f.Fingers)...)
	}
	if w := &h.Wrist; !w.Rigid() {
		f.Wrist = &wristFile{Turning: w.Turning, Damping: w.Damping, Mass: toMilli(w.Mass)}
		for k := range 3 {
			f.Wrist.Stiffness[k] = toKilo(w.Stiffness[k])
		}
	}
	return append(comments(remarks), encode(reflect.ValueOf(&f).Elem())...)
}

// comments makes lines of YAML comments; whatever breaks a line breaks none here.
func comments(lines []string) []byte {
	var b strings.Builder
	for _, l := range lines {
		words := strings.FieldsFunc(l, func(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' })
		b.WriteString(strings.TrimRight("# "+strings.Join(words, " "), " ") + "\n")
	}
	return []byte(b.String())
}

// WriteStrategy returns a strategy as YAML. Reading it back gives the same strategy.
func WriteStrategy(s *trialsim.Strategy, note string) []byte {
	f := strategyFile{Name: orName(s.Name, "Strategy"), Note: note, Kind: s.Kind, Clearance: toMilli(s.Clearance), Standoff: toMilli(s.Standoff),
		Overhang: s.Overhang, Nearest: toMilli(s.Nearest), Farthest: toMilli(s.Farthest), Lean: toDegrees(s.Lean)}
	for i := range s.Phases {
		p := &s.Phases[i]
		out := phaseFile{Name: p.Name, Do: string(p.Do), To: string(p.To), Toward: string(p.Toward), Distance: toMilli(p.Distance), Speed: toMilli(p.Speed),
			Seconds: p.Seconds, Hertz: p.Hertz, UntilForce: p.UntilForce, UntilContact: p.UntilContact, UntilTouch: p.UntilTouch, KeepForce: p.KeepForce, MostForce: p.MostForce}
		if p.Command >= 0 {
			command := p.Command
			out.Command = &command
		}
		for _, a := range p.Adjustments {
			next := adjustmentFile{a.Finger + 1, a.Link + 1, toMillis(a.Move), toMillis(a.PerCommand), a.At, a.Low, a.High, toDegrees(a.Turn), nil}
			if d := a.ByDirection; d != nil {
				next.ByDirection = &byDirectionFile{toMillis(d.PerX), toMillis(d.PerY), d.At, d.Low, d.High}
			}
			out.Adjustments = append(out.Adjustments, next)
		}
		f.Phases = append(f.Phases, out)
	}
	return encode(reflect.ValueOf(&f).Elem())
}

func orName(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

func surfaceOf(s *motion.Surface) surfaceFile {
	shear := toKilo(s.Shear)
	return surfaceFile{s.Friction, toKilo(s.Stiffness), toKilo(s.Damping), &shear}
}

func fingerOf(f *trialsim.Finger, i int) fingerFile {
	root := toMillis(f.Root)
	out := fingerFile{Name: orName(f.Name, "finger-"+strconv.Itoa(i+1)), Root: &root, Rotation: &[4]float64{f.Turn.W, f.Turn.X, f.Turn.Y, f.Turn.Z}}
	for k := range f.Chain.Joints() {
		out.Joints = append(out.Joints, jointOf(f.Chain.Joint(k)))
	}
	return out
}

func jointOf(j hand.Joint) jointFile {
	origin, axis := toMilliVec(j.Origin), [3]float64{j.Axis.X, j.Axis.Y, j.Axis.Z}
	out := jointFile{Slides: j.Slides, Origin: &origin, Axis: &axis}
	s := j.Stops
	if j.Slides {
		out.SlideStiffness, out.SlideDamping, out.SlideRest, out.SlideArmature = toKilo(j.Stiffness), toKilo(j.Damping), toMilli(j.Rest), toMilli(j.Armature)
	} else {
		out.Stiffness, out.Damping, out.Rest, out.Armature = j.Stiffness, j.Damping, toDegrees(j.Rest), toNano(j.Armature)
	}
	if s.Lower != 0 || s.Upper != 0 {
		low, high := toDegrees(s.Lower), toDegrees(s.Upper)
		out.Stops = &stopsFile{Lower: &low, Upper: &high, Stiffness: s.Stiffness, Ramp: toDegrees(s.Ramp)}
		if j.Slides {
			low, high = toMilli(s.Lower), toMilli(s.Upper)
			out.Stops = &stopsFile{SlideLower: &low, SlideUpper: &high, SlideStiffness: toKilo(s.Stiffness), SlideRamp: toMilli(s.Ramp)}
		}
	}
	l := &j.Link
	to := toMilliVec(l.To)
	out.Link = linkFile{From: toMilliVec(l.From), To: &to, Radius: toMilli(l.Radius), Mass: toMilli(l.Mass)}
	if l.Mass > 0 {
		centre, i := toMilliVec(l.Centre), &l.Inertia
		out.Link.Centre = &centre
		out.Link.Inertia = &inertiaFile{toNano(i.XX), toNano(i.YY), toNano(i.ZZ), toNano(i.XY), toNano(i.XZ), toNano(i.YZ)}
	}
	return out
}

// overOf is a cord's way over one finger.
func overOf(c *trialsim.Cord, f *trialsim.Finger, first int, name string) (o overFile, used bool) {
	n := f.Chain.Joints()
	arms, slides, wraps := make([]float64, n), make([]float64, n), make([]float64, n)
	turns, goes, rubs := false, false, false
	for k := range n {
		a := c.Arms[first+k]
		if f.Chain.Joint(k).Slides {
			slides[k], goes = a, goes || a != 0
		} else {
			arms[k], turns = toMilli(a), turns || a != 0
		}
		if c.Wraps != nil {
			wraps[k] = toDegrees(c.Wraps[first+k])
			rubs = rubs || wraps[k] != 0
		}
	}
	o.Fingers = []string{name}
	if turns || !goes {
		o.Arms = arms
	}
	if goes {
		o.Slides = slides
	}
	if rubs {
		o.Wraps = wraps
	}
	return o, turns || goes || rubs
}

// chambersOf writes one air line. A file's chamber turns all its fingers alike, so fingers that are turned otherwise get a chamber
// of their own; with the same pressure and time constants they fill as one.
func chambersOf(h *trialsim.Hand, c *trialsim.Chamber, first []int, fingers []fingerFile) (out []chamberFile) {
	for k := range h.Fingers {
		chain := h.Fingers[k].Chain
		torques, used := make([]float64, chain.Joints()), false
		for j := range torques {
			t := c.Torque[first[k]+j]
			used = used || t != 0
			torques[j] = toMicro(t)
			if chain.Joint(j).Slides {
				torques[j] = toMilli(t)
			}
		}
		if used {
			out = append(out, chamberFile{Pressure: toKilo(c.Pressure), Filling: c.Filling, Venting: c.Venting, Fingers: []string{fingers[k].Name}, Torques: torques})
		}
	}
	return out
}
