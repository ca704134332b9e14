package touch

import (
	"context"

	"holdfast/numeric/dense"
)

// inParallel is [dense.InParallel], and leaves out what has not begun when ctx ends. It returns ctx's error then: what was to be
// computed is not whole.
func inParallel(ctx context.Context, n, workers int, do func(i int)) error {
	dense.InParallel(n, workers, func(i int) {
		if ctx.Err() == nil {
			do(i)
		}
	})
	return ctx.Err()
}

// allInParallel is inParallel of work that can fail: the error of ctx or else the first of them.
func allInParallel(ctx context.Context, n, workers int, do func(i int) error) error {
	failed := make([]error, n)
	if err := inParallel(ctx, n, workers, func(i int) { failed[i] = do(i) }); err != nil {
		return err
	}
	for _, err := range failed {
		if err != nil {
			return err
		}
	}
	return nil
}

// eachUntil calls do for every number of the list until ctx ends, whose error it returns then.
func eachUntil(ctx context.Context, list []int, do func(i int)) error {
	for _, i := range list {
		if err := ctx.Err(); err != nil {
			return err
		}
		do(i)
	}
	return nil
}
