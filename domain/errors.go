package domain

import (
	"errors"
	"fmt"
	"strings"
)

// Kind says what sort of trouble an [Error] is, so that callers decide by kind and never by text.
type Kind string

// The kinds of error. They travel over the wire and are append-only.
const (
	KindInvalid  Kind = "invalid"  // the caller sent something that breaks a rule; Fields says where
	KindNotFound Kind = "notFound" // the thing named does not exist
	KindConflict Kind = "conflict" // the thing changed meanwhile, or the name is taken
	KindStale    Kind = "stale"    // If-Match named an older revision than the stored one
	KindRefused  Kind = "refused"  // understood, but not allowed in this state
	KindInternal Kind = "internal" // our fault or the machine's
)

// FieldError says what is wrong with one field and what to do.
type FieldError struct {
	Field  string `json:"field"`  // path of the field, as the caller wrote it, such as "closing_levels[2]"
	Value  string `json:"value"`  // the offending value as text; empty when absent
	Reason string `json:"reason"` // what is wrong and what is allowed
}

// Error is a trouble that a person can act on.
type Error struct {
	Kind    Kind
	Message string       // one sentence: what is wrong and what to do
	Fields  []FieldError // details by field, possibly empty
	Cause   error        // for the operator's log only; may be nil
}

// Error gives the message, the fields and the cause in one line.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.Message)
	for _, f := range e.Fields {
		fmt.Fprintf(&b, "; %s: %s", f.Field, f.Reason)
		if f.Value != "" {
			fmt.Fprintf(&b, " (got %q)", f.Value)
		}
	}
	if e.Cause != nil {
		fmt.Fprintf(&b, ": %v", e.Cause)
	}
	return b.String()
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

// Errorf makes an [Error] of the kind with a formatted message.
func Errorf(kind Kind, format string, args ...any) *Error {
	return &Error{Kind: kind, Message: fmt.Sprintf(format, args...)}
}

// Internal wraps a failure of ours; step says what was being done.
func Internal(step string, cause error) *Error {
	return &Error{Kind: KindInternal, Message: step + " failed; see the server's log", Cause: cause}
}

// KindOf returns the kind of the first [Error] in err's chain, KindInternal for any other error.
func KindOf(err error) Kind {
	var e *Error
	if errors.As(err, &e) {
		return e.Kind
	}
	return KindInternal
}

// checks gathers field errors while a noun is validated.
type checks struct{ fields []FieldError }

func (c *checks) fail(field string, value any, reason string, args ...any) {
	c.fields = append(c.fields, FieldError{Field: field, Value: fmt.Sprint(value), Reason: fmt.Sprintf(reason, args...)})
}

// between reports a value outside [lo, hi]; NaN never passes.
func (c *checks) between(field string, value, lo, hi float64, unit string) {
	if !(lo <= value && value <= hi) {
		c.fail(field, value, "must be between %g and %g%s", lo, hi, unit)
	}
}

func (c *checks) name(field, value string) {
	switch {
	case strings.TrimSpace(value) == "":
		c.fail(field, "", "must not be empty")
	case len(value) > 120:
		c.fail(field, value[:20]+"…", "must be at most 120 bytes long")
	}
}

func (c *checks) id(field string, id ID) {
	if !id.Valid() {
		c.fail(field, string(id), "must be 1 to 64 lower-case letters, digits and single hyphens, such as soft-hand-2")
	}
}

func (c *checks) err(noun string) error {
	if len(c.fields) == 0 {
		return nil
	}
	return &Error{Kind: KindInvalid, Message: fmt.Sprintf("this %s can not be accepted; mend the fields named", noun), Fields: c.fields}
}
