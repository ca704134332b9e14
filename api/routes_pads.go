package api

import (
	"context"
	"io"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/signals/pads"
	"holdfast/signals/strips"
)

// Bounds of what is drawn: bytes of the three files, and readings of a record.
const (
	mostTouchBytes    = 16 << 20
	mostTouchReadings = 500_000
)

// touchChance is that of a contact in a frame in which nothing touches, bandLevel that of a finger's band, shapePoints how many
// points of each length of a finger are drawn.
const (
	touchChance = 0.001
	bandLevel   = 0.95
	shapePoints = 4
)

type touchInput struct{ Body TouchFiles }

// padRoutes read files of sensors of touch. Nothing of them is kept.
func (s *Server) padRoutes(h huma.API) {
	post := func(path, id, summary string) huma.Operation {
		o := op(http.MethodPost, path, id, "touch", summary, 200)
		o.MaxBodyBytes = mostTouchBytes
		return o
	}
	register(s, h, post("/touch/pads", "read-pads", "Contacts over time that an array of touch pads felt; nothing is kept"), func(ctx context.Context, in *touchInput) (*struct{ Body pads.PadReport }, error) {
		r, err := readPads(ctx, &in.Body)
		if err != nil {
			return nil, touchFault(ctx, err)
		}
		return &struct{ Body pads.PadReport }{*r}, nil
	})
	register(s, h, post("/touch/strips", "read-strips", "A finger's shape over time from the strips along it; nothing is kept"), func(ctx context.Context, in *touchInput) (*struct{ Body strips.FingerReport }, error) {
		r, err := readStrips(ctx, &in.Body)
		if err != nil {
			return nil, touchFault(ctx, err)
		}
		return &struct{ Body strips.FingerReport }{*r}, nil
	})
	register(s, h, op(http.MethodGet, "/touch/pads/invented", "get-invented-pads", "touch", "The files of an array that does not exist, to try", 200), func(context.Context, *struct{}) (*struct{ Body TouchFiles }, error) {
		return inventedPads()
	})
	register(s, h, op(http.MethodGet, "/touch/strips/invented", "get-invented-strips", "touch", "The files of a finger that does not exist, to try", 200), func(context.Context, *struct{}) (*struct{ Body TouchFiles }, error) {
		return inventedStrips()
	})
	s.followRoutes(h)
}

func inventedPads() (*struct{ Body TouchFiles }, error) {
	v := pads.Invent(1)
	return touchFiles(
		func(w io.Writer) error { return pads.WritePresses(w, v.Presses) },
		func(w io.Writer) error { return pads.WritePlaces(w, v.Places) },
		func(w io.Writer) error { return pads.WriteRecord(w, &v.Record) },
	)
}

func inventedStrips() (*struct{ Body TouchFiles }, error) {
	v := strips.Invent(1)
	return touchFiles(
		func(w io.Writer) error { return strips.WriteCalibrations(w, v.Calibrations) },
		func(w io.Writer) error { return strips.WritePlaces(w, v.Places) },
		func(w io.Writer) error { return strips.WriteRecord(w, &v.Record) },
	)
}

func touchFiles(calibration, places, record func(io.Writer) error) (*struct{ Body TouchFiles }, error) {
	out := &struct{ Body TouchFiles }{}
	for _, f := range []struct {
		write func(io.Writer) error
		to    *string
	}{{calibration, &out.Body.Calibration}, {places, &out.Body.Places}, {record, &out.Body.Record}} {
		var b strings.Builder
		if err := f.write(&b); err != nil {
			return nil, err
		}
		*f.to = b.String()
	}
	return out, nil
}

// touchFault tells a stopped question from files that can not be read.
func touchFault(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

func fileFault(file string, err error) error {
	return domain.Errorf(domain.KindInvalid, "%s: %v", file, err)
}

func tooMany(frames, sensors int) error {
	if frames*sensors <= mostTouchReadings {
		return nil
	}
	return domain.Errorf(domain.KindInvalid, "the record has %d frames of %d sensors; a picture takes %d readings in all, so leave out what lies between, or use holdfast touch", frames, sensors, mostTouchReadings)
}

// arrayOf reads an array's calibration and places.
func arrayOf(in *TouchFiles) (*pads.Array, error) {
	presses, err := pads.ReadPresses(strings.NewReader(in.Calibration))
	if err != nil {
		return nil, fileFault("calibration", err)
	}
	places, err := pads.ReadPlaces(strings.NewReader(in.Places))
	if err != nil {
		return nil, fileFault("places", err)
	}
	calibration, err := pads.Calibrate(presses)
	if err != nil {
		return nil, fileFault("calibration", err)
	}
	array, err := pads.NewArray(calibration, places)
	if err != nil {
		return nil, fileFault("places", err)
	}
	return array, nil
}

// stripsOf reads a finger's calibrations and places.
func stripsOf(in *TouchFiles) (*strips.Finger, []strips.Place, error) {
	calibrations, err := strips.ReadCalibrations(strings.NewReader(in.Calibration))
	if err != nil {
		return nil, nil, fileFault("calibration", err)
	}
	places, err := strips.ReadPlaces(strings.NewReader(in.Places))
	if err != nil {
		return nil, nil, fileFault("places", err)
	}
	finger, err := strips.NewFinger(calibrations, places, strips.Fitting{Monotone: true})
	if err != nil {
		return nil, nil, fileFault("calibration and places", err)
	}
	return finger, places, nil
}

func readPads(ctx context.Context, in *TouchFiles) (*pads.PadReport, error) {
	record, err := pads.ReadRecord(strings.NewReader(in.Record))
	if err != nil {
		return nil, fileFault("record", err)
	}
	array, err := arrayOf(in)
	if err != nil {
		return nil, err
	}
	if err := tooMany(len(record.Times), len(array.Places)); err != nil {
		return nil, err
	}
	r, err := pads.Watch(ctx, array, record, touchChance)
	if err != nil {
		return nil, fileFault("record", err)
	}
	return r, nil
}

func readStrips(ctx context.Context, in *TouchFiles) (*strips.FingerReport, error) {
	record, err := strips.ReadRecord(strings.NewReader(in.Record))
	if err != nil {
		return nil, fileFault("record", err)
	}
	finger, places, err := stripsOf(in)
	if err != nil {
		return nil, err
	}
	if err := tooMany(len(record.Times), shapePoints*len(places)); err != nil {
		return nil, err
	}
	r, err := strips.Watch(ctx, finger, places, record, bandLevel, shapePoints)
	if err != nil {
		return nil, fileFault("record", err)
	}
	return r, nil
}
