package workflow

import (
	"encoding/binary"
	"math"

	"holdfast/domain"
	"holdfast/orient"
)

// ConditionRow is a condition with its counts.
type ConditionRow struct {
	domain.Condition
	Trials int // trials that count, without reference trials
	Held   int
}

// MapQuery asks for the map of a condition.
type MapQuery struct {
	Study     domain.ID
	Condition domain.Condition
	Blur      *float64 // rad, root mean square turn; nil: the study's line error
}

// MapInfo describes a success map.
type MapInfo struct {
	Condition   ConditionRow
	Degree      int
	BasisSize   int
	LengthScale float64 // rad
	Anisotropy  float64
	Amplitude   float64 // log-odds
	Symmetry    string  // in words
	HeadingFold int
	TiltMax     float64 // rad
	Blur        float64 // rad
	Raster      RasterInfo
	Scores      Scores
	Dispersion  Dispersion
	Warnings    []string
	Cells       []Cell
	Seconds     float64
	Mark        int64
	Invented    bool
}

// RasterInfo says how the raster is laid out.
type RasterInfo struct {
	Size     int
	Headings int
	Layers   []string
}

// Scores are proper scores by grouped cross-validation beside the base rate's.
type Scores struct {
	Warning     string // a sentence when the map scores no better than the base rate; else empty
	Folds       int    // 0: too few trials to score
	LogLoss     float64
	BaseLogLoss float64
	Brier       float64
	BaseBrier   float64
	Calibration []CalibrationBin
}

// CalibrationBin is one bin of forecasts.
type CalibrationBin struct {
	From, To float64
	Trials   int
	Forecast float64
	Held     float64
}

// Dispersion says whether counts at the same orientation vary more or less than independent trials would.
type Dispersion struct {
	Tested   bool
	Deviance float64
	DF       int
	LowerP   float64
	UpperP   float64
	Text     string
}

// Cell is one orientation with its counts, 90 % intervals and the map's estimates.
type Cell struct {
	Rotation                orient.Rotation
	Trials, Held            int
	Exact, Wilson, Jeffreys [2]float64
	P, Low, High, Blurred   float64
}

// Raster is a map's picture.
type Raster struct {
	Info RasterInfo
	Data []byte // unsigned 16-bit little-endian, laid out as Info says
	Mark string // equal marks, equal pictures
}

// MapPoint is the map's answer at one orientation.
type MapPoint struct {
	Rotation              orient.Rotation
	P, Low, High, Blurred float64
	Near                  []NearTrial
}

// NearTrial is a trial near an orientation.
type NearTrial struct {
	Trial   domain.TrialID
	Angle   float64 // rad
	Counted domain.Outcome
	Replay  bool // it is a simulated trial whose film was kept
}

// Layers reads three layers of a raster, the mean and its bounds, from the first of them on, at one heading. Layers
// over all headings have one heading only. Pixels outside the disc are NaN.
func (r Raster) Layers(first, heading int) (p, low, high []float64) {
	area := r.Info.Size * r.Info.Size
	// Four layers with all headings come first, the others have one each.
	at := func(layer int) int {
		if layer < 4 {
			return (layer*r.Info.Headings + heading) * area
		}
		return (4*r.Info.Headings + layer - 4) * area
	}
	read := func(layer int) []float64 {
		out := make([]float64, area)
		from := 2 * at(layer)
		for i := range out {
			v := binary.LittleEndian.Uint16(r.Data[from+2*i:])
			out[i] = float64(v) / (outside - 1)
			if v == outside {
				out[i] = math.NaN()
			}
		}
		return out
	}
	return read(first), read(first + 1), read(first + 2)
}
