package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"holdfast/numeric/dense"
	"holdfast/signals/sound"
	"holdfast/signals/touch"
)

// maxClips bounds how many clips are read at once.
const maxClips = 100_000

// labels are the rows of a file of labels; texts are empty and positions NaN where nothing is given.
type labels struct {
	file, zone, session, specimen []string
	line                          []int // of the file, on which a row starts
	positionMm                    []float64
	snrDB                         []float64      // above the clip's own noise; NaN where it is not known
	varied                        []touch.Varied // of otherColumns, those that the file has
}

// otherColumns may say what else differed among clips: a model is asked how it does with one that it never heard.
var otherColumns = []string{"object", "pressure_kpa", "day"}

// readLabels reads the columns file, session and specimen, and zone or position_mm or both. Every fault names line and column.
func readLabels(path string) (*labels, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	return parseLabels(filepath.Base(path), f)
}

// parseLabels reads the text of a file of labels; name goes before every fault.
func parseLabels(name string, f io.Reader) (*labels, error) {
	in := csv.NewReader(f)
	in.TrimLeadingSpace = true
	header, err := in.Read()
	if err != nil {
		return nil, fmt.Errorf("%s has no header; its first line must name the columns file, zone, position_mm, session and specimen", name)
	}
	column := map[string]int{}
	for i, h := range header {
		h = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\uFEFF")))
		if _, twice := column[h]; twice {
			return nil, fmt.Errorf("%s has two columns %s; keep one", name, h)
		}
		column[h] = i
	}
	for _, need := range []string{"file", "session", "specimen"} {
		if _, ok := column[need]; !ok {
			return nil, fmt.Errorf("%s has no column %s; it needs file, session, specimen, and zone or position_mm", name, need)
		}
	}
	l, standsIn := &labels{}, map[string]int{}
	for _, c := range otherColumns {
		if _, ok := column[c]; ok {
			l.varied = append(l.varied, touch.Varied{Name: c})
		}
	}
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		at, _ := in.FieldPos(0)
		cell := func(c string) string {
			if i, ok := column[c]; ok {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		for _, need := range []string{"file", "session", "specimen"} {
			if cell(need) == "" {
				return nil, fmt.Errorf("%s, line %d, column %s: nothing is given; say which clip, on which day or mounting, on which finger", name, at, need)
			}
		}
		file := filepath.FromSlash(cell("file"))
		if !filepath.IsLocal(file) {
			return nil, fmt.Errorf("%s, line %d, column file: %q does not lie in the folder of clips", name, at, file)
		}
		if was := standsIn[file]; was > 0 {
			return nil, fmt.Errorf("%s, line %d, column file: %s stands in line %d already", name, at, file, was)
		}
		standsIn[file] = at
		position := math.NaN()
		if text := cell("position_mm"); text != "" {
			if position, err = strconv.ParseFloat(text, 64); err != nil || math.Abs(position) > 10_000 || math.IsNaN(position) {
				return nil, fmt.Errorf("%s, line %d, column position_mm: %q is no number of millimetres", name, at, text)
			}
		}
		snr := math.NaN()
		if text := cell("snr_db"); text != "" {
			if snr, err = strconv.ParseFloat(text, 64); err != nil || !(math.Abs(snr) <= 200) {
				return nil, fmt.Errorf("%s, line %d, column snr_db: %q is no number of decibels between -200 and 200", name, at, text)
			}
		}
		l.snrDB = append(l.snrDB, snr)
		l.file, l.zone, l.positionMm = append(l.file, file), append(l.zone, cell("zone")), append(l.positionMm, position)
		l.session, l.specimen, l.line = append(l.session, cell("session")), append(l.specimen, cell("specimen")), append(l.line, at)
		for i := range l.varied {
			l.varied[i].Level = append(l.varied[i].Level, cell(l.varied[i].Name))
		}
		if len(l.file) > maxClips {
			return nil, fmt.Errorf("%s names more than %d clips", name, maxClips)
		}
	}
	if len(l.file) == 0 {
		return nil, fmt.Errorf("%s names no clip", name)
	}
	return l, nil
}

// targets says what the labels can teach; target narrows it to zone or mm. A label that is given for some clips only is a
// fault of the file: such clips would leave silently.
func (l *labels) targets(name, target string) (zones, positions bool, err error) {
	given := func(missing func(i int) bool) (all, some bool, first int) {
		all, first = true, -1
		for i := range l.file {
			if missing(i) {
				all = false
				if first < 0 {
					first = i
				}
			} else {
				some = true
			}
		}
		return all, some, first
	}
	for _, c := range []struct {
		column, target string
		on             *bool
		missing        func(i int) bool
	}{
		{"zone", "zone", &zones, func(i int) bool { return l.zone[i] == "" }},
		{"position_mm", "mm", &positions, func(i int) bool { return math.IsNaN(l.positionMm[i]) }},
	} {
		if target != "both" && target != c.target {
			continue
		}
		all, some, first := given(c.missing)
		if !all && (some || target != "both") {
			return false, false, fmt.Errorf("%s, column %s: nothing is given for %s; label every clip, or leave such rows out", name, c.column, l.file[first])
		}
		*c.on = all
	}
	if !zones && !positions {
		return false, false, fmt.Errorf("%s has neither zones nor positions; fill the column zone or position_mm", name)
	}
	return zones, positions, nil
}

// readClip reads one channel, counted from 1, of a WAV file.
func readClip(path string, channel int) (samples []float64, rateHz int, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, fileError(path, err)
	}
	defer f.Close()
	r, err := sound.Read(f)
	if err != nil {
		return nil, 0, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	if channel > len(r.Channels) {
		return nil, 0, fmt.Errorf("%s has %s, and --channel asks for number %d", filepath.Base(path), counted(len(r.Channels), "channel"), channel)
	}
	return r.Channels[channel-1], r.RateHz, nil
}

// clipFeatures computes the features of files in a folder and counts their samples; all must have the recipe's sampling rate.
func clipFeatures(env *environment, recipe touch.Recipe, dir string, files []string, channel, workers int) (touch.Matrix, []int, error) {
	e, err := touch.NewExtractor(recipe)
	if err != nil {
		return touch.Matrix{}, nil, err
	}
	lengths := make([]int, len(files))
	x := touch.NewMatrix(len(files), e.Count())
	failed := make([]error, len(files))
	const share = 16
	dense.InParallel((len(files)+share-1)/share, workers, func(part int) {
		own := e.Clone()
		for i := part * share; i < min((part+1)*share, len(files)) && env.ctx.Err() == nil; i++ {
			clip, rate, err := readClip(filepath.Join(dir, files[i]), channel)
			if err == nil && rate != recipe.RateHz {
				err = fmt.Errorf("%s is sampled at %d Hz, and the others at %d Hz; convert it or leave it out", files[i], rate, recipe.RateHz)
			}
			lengths[i] = len(clip)
			if err == nil {
				if err = own.Extract(x.Row(i), clip); err != nil {
					err = fmt.Errorf("%s: %w", files[i], err)
				}
			}
			failed[i] = err
		}
	})
	if err := env.ctx.Err(); err != nil {
		return x, nil, err
	}
	if at := slices.IndexFunc(failed, func(err error) bool { return err != nil }); at >= 0 {
		return x, nil, failed[at]
	}
	return x, lengths, nil
}
