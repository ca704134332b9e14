package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"holdfast/domain"
	"holdfast/statistics/acceptance"
	"holdfast/tables"
)

type acceptCommand struct {
	Plan acceptPlanCommand `cmd:"" help:"Fix a proof run beforehand: how many trials, how many failures, which risks."`
	Run  acceptRunCommand  `cmd:"" help:"Judge trials by a plan that was fixed before the first of them."`
}

type acceptPlanCommand struct {
	Kind string `default:"success-run" enum:"success-run,two-point,table,double,sequential" help:"How the run is designed: ${enum}."`

	Success    float64 `default:"0.95" placeholder:"P" help:"success-run: success probability to show."`
	Confidence float64 `default:"0.95" placeholder:"C" help:"success-run: confidence to show it with."`
	Failures   int     `default:"0" placeholder:"N" help:"success-run: failures allowed."`

	Good         float64 `placeholder:"P" help:"two-point, sequential: share of failures that should pass."`
	Bad          float64 `placeholder:"P" help:"two-point, sequential: share of failures that should not pass."`
	ProducerRisk float64 `default:"0.05" placeholder:"A" help:"two-point, sequential: largest chance that the good is rejected."`
	ConsumerRisk float64 `default:"0.10" placeholder:"B" help:"two-point, sequential: largest chance that the bad is accepted."`
	Longest      int     `placeholder:"N" help:"sequential: cut off after so many trials; by default one and a half times the fixed plan."`

	LotSize  int     `placeholder:"N" help:"table: items in the lot."`
	Level    string  `default:"II" help:"table: inspection level, S-1 to S-4, I, II or III."`
	AQL      float64 `name:"aql" placeholder:"PCT" help:"table: acceptance quality limit, per cent failing."`
	Severity string  `default:"normal" help:"table: normal or tightened."`

	First        int `placeholder:"N" help:"double: trials of the first sample."`
	FirstAllowed int `placeholder:"N" help:"double: failures with which the first sample is accepted."`
	FirstRejects int `placeholder:"N" help:"double: failures with which the first sample is rejected."`
	Second       int `placeholder:"N" help:"double: trials of the second sample."`
	BothAllowed  int `placeholder:"N" help:"double: failures allowed in both samples together."`

	FullLength     bool    `help:"Run all trials even when the outcome is certain."`
	PriorSuccesses float64 `default:"1" placeholder:"A" help:"Successes that the prior is worth (beta distribution), for the chance to pass."`
	PriorFailures  float64 `default:"1" placeholder:"B" help:"Failures that the prior is worth."`

	For   string `placeholder:"TEXT" help:"What is to be proved: item, hand, strategy, place."`
	Sign  string `placeholder:"NAME" help:"Sign the plan: from then on it can not be changed."`
	Out   string `placeholder:"PLAN.json" help:"File to write the plan to; by default none."`
	Curve string `placeholder:"FILE.csv" help:"File to write chance of passing and expected length to, by true success."`
	JSON  bool   `name:"json" help:"Print the plan as JSON."`
}

// design takes over the flags that belong to the kind; the others stay zero.
func (c *acceptPlanCommand) design() domain.ProofDesign {
	d := domain.ProofDesign{Kind: domain.ProofKind(c.Kind), FullLength: c.FullLength}
	switch d.Kind {
	case domain.ProofSuccessRun:
		d.Success, d.Confidence, d.Failures = c.Success, c.Confidence, c.Failures
	case domain.ProofTwoPoint, domain.ProofSequential:
		d.Good, d.Bad, d.ProducerRisk, d.ConsumerRisk = c.Good, c.Bad, c.ProducerRisk, c.ConsumerRisk
		if d.Kind == domain.ProofSequential {
			d.Longest = c.Longest
		}
	case domain.ProofTable:
		d.Lot, d.Level, d.Quality, d.Severity = c.LotSize, c.Level, c.AQL, c.Severity
	case domain.ProofDouble:
		d.First, d.FirstAllowed, d.FirstRejects, d.Second, d.BothAllowed = c.First, c.FirstAllowed, c.FirstRejects, c.Second, c.BothAllowed
	}
	return d
}

// planReport is what accept plan tells.
type planReport struct {
	Plan           proofDocument `json:"plan"`
	Rule           string        `json:"rule"`
	Longest        int           `json:"longest_trials"`
	Curve          []curvePoint  `json:"curve"`
	ChanceToPass   float64       `json:"chance_to_pass"`
	TargetIfPassed *float64      `json:"chance_of_target_if_passed,omitempty"`
	Prior          [2]float64    `json:"prior_successes_failures"`
}

type curvePoint struct {
	Success float64 `json:"success"`
	Pass    float64 `json:"chance_of_passing"`
	Trials  float64 `json:"expected_trials"`
}

// Run designs the plan, prints it and writes what is asked for.
func (c *acceptPlanCommand) Run(env *environment) error {
	d := c.design()
	p, err := acceptance.Build(d)
	if err != nil {
		return badInput(err)
	}
	rule, err := acceptance.Describe(d)
	if err != nil {
		return badInput(err)
	}
	prior := acceptance.Beta{Successes: c.PriorSuccesses, Failures: c.PriorFailures}
	if !(prior.Successes > 0 && prior.Failures > 0) {
		return usageError{fmt.Errorf("the prior counts %g successes and %g failures; both must be positive", prior.Successes, prior.Failures)}
	}
	r := planReport{Plan: newProofDocument(d, c.For), Rule: rule, Longest: p.Longest(), Prior: [2]float64{prior.Successes, prior.Failures}}
	if c.Sign != "" {
		r.Plan.sign(c.Sign, time.Now())
	}
	for _, f := range acceptance.ShowAt(d) {
		a := p.At(f)
		r.Curve = append(r.Curve, curvePoint{1 - f, a.Accept, a.Length})
	}
	target := acceptance.Target(d)
	a := p.Assure(prior, target)
	r.ChanceToPass = a.Pass
	if a.Pass > 0 && target > 0 {
		r.TargetIfPassed = &a.GoodGiven
	}
	if c.Out != "" {
		if err := r.Plan.write(c.Out); err != nil {
			return err
		}
	}
	if c.Curve != "" {
		if err := writeFile(c.Curve, func(w io.Writer) error { return writeCurve(w, &p, d) }); err != nil {
			return err
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	return r.print(env.stdout, target)
}

func (r *planReport) print(w io.Writer, target float64) error {
	fmt.Fprintln(w, r.Rule)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "true success\tchance of passing\texpected trials\t")
	for _, c := range r.Curve {
		fmt.Fprintf(t, "%.4g\t%.4f\t%.4g\t\n", c.Success, c.Pass, c.Trials)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "With a prior of beta(%g, %g) the run passes %.3g times in 100", r.Prior[0], r.Prior[1], 100*r.ChanceToPass)
	if r.TargetIfPassed != nil {
		fmt.Fprintf(w, "; if it passes, success exceeds %.4g with probability %.4g", target, *r.TargetIfPassed)
	}
	fmt.Fprintln(w, ".")
	if r.Plan.SignedBy != "" {
		fmt.Fprintf(w, "Signed by %s at %s, digest %s.\n", r.Plan.SignedBy, r.Plan.SignedAt, r.Plan.Digest[:16])
	}
	_, err := fmt.Fprintln(w, "A passed run is evidence about these trials' conditions. It is not a safety function; the risk assessment decides.")
	return err
}

func writeCurve(w io.Writer, p *acceptance.Plan, d domain.ProofDesign) error {
	points := acceptance.ShowAt(d)
	out := csv.NewWriter(w)
	_ = out.Write([]string{"success", "chance_of_passing", "expected_trials"})
	for _, c := range p.Curve(points[len(points)-1], 101) {
		_ = out.Write([]string{number(1 - c.P), number(c.Accept), number(c.Length)})
	}
	out.Flush()
	return out.Error()
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 9, 64) }

type acceptRunCommand struct {
	File      string  `arg:"" optional:"" name:"plan" help:"Plan that accept plan wrote and signed."`
	Trials    string  `placeholder:"FILE" help:"CSV or Parquet file of trials, in the order in which they were made."`
	Lab       string  `placeholder:"DIR" help:"Judge a proof run of this lab instead; the lab keeps plan and trials."`
	Proof     string  `placeholder:"ID" help:"With --lab: which run, when there are several."`
	Columns   string  `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	Level     float64 `default:"0.90" help:"Level of the interval."`
	Require   string  `placeholder:"accepted" help:"End with exit code 1 unless this is the verdict."`
	PriorGood float64 `name:"prior-successes" default:"1" placeholder:"A" help:"Successes that the prior is worth."`
	PriorBad  float64 `name:"prior-failures" default:"1" placeholder:"B" help:"Failures that the prior is worth."`
	JSON      bool    `name:"json" help:"Print the result as JSON."`
}

// runReport is what accept run tells.
type runReport struct {
	Proof    string   `json:"proof,omitempty"` // of a lab
	Verdict  string   `json:"verdict"`
	Rule     string   `json:"rule"`
	Trials   int      `json:"trials"`
	Failures int      `json:"failures"`
	Void     int      `json:"void"`
	Beyond   int      `json:"beyond_decision"`
	Longest  int      `json:"longest_trials"`
	Success  *float64 `json:"success,omitempty"`
	Low      float64  `json:"success_low"`
	High     float64  `json:"success_high"`
	Level    float64  `json:"level"`
	Mean     float64  `json:"posterior_mean"`
	SignedBy string   `json:"signed_by"`
	SignedAt string   `json:"signed_at"`
	Digest   string   `json:"digest"`

	Changed   int    `json:"corrected,omitempty"`          // outcomes that were corrected after they were entered
	AsEntered string `json:"verdict_as_entered,omitempty"` // when it differs
	Warning   string `json:"warning,omitempty"`
}

// Run judges the trials.
func (c *acceptRunCommand) Run(env *environment) error {
	if err := c.source(); err != nil {
		return err
	}
	judge := c.fromFile
	if c.Lab != "" {
		judge = c.fromLab
	}
	r, err := judge(env)
	if err != nil {
		return err
	}
	if c.JSON {
		err = json.NewEncoder(env.stdout).Encode(r)
	} else {
		err = r.print(env.stdout)
	}
	if err == nil && c.Require != "" && c.Require != r.Verdict {
		err = fmt.Errorf("the verdict is %q, not %q", r.Verdict, c.Require)
	}
	return err
}

// fromFile judges the trials of a file by a signed plan.
func (c *acceptRunCommand) fromFile(*environment) (r runReport, err error) {
	doc, err := readProofDocument(c.File)
	if err != nil {
		return r, badInput(err)
	}
	p, err := acceptance.Build(doc.Design)
	if err != nil {
		return r, badInput(err)
	}
	rule, err := acceptance.Describe(doc.Design)
	if err != nil {
		return r, badInput(err)
	}
	successes, void, err := c.outcomes(&doc)
	if err != nil {
		return r, badInput(err)
	}
	if !(c.PriorGood > 0 && c.PriorBad > 0) {
		return r, usageError{fmt.Errorf("the prior counts %g successes and %g failures; both must be positive", c.PriorGood, c.PriorBad)}
	}
	s, err := p.Judge(successes, acceptance.Beta{Successes: c.PriorGood, Failures: c.PriorBad}, c.Level)
	if err != nil {
		return r, badInput(err)
	}
	r = runReport{
		Verdict: string(s.Verdict), Rule: rule, Trials: s.Trials, Failures: s.Failures, Void: void, Beyond: s.Beyond, Longest: p.Longest(),
		Low: s.Low, High: s.High, Level: c.Level, Mean: s.Posterior.Mean(), SignedBy: doc.SignedBy, SignedAt: doc.SignedAt, Digest: doc.Digest,
	}
	if s.Trials > 0 {
		r.Success = &s.Estimate
	}
	return r, nil
}

// outcomes reads the trials that count, in order. A trial that began before the plan was signed is refused: a plan that
// was made with knowledge of its outcomes proves nothing.
func (c *acceptRunCommand) outcomes(doc *proofDocument) (successes []bool, void int, err error) {
	columns, err := readColumns(c.Columns)
	if err != nil {
		return nil, 0, err
	}
	src, closeFile, err := openTable(c.Trials)
	if err != nil {
		return nil, 0, err
	}
	defer closeFile()
	signed := doc.signedAt()
	_, err = tables.Stream(src, columns, func(r *tables.Row) error {
		if r.Reference {
			return nil
		}
		if !r.StartedAt.IsZero() && r.StartedAt.Before(signed) {
			return domain.Errorf(domain.KindInvalid, "row %d of %s began at %s, before the plan was signed at %s; only later trials prove anything",
				r.Number, filepath.Base(c.Trials), r.StartedAt.UTC().Format(time.RFC3339), doc.SignedAt)
		}
		if !r.Outcome.Counts() {
			void++
			return nil
		}
		successes = append(successes, r.Outcome == domain.OutcomeHeld)
		return nil
	})
	return successes, void, err
}

func (r *runReport) print(w io.Writer) error {
	switch r.Verdict {
	case string(acceptance.GoOn):
		fmt.Fprintf(w, "Go on: %s after %s, of %d at most.\n", counted(r.Failures, "failure"), counted(r.Trials, "trial"), r.Longest)
	default:
		fmt.Fprintf(w, "%s%s: %s in %s.\n", strings.ToUpper(r.Verdict[:1]), r.Verdict[1:], counted(r.Failures, "failure"), counted(r.Trials, "trial"))
	}
	fmt.Fprintln(w, "Plan:", r.Rule)
	if r.Success != nil {
		fmt.Fprintf(w, "Success %.4g, %.3g %% interval %.4g to %.4g (knows how the plan may stop); posterior mean %.4g.\n",
			*r.Success, 100*r.Level, r.Low, r.High, r.Mean)
	}
	if r.Void > 0 {
		fmt.Fprintf(w, "%s void and did not count.\n", are(r.Void))
	}
	if r.Changed > 0 {
		fmt.Fprintf(w, "%s corrected after they were entered.\n", counted(r.Changed, "outcome"))
	}
	if r.AsEntered != "" {
		fmt.Fprintf(w, "By the outcomes as they were first entered the verdict would be %q.\n", r.AsEntered)
	}
	if r.Warning != "" {
		fmt.Fprintln(w, r.Warning)
	}
	if r.Beyond > 0 {
		fmt.Fprintf(w, "%s made after the decision and left out.\n", are(r.Beyond))
	}
	_, err := fmt.Fprintf(w, "Signed by %s at %s, digest %s.\n", r.SignedBy, r.SignedAt, r.Digest[:16])
	return err
}
