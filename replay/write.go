package replay

import (
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// Write writes a trial as a document. Places are rounded to 0.01 mm, angles to 0.01°, forces to 0.001 N, times to 0.1 ms. A film
// that a reader would refuse is an error, and nothing is written then.
func Write(w io.Writer, t *Trial) error {
	d, err := encode(t)
	if err != nil {
		return err
	}
	text, err := json.Marshal(d)
	if err != nil {
		return fmt.Errorf("a replay can not hold a number that is none: %w", err)
	}
	if err := d.check(); err != nil {
		return fmt.Errorf("the film can not be written: %w", err)
	}
	if len(text) > mostText {
		return fmt.Errorf("the film comes to %d MB; at most %d. Take fewer frames a second", len(text)>>20, mostText>>20)
	}
	z, err := gzip.NewWriterLevel(w, gzip.BestCompression)
	if err != nil {
		return err
	}
	_, err = z.Write(append(text, '\n'))
	return errors.Join(err, z.Close())
}

// scaled is x in another unit, rounded to one part of digits.
func scaled(x, unit, digits float64) float64 {
	r := math.Round(x*unit*digits) / digits
	if r == 0 {
		return 0 // not −0
	}
	return r
}

func mm(x float64) float64     { return scaled(x, 1e3, 100) }
func newton(x float64) float64 { return scaled(x, 1, 1000) }
func kPa(x float64) float64    { return scaled(x, 1e-3, 1000) }

func mmOf(v orient.Vec3) []float64     { return []float64{mm(v[0]), mm(v[1]), mm(v[2])} }
func newtonOf(v orient.Vec3) []float64 { return []float64{newton(v[0]), newton(v[1]), newton(v[2])} }

func wxyz(r orient.Rotation) []float64 {
	return []float64{scaled(r.W, 1, 1e5), scaled(r.X, 1, 1e5), scaled(r.Y, 1, 1e5), scaled(r.Z, 1, 1e5)}
}

func poseOf(p trialsim.Pose) []float64 { return append(mmOf(p.Place), wxyz(p.Turn)...) }

func encode(t *Trial) (*document, error) {
	f, r := &t.Film, &t.Result
	d := &document{
		Format: Format, Hand: t.Hand, Item: t.Item, Setting: t.Setting, Strategy: t.Strategy, StrategyKind: t.Kind,
		Orientation: wxyz(t.Attempt.Orientation), Measured: wxyz(r.Measured), Closing: scaled(t.Attempt.Closing, 1, 1e6),
		Seed: t.Attempt.Seed, Number: t.Attempt.Number, Outcome: string(r.Outcome), Reason: r.Reason, Offset: mmOf(r.Offset),
		Duration: scaled(r.Seconds, 1, 1e4), Steps: r.Steps, PeakForce: newton(r.PeakForce), PeakPressure: kPa(r.PeakPressure), Grip: newton(r.Grip),
		Phases: some(f.Phases), Ended: some(r.Ended), Fingers: some(t.Fingers), PalmRadius: mm(f.Palm), Rate: scaled(f.Rate, 1, 1e4),
		HoldContacts: []float64{}, Joints: []joint{}, Cords: []cord{}, Links: []link{}, Blocks: []block{}, Items: []mesh{}, Parts: []part{},
	}
	if h := t.Hold; h != nil {
		b := &bearing{
			Closure: h.Closure, MarginLow: scaled(h.MarginLower, 1, 1e5), MarginHigh: scaled(h.MarginUpper, 1, 1e5), Length: mm(h.Length),
			Squeeze: newton(h.Squeeze), FrictionUsed: scaled(h.Use, 1, 1e4), Reserve: newton(h.Reserve),
		}
		for _, n := range h.Payload {
			b.Payload = append(b.Payload, newton(n))
		}
		d.HoldBears = b
	}
	for _, j := range t.Joints {
		d.Joints = append(d.Joints, joint(j))
	}
	for _, c := range t.Cords {
		d.Cords = append(d.Cords, cord{c.Motor, some(c.Fingers), c.Pushes})
	}
	for _, l := range f.Links {
		d.Links = append(d.Links, link{l.Finger, l.Joint, mm(l.Radius)})
	}
	if f.Edge {
		at := mm(f.EdgeAt)
		d.EdgeAt = &at
	}
	for _, b := range f.Blocks {
		d.Blocks = append(d.Blocks, block{b.Name, mmOf(b.Low), mmOf(b.High)})
	}
	for i := range f.Items {
		d.Items = append(d.Items, meshOf(&f.Items[i]))
	}
	known := map[trialsim.Part]int{}
	var err error
	if d.HoldContacts, err = d.contacts(r.Contacts, known); err != nil {
		return nil, err
	}
	for i := range f.Frames {
		if err := d.frame(t, &f.Frames[i], known); err != nil {
			return nil, fmt.Errorf("frame %d: %w", i+1, err)
		}
	}
	return d, nil
}

// some is the list, or an empty one in place of none.
func some[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

func meshOf(m *shape.Mesh) mesh {
	out := mesh{make([]float64, 0, 3*len(m.Vertices)), make([]int32, 0, 3*len(m.Triangles))}
	for _, v := range m.Vertices {
		out.Vertices = append(out.Vertices, mmOf(v)...)
	}
	for _, t := range m.Triangles {
		out.Triangles = append(out.Triangles, t[:]...)
	}
	return out
}

func (d *document) frame(t *Trial, f *trialsim.Frame, known map[trialsim.Part]int) error {
	if len(f.Joints) != len(t.Joints) {
		return fmt.Errorf("has %d joints; the hand has %d", len(f.Joints), len(t.Joints))
	}
	d.Chambers = len(f.Pressures)
	d.Times = append(d.Times, scaled(f.Time, 1, 1e4))
	d.Phase = append(d.Phase, f.Phase)
	d.Command = append(d.Command, scaled(f.Command, 1, 1e4))
	d.Gripping = append(d.Gripping, newton(f.Grip))
	d.OnItem = append(d.OnItem, newtonOf(f.OnItem))
	d.Felt = append(d.Felt, newtonOf(f.Felt))
	d.Palm = append(d.Palm, poseOf(f.Palm))
	capsules := make([]float64, 0, 6*len(f.Links))
	for _, l := range f.Links {
		capsules = append(append(capsules, mmOf(l[0])...), mmOf(l[1])...)
	}
	d.Capsules = append(d.Capsules, capsules)
	bodies := make([]float64, 0, 7*len(f.Items))
	for _, p := range f.Items {
		bodies = append(bodies, poseOf(p)...)
	}
	d.Bodies = append(d.Bodies, bodies)
	angles := make([]float64, len(f.Joints))
	for j, q := range f.Joints {
		if t.Joints[j].Slides {
			angles[j] = mm(q)
		} else {
			angles[j] = scaled(q, 180/math.Pi, 100)
		}
	}
	d.Angles = append(d.Angles, angles)
	d.Tensions = append(d.Tensions, each(f.Tensions, newton))
	d.Drawn = append(d.Drawn, each(f.Drawn, mm))
	d.Pressures = append(d.Pressures, each(f.Pressures, kPa))
	contacts, err := d.contacts(f.Contacts, known)
	if err != nil {
		return err
	}
	d.Contacts = append(d.Contacts, contacts)
	largest := 0.0
	for i := range f.Contacts {
		if c := &f.Contacts[i]; c.To == (trialsim.Part{Kind: trialsim.Thing}) && c.From.Kind != trialsim.Support {
			row := contacts[contactWidth*i:]
			largest = math.Max(largest, newton(orient.Vec3{row[5], row[6], row[7]}.Norm()))
		}
	}
	d.Largest = append(d.Largest, largest)
	return nil
}

func each(list []float64, in func(float64) float64) []float64 {
	out := make([]float64, len(list))
	for i, x := range list {
		out[i] = in(x)
	}
	return out
}

// contacts gives the numbers of contacts one after the other; parts get their places as they come.
func (d *document) contacts(list []trialsim.Contact, known map[trialsim.Part]int) ([]float64, error) {
	out := make([]float64, 0, contactWidth*len(list))
	for i := range list {
		c := &list[i]
		for _, p := range []trialsim.Part{c.From, c.To} {
			at, ok := known[p]
			if !ok {
				if int(p.Kind) >= len(kinds) {
					return nil, fmt.Errorf("contact %d is with a part of an unknown kind", i+1)
				}
				at = len(d.Parts)
				known[p] = at
				d.Parts = append(d.Parts, part{kinds[p.Kind], p.Index, p.Link})
			}
			out = append(out, float64(at))
		}
		out = append(append(out, mmOf(c.Point)...), newtonOf(c.Force)...)
		for _, x := range c.Normal {
			out = append(out, scaled(x, 1, 1000))
		}
		sliding := 0.0
		if c.Sliding {
			sliding = 1
		}
		out = append(out, sliding)
	}
	return out, nil
}
