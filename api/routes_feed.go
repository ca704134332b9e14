package api

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/handtest"
	"holdfast/mechanics/benchfit"
	"holdfast/mechanics/trialsim"
	"holdfast/readings"
	"holdfast/scenes"
	"holdfast/workflow"
)

func (s *Server) feedRoutes(h huma.API) {
	register(s, h, op(http.MethodPost, "/hands/{hand}/bench/feed", "feed-hand-description", "bench", "Bring a hand's description to its standing bench records; nothing is kept", 200), func(ctx context.Context, in *struct {
		BenchParams
		Body HandFeedStart
	}) (*struct{ Body HandFeed }, error) {
		d, err := s.described(in.Hand)
		if err != nil {
			return nil, err
		}
		finger, err := fingerOf(d.Hand, in.Body.Finger)
		if err != nil {
			return nil, err
		}
		feed, err := s.lab.FeedHand(ctx, d.ID, d.Hand, finger, cmp.Or(in.Body.Level, workflow.BenchLevel))
		if err != nil {
			return nil, err
		}
		out := fromHandFeed(feed)
		out.Hand, out.Name = in.Hand, d.Hand.Name
		out.Fingers = each(d.Hand.Fingers, func(f trialsim.Finger) string { return f.Name })
		out.File, out.Text = in.Hand+"-from-bench.yaml", string(scenes.WriteHand(feed.Hand, feed.Remarks()...))
		return &struct{ Body HandFeed }{out}, nil
	})
}

// fingerOf returns the place of a described finger; an empty name is the first.
func fingerOf(h *trialsim.Hand, name string) (int, error) {
	if name == "" {
		return 0, nil
	}
	at := slices.IndexFunc(h.Fingers, func(f trialsim.Finger) bool { return f.Name == name })
	if at < 0 {
		names := each(h.Fingers, func(f trialsim.Finger) string { return f.Name })
		return 0, &domain.Error{Kind: domain.KindInvalid, Message: "the description has no such finger",
			Fields: []domain.FieldError{{Field: "finger", Value: name, Reason: "must be one of " + strings.Join(names, ", ")}}}
	}
	return at, nil
}

func fromHandFeed(f workflow.HandFeed) HandFeed {
	return HandFeed{
		Finger: f.Finger, Level: f.Level, Invented: f.Invented, Notes: joinedOrEmpty(f.Notes),
		Quantities: each(f.Quantities, func(q benchfit.Quantity) FedQuantity {
			return FedQuantity{Name: q.Name, Unit: q.Unit, Described: finite(q.Described), Measured: tidy(q.Fitted), Low: finite(q.Low), High: finite(q.High), Placed: q.Placed}
		}),
		Unknowns: each(f.Unknowns, func(u benchfit.Unknown) FedUnknown { return FedUnknown(u) }),
		Curves:   each(f.Curves, fromFedCurve),
		Records: each(f.Records, func(r domain.BenchRecord) FedRecord {
			return FedRecord{ID: r.ID, Test: r.Test, Variant: r.Variant, Specimen: r.Specimen, Day: r.Day.Format(time.DateOnly)}
		}),
	}
}

// fromFedCurve draws readings as points and both predictions as lines; where a tendon goes both ways, each way has its own.
func fromFedCurve(c benchfit.Shown) FedCurve {
	x, y, perX, perY := c.Kind.Edge()
	was, now := c.Misfit()
	title := string(c.Kind)
	out := FedCurve{Title: strings.ToUpper(title[:1]) + title[1:], From: c.From, Readings: len(c.X), Unit: unitOf(y), MisfitBefore: tidy(perY * was), MisfitAfter: tidy(perY * now), Series: []BenchSeries{}}
	for _, line := range []struct {
		name, draw string
		values     []float64
	}{{"measured", handtest.Points, c.Y}, {"as described", handtest.Line, c.Described}, {"brought to the bench", handtest.Line, c.Fitted}} {
		var ways [2][][2]float64 // closing, opening
		for i := range c.X {
			way := 0
			if c.Opening != nil && c.Opening[i] {
				way = 1
			}
			ways[way] = append(ways[way], [2]float64{perX * c.X[i], perY * line.values[i]})
		}
		names := [2]string{line.name, line.name}
		switch {
		case line.draw == handtest.Line && c.Kind.Tendon() && oneLine(ways):
			ways = [2][][2]float64{append(ways[0], ways[1]...), nil}
		case c.BothWays():
			names = [2]string{line.name + ", closing", line.name + ", opening"}
		}
		for way, points := range ways {
			if len(points) == 0 {
				continue
			}
			if line.draw == handtest.Line {
				slices.SortFunc(points, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
				points = slices.Compact(points)
			}
			out.Series = append(out.Series, fromBenchSeries(handtest.Series{Name: names[way], X: x, Y: y, Draw: line.draw, Points: points}))
		}
	}
	return out
}

// oneLine says that a tendon's prediction is the same both ways, as without friction: all points lie on one line through the origin.
func oneLine(ways [2][][2]float64) bool {
	var rise float64
	for _, points := range ways {
		for _, p := range points {
			switch {
			case p[0] == 0:
			case rise == 0:
				rise = p[1] / p[0]
			case math.Abs(p[1]/p[0]-rise) > 1e-9*math.Abs(rise):
				return false
			}
		}
	}
	return true
}

// unitOf is the unit of a column, as people write it.
func unitOf(column string) string {
	label := readings.Label(column)
	return label[strings.LastIndex(label, ", ")+2:]
}
