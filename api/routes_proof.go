package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
	"holdfast/workflow"
)

type proofInput struct {
	Study string `path:"study"`
	Proof string `path:"proof"`
}

type proofOutput struct {
	Status   int
	Location string `header:"Location"`
	Body     Proof
}

func (s *Server) proofRoutes(h huma.API) {
	register(s, h, op(http.MethodPost, "/studies/{study}/proof-design", "design-proof", "prove", "What a design of a proof run would do; nothing is stored", 200), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  ProofQuestion
	}) (*struct{ Body ProofPlan }, error) {
		b := in.Body
		var bad gathered
		prior := bad.prior(b.PriorSuccesses, b.PriorFailures)
		if err := bad.err("proof run"); err != nil {
			return nil, err
		}
		p, err := s.lab.DesignProof(ctx, workflow.ProofQuestion{
			Study: domain.ID(in.Study), Design: b.Design.domain(), Target: b.Target, Prior: prior,
		})
		if err != nil {
			return nil, err
		}
		return &struct{ Body ProofPlan }{fromProofPlan(p)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/proof-subject", "get-proof-subject", "prove", "What a proof run of one condition would prove: the region that would be handed over now", 200), func(ctx context.Context, in *struct {
		Study        string  `path:"study"`
		Hand         string  `query:"hand" doc:"May be left out when the study has one"`
		Item         string  `query:"item" doc:"May be left out when the study has one"`
		Setting      string  `query:"setting" doc:"May be left out when the study has one"`
		Strategy     string  `query:"strategy" doc:"May be left out when the study has one"`
		MinRadiusDeg float64 `query:"min_radius_deg" minimum:"0" maximum:"90" doc:"The region must tolerate at least this turn; 0: no demand"`
	}) (*struct{ Body ProofSubject }, error) {
		p, err := s.lab.ProofSubject(ctx, domain.ID(in.Study), condition(in.Hand, in.Item, in.Setting, in.Strategy), in.MinRadiusDeg*degree)
		if err != nil {
			return nil, err
		}
		return &struct{ Body ProofSubject }{fromProofSubject(p)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/proofs", "list-proofs", "prove", "The signed proof runs of a study, newest first", 200), func(ctx context.Context, in *studyInput) (*listOf[Proof], error) {
		list, err := s.lab.Proofs(ctx, domain.ID(in.Study))
		return &listOf[Proof]{Body: each(list, fromProof)}, err
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/proofs", "sign-proof", "prove", "Sign a proof run: from then on it can not be changed", 201), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Body  SignProof
	}) (*proofOutput, error) {
		b := in.Body
		var bad gathered
		q := workflow.SignProof{
			ID: domain.ID(b.ID), Study: domain.ID(in.Study), Condition: condition(b.Hand, b.Item, b.Setting, b.Strategy), Design: b.Design.domain(), Target: b.Target,
			Prior: bad.prior(b.PriorSuccesses, b.PriorFailures), Closing: b.Closing, MinRadius: b.MinRadiusDeg * degree, Steady: b.Steady, Note: b.Note, SignedBy: b.SignedBy,
		}
		if b.Orientation != nil {
			r := bad.rotation("orientation", *b.Orientation)
			q.Orientation = &r
		}
		if err := bad.err("proof run"); err != nil {
			return nil, err
		}
		p, err := s.lab.SignProof(ctx, q)
		if err != nil {
			return nil, err
		}
		return &proofOutput{Status: http.StatusCreated, Location: "/api/v1/studies/" + in.Study + "/proofs/" + string(p.ID), Body: fromProof(p)}, nil
	})
	register(s, h, op(http.MethodGet, "/studies/{study}/proofs/{proof}", "get-proof", "prove", "A proof run, how it stands and what its next trial is", 200), func(ctx context.Context, in *proofInput) (*struct{ Body Proof }, error) {
		p, err := s.lab.Proof(ctx, domain.ID(in.Study), domain.ID(in.Proof))
		return &struct{ Body Proof }{fromProof(p)}, err
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/proofs/{proof}/trials", "log-proof-trial", "prove", "Log a trial of the run; answers 200 when the key was known and nothing new was stored", 201), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Proof string `path:"proof"`
		Body  NewProofTrial
	}) (*proofOutput, error) {
		n, err := in.Body.workflow()
		if err != nil {
			return nil, err
		}
		p, repeated, err := s.lab.LogProof(ctx, domain.ID(in.Study), domain.ID(in.Proof), n)
		if err != nil {
			return nil, err
		}
		out := &proofOutput{Status: http.StatusCreated, Location: "/api/v1/studies/" + in.Study + "/proofs/" + in.Proof, Body: fromProof(p)}
		if repeated {
			out.Status = http.StatusOK
		}
		return out, nil
	})
	register(s, h, op(http.MethodPost, "/studies/{study}/proofs/{proof}/give-up", "give-up-proof", "prove", "Give a run up that can not be carried to its end; it stays on record", 200), func(ctx context.Context, in *struct {
		Study string `path:"study"`
		Proof string `path:"proof"`
		Body  Withdrawal
	}) (*struct{ Body Proof }, error) {
		p, err := s.lab.GiveUpProof(ctx, domain.ID(in.Study), domain.ID(in.Proof), in.Body.By, in.Body.Reason)
		return &struct{ Body Proof }{fromProof(p)}, err
	})
}

func condition(hand, item, setting, strategy string) domain.Condition {
	return domain.Condition{Hand: domain.ID(hand), Item: domain.ID(item), Setting: domain.ID(setting), Strategy: domain.StrategyKind(strategy)}
}
