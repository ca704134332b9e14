package api

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"os"
	"strings"

	"holdfast/domain"
	"holdfast/report"
	"holdfast/tables"
	"holdfast/workflow"
)

// download is a file that the browser offers to keep under the name.
func download(mediaType, name string, content []byte) *file {
	return &file{Status: http.StatusOK, ContentType: mediaType, Disposition: fmt.Sprintf("attachment; filename=%q", name), Body: content}
}

// shown is a file that the browser shows.
func shown(mediaType, name string, content []byte) *file {
	f := download(mediaType, name, content)
	f.Disposition = fmt.Sprintf("inline; filename=%q", name)
	return f
}

const parquetType = "application/vnd.apache.parquet"

// table writes one of the tables in one of the formats.
func table(format tables.Format, name string, write func(io.Writer) error) (*file, error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return nil, domain.Internal("writing the table", err)
	}
	mediaType := parquetType
	if format == tables.CSV {
		mediaType = "text/csv; charset=utf-8"
	}
	return download(mediaType, name+"."+string(format), b.Bytes()), nil
}

func (s *Server) runSheet(ctx context.Context, study domain.ID) (*file, error) {
	st, err := s.lab.Study(ctx, study)
	if err != nil {
		return nil, err
	}
	plan, err := s.lab.Plan(ctx, study)
	if err != nil {
		return nil, err
	}
	hands, items, settings, err := s.lab.Things(ctx, st)
	if err != nil {
		return nil, err
	}
	sheet := report.RunSheet{Study: st, Runs: plan.Runs, Hands: hands, Items: items, Settings: settings, Printed: s.lab.Clock.Now()}
	pdf, err := sheet.PDF()
	if err != nil {
		return nil, domain.Internal("drawing the run sheet", err)
	}
	return shown("application/pdf", string(study)+"-run-sheet.pdf", pdf), nil
}

// mapTable is the map's table: every cell with the map's estimates.
func mapTable(m workflow.MapInfo) []tables.MapRow {
	rows := make([]tables.MapRow, len(m.Cells))
	for i, c := range m.Cells {
		rows[i] = tables.MapRow{Rotation: c.Rotation, P: c.P, Low: c.Low, High: c.High, Blurred: c.Blurred}
		if m.Blur == 0 {
			rows[i].Blurred = math.NaN()
		}
	}
	return rows
}

// mapName is a file name that tells the condition.
func mapName(c domain.Condition) string {
	return fmt.Sprintf("map-%s-%s-%s-%s", c.Hand, c.Item, c.Setting, c.Strategy)
}

// hatchDefault is the width of the interval from which on a figure is hatched when nothing else is asked for; the
// page starts with the same.
const hatchDefault = 0.4

// figure builds a map's figure for one heading, or for the mean or the best over headings.
func (s *Server) figure(ctx context.Context, q workflow.MapQuery, view string, heading, hatch float64) (*report.MapFigure, workflow.MapInfo, error) {
	info, err := s.lab.Map(ctx, q)
	if err != nil {
		return nil, info, err
	}
	raster, err := s.lab.Raster(ctx, q)
	if err != nil {
		return nil, info, err
	}
	st, err := s.lab.Study(ctx, q.Study)
	if err != nil {
		return nil, info, err
	}
	c := info.Condition
	f := &report.MapFigure{
		Title:   fmt.Sprintf("%s by %s, %s, %s", c.Item, c.Hand, c.Setting, c.Strategy),
		TiltMax: info.TiltMax, Hatch: hatch, Target: st.Target, Trials: c.Trials, Held: c.Held, Warnings: info.Warnings, Invented: info.Invented,
	}
	switch view {
	case "mean":
		f.Subtitle, f.Raster = "mean over headings", rasterOf(raster, 4, 0)
	case "best":
		f.Subtitle, f.Raster = "best over headings", rasterOf(raster, 8, 0)
	default:
		period := 2 * math.Pi / float64(info.HeadingFold)
		n := raster.Info.Headings
		at := int(math.Round(math.Mod(math.Mod(heading, period)+period, period)/period*float64(n))) % n
		f.Subtitle = fmt.Sprintf("heading %.4g°", float64(at)/float64(n)*period/degree)
		f.Raster = rasterOf(raster, 0, at)
		trials, err := s.lab.MapTrials(ctx, q)
		if err != nil {
			return nil, info, err
		}
		f.Marks = marksNear(trials, info, float64(at)/float64(n)*period)
	}
	return f, info, nil
}

func rasterOf(r workflow.Raster, first, heading int) report.Raster {
	p, low, high := r.Layers(first, heading)
	return report.Raster{N: r.Info.Size, P: p, Low: low, High: high}
}

// marksNear gives the trials whose heading is within 15° of the one drawn, by the hand's own symmetry.
func marksNear(trials []domain.CountedTrial, info workflow.MapInfo, heading float64) []report.Mark {
	var marks []report.Mark
	period := 2 * math.Pi / float64(info.HeadingFold)
	for i := range trials {
		r := trials[i].Rotation()
		if math.Abs(math.Remainder(r.Heading()-heading, period)) > 15*degree {
			continue
		}
		a := r.Approach()
		marks = append(marks, report.Mark{Tilt: a.Tilt, Azimuth: a.Azimuth, Outcome: trials[i].Counted})
	}
	return marks
}

// figureWidth is the width of an exported figure, mm.
const figureWidth = 160

func (s *Server) picture(ctx context.Context, in *pictureInput, svg bool) (*file, error) {
	hatch := hatchDefault
	if in.Threshold.Given {
		hatch = in.Threshold.Value
	}
	f, info, err := s.figure(ctx, in.query(), in.View, in.HeadingDeg.Value*degree, hatch)
	if err != nil {
		return nil, err
	}
	scene, err := f.Scene(figureWidth)
	if err != nil {
		return nil, domain.Internal("drawing the map", err)
	}
	name := mapName(info.Condition.Condition)
	if svg {
		return shown("image/svg+xml", name+".svg", scene.SVG()), nil
	}
	png, err := scene.PNG(1600)
	if err != nil {
		return nil, domain.Internal("painting the map", err)
	}
	return shown("image/png", name+".png", png), nil
}

// cardParts are the things that a card names.
func (s *Server) cardParts(ctx context.Context, c workflow.Card) (report.CardParts, error) {
	hand, err := s.lab.Hand(ctx, c.Condition.Hand)
	if err != nil {
		return report.CardParts{}, err
	}
	item, err := s.lab.Item(ctx, c.Condition.Item)
	if err != nil {
		return report.CardParts{}, err
	}
	setting, err := s.lab.Setting(ctx, c.Condition.Setting)
	return report.CardParts{Hand: &hand, Item: &item, Setting: &setting}, err
}

func (s *Server) cardDocument(ctx context.Context, id domain.ID) (*file, error) {
	c, err := s.lab.Card(ctx, id)
	if err != nil {
		return nil, err
	}
	parts, err := s.cardParts(ctx, c)
	if err != nil {
		return nil, err
	}
	text, err := report.CardJSON(&c.Card, parts)
	if err != nil {
		return nil, domain.Internal("writing the card", err)
	}
	return shown("application/json", string(id)+".json", text), nil
}

func (s *Server) cardPDF(ctx context.Context, id domain.ID) (*file, error) {
	c, err := s.lab.Card(ctx, id)
	if err != nil {
		return nil, err
	}
	parts, err := s.cardParts(ctx, c)
	if err != nil {
		return nil, err
	}
	st, err := s.lab.Study(ctx, c.Study)
	if err != nil {
		return nil, err
	}
	sheet := report.CardSheet{Card: &c.Card, Parts: parts, StudyName: st.Name}
	// A map of other trials than the card's would mislead, so it is drawn only while they match.
	if c.Matches {
		blur := c.Line.Angle
		f, _, err := s.figure(ctx, workflow.MapQuery{Study: c.Study, Condition: c.Condition, Blur: &blur}, "heading", c.Nominal.Heading(), hatchDefault)
		if err != nil {
			return nil, err
		}
		f.Outline = &report.Outline{Region: c.Region, Nominal: c.Nominal}
		f.Target = c.Target
		sheet.Map = f
	}
	pdf, err := sheet.PDF()
	if err != nil {
		return nil, domain.Internal("drawing the card", err)
	}
	return shown("application/pdf", string(id)+".pdf", pdf), nil
}

// mostImport and mostRecording bound what is taken in at once.
const (
	mostImport    = 256 << 20
	mostRecording = 2 << 30
)

// takeFile writes a request's body to a temporary file, since a table is read from its middle as well. The caller
// closes it, which removes it.
func takeFile(body io.Reader, most int64) (*temporary, error) {
	f, err := os.CreateTemp("", "holdfast-*.upload")
	if err != nil {
		return nil, domain.Internal("taking the file in", err)
	}
	t := &temporary{File: f}
	t.size, err = io.Copy(f, io.LimitReader(body, most+1))
	if err == nil && t.size > most {
		err = tooLarge(most)
	}
	if err != nil {
		_ = t.Close()
		var p *Problem
		if errors.As(err, &p) {
			return nil, p
		}
		return nil, domain.Errorf(domain.KindInvalid, "the file did not arrive whole: %v; send it again", err)
	}
	return t, nil
}

type temporary struct {
	*os.File
	size int64
}

// Close removes the file.
func (t *temporary) Close() error {
	return errors.Join(t.File.Close(), os.Remove(t.Name()))
}

func tooLarge(most int64) error {
	return newProblem(http.StatusRequestEntityTooLarge, domain.KindInvalid, fmt.Sprintf("The file is larger than %d MB; split it, or import it with holdfast import.", most>>20))
}

// capped fails when more than the limit is read.
type capped struct {
	io.Reader
	left, most int64
}

func (c *capped) Read(p []byte) (int, error) {
	n, err := c.Reader.Read(p)
	if c.left -= int64(n); c.left < 0 {
		return 0, tooLarge(c.most)
	}
	return n, err
}

// fileName takes the last part of a name that a client gave.
func fileName(given, otherwise string) string {
	given = strings.TrimSpace(given[strings.LastIndexAny(given, `/\`)+1:])
	if given == "" {
		return otherwise
	}
	return given
}

// inlineTypes are the media types of recordings that a browser may show; everything else is only offered to keep, since
// a page among the recordings could act in the server's name.
var inlineTypes = map[string]bool{"image/jpeg": true, "image/png": true, "image/webp": true, "video/mp4": true, "audio/wav": true, "text/csv": true}
