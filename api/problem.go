package api

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"holdfast/domain"
)

// Problem is an error as RFC 9457 describes it (M. Nottingham, E. Wilde, S. Dalal, "Problem Details for HTTP APIs",
// 2023, section 3), with the kind of error and details by field.
type Problem struct {
	Type     string         `json:"type" doc:"Always about:blank: the title says what the status means"`
	Title    string         `json:"title" doc:"What the status means"`
	Status   int            `json:"status" doc:"HTTP status code"`
	Detail   string         `json:"detail" doc:"What is wrong and what to do, in one sentence"`
	Kind     string         `json:"kind" enum:"invalid,notFound,conflict,stale,refused,internal" doc:"Decide by this, never by the text"`
	Errors   []ProblemField `json:"errors,omitempty" doc:"Details by field"`
	internal error
}

// ProblemField says what is wrong with one field, parameter, or row and column of a file.
type ProblemField struct {
	Location string `json:"location" doc:"Path of the field as you sent it, such as closing_levels[2]; parameters begin with query., path. or header."`
	Message  string `json:"message" doc:"What is wrong and what is allowed"`
	Value    string `json:"value,omitempty" doc:"The offending value as text"`
}

// Error gives the detail.
func (p *Problem) Error() string { return p.Detail }

// GetStatus gives the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType names the media type of problems.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

// Unwrap returns what was behind the problem, for the operator's log only.
func (p *Problem) Unwrap() error { return p.internal }

// statusOf says which HTTP status belongs to which kind of error.
var statusOf = map[domain.Kind]int{
	domain.KindInvalid:  http.StatusUnprocessableEntity,
	domain.KindNotFound: http.StatusNotFound,
	domain.KindConflict: http.StatusConflict,
	domain.KindStale:    http.StatusPreconditionFailed,
	domain.KindRefused:  http.StatusConflict,
	domain.KindInternal: http.StatusInternalServerError,
}

// kindFor says which kind belongs to a status that the HTTP machinery itself gives.
func kindFor(status int) domain.Kind {
	switch status {
	case http.StatusNotFound:
		return domain.KindNotFound
	case http.StatusConflict:
		return domain.KindConflict
	case http.StatusPreconditionFailed:
		return domain.KindStale
	case http.StatusForbidden, http.StatusPreconditionRequired, http.StatusMethodNotAllowed, http.StatusServiceUnavailable:
		return domain.KindRefused
	}
	if status < 500 {
		return domain.KindInvalid
	}
	return domain.KindInternal
}

func newProblem(status int, kind domain.Kind, detail string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Kind: string(kind), Detail: detail}
}

// asProblem turns an error of the use cases into the problem that is sent. What is ours to mend is not told to the
// caller; it stays wrapped for the log.
func asProblem(err error) error {
	if err == nil {
		return nil
	}
	var p *Problem
	if errors.As(err, &p) {
		return p
	}
	var e *domain.Error
	if !errors.As(err, &e) {
		e = &domain.Error{Kind: domain.KindInternal, Message: "something failed here; see the server's log", Cause: err}
	}
	p = newProblem(statusOf[e.Kind], e.Kind, sentence(e.Message))
	if p.Status == 0 {
		p.Status, p.Title = http.StatusInternalServerError, http.StatusText(http.StatusInternalServerError)
	}
	p.internal = err
	for _, f := range e.Fields {
		p.Errors = append(p.Errors, ProblemField{Location: f.Field, Message: f.Reason, Value: f.Value})
	}
	return p
}

// sentence gives a message a capital and a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	if c := s[0]; c >= 'a' && c <= 'z' {
		s = string(c-'a'+'A') + s[1:]
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// plainer puts the validator's terse words into sentences that say what to do.
var plainer = map[string]string{
	"unexpected property":     "is not a field of this request; check its spelling and unit, or read the contract at /api/openapi.json",
	"unknown query parameter": "is not a parameter of this address; check its spelling, or read the contract at /api/openapi.json",
}

// humaProblem is what the HTTP machinery calls for troubles that it finds itself: wrong types, missing fields,
// unreadable JSON, too large bodies.
func humaProblem(status int, message string, errs ...error) huma.StatusError {
	if status == http.StatusBadRequest {
		status = http.StatusUnprocessableEntity
	}
	if message == "validation failed" {
		message = "this request can not be accepted; mend the fields named"
	}
	p := newProblem(status, kindFor(status), sentence(message))
	for _, err := range errs {
		var d huma.ErrorDetailer
		switch {
		case err == nil:
		case errors.As(err, &d):
			detail := d.ErrorDetail()
			f := ProblemField{Location: strings.TrimPrefix(detail.Location, "body."), Message: detail.Message}
			if better, ok := plainer[detail.Message]; ok {
				f.Message = better
			}
			switch v := detail.Value.(type) {
			case nil, map[string]any, []any:
			default:
				f.Value = fmt.Sprint(v)
			}
			p.Errors = append(p.Errors, f)
		case status >= 500:
			p.internal = errors.Join(p.internal, err)
		default:
			p.Errors = append(p.Errors, ProblemField{Message: err.Error()})
		}
	}
	return p
}

// huma keeps its maker of errors in a package variable, which also tells the contract what errors look like, and its
// rule for lists in another: here a list is never null.
func init() {
	huma.NewError = humaProblem
	huma.DefaultArrayNullable = false
}
