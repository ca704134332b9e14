package workflow

import (
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/statistics/design"
	"holdfast/statistics/proportion"
)

// SampleSize says how many trials are needed.
func (l *Lab) SampleSize(q SampleSizeQuestion) (SampleSize, error) {
	var fields []domain.FieldError
	within := func(field string, v float64) {
		if !(v > 0 && v < 1) {
			fields = append(fields, domain.FieldError{Field: field, Value: fmt.Sprint(v), Reason: "must be between 0 and 1, both excluded"})
		}
	}
	within("confidence", q.Confidence)
	var answer func(SampleSizeQuestion) (SampleSize, error)
	switch q.Kind {
	case "interval":
		answer = intervalSize
		within("success", q.Success)
		if !(q.HalfWidth >= 0.01 && q.HalfWidth < 0.5) {
			fields = append(fields, domain.FieldError{Field: "half_width", Value: fmt.Sprint(q.HalfWidth), Reason: "must be at least 0.01 and below 0.5"})
		}
	case "compare":
		answer = compareSize
		within("success", q.Success)
		within("other", q.Other)
		within("power", q.Power)
		if !(math.Abs(q.Success-q.Other) >= 0.02) {
			fields = append(fields, domain.FieldError{Field: "other", Value: fmt.Sprint(q.Other), Reason: "must differ from success by at least 0.02"})
		}
	case "prove":
		answer = proveSize
		within("prove", q.Prove)
		if q.Failures < 0 || q.Failures > 1000 {
			fields = append(fields, domain.FieldError{Field: "failures", Value: fmt.Sprint(q.Failures), Reason: "must be between 0 and 1000"})
		}
	default:
		fields = append(fields, domain.FieldError{Field: "kind", Value: q.Kind, Reason: "must be interval, compare or prove"})
	}
	if len(fields) > 0 {
		return SampleSize{}, invalid("this question can not be answered; mend the fields named", fields...)
	}
	return answer(q)
}

func intervalSize(q SampleSizeQuestion) (SampleSize, error) {
	exact, err := design.TrialsForExpectedHalfWidth(proportion.ClopperPearson, q.Success, q.HalfWidth, q.Confidence)
	if err != nil {
		return SampleSize{}, err
	}
	wilson, err := design.TrialsForExpectedHalfWidth(proportion.Wilson, q.Success, q.HalfWidth, q.Confidence)
	if err != nil {
		return SampleSize{}, err
	}
	worst, err := design.TrialsForWorstHalfWidth(proportion.ClopperPearson, q.HalfWidth, q.Confidence)
	if err != nil {
		return SampleSize{}, err
	}
	wald, err := design.WaldTrials(q.Success, q.HalfWidth, q.Confidence)
	if err != nil {
		return SampleSize{}, err
	}
	hoeffding, err := design.HoeffdingTrials(q.HalfWidth, 1-q.Confidence)
	if err != nil {
		return SampleSize{}, err
	}
	return SampleSize{
		Trials: exact.FromOn,
		Text: fmt.Sprintf("%d trials narrow the exact %s interval to about ±%s when the success is near %s.",
			exact.FromOn, percent(q.Confidence), percent(q.HalfWidth), percent(q.Success)),
		Methods: []SampleSizeMethod{
			{"Exact (Clopper-Pearson), on average", float64(exact.FromOn), "never covers less often than it says"},
			{"Wilson, on average", float64(wilson.FromOn), "covers as often as it says on average"},
			{"Exact, whatever the outcomes", float64(worst.FromOn), "holds even when half of the trials fail"},
			{"Textbook normal formula", wald, "a quick figure; says nothing near 0 or 1"},
			{"Hoeffding's bound", hoeffding, "holds whatever the truth"},
		},
	}, nil
}

func compareSize(q SampleSizeQuestion) (SampleSize, error) {
	two := design.TwoProportions{P1: q.Success, P2: q.Other, Alpha: 1 - q.Confidence, Power: q.Power}
	normal, err := two.NormalSizes()
	if err != nil {
		return SampleSize{}, err
	}
	out := SampleSize{Trials: design.RoundUp(normal.Corrected), Methods: []SampleSizeMethod{
		{"Normal, pooled", normal.Pooled, "the customary figure"},
		{"Normal, with continuity correction", normal.Corrected, "near what the exact test needs"},
		{"Normal, unpooled", normal.Unpooled, ""},
		{"Arcsine", normal.Arcsine, ""},
	}}
	if normal.Corrected <= mostFisher {
		size, err := two.FisherTrials()
		if err != nil {
			return SampleSize{}, err
		}
		out.Trials = size.FromOn
		out.Methods = append([]SampleSizeMethod{{"Fisher's exact test", float64(size.FromOn), "the answer above"}}, out.Methods...)
	}
	out.Text = fmt.Sprintf("%d trials of each strategy tell %s from %s with a chance of %s, at %s confidence.",
		out.Trials, percent(q.Success), percent(q.Other), percent(q.Power), percent(q.Confidence))
	return out, nil
}

// mostFisher is the size of group up to which the exact test's power is summed over all tables; beyond it the
// corrected normal figure is within a percent.
const mostFisher = 1500

func proveSize(q SampleSizeQuestion) (SampleSize, error) {
	run, err := design.SuccessRun(q.Prove, q.Confidence, q.Failures)
	if err != nil {
		return SampleSize{}, err
	}
	bayes, err := design.BayesSuccessRun(q.Prove, q.Confidence, q.Failures)
	if err != nil {
		return SampleSize{}, err
	}
	failures := "without a failure"
	switch {
	case q.Failures == 1:
		failures = "with at most one failure"
	case q.Failures > 1:
		failures = fmt.Sprintf("with at most %d failures", q.Failures)
	}
	return SampleSize{
		Trials: run,
		Text:   fmt.Sprintf("%d trials %s prove a success above %s with %s confidence.", run, failures, percent(q.Prove), percent(q.Confidence)),
		Methods: []SampleSizeMethod{
			{"Binomial", float64(run), "counts every trial from the first; do not stop early and start again"},
			{"Uniform prior", float64(bayes), "by the posterior; a prior is worth a trial"},
		},
	}, nil
}

// percent writes a share with as many digits as it needs.
func percent(v float64) string {
	return fmt.Sprintf("%.4g %%", 100*v)
}
