package workflow

import (
	"context"

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
	Folds       int // 0: too few trials to score
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
}

// Conditions lists the conditions that a study's trials were made under.
func (l *Lab) Conditions(ctx context.Context, study domain.ID) ([]ConditionRow, error) {
	return nil, notYet
}

// Map fits the map of a condition, or returns the one already fitted to the same trials.
func (l *Lab) Map(ctx context.Context, q MapQuery) (MapInfo, error) { return MapInfo{}, notYet }

// Raster is a map's picture.
type Raster struct {
	Info RasterInfo
	Data []byte // unsigned 16-bit little-endian, laid out as Info says
	Mark string // equal marks, equal pictures
}

// Raster draws the map of a condition.
func (l *Lab) Raster(ctx context.Context, q MapQuery) (Raster, error) { return Raster{}, notYet }

// MapTrials returns the counted trials that a map is fitted to.
func (l *Lab) MapTrials(ctx context.Context, q MapQuery) ([]domain.CountedTrial, error) {
	return nil, notYet
}

// MapAt returns the map's answer at one orientation with the nearest trials.
func (l *Lab) MapAt(ctx context.Context, q MapQuery, r orient.Rotation) (MapPoint, error) {
	return MapPoint{}, notYet
}

type mapCache struct{}

func newMapCache() *mapCache { return &mapCache{} }
