package api

import (
	"holdfast/signals/pads"
	"holdfast/signals/strips"
)

// TouchFiles are the three CSV files of an array of sensors, as texts; docs/formats.md names their columns.
type TouchFiles struct {
	Calibration string `json:"calibration" minLength:"1"`
	Places      string `json:"places" minLength:"1"`
	Record      string `json:"record" minLength:"1"`
}

// SensorReading is what all pads or strips read at one moment.
type SensorReading struct {
	Time   float64   `json:"time_s"`
	Values []float64 `json:"values" minItems:"1" maxItems:"4096" doc:"By pad or strip, in the order of the calibration"`
}

// SensorReadings come from a rig, the times rising; times that begin lower than before start a new record.
type SensorReadings struct {
	Readings []SensorReading `json:"readings" minItems:"1" maxItems:"2000"`
}

// ReadingsTaken says what became of readings.
type ReadingsTaken struct {
	Taken     int `json:"taken"`
	Followers int `json:"followers" doc:"Pages and programs that follow now; readings that nobody follows are forgotten"`
}

// FollowStart says with what readings are turned into pictures: the two CSV files of an array or a finger, or an invented rig, whose
// readings come at their own pace.
type FollowStart struct {
	Calibration string `json:"calibration,omitempty"`
	Places      string `json:"places,omitempty"`
	Invented    bool   `json:"invented,omitempty"`
}

// PadsFollowed is what pads felt since the message before.
type PadsFollowed struct {
	Kind    string          `json:"kind" enum:"frames,fault"`
	Report  *pads.PadReport `json:"report,omitempty" doc:"All that is known but the frames: at first, after a rig began anew, and once a second"`
	Frames  []pads.PadFrame `json:"frames,omitempty"`
	Lost    int64           `json:"lost,omitempty" doc:"Readings that came faster than they could be told"`
	Message string          `json:"message,omitempty" doc:"Of a fault, which ends the stream"`
}

// StripsFollowed is how a finger lay since the message before.
type StripsFollowed struct {
	Kind    string               `json:"kind" enum:"frames,fault"`
	Report  *strips.FingerReport `json:"report,omitempty" doc:"All that is known but the frames: at first, after a rig began anew, and once a second"`
	Frames  []strips.FingerFrame `json:"frames,omitempty"`
	Lost    int64                `json:"lost,omitempty" doc:"Readings that came faster than they could be told"`
	Message string               `json:"message,omitempty" doc:"Of a fault, which ends the stream"`
}
