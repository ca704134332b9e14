package replay

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

// Bounds of what is read, so that a small file can not take the memory.
const (
	mostPacked = 16 << 20
	mostText   = 32 << 20
	mostFrames = 20_000
	mostList   = 500 // fingers, joints, links, cords, chambers, blocks, items, phases
	mostNumber = 1e7 // mm, N, kPa or s
)

// Read reads a document and checks all of it. An error says what is wrong with it; there is no trial then.
func Read(r io.Reader) (*Trial, error) {
	packed, err := io.ReadAll(io.LimitReader(r, mostPacked+1))
	if err != nil {
		return nil, fmt.Errorf("the replay did not arrive whole: %w", err)
	}
	if len(packed) > mostPacked {
		return nil, fmt.Errorf("the replay is larger than %d MB", mostPacked>>20)
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, errors.New("this is no replay: it is not packed with gzip")
	}
	text, err := io.ReadAll(io.LimitReader(z, mostText+1))
	if err != nil {
		return nil, fmt.Errorf("the replay is damaged: %w", err)
	}
	if len(text) > mostText {
		return nil, fmt.Errorf("the replay unpacks to more than %d MB", mostText>>20)
	}
	var head struct {
		Format string `json:"format"`
	}
	if err := json.Unmarshal(text, &head); err != nil {
		return nil, fmt.Errorf("the replay is no JSON document: %w", err)
	}
	if head.Format != Format {
		return nil, fmt.Errorf("the document's format is %q; this program reads %q", head.Format, Format)
	}
	var d document
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&d); err != nil {
		return nil, fmt.Errorf("the replay can not be read: %w", err)
	}
	if err := d.check(); err != nil {
		return nil, err
	}
	return d.decode(), nil
}

// check says what of a document does not fit together.
func (d *document) check() error {
	n := len(d.Times)
	switch {
	case n == 0:
		return errors.New("there are no frames")
	case n > mostFrames:
		return fmt.Errorf("there are %d frames; at most %d", n, mostFrames)
	case !(d.Rate > 0) || d.Rate > 1e5:
		return fmt.Errorf("frames_per_s is %g; it must be positive", d.Rate)
	case d.Closing < 0 || d.Closing > 1:
		return fmt.Errorf("closing is %g; it must lie between 0 and 1", d.Closing)
	case d.Chambers < 0 || d.Chambers > mostList:
		return fmt.Errorf("chambers is %d; 0 to %d can be read", d.Chambers, mostList)
	case !known(d.Outcome):
		return fmt.Errorf("outcome is %q, which is none", d.Outcome)
	}
	for _, list := range []struct {
		name string
		len  int
	}{{"fingers", len(d.Fingers)}, {"joints", len(d.Joints)}, {"links", len(d.Links)}, {"cords", len(d.Cords)}, {"blocks", len(d.Blocks)},
		{"items", len(d.Items)}, {"phases", len(d.Phases)}, {"ended_by", len(d.Ended)}} {
		if list.len > mostList {
			return fmt.Errorf("%s has %d members; at most %d", list.name, list.len, mostList)
		}
	}
	if len(d.Items) == 0 {
		return errors.New("items is empty; a trial is of something")
	}
	if err := d.checkParts(); err != nil {
		return err
	}
	return d.checkFrames(n)
}

func known(outcome string) bool {
	return slices.Contains([]trialsim.Outcome{trialsim.Held, trialsim.Dropped, trialsim.Slipped, trialsim.Missed, trialsim.Pushed,
		trialsim.Damaged, trialsim.Stopped, trialsim.Void}, trialsim.Outcome(outcome))
}

// within says that the list has n numbers of sensible size.
func within(name string, list []float64, n int) error {
	if len(list) != n {
		return fmt.Errorf("%s has %d numbers where %d belong", name, len(list), n)
	}
	for _, x := range list {
		if !(math.Abs(x) <= mostNumber) {
			return fmt.Errorf("%s holds %g; numbers to ±%g can be read", name, x, mostNumber)
		}
	}
	return nil
}

// turned says that the four numbers are a rotation.
func turned(name string, q []float64) error {
	if err := within(name, q, 4); err != nil {
		return err
	}
	if size := math.Sqrt(q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3]); math.Abs(size-1) > 1e-3 {
		return fmt.Errorf("%s holds a quaternion of length %g; it must be 1", name, size)
	}
	return nil
}

// index says that a number counts something from 0.
func index(name string, i, n int) error {
	if i < 0 || i >= n {
		return fmt.Errorf("%s is %d; there are %d, counted from 0", name, i, n)
	}
	return nil
}

func (d *document) checkParts() error {
	errs := []error{
		turned("orientation_wxyz", d.Orientation), turned("measured_wxyz", d.Measured), within("offset_mm", d.Offset, 3),
		within("a number of the head", []float64{d.Duration, d.PeakForce, d.PeakPressure, d.Grip, d.PalmRadius}, 5),
	}
	if b := d.HoldBears; b != nil {
		errs = append(errs, within("further_load_N", b.Payload, 6),
			within("hold_bears", []float64{b.MarginLow, b.MarginHigh, b.Length, b.Squeeze, b.FrictionUsed, b.Reserve}, 6))
	}
	if d.EdgeAt != nil {
		errs = append(errs, within("edge_at_mm", []float64{*d.EdgeAt}, 1))
	}
	for _, j := range d.Joints {
		errs = append(errs, index("a joint's finger", j.Finger, len(d.Fingers)))
	}
	for _, c := range d.Cords {
		errs = append(errs, index("a cord's motor", c.Motor, mostList))
		for _, f := range c.Fingers {
			errs = append(errs, index("a cord's finger", f, len(d.Fingers)))
		}
	}
	for _, l := range d.Links {
		errs = append(errs, index("a link's finger", l.Finger, len(d.Fingers)), index("a link's joint", l.Joint, max(1, len(d.Joints))), within("a link's radius_mm", []float64{l.Radius}, 1))
	}
	for _, b := range d.Blocks {
		errs = append(errs, within("a block's low_mm", b.Low, 3), within("a block's high_mm", b.High, 3))
	}
	for i, m := range d.Items {
		name := fmt.Sprintf("items[%d]", i)
		if len(m.Vertices)%3 != 0 || len(m.Triangles)%3 != 0 {
			return fmt.Errorf("%s has a vertex or a triangle with less than three numbers", name)
		}
		errs = append(errs, within(name+".vertices_mm", m.Vertices, len(m.Vertices)))
		for _, v := range m.Triangles {
			if err := index(name+"'s corner", int(v), len(m.Vertices)/3); err != nil {
				return err
			}
		}
	}
	for i, p := range d.Parts {
		if !slices.Contains(kinds, p.Kind) {
			return fmt.Errorf("parts[%d] is a %q; there are %v", i, p.Kind, kinds)
		}
		most := map[string]int{"item": len(d.Items), "block": len(d.Blocks), "link": len(d.Fingers)}[p.Kind]
		errs = append(errs, index(fmt.Sprintf("parts[%d].index", i), p.Index, max(1, most)), index(fmt.Sprintf("parts[%d].link", i), p.Link, max(1, len(d.Joints))))
	}
	errs = append(errs, d.checkContacts("hold_contacts", d.HoldContacts))
	return first(errs)
}

func first(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func (d *document) checkContacts(name string, list []float64) error {
	if len(list)%contactWidth != 0 {
		return fmt.Errorf("%s has %d numbers; %d belong to a contact", name, len(list), contactWidth)
	}
	if err := within(name, list, len(list)); err != nil {
		return err
	}
	for i := 0; i < len(list); i += contactWidth {
		for _, p := range list[i : i+2] {
			if p != math.Trunc(p) || p < 0 || p >= float64(len(d.Parts)) {
				return fmt.Errorf("%s names part %g; there are %d, counted from 0", name, p, len(d.Parts))
			}
		}
		if s := list[i+contactWidth-1]; s != 0 && s != 1 {
			return fmt.Errorf("%s says of sliding %g; it is 0 or 1", name, s)
		}
	}
	return nil
}

func (d *document) checkFrames(n int) error {
	if len(d.Phase) != n {
		return fmt.Errorf("phase has %d members; there are %d frames", len(d.Phase), n)
	}
	if err := first([]error{within("time_s", d.Times, n), within("command", d.Command, n), within("grip_N", d.Gripping, n), within("largest_contact_N", d.Largest, n)}); err != nil {
		return err
	}
	for i, t := range d.Times {
		if i > 0 && t < d.Times[i-1] {
			return fmt.Errorf("time_s goes back from %g to %g at frame %d", d.Times[i-1], t, i+1)
		}
		if d.Phase[i] < 0 || d.Phase[i] > len(d.Phases) {
			return fmt.Errorf("phase is %d at frame %d; there are %d", d.Phase[i], i+1, len(d.Phases))
		}
	}
	for _, column := range []struct {
		name  string
		rows  [][]float64
		width int
	}{
		{"on_item_N", d.OnItem, 3}, {"felt_N", d.Felt, 3}, {"palm_mm_wxyz", d.Palm, 7}, {"links_mm", d.Capsules, 6 * len(d.Links)},
		{"items_mm_wxyz", d.Bodies, 7 * len(d.Items)}, {"joints_deg_or_mm", d.Angles, len(d.Joints)}, {"tension_N", d.Tensions, len(d.Cords)},
		{"drawn_mm", d.Drawn, len(d.Cords) * len(d.Fingers)}, {"pressure_kPa", d.Pressures, d.Chambers}, {"contacts", d.Contacts, -1},
	} {
		if len(column.rows) != n {
			return fmt.Errorf("%s has %d rows; there are %d frames", column.name, len(column.rows), n)
		}
		for i, row := range column.rows {
			name := fmt.Sprintf("%s[%d]", column.name, i)
			err := error(nil)
			if column.width < 0 {
				err = d.checkContacts(name, row)
			} else {
				err = within(name, row, column.width)
			}
			for k := 3; err == nil && k < column.width && (column.name == "palm_mm_wxyz" || column.name == "items_mm_wxyz"); k += 7 {
				err = turned(name, row[k:k+4])
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// The way back: from the file's units to SI. The document has been checked.

func metres(v []float64) orient.Vec3 { return orient.Vec3{v[0] / 1e3, v[1] / 1e3, v[2] / 1e3} }

func newtons(v []float64) orient.Vec3 { return orient.Vec3{v[0], v[1], v[2]} }

func rotation(q []float64) orient.Rotation {
	return orient.Rotation{W: q[0], X: q[1], Y: q[2], Z: q[3]}
}

func pose(p []float64) trialsim.Pose {
	return trialsim.Pose{Place: metres(p), Turn: rotation(p[3:])}
}

func (d *document) decode() *Trial {
	t := &Trial{
		Hand: d.Hand, Item: d.Item, Setting: d.Setting, Strategy: d.Strategy, Kind: d.StrategyKind, Fingers: d.Fingers,
		Attempt: trialsim.Attempt{Orientation: rotation(d.Orientation), Closing: d.Closing, Seed: d.Seed, Number: d.Number},
		Result: trialsim.Result{
			Outcome: trialsim.Outcome(d.Outcome), Reason: d.Reason, Measured: rotation(d.Measured), Offset: metres(d.Offset), Seconds: d.Duration,
			PeakForce: d.PeakForce, PeakPressure: d.PeakPressure * 1e3, Grip: d.Grip, Contacts: d.contactsOf(d.HoldContacts), Ended: d.Ended, Steps: d.Steps,
		},
		Film: trialsim.Film{Rate: d.Rate, Palm: d.PalmRadius / 1e3, Phases: d.Phases},
	}
	if b := d.HoldBears; b != nil {
		t.Hold = &trialsim.Holding{
			Contacts: len(t.Result.Contacts), Closure: b.Closure, MarginLower: b.MarginLow, MarginUpper: b.MarginHigh, Length: b.Length / 1e3,
			Payload: [6]float64(b.Payload), Squeeze: b.Squeeze, Use: b.FrictionUsed, Reserve: b.Reserve,
		}
	}
	for _, j := range d.Joints {
		t.Joints = append(t.Joints, Joint(j))
	}
	for _, c := range d.Cords {
		t.Cords = append(t.Cords, Cord(c))
	}
	f := &t.Film
	for _, l := range d.Links {
		f.Links = append(f.Links, trialsim.FilmLink{Finger: l.Finger, Joint: l.Joint, Radius: l.Radius / 1e3})
	}
	if d.EdgeAt != nil {
		f.Edge, f.EdgeAt = true, *d.EdgeAt/1e3
	}
	for _, b := range d.Blocks {
		f.Blocks = append(f.Blocks, trialsim.Block{Name: b.Name, Low: metres(b.Low), High: metres(b.High)})
	}
	for _, m := range d.Items {
		var out shape.Mesh
		for v := range slices.Chunk(m.Vertices, 3) {
			out.Vertices = append(out.Vertices, metres(v))
		}
		for c := range slices.Chunk(m.Triangles, 3) {
			out.Triangles = append(out.Triangles, [3]int32(c))
		}
		f.Items = append(f.Items, out)
	}
	for i := range d.Times {
		f.Frames = append(f.Frames, d.frameOf(i, t))
	}
	return t
}

func (d *document) frameOf(i int, t *Trial) trialsim.Frame {
	f := trialsim.Frame{
		Time: d.Times[i], Phase: d.Phase[i], Command: d.Command[i], Palm: pose(d.Palm[i]), Tensions: d.Tensions[i],
		Drawn: each(d.Drawn[i], func(x float64) float64 { return x / 1e3 }), Pressures: each(d.Pressures[i], func(x float64) float64 { return x * 1e3 }),
		Grip: d.Gripping[i], OnItem: newtons(d.OnItem[i]), Felt: newtons(d.Felt[i]), Contacts: d.contactsOf(d.Contacts[i]), Joints: make([]float64, len(d.Angles[i])),
	}
	for j, q := range d.Angles[i] {
		if t.Joints[j].Slides {
			f.Joints[j] = q / 1e3
		} else {
			f.Joints[j] = q * math.Pi / 180
		}
	}
	for c := range slices.Chunk(d.Capsules[i], 6) {
		f.Links = append(f.Links, [2]orient.Vec3{metres(c), metres(c[3:])})
	}
	for p := range slices.Chunk(d.Bodies[i], 7) {
		f.Items = append(f.Items, pose(p))
	}
	return f
}

func (d *document) contactsOf(list []float64) (out []trialsim.Contact) {
	for c := range slices.Chunk(list, contactWidth) {
		out = append(out, trialsim.Contact{
			From: d.partOf(c[0]), To: d.partOf(c[1]), Point: metres(c[2:]), Force: newtons(c[5:]), Normal: newtons(c[8:]), Sliding: c[11] == 1,
		})
	}
	return out
}

func (d *document) partOf(at float64) trialsim.Part {
	p := d.Parts[int(at)]
	return trialsim.Part{Kind: trialsim.Kind(slices.Index(kinds, p.Kind)), Index: p.Index, Link: p.Link}
}
