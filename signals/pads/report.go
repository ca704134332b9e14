package pads

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdfast/readings"
)

// PadReport is what a calibration and a record tell, in the units of files: N, mm, s. Pads and contacts are counted from 1.
type PadReport struct {
	Sentence  string       `json:"sentence"`
	Pads      []PadState   `json:"pads"`
	Leaks     []PadLeak    `json:"leaks" doc:"What pads pass to others, where it stands out"`
	Chance    float64      `json:"chance" doc:"Of a contact in a frame in which nothing touches"`
	Threshold float64      `json:"threshold_errors" doc:"Standard errors that a pad's force must stand above nothing"`
	ReachMM   float64      `json:"reach_mm" doc:"Pads nearer than this are neighbours"`
	Contacts  []PadEpisode `json:"contacts" doc:"Each contact from its first frame to its last"`
	Frames    []PadFrame   `json:"frames"`
	Warnings  []string     `json:"warnings"`
}

// PadState is what the calibration tells of a pad.
type PadState struct {
	Pad      int     `json:"pad"`
	XMM      float64 `json:"x_mm"`
	YMM      float64 `json:"y_mm"`
	ZMM      float64 `json:"z_mm"`
	State    string  `json:"state" enum:"good,dead,untried,bridged,clipping"`
	Offset   float64 `json:"offset" doc:"Reading when nothing presses"`
	Noise    float64 `json:"noise_sd"`
	Gain     float64 `json:"gain_per_N"`
	Bend     float64 `json:"bend_per_N2" doc:"0 where a straight line does as well"`
	MostN    float64 `json:"most_N" doc:"Largest force of the calibration"`
	NoiseN   float64 `json:"noise_N" doc:"Standard deviation of the force by noise; 0 for pads that can not be read"`
	Readable bool    `json:"readable"`
}

// PadLeak is what one pad passes to another.
type PadLeak struct {
	From  int     `json:"from"`
	To    int     `json:"to"`
	Share float64 `json:"share" doc:"Of the change of the one that shows in the other"`
	Low   float64 `json:"low" doc:"95 % interval"`
	High  float64 `json:"high"`
}

// PadFrame is one moment.
type PadFrame struct {
	Time     float64      `json:"time_s"`
	Forces   []float64    `json:"forces_N" doc:"By pad; 0 for pads that can not be read"`
	Beyond   []int        `json:"beyond" doc:"Pads pressed harder than they were calibrated"`
	Contacts []PadContact `json:"contacts"`
}

// PadContact is where neighbouring pads feel something. Errors are standard errors by the pads' noise.
type PadContact struct {
	Contact    int     `json:"contact" doc:"The same number from frame to frame while it lasts"`
	Pads       []int   `json:"pads"`
	Force      float64 `json:"force_N"`
	ForceError float64 `json:"force_error_N"`
	XMM        float64 `json:"x_mm"`
	YMM        float64 `json:"y_mm"`
	XErrorMM   float64 `json:"x_error_mm"`
	YErrorMM   float64 `json:"y_error_mm"`
	AcrossMM2  float64 `json:"xy_covariance_mm2"`
	RadiusMM   float64 `json:"radius_mm" doc:"Root of the mean squared distance from the centre, weighted by force"`
	Blind      bool    `json:"blind" doc:"A pad that can not be read lies beside it: centre and force may miss what it would have felt"`
}

// PadEpisode is one contact over time, told at its hardest.
type PadEpisode struct {
	Contact int        `json:"contact"`
	From    float64    `json:"from_s"`
	To      float64    `json:"to_s"`
	Frames  int        `json:"frames"`
	At      float64    `json:"hardest_s"`
	Hardest PadContact `json:"hardest"`
	Blind   bool       `json:"blind" doc:"In any of its frames"`
}

// Watcher follows readings as they come.
type Watcher struct {
	array  *Array
	before []PadContact
	out    PadReport
}

// NewWatcher begins to follow a calibrated array. chance is that of a contact in a frame in which nothing touches, see [Threshold].
func NewWatcher(a *Array, chance float64) (*Watcher, error) {
	if !(chance > 0 && chance < 1) {
		return nil, fmt.Errorf("the chance of a contact where nothing touches is %g; it must lie between 0 and 1", chance)
	}
	w := &Watcher{array: a}
	w.out = PadReport{Chance: chance, Threshold: Threshold(len(a.Pads), chance), ReachMM: figure(1e3 * a.Reach), Leaks: []PadLeak{}, Contacts: []PadEpisode{}, Frames: []PadFrame{}, Warnings: []string{}}
	w.out.pads(a)
	return w, nil
}

// Follow tells forces and contacts at a moment (s) by the pads' readings. A contact keeps its number while it shares a pad with itself
// in the frame before.
func (w *Watcher) Follow(time float64, row []float64) (*PadFrame, error) {
	p, err := w.array.Picture(row)
	if err != nil {
		return nil, err
	}
	frame := &PadFrame{Time: time, Forces: make([]float64, len(p.Forces)), Beyond: []int{}, Contacts: []PadContact{}}
	for k, f := range p.Forces {
		frame.Forces[k] = math.Round(f*1e4) / 1e4
	}
	for _, k := range p.Beyond {
		frame.Beyond = append(frame.Beyond, k+1)
	}
	for _, c := range w.array.Contacts(p, w.out.Threshold) {
		frame.Contacts = append(frame.Contacts, told(&c))
	}
	w.out.number(frame.Contacts, w.before)
	for _, c := range frame.Contacts {
		w.out.Contacts[c.Contact-1].add(time, c)
	}
	w.before = frame.Contacts
	return frame, nil
}

// Report is what is known so far, without the frames that [Watcher.Follow] gave.
func (w *Watcher) Report() *PadReport {
	r := w.out
	r.Contacts, r.Warnings = slices.Clone(r.Contacts), []string{}
	r.warn(w.array)
	return &r
}

// Watch follows a record; see [NewWatcher].
func Watch(ctx context.Context, a *Array, r *readings.Series, chance float64) (*PadReport, error) {
	w, err := NewWatcher(a, chance)
	if err != nil {
		return nil, err
	}
	for i, row := range r.Readings {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		frame, err := w.Follow(r.Times[i], row)
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", i+2, err)
		}
		w.out.Frames = append(w.out.Frames, *frame)
	}
	return w.Report(), nil
}

// figure keeps six digits: more of a measurement mean nothing and cost bytes.
func figure(x float64) float64 {
	if x == 0 {
		return 0
	}
	v, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	return v
}

func told(c *Contact) PadContact {
	t := PadContact{
		Force: figure(c.Force), ForceError: figure(c.Error), XMM: figure(1e3 * c.Centre[0]), YMM: figure(1e3 * c.Centre[1]),
		XErrorMM: figure(1e3 * c.Away[0]), YErrorMM: figure(1e3 * c.Away[1]), AcrossMM2: figure(1e6 * c.Across), RadiusMM: figure(1e3 * c.Radius), Blind: c.Blind,
	}
	for _, k := range c.Pads {
		t.Pads = append(t.Pads, k+1)
	}
	return t
}

func (r *PadReport) pads(a *Array) {
	for i := range a.Pads {
		p := &a.Pads[i]
		t := PadState{
			Pad: i + 1, XMM: figure(1e3 * a.Places[i][0]), YMM: figure(1e3 * a.Places[i][1]), ZMM: figure(1e3 * a.Places[i][2]), State: p.State.String(),
			Offset: figure(p.Offset), Noise: figure(p.Noise), Gain: figure(p.Gain), Bend: figure(p.Bend), MostN: figure(p.Most), Readable: p.reads(),
		}
		if t.Readable {
			t.NoiseN = figure(p.Noise / math.Abs(p.Gain))
		}
		r.Pads = append(r.Pads, t)
	}
	for _, l := range a.Leaks {
		r.Leaks = append(r.Leaks, PadLeak{l.From + 1, l.To + 1, figure(l.Share), figure(l.Low), figure(l.High)})
	}
}

// number gives each contact the number of the one before that it shares most pads with, or a new one; where several share pads
// with the same one, that which shares most keeps its number.
func (r *PadReport) number(now, before []PadContact) {
	type pair struct{ now, before, shared int }
	var pairs []pair
	for i := range now {
		for k := range before {
			if shared := common(now[i].Pads, before[k].Pads); shared > 0 {
				pairs = append(pairs, pair{i, k, shared})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return b.shared - a.shared })
	taken := make([]bool, len(before))
	for _, p := range pairs {
		if now[p.now].Contact == 0 && !taken[p.before] {
			taken[p.before] = true
			now[p.now].Contact = before[p.before].Contact
		}
	}
	for i := range now {
		if now[i].Contact == 0 {
			r.Contacts = append(r.Contacts, PadEpisode{Contact: len(r.Contacts) + 1})
			now[i].Contact = len(r.Contacts)
		}
	}
}

func common(a, b []int) (n int) {
	for _, x := range a {
		for _, y := range b {
			if x == y {
				n++
			}
		}
	}
	return n
}

func (e *PadEpisode) add(time float64, c PadContact) {
	if e.Frames == 0 {
		e.From = time
	}
	e.To = time
	e.Frames++
	e.Blind = e.Blind || c.Blind
	if e.Frames == 1 || c.Force > e.Hardest.Force {
		e.At, e.Hardest = time, c
	}
}

func (r *PadReport) warn(a *Array) {
	by := map[State][]string{}
	for i := range a.Pads {
		s := a.Pads[i].State
		by[s] = append(by[s], strconv.Itoa(i+1))
	}
	name := func(s State, told string) {
		if list := by[s]; len(list) > 0 {
			r.Warnings = append(r.Warnings, fmt.Sprintf(told, strings.Join(list, ", ")))
		}
	}
	name(Dead, "Dead pads, which tell nothing: %s.")
	name(Untried, "Pads that were never pressed and can not be read: %s.")
	name(Bridged, "Bridged pads, which answer each other as if pressed themselves: %s. They can not be told apart, and what presses on one counts twice.")
	name(Clipping, "Clipping pads, whose largest forces read the same: %s. At the top they tell too little, and the pads beside them a little too much.")
	if len(r.Leaks) > 0 {
		most := r.Leaks[0]
		for _, l := range r.Leaks {
			if !(a.Pads[l.From-1].State == Bridged && a.Pads[l.To-1].State == Bridged) && math.Abs(l.Share) > math.Abs(most.Share) ||
				a.Pads[most.From-1].State == Bridged && a.Pads[most.To-1].State == Bridged {
				most = l
			}
		}
		r.Warnings = append(r.Warnings, fmt.Sprintf("Pads pass part of what they feel to others in %d pairs, most from pad %d to pad %d (%.0f %%); that is taken back.", len(r.Leaks), most.From, most.To, 100*most.Share))
	}
	beyond, felt := 0, 0
	for i := range r.Frames {
		if len(r.Frames[i].Beyond) > 0 {
			beyond++
		}
		if len(r.Frames[i].Contacts) > 0 {
			felt++
		}
	}
	if beyond > 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("In %d frames pads were pressed harder than in the calibration: those forces are extrapolated.", beyond))
	}
	r.Warnings = append(r.Warnings, "Errors are those of noise in one frame; the calibration's own errors, the same in all frames, come on top. A detection informs; it is no safety function.")
	r.Sentence = fmt.Sprintf("%d pads, %d of them good", len(a.Pads), len(by[Good]))
	if len(r.Frames) > 0 {
		r.Sentence += fmt.Sprintf("; %d contacts in %d of %d frames", len(r.Contacts), felt, len(r.Frames))
	}
	r.Sentence += "."
}

// ContactColumns are those of a file of contacts over time.
const ContactColumns = "time_s,contact,force_N,force_error_N,x_mm,y_mm,x_error_mm,y_error_mm,radius_mm,blind,pads"

// WriteContacts writes every contact of every frame as CSV, pads with spaces between.
func (r *PadReport) WriteContacts(out io.Writer) error {
	if _, err := fmt.Fprintln(out, ContactColumns); err != nil {
		return err
	}
	for i := range r.Frames {
		for _, c := range r.Frames[i].Contacts {
			if _, err := fmt.Fprintf(out, "%g,%d,%g,%g,%g,%g,%g,%g,%g,%t,%s\n", r.Frames[i].Time, c.Contact, c.Force, c.ForceError, c.XMM, c.YMM, c.XErrorMM, c.YErrorMM, c.RadiusMM, c.Blind,
				strings.Trim(fmt.Sprint(c.Pads), "[]")); err != nil {
				return err
			}
		}
	}
	return nil
}
