package api

import (
	"context"

	"holdfast/domain"
	"holdfast/tables"
	"holdfast/workflow"
)

// ImportTable records a file's rows as trials of a study, all or none. Faults of the file, and of its rows against the
// study, come as a [*tables.Errors].
func ImportTable(ctx context.Context, lab *workflow.Lab, study domain.ID, src tables.Source, columns *tables.ColumnMap, dryRun bool) (ImportResult, error) {
	im, err := lab.NewImporter(ctx, study, dryRun)
	if err != nil {
		return ImportResult{}, err
	}
	defer im.Abandon()
	summary, err := tables.Stream(src, columns, func(r *tables.Row) error {
		im.Add(ctx, workflow.ImportRow{Number: r.Number, Line: r.Line, HasClosing: r.Has(tables.FieldClosing), Trial: r.Trial(study)})
		return ctx.Err()
	})
	if err != nil {
		return ImportResult{}, err
	}
	if faults, more := im.Faults(); len(faults) > 0 {
		bad := &tables.Errors{File: src.Name, More: more}
		for _, f := range faults {
			bad.Faults = append(bad.Faults, tables.Fault{Row: f.Row, Line: f.Line, Column: f.Column, Value: f.Value, Reason: f.Reason})
		}
		return ImportResult{}, bad
	}
	done, err := im.Finish(ctx)
	if err != nil {
		return ImportResult{}, err
	}
	ignored := summary.Ignored
	if ignored == nil {
		ignored = []string{}
	}
	return ImportResult{Rows: summary.Rows, Stored: done.Stored, Repeated: done.Repeated, Ignored: ignored, DryRun: dryRun}, nil
}
