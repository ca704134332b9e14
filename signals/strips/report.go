package strips

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"holdfast/numeric"
	"holdfast/readings"
)

// FingerReport is a finger's shape over time, in the units of files: mm, degrees, s. Strips are counted from 1.
type FingerReport struct {
	Sentence string        `json:"sentence"`
	LengthMM float64       `json:"length_mm"`
	Level    float64       `json:"level" doc:"Of the band"`
	Strips   []FingerStrip `json:"strips"`
	ArcMM    []float64     `json:"arc_mm" doc:"Distance along the finger of each point, from its base"`
	Frames   []FingerFrame `json:"frames"`
	Warnings []string      `json:"warnings"`
}

// FingerStrip is one strip.
type FingerStrip struct {
	Strip  int     `json:"strip"`
	FromMM float64 `json:"from_mm"`
	ToMM   float64 `json:"to_mm"`
	Low    float64 `json:"low_per_m" doc:"Curvatures that were calibrated"`
	High   float64 `json:"high_per_m"`
	Beyond int     `json:"frames_beyond" doc:"Frames in which its signal lies beyond them"`
}

// FingerFrame is the shape at one moment. x goes across, z straight out of the base.
type FingerFrame struct {
	Time       float64    `json:"time_s"`
	Curvatures []float64  `json:"curvature_per_m" doc:"By strip"`
	SDs        []float64  `json:"curvature_sd_per_m" doc:"Standard uncertainty by the scatter of readings"`
	XMM        []float64  `json:"x_mm"`
	ZMM        []float64  `json:"z_mm"`
	AcrossMM   []float64  `json:"across_mm" doc:"Half of the band, at right angles to the finger"`
	TurnDeg    []float64  `json:"turn_deg"`
	Beyond     []int      `json:"beyond" doc:"Strips whose signal lies beyond their calibration"`
	TipMM      [2]float64 `json:"tip_mm" doc:"x and z"`
	TipHalfMM  [2]float64 `json:"tip_half_mm" doc:"Half of their intervals"`
	TipDeg     float64    `json:"tip_deg"`
	TipHalfDeg float64    `json:"tip_half_deg"`
}

// Watcher follows readings as they come.
type Watcher struct {
	finger     *Finger
	wide       float64 // half the band, in standard deviations
	pointsEach int
	out        FingerReport
}

// NewWatcher begins to follow a finger. level is that of the band, taken from the normal distribution; pointsEach of every stretch are
// told.
func NewWatcher(f *Finger, places []Place, level float64, pointsEach int) (*Watcher, error) {
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("the level of the band is %g; it must lie between 0 and 1", level)
	}
	w := &Watcher{finger: f, wide: numeric.NormalQuantile((1 + level) / 2), pointsEach: pointsEach}
	w.out = FingerReport{LengthMM: round(1e3 * f.Length), Level: level, Strips: make([]FingerStrip, len(f.Strips)), ArcMM: []float64{}, Frames: []FingerFrame{}, Warnings: []string{}}
	for _, p := range places {
		if p.Strip >= 0 {
			w.out.Strips[p.Strip] = FingerStrip{Strip: p.Strip + 1, FromMM: round(1e3 * p.From), ToMM: round(1e3 * p.To), Low: f.Strips[p.Strip].Low, High: f.Strips[p.Strip].High}
		}
	}
	return w, nil
}

// Follow tells the shape at a moment (s) by the strips' signals.
func (w *Watcher) Follow(time float64, signals []float64) (*FingerFrame, error) {
	b, err := w.finger.Shape(signals, w.pointsEach)
	if err != nil {
		return nil, err
	}
	frame := &FingerFrame{Time: time, Curvatures: b.Curvatures, SDs: b.SDs, Beyond: []int{}}
	for k := range b.Curvatures {
		frame.Curvatures[k], frame.SDs[k] = round(b.Curvatures[k]), round(b.SDs[k])
	}
	for _, k := range b.Beyond {
		frame.Beyond = append(frame.Beyond, k+1)
		w.out.Strips[k].Beyond++
	}
	first := len(w.out.ArcMM) == 0
	for k, p := range b.Poses {
		frame.XMM, frame.ZMM = append(frame.XMM, round(1e3*p.X)), append(frame.ZMM, round(1e3*p.Z))
		frame.AcrossMM, frame.TurnDeg = append(frame.AcrossMM, round(1e3*w.wide*b.Across[k])), append(frame.TurnDeg, round(p.Turn*180/math.Pi))
		if first {
			w.out.ArcMM = append(w.out.ArcMM, round(1e3*p.Arc))
		}
	}
	tip := len(b.Poses) - 1
	frame.TipMM, frame.TipDeg = [2]float64{frame.XMM[tip], frame.ZMM[tip]}, frame.TurnDeg[tip]
	frame.TipHalfMM, frame.TipHalfDeg = [2]float64{round(1e3 * w.wide * b.X[tip]), round(1e3 * w.wide * b.Z[tip])}, round(w.wide*b.Turn[tip]*180/math.Pi)
	return frame, nil
}

// Report is what is known so far, without the frames that [Watcher.Follow] gave.
func (w *Watcher) Report() *FingerReport {
	r := w.out
	r.Strips, r.Warnings = slices.Clone(r.Strips), []string{}
	r.tell()
	return &r
}

// Watch follows a record; see [NewWatcher].
func Watch(ctx context.Context, f *Finger, places []Place, r *readings.Series, level float64, pointsEach int) (*FingerReport, error) {
	w, err := NewWatcher(f, places, level, pointsEach)
	if err != nil {
		return nil, err
	}
	for i, signals := range r.Readings {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		frame, err := w.Follow(r.Times[i], signals)
		if err != nil {
			return nil, fmt.Errorf("row %d: %w", i+2, err)
		}
		w.out.Frames = append(w.out.Frames, *frame)
	}
	return w.Report(), nil
}

// round keeps four decimals: of mm, degrees and curvatures more mean nothing.
func round(x float64) float64 { return math.Round(x*1e4)/1e4 + 0 }

func (r *FingerReport) tell() {
	most := 0.0
	for _, f := range r.Frames {
		if math.Abs(f.TipDeg) > math.Abs(most) {
			most = f.TipDeg
		}
	}
	r.Sentence = fmt.Sprintf("A finger of %g mm with %d strips", r.LengthMM, len(r.Strips))
	if len(r.Frames) > 0 {
		r.Sentence += fmt.Sprintf(" over %d frames; its tip turns by up to %.1f°", len(r.Frames), most)
	}
	r.Sentence += "."
	for _, s := range r.Strips {
		if s.Beyond > 0 {
			r.Warnings = append(r.Warnings, fmt.Sprintf("Strip %d reads beyond its calibration (%g to %g 1/m) in %d frames: there its curvature is extrapolated.", s.Strip, s.Low, s.High, s.Beyond))
		}
	}
	r.Warnings = append(r.Warnings, "The band is what the scatter of readings about each strip's curve makes of it, strips taken as independent; the curves' own errors, drift and bending out of the plane are not in it.")
}

// ShapeColumns are those of a file of shapes over time.
const ShapeColumns = "time_s,arc_mm,x_mm,z_mm,across_mm,turn_deg"

// WriteShapes writes every point of every frame as CSV.
func (r *FingerReport) WriteShapes(out io.Writer) error {
	var b strings.Builder
	b.WriteString(ShapeColumns + "\n")
	cell := func(x float64, end string) { b.WriteString(strconv.FormatFloat(x, 'g', -1, 64) + end) }
	for _, f := range r.Frames {
		for k := range f.XMM {
			cell(f.Time, ",")
			cell(r.ArcMM[k], ",")
			cell(f.XMM[k], ",")
			cell(f.ZMM[k], ",")
			cell(f.AcrossMM[k], ",")
			cell(f.TurnDeg[k], "\n")
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}
