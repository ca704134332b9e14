package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"holdfast/examples"
	"holdfast/mechanics/firsttouch"
	"holdfast/numeric"
	"holdfast/scenes"
	"holdfast/signals/detect"
	"holdfast/signals/pads"
	"holdfast/signals/sound"
	"holdfast/signals/strips"
	"holdfast/signals/touch/finger"
)

type touchInventCommand struct {
	Sensor    string    `default:"sound" enum:"sound,pads,strips,slips,guided" help:"Clips of sound; records of a fingertip accelerometer with and without slips (labels.csv); an array of touch pads or a finger with flex strips (calibration.csv, places.csv, record.csv); or trials in which a person guided the five-finger hand of the examples (guided.csv)."`
	Out       string    `required:"" placeholder:"DIR" help:"New or empty folder to write the files to."`
	Clips     int       `default:"300" placeholder:"N" help:"How many clips, shared evenly by fingers and sessions."`
	Fingers   int       `default:"3" placeholder:"N" help:"How many finger specimens, each a little different."`
	Zones     int       `default:"6" placeholder:"N" help:"How many zones along the finger."`
	Noise     float64   `default:"0.05" placeholder:"SHARE" help:"Noise as a share of the sound."`
	Objects   []string  `placeholder:"NAME,…" help:"What touches the fingers, in turn: of roll-skin, crust and egg-shell; a blow in no time without it."`
	Pressures []float64 `name:"pressures-kpa" placeholder:"KPA,…" help:"Pressures in the fingers, in turn, 0 to 100; none without it."`
	Seed      uint64    `default:"1" help:"Decides fingers, places and noise."`
}

// Places (mm) along the invented finger, and the sessions that each is recorded in.
const (
	inventedLowMm, inventedHighMm = 22.0, 85.0
	inventedSessions              = 2
)

// Run writes clips of fingers that do not exist, so that training can be tried without a rig.
func (c *touchInventCommand) Run(env *environment) error {
	switch {
	case c.Clips < 1 || c.Clips > maxClips:
		return usageError{fmt.Errorf("--clips is %d; 1 to %d are possible", c.Clips, maxClips)}
	case c.Fingers < 1 || c.Fingers > 100:
		return usageError{fmt.Errorf("--fingers is %d; 1 to 100 are possible", c.Fingers)}
	case c.Zones < 1 || c.Zones > 60:
		return usageError{fmt.Errorf("--zones is %d; 1 to 60 are possible", c.Zones)}
	case !(c.Noise >= 0 && c.Noise <= 10):
		return usageError{fmt.Errorf("--noise is %g; it must lie between 0 and 10", c.Noise)}
	}
	struck, err := c.objects()
	if err != nil {
		return err
	}
	if err := emptyFolder(c.Out); err != nil {
		return err
	}
	switch c.Sensor {
	case "pads":
		return c.pads(env)
	case "strips":
		return c.strips(env)
	case "slips":
		return c.slips(env)
	case "guided":
		return c.guided(env)
	}
	return c.sounds(env, struck)
}

// objects returns what touches the fingers, nil for a blow in no time.
func (c *touchInventCommand) objects() (list []*finger.Object, err error) {
	for _, name := range c.Objects {
		o, ok := finger.ObjectNamed(name)
		if !ok {
			return nil, usageError{fmt.Errorf("--objects: %q is not known; choose of %s", name, strings.Join(objectNames(), ", "))}
		}
		list = append(list, &o)
	}
	for _, kPa := range c.Pressures {
		if !(kPa >= 0 && kPa <= 100) {
			return nil, usageError{fmt.Errorf("--pressures-kpa: %g is not possible; 0 to 100 are", kPa)}
		}
	}
	if (len(c.Objects) > 0 || len(c.Pressures) > 0) && c.Sensor != "sound" {
		return nil, usageError{fmt.Errorf("--objects and --pressures-kpa are for clips of sound, not for --sensor %s", c.Sensor)}
	}
	if list == nil {
		list = []*finger.Object{nil}
	}
	return list, nil
}

func objectNames() (names []string) {
	for _, o := range finger.Objects {
		names = append(names, o.Name)
	}
	return names
}

// sounds writes clips of touches, with labels.
func (c *touchInventCommand) sounds(env *environment, struck []*finger.Object) error {
	pressures := c.Pressures
	if pressures == nil {
		pressures = []float64{0}
	}
	plain := finger.Specimens(c.Fingers, c.Seed)
	specimens := make([][][]*finger.Specimen, c.Fingers) // by finger, object and pressure
	loudest := 0.0
	for f, p := range plain {
		for o, object := range struck {
			specimens[f] = append(specimens[f], nil)
			for _, kPa := range pressures {
				q := p
				if kPa != 0 {
					q = q.At(1000 * kPa)
				}
				if object != nil {
					q = q.TouchedBy(*object)
				}
				specimens[f][o] = append(specimens[f][o], q)
			}
		}
	}
	for o := range struck {
		loudest = max(loudest, peak(specimens[0][o][0].Touch((inventedLowMm+inventedHighMm)/2, 0, c.Seed, 0)))
	}
	// One gain for all: how loud a touch is says something, too. Touches differ by four to one in strength.
	gain := 0.1 / loudest
	var labels strings.Builder
	labels.WriteString("file,zone,position_mm,session,specimen,snr_db")
	if len(c.Objects) > 0 {
		labels.WriteString(",object")
	}
	if len(c.Pressures) > 0 {
		labels.WriteString(",pressure_kpa")
	}
	labels.WriteString("\n")
	snr := "" // without noise there is none to tell
	if c.Noise > 0 {
		snr = strconv.FormatFloat(finger.SNRDB(c.Noise), 'f', 2, 64)
	}
	for n := range c.Clips {
		if env.ctx.Err() != nil {
			return env.ctx.Err()
		}
		// In turn, one within the other, so that each finger and day has all objects and pressures.
		f, day, turn := n%c.Fingers, n/c.Fingers%inventedSessions, n/(c.Fingers*inventedSessions)
		o, k := turn%len(struck), turn/len(struck)%len(pressures)
		specimen := specimens[f][o][k]
		share := numeric.Stream(c.Seed, "invented touch", n).Float64()
		at := inventedLowMm + (inventedHighMm-inventedLowMm)*share
		clip := specimen.Touch(at, c.Noise, c.Seed, n)
		name := fmt.Sprintf("touch-%05d.wav", n+1)
		if err := writeClip(filepath.Join(c.Out, name), clip, gain, specimen.RateHz); err != nil {
			return err
		}
		fmt.Fprintf(&labels, "%s,zone-%d,%.2f,finger-%d-day-%d,finger-%d,%s", name, 1+int(share*float64(c.Zones)), at, f+1, day+1, f+1, snr)
		if len(c.Objects) > 0 {
			fmt.Fprintf(&labels, ",%s", c.Objects[o])
		}
		if len(c.Pressures) > 0 {
			fmt.Fprintf(&labels, ",%g", pressures[k])
		}
		labels.WriteString("\n")
	}
	// Last, so that a folder with labels is whole.
	if err := os.WriteFile(filepath.Join(c.Out, "labels.csv"), []byte(labels.String()), 0o666); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "%d clips of %d invented fingers lie in %s, with labels.csv. They are computed from beam and tube: no finger was recorded.\n", c.Clips, c.Fingers, c.Out)
	return nil
}

// pads writes an invented array.
func (c *touchInventCommand) pads(env *environment) error {
	v := pads.Invent(c.Seed)
	if err := c.three(
		func(w io.Writer) error { return pads.WritePresses(w, v.Presses) },
		func(w io.Writer) error { return pads.WritePlaces(w, v.Places) },
		func(w io.Writer) error { return pads.WriteRecord(w, &v.Record) },
	); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "An invented array of %d pads lies in %s: pad %d is dead, pads %d and %d are bridged, pad %d clips. It is computed: no hand was recorded.\n", len(v.Places), c.Out, v.Dead+1, v.Bridged[0]+1, v.Bridged[1]+1, v.Clips+1)
	return nil
}

// strips writes an invented finger.
func (c *touchInventCommand) strips(env *environment) error {
	v := strips.Invent(c.Seed)
	if err := c.three(
		func(w io.Writer) error { return strips.WriteCalibrations(w, v.Calibrations) },
		func(w io.Writer) error { return strips.WritePlaces(w, v.Places) },
		func(w io.Writer) error { return strips.WriteRecord(w, &v.Record) },
	); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "An invented finger with %d strips lies in %s. It is computed: no finger was recorded.\n", len(v.Calibrations), c.Out)
	return nil
}

// inventedSlips is how many records of a fingertip are invented.
const inventedSlips = 24

// slips writes records of a fingertip accelerometer, with labels.
func (c *touchInventCommand) slips(env *environment) error {
	var labels strings.Builder
	labels.WriteString("file,event,from_s,to_s\n")
	for n := range inventedSlips {
		if env.ctx.Err() != nil {
			return env.ctx.Err()
		}
		v := detect.InventSlip(c.Seed, n)
		var b strings.Builder
		b.WriteString("time_s,value\n")
		for i, t := range v.Times {
			fmt.Fprintf(&b, "%g,%g\n", t, v.Values[i])
		}
		name := fmt.Sprintf("hold-%02d.csv", n+1)
		if err := os.WriteFile(filepath.Join(c.Out, name), []byte(b.String()), 0o666); err != nil {
			return err
		}
		if len(v.Slips) == 0 {
			fmt.Fprintf(&labels, "%s,no,0,0\n", name)
		}
		for _, s := range v.Slips {
			fmt.Fprintf(&labels, "%s,yes,%.4f,%.4f\n", name, s[0], s[1])
		}
	}
	// Last, so that a folder with labels is whole.
	if err := os.WriteFile(filepath.Join(c.Out, "labels.csv"), []byte(labels.String()), 0o666); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "%d invented records of a fingertip accelerometer lie in %s, with labels.csv; every second one slips, all are knocked. They are computed: no finger was recorded.\n", inventedSlips, c.Out)
	return nil
}

// inventedGuided is how many guided trials are invented.
const inventedGuided = 120

// guided writes an invented table of guided trials.
func (c *touchInventCommand) guided(env *environment) error {
	hand, err := scenes.ReadHand(examples.Scenes(), "hands/tendon-five.yaml")
	if err != nil {
		return err
	}
	g := firsttouch.Invent(hand, inventedGuided, c.Seed)
	if err := writeWhole(filepath.Join(c.Out, "guided.csv"), func(w io.Writer) error { return firsttouch.WriteGuided(w, g) }); err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "%d invented trials of a guided hand lie in %s. They are computed: nobody guided a hand.\n", len(g.Trials), filepath.Join(c.Out, "guided.csv"))
	return nil
}

// three writes the files of an array of sensors.
func (c *touchInventCommand) three(calibration, places, record func(io.Writer) error) error {
	return errors.Join(
		writeWhole(filepath.Join(c.Out, "calibration.csv"), calibration),
		writeWhole(filepath.Join(c.Out, "places.csv"), places),
		writeWhole(filepath.Join(c.Out, "record.csv"), record),
	)
}

// emptyFolder makes the folder, or takes it if nothing is in it.
func emptyFolder(name string) error {
	if err := os.MkdirAll(name, 0o777); err != nil {
		return inputError{fileError(name, err)}
	}
	list, err := os.ReadDir(name)
	if err != nil {
		return inputError{fileError(name, err)}
	}
	if len(list) > 0 {
		return inputError{fmt.Errorf("%s is not empty; name a new folder", name)}
	}
	return nil
}

func peak(clip []float64) float64 {
	most := 1e-300
	for _, v := range clip {
		most = math.Max(most, math.Abs(v))
	}
	return most
}

func writeClip(name string, clip []float64, gain float64, rate int) error {
	scaled := make([]float64, len(clip))
	for i, v := range clip {
		scaled[i] = gain * v
	}
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	err = sound.Write(f, &sound.Recording{RateHz: rate, Channels: [][]float64{scaled}}, sound.Coding{Bits: 24})
	return errors.Join(err, f.Close())
}
