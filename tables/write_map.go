package tables

import (
	"io"
	"math"

	"holdfast/orient"
)

// MapRow is a success map's answer at one orientation.
type MapRow struct {
	Rotation orient.Rotation
	P        float64 // mean
	Low      float64 // 5 %
	High     float64 // 95 %
	Blurred  float64 // mean under the line's errors; NaN: no blur was asked for, the field is left empty
}

type mapRecord struct {
	QW         float64  `parquet:"qw"`
	QX         float64  `parquet:"qx"`
	QY         float64  `parquet:"qy"`
	QZ         float64  `parquet:"qz"`
	TiltDeg    float64  `parquet:"tilt_deg"`
	AzimuthDeg float64  `parquet:"azimuth_deg"`
	RollDeg    float64  `parquet:"roll_deg"`
	P          float64  `parquet:"p"`
	PLow       float64  `parquet:"p_low"`
	PHigh      float64  `parquet:"p_high"`
	PBlurred   *float64 `parquet:"p_blurred,optional"`
}

// WriteMap writes a success map, row by row in the order given.
func WriteMap(w io.Writer, f Format, rows []MapRow) error {
	out, err := newRecordWriter[mapRecord](w, f)
	if err != nil {
		return err
	}
	for i := range rows {
		r := &rows[i]
		p := poseOf(r.Rotation)
		record := mapRecord{QW: p.qw, QX: p.qx, QY: p.qy, QZ: p.qz, TiltDeg: p.tilt, AzimuthDeg: p.azimuth, RollDeg: p.roll,
			P: r.P, PLow: r.Low, PHigh: r.High}
		if !math.IsNaN(r.Blurred) {
			record.PBlurred = &r.Blurred
		}
		if err := out.write(&record); err != nil {
			return err
		}
	}
	return out.close()
}
