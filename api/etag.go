package api

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"holdfast/domain"
)

func etag(m domain.Meta) string { return fmt.Sprintf("%q", strconv.Itoa(m.Revision)) }

// revision reads the If-Match header of an edit (RFC 9110, section 13.1.1): exactly one entity tag, as it was sent.
func revision(ifMatch string) (int, error) {
	tag := strings.TrimSpace(ifMatch)
	if tag == "" {
		p := newProblem(http.StatusPreconditionRequired, domain.KindRefused,
			"An edit must say which revision it edits: send the ETag of what you read back in the If-Match header.")
		p.Errors = []ProblemField{{Location: "header.If-Match", Message: "is missing"}}
		return 0, p
	}
	n, err := strconv.Atoi(strings.Trim(tag, `"`))
	if err != nil || n < 1 {
		return 0, &domain.Error{Kind: domain.KindInvalid, Message: "the If-Match header must hold one ETag as it was sent, such as \"3\"",
			Fields: []domain.FieldError{{Field: "header.If-Match", Value: ifMatch, Reason: "is not an ETag of this server"}}}
	}
	return n, nil
}

// sameID checks that the body of an edit names no other thing than its address.
func sameID(path, body string) (domain.ID, error) {
	if body != "" && body != path {
		return "", &domain.Error{Kind: domain.KindInvalid, Message: "an ID can not be changed; leave it out or repeat the one in the address",
			Fields: []domain.FieldError{{Field: "id", Value: body, Reason: "differs from the address"}}}
	}
	return domain.ID(path), nil
}
