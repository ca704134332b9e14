package workflow

import (
	"context"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"sync"

	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// rasterSize and rasterHeadings set how fine a map is drawn: the browser interpolates between pixels, and a heading is
// 5° of the hand's turn.
const (
	rasterSize     = 81
	rasterHeadings = 72
	outside        = math.MaxUint16
)

var rasterLayers = []string{"p", "low", "high", "blurred", "mean", "mean_low", "mean_high", "mean_blurred", "best", "best_low", "best_high", "best_blurred"}

type drawKey struct {
	fit  fitKey
	blur float64
}

// drawn is a map seen through a blur. It is never changed.
type drawn struct {
	fit     *fitted
	blurred *successmap.Blurred // nil: no blur
	info    MapInfo
	raster  []byte
	mark    string
}

// draw returns the map of a query, drawn now or before.
func (l *Lab) draw(ctx context.Context, q MapQuery) (*drawn, error) {
	f, err := l.fitShown(ctx, q.Study, q.Condition)
	if err != nil {
		return nil, err
	}
	key := drawKey{f.key, q.blur(f.study)}
	d, err := l.maps.drawn.do(ctx, key, func(context.Context) (*drawn, error) { return l.drawNow(f, key.blur) })
	if err != nil {
		return nil, err
	}
	// It may have been drawn under an older mark of the study, from the same trials of this condition.
	now := *d
	now.fit, now.info.Mark = f, f.mark
	now.info.Warnings = joined(d.info.Warnings, f.leans.notes(f.summary.PriorTrust), f.notes())
	return &now, nil
}

// blurInto writes the blurred probability at every orientation.
func (d *drawn) blurInto(dst []float64, rs []orient.Rotation) {
	if d.blurred != nil {
		d.blurred.Predict(dst, rs)
		return
	}
	estimates := make([]successmap.Estimate, len(rs))
	d.fit.m.Predict(estimates, rs)
	for i, e := range estimates {
		dst[i] = e.P
	}
}

func (l *Lab) drawNow(f *fitted, blur float64) (*drawn, error) {
	d := &drawn{fit: f}
	if blur > 0 {
		b, err := f.m.Blur(blur)
		if err != nil {
			return nil, invalid("the map can not be blurred by this much: " + err.Error())
		}
		d.blurred = b
	}
	s := f.summary
	d.info = MapInfo{
		Condition: f.condition, Degree: s.Degree, BasisSize: s.BasisSize, LengthScale: s.LengthScale, Anisotropy: s.Anisotropy,
		Amplitude: s.Amplitude, Symmetry: symmetryWords(f.symmetry), HeadingFold: f.symmetry.Hand(), TiltMax: f.tiltMax, Blur: blur,
		Scores: f.scores, Dispersion: f.dispersion, Seconds: f.seconds, Mark: f.mark, Invented: f.study.Invented,
	}
	blurred := make([]float64, len(f.cells))
	d.blurInto(blurred, f.cellRotations())
	d.info.Cells = append([]Cell(nil), f.cells...)
	for i, v := range blurred {
		d.info.Cells[i].Blurred = v
	}
	p := painter{drawn: d, headings: max(1, rasterHeadings/f.symmetry.Hand())}
	d.raster = p.paint(l.Workers)
	d.info.Raster = RasterInfo{Size: rasterSize, Headings: p.headings, Layers: rasterLayers}
	d.info.Warnings = joined(s.Warnings, f.m.RegionWarnings(p.seen), []string{f.scores.Warning, f.cellNote})
	d.mark = hex.EncodeToString(f.key[:12]) + fmt.Sprintf("-%x", math.Float64bits(blur))
	return d, nil
}

// painter draws a raster.
type painter struct {
	*drawn
	headings int
	seen     []successmap.Estimate // of the first heading, for the warnings
}

type rasterPixel struct {
	at    int // index into a layer of one heading
	swing orient.Rotation
}

// pixels lists the centres that lie on the disc; tilt follows from the radius so that areas on the disc are areas on
// the sphere of directions.
func (p *painter) pixels() []rasterPixel {
	var list []rasterPixel
	for row := range rasterSize {
		for column := range rasterSize {
			x, y := (2*float64(column)+1)/rasterSize-1, 1-(2*float64(row)+1)/rasterSize
			r := math.Hypot(x, y)
			if r > 1 {
				continue
			}
			tilt := 2 * math.Asin(r*math.Sin(p.fit.tiltMax/2))
			list = append(list, rasterPixel{row*rasterSize + column, orient.FromDirectionHeading(tilt, math.Atan2(y, x), 0)})
		}
	}
	return list
}

// paint fills all layers as [RasterInfo] tells.
func (p *painter) paint(workers int) []byte {
	const area = rasterSize * rasterSize
	pixels := p.pixels()
	n := len(pixels)
	raster := make([]uint16, area*(4*p.headings+8))
	for i := range raster {
		raster[i] = outside
	}
	layer := func(l, heading int) []uint16 { // of the first four
		from := (l*p.headings + heading) * area
		return raster[from : from+area]
	}
	// A running summary of the headings for each pixel: sums of the four values, then the best heading's four.
	summary := make([][8]float64, n)
	for i := range summary {
		summary[i][4] = -1
	}
	var mu sync.Mutex
	p.eachHeading(workers, func(heading int) {
		turn := orient.RotZ(2 * math.Pi / float64(p.fit.symmetry.Hand()) * float64(heading) / float64(p.headings))
		rs := make([]orient.Rotation, n)
		for i, px := range pixels {
			rs[i] = px.swing.Mul(turn)
		}
		estimates := make([]successmap.Estimate, n)
		p.fit.m.Predict(estimates, rs)
		blurred := make([]float64, n)
		if p.blurred != nil {
			p.blurred.Predict(blurred, rs)
		} else {
			for i, e := range estimates {
				blurred[i] = e.P
			}
		}
		layers := [4][]uint16{layer(0, heading), layer(1, heading), layer(2, heading), layer(3, heading)}
		for i, e := range estimates {
			for k, v := range [4]float64{e.P, e.Low, e.High, blurred[i]} {
				layers[k][pixels[i].at] = level(v)
			}
		}
		mu.Lock()
		defer mu.Unlock()
		if heading == 0 {
			p.seen = estimates
		}
	})
	p.summarize(raster, pixels, summary, layer)
	return encode(raster)
}

// summarize fills the layers over all headings from the painted ones: the mean of each value, and the values at the
// heading with the best mean. The mean of the bounds is a bound of the mean as if the errors at all headings went
// together, so it is never too narrow.
func (p *painter) summarize(raster []uint16, pixels []rasterPixel, summary [][8]float64, layer func(l, heading int) []uint16) {
	const area = rasterSize * rasterSize
	for heading := range p.headings {
		layers := [4][]uint16{layer(0, heading), layer(1, heading), layer(2, heading), layer(3, heading)}
		for i, px := range pixels {
			s := &summary[i]
			better := float64(layers[0][px.at]) > s[4]
			for k := range 4 {
				v := float64(layers[k][px.at])
				s[k] += v
				if better {
					s[4+k] = v
				}
			}
		}
	}
	from := 4 * p.headings * area
	for i, px := range pixels {
		for k := range 4 {
			raster[from+k*area+px.at] = uint16(math.Round(summary[i][k] / float64(p.headings)))
			raster[from+(4+k)*area+px.at] = uint16(summary[i][4+k])
		}
	}
}

// eachHeading calls paint for all headings, several at once. Predictions are spread over processors as well, but their
// set-up is not.
func (p *painter) eachHeading(workers int, paint func(heading int)) {
	next := make(chan int)
	var group sync.WaitGroup
	for range max(1, workers) {
		group.Go(func() {
			for heading := range next {
				paint(heading)
			}
		})
	}
	for heading := range p.headings {
		next <- heading
	}
	close(next)
	group.Wait()
}

// level brings 0…1 to 0…65534.
func level(p float64) uint16 {
	return uint16(math.Round(math.Min(math.Max(p, 0), 1) * (outside - 1)))
}

func encode(raster []uint16) []byte {
	out := make([]byte, 2*len(raster))
	for i, v := range raster {
		binary.LittleEndian.PutUint16(out[2*i:], v)
	}
	return out
}
