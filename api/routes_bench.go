package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/handtest"
)

// BenchParams picks a hand. (It and the others like it are exported because huma reads the parameters of an embedded
// struct only then.)
type BenchParams struct {
	Hand string `path:"hand"`
}

// BenchRecordParams picks a bench record of a hand.
type BenchRecordParams struct {
	Hand   string `path:"hand"`
	Record int64  `path:"record"`
}

type benchKept struct {
	Status int
	Body   BenchRecord
}

// HandSheetParams picks what stands on a hand sheet.
type HandSheetParams struct {
	Hands []string `query:"hands" required:"true" minItems:"1" maxItems:"6" doc:"IDs, with commas between"`
	Level float64  `query:"level" minimum:"0.5" maximum:"0.999" default:"0.95" doc:"Of the intervals"`
}

func (in *HandSheetParams) ids() []domain.ID {
	return each(in.Hands, func(id string) domain.ID { return domain.ID(id) })
}

func (s *Server) benchRoutes(h huma.API) {
	register(s, h, op(http.MethodGet, "/bench-tests", "list-bench-tests", "bench", "The tests that give a hand's own numbers: how they are done safely, and their columns", 200), func(ctx context.Context, _ *struct{}) (*listOf[BenchTest], error) {
		return &listOf[BenchTest]{Body: each(handtest.Kinds(), fromBenchTest)}, nil
	})
	register(s, h, op(http.MethodGet, "/hands/{hand}/bench", "list-bench-records", "bench", "All bench records of a hand with what they say, newest first", 200), func(ctx context.Context, in *BenchParams) (*listOf[BenchRecord], error) {
		list, err := s.lab.Bench(ctx, domain.ID(in.Hand))
		return &listOf[BenchRecord]{Body: each(list, fromBenchEntry)}, err
	})
	add := op(http.MethodPost, "/hands/{hand}/bench", "add-bench-record", "bench", "Keep a bench record whose table answers its test; answers 200 when the key was known or it was only checked", 201)
	add.MaxBodyBytes = domain.MostBenchTable + 1<<20
	register(s, h, add, func(ctx context.Context, in *struct {
		BenchParams
		DryRun bool `query:"dry_run" doc:"Only check it, and say what it yields"`
		Body   BenchRequest
	}) (*benchKept, error) {
		r, err := in.Body.domain(in.Hand)
		if err != nil {
			return nil, err
		}
		if in.DryRun {
			report, err := s.lab.CheckBench(ctx, r)
			if err != nil {
				return nil, err
			}
			if r.Day.IsZero() {
				r.Day = s.lab.Clock.Now()
			}
			b, said := fromBenchRecord(r), fromBenchReport(report)
			b.Report = &said
			return &benchKept{http.StatusOK, b}, nil
		}
		e, known, err := s.lab.KeepBench(ctx, r)
		if err != nil {
			return nil, err
		}
		out := &benchKept{http.StatusCreated, fromBenchEntry(e)}
		if known {
			out.Status = http.StatusOK
		}
		return out, nil
	})
	register(s, h, op(http.MethodPost, "/hands/{hand}/bench/{record}/void", "void-bench-record", "bench", "Make a bench record void; it stays on record", 200), func(ctx context.Context, in *struct {
		BenchRecordParams
		Body Withdrawal
	}) (*struct{ Body BenchRecord }, error) {
		r, err := s.lab.VoidBench(ctx, domain.ID(in.Hand), in.Record, in.Body.By, in.Body.Reason)
		return &struct{ Body BenchRecord }{fromBenchRecord(r)}, err
	})
	register(s, h, fileOp("/hands/{hand}/bench/{record}/table.csv", "get-bench-table", "bench", "A bench record's table as it came in", "text/csv"), func(ctx context.Context, in *BenchRecordParams) (*file, error) {
		r, err := s.lab.BenchRecord(ctx, domain.ID(in.Hand), in.Record)
		if err != nil {
			return nil, err
		}
		name := r.Test
		if r.Variant != "" {
			name += "-" + string(domain.IDFromName(r.Variant))
		}
		return download("text/csv; charset=utf-8", name+".csv", []byte(r.Table)), nil
	})
	register(s, h, op(http.MethodGet, "/hand-sheet", "get-hand-sheet", "bench", "The numbers of hands side by side, from their standing bench records", 200), func(ctx context.Context, in *HandSheetParams) (*struct{ Body HandSheet }, error) {
		sheet, err := s.lab.HandSheet(ctx, in.ids(), in.Level)
		if err != nil {
			return nil, err
		}
		return &struct{ Body HandSheet }{fromHandSheet(sheet)}, nil
	})
	register(s, h, fileOp("/hand-sheet.pdf", "get-hand-sheet-pdf", "bench", "The hand sheet to print, with its curves and cautions", "application/pdf"), func(ctx context.Context, in *HandSheetParams) (*file, error) {
		sheet, err := s.lab.HandSheet(ctx, in.ids(), in.Level)
		if err != nil {
			return nil, err
		}
		paper := printedHandSheet(sheet)
		paper.Printed = s.lab.Clock.Now()
		pdf, err := paper.PDF()
		if err != nil {
			return nil, err
		}
		return shown("application/pdf", "hand-sheet.pdf", pdf), nil
	})
}
