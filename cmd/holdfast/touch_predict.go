package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"

	"holdfast/signals/touch"
)

type touchPredictCommand struct {
	Model   string `required:"" placeholder:"MODEL" help:"File that touch train wrote."`
	Clips   string `required:"" placeholder:"DIR" help:"Folder of WAV files; folders in it are searched too."`
	Out     string `required:"" placeholder:"OUT.csv" help:"File to write a row for each clip to."`
	Channel int    `default:"1" help:"Channel of the WAV files, counted from 1."`
	JSON    bool   `name:"json" help:"Print the result as JSON."`
}

// touchPredictReport is what touch predict tells.
type touchPredictReport struct {
	Clips  int            `json:"clips"`
	Unsure int            `json:"unsure"`
	ByZone map[string]int `json:"clips_by_zone"`
	Out    string         `json:"out"`
}

// Run tells where clips were touched.
func (c *touchPredictCommand) Run(env *environment) error {
	if c.Channel < 1 {
		return usageError{fmt.Errorf("--channel %d: channels are counted from 1", c.Channel)}
	}
	model, err := readTouchModel(c.Model)
	if err != nil {
		return badInput(err)
	}
	files, err := wavFiles(c.Clips)
	if err != nil {
		return badInput(err)
	}
	x, _, err := clipFeatures(env, model.Recipe, c.Clips, files, c.Channel, runtime.GOMAXPROCS(0))
	if err != nil {
		return badInput(err)
	}
	told := make([]touch.Telling, len(files))
	r := touchPredictReport{Clips: len(files), Out: c.Out, ByZone: map[string]int{}}
	for i := range told {
		if told[i] = model.Tell(x.Row(i)); told[i].Unsure {
			r.Unsure++
		} else if told[i].Zone != "" {
			r.ByZone[told[i].Zone]++
		}
	}
	if err := writeFile(c.Out, func(w io.Writer) error { return writeTold(w, files, told, model) }); err != nil {
		return err
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	fmt.Fprintf(env.stdout, "%s told in %s; %d of them unlike what the model was trained on: do not act on those.\n", counted(r.Clips, "clip"), c.Out, r.Unsure)
	for _, z := range model.Zones {
		fmt.Fprintf(env.stdout, "  %s: %d\n", z, r.ByZone[z])
	}
	return nil
}

// readTouchModel reads the file that touch train wrote.
func readTouchModel(path string) (*touch.Model, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	model, err := touch.ReadModel(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return model, nil
}

// wavFiles lists the WAV files of a folder and those in it, in order of their names.
func wavFiles(dir string) ([]string, error) {
	var files []string
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.Type().IsRegular() && strings.EqualFold(filepath.Ext(path), ".wav"):
			files = append(files, filepath.FromSlash(path))
		}
		if len(files) > maxClips {
			return fmt.Errorf("%s holds more than %d clips", dir, maxClips)
		}
		return nil
	})
	var place *fs.PathError
	if errors.As(err, &place) {
		return nil, fileError(dir, place)
	}
	if err == nil && len(files) == 0 {
		err = fmt.Errorf("%s holds no file whose name ends in .wav", dir)
	}
	return files, err
}

func writeTold(w io.Writer, files []string, told []touch.Telling, m *touch.Model) error {
	out := csv.NewWriter(w)
	out.Write([]string{"file", "zone", "probability", "position_mm", "position_low_mm", "position_high_mm", "unsure"})
	number := func(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }
	for i, t := range told {
		row := []string{filepath.ToSlash(files[i]), t.Zone, "", "", "", "", strconv.FormatBool(t.Unsure)}
		if m.Zone != nil {
			row[2] = number(t.Probability, 4)
		}
		if m.Position != nil {
			row[3], row[4], row[5] = number(t.PositionMm, 2), number(t.LowMm, 2), number(t.HighMm, 2)
		}
		out.Write(row)
	}
	out.Flush()
	return out.Error()
}
