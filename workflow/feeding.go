package workflow

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/handtest"
	"holdfast/mechanics/benchfit"
	"holdfast/mechanics/trialsim"
	"holdfast/readings"
)

// HandFeed is a described hand brought to its bench records.
type HandFeed struct {
	*benchfit.Result
	Records  []domain.BenchRecord // that were used, in the order in which they were stored
	Invented bool                 // one of them is
}

// FeedHand fits the numbers of a hand's description to its standing bench records of the tests that say something of it; finger
// (from 0) is the described finger that was measured. Nothing is stored. KindRefused where no record says anything, or where
// records and description do not belong together.
func (l *Lab) FeedHand(ctx context.Context, id domain.ID, described *trialsim.Hand, finger int, level float64) (HandFeed, error) {
	var out HandFeed
	if _, err := l.Store.Hand(ctx, id); err != nil {
		return out, err
	}
	list, err := l.Store.BenchRecords(ctx, id)
	if err != nil {
		return out, err
	}
	var curves []benchfit.Curve
	for _, r := range domain.StandingRecords(list) {
		if !slices.Contains(benchfit.Tests, r.Test) {
			continue
		}
		from := strings.TrimSpace(fmt.Sprintf("record %d (%s", r.ID, strings.TrimSpace(r.Test+" "+r.Variant))) + ")"
		kind, _ := handtest.Find(r.Test)
		table, err := readings.Read(strings.NewReader(r.Table), kind.Columns)
		if err != nil {
			return out, domain.Errorf(domain.KindRefused, "%s can not be read any more: %v; make it void", from, err)
		}
		found, err := benchfit.CurvesOf(r.Test, table)
		if err != nil {
			return out, domain.Errorf(domain.KindRefused, "%s: %v", from, err)
		}
		if len(found) == 0 {
			continue
		}
		for i := range found {
			found[i].From = from
		}
		curves, out.Records, out.Invented = append(curves, found...), append(out.Records, r), out.Invented || r.Invented
	}
	if len(curves) == 0 {
		return out, domain.Errorf(domain.KindRefused, "no bench record of %s says something that its description holds; keep one of %s", id, strings.Join(benchfit.Tests, ", "))
	}
	if out.Result, err = benchfit.Fit(ctx, described, finger, curves, level); err != nil {
		if ctx.Err() != nil {
			return out, ctx.Err()
		}
		return out, domain.Errorf(domain.KindRefused, "the description can not be brought to these records: %v", err)
	}
	return out, nil
}
