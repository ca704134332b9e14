package api

import (
	"context"
	"net/http"

	"github.com/coder/websocket"

	"holdfast/domain"
)

// streamed says which hand a stream is of. Pages of other sites are refused, as for writes, and hands that are not there; then it has
// answered itself and gives false.
func (s *Server) streamed(w http.ResponseWriter, r *http.Request) (domain.ID, bool) {
	if !ownOrigin(r) {
		writeProblem(w, newProblem(http.StatusForbidden, domain.KindRefused, "This request came from another site's page; only this server's own page and programs without a browser may open a stream."))
		return "", false
	}
	hand := domain.ID(r.PathValue("hand"))
	if _, err := s.lab.Store.Hand(r.Context(), hand); domain.KindOf(err) == domain.KindNotFound {
		writeProblem(w, newProblem(http.StatusNotFound, domain.KindNotFound, err.Error()))
		return "", false
	}
	return hand, true
}

// accept opens a websocket that takes messages of at most so many bytes and ends with the server; stop closes it. With an error it has
// answered itself.
func (s *Server) accept(w http.ResponseWriter, r *http.Request, most int64) (c *websocket.Conn, ctx context.Context, stop func(), err error) {
	if c, err = websocket.Accept(w, r, nil); err != nil {
		return nil, nil, nil, err
	}
	c.SetReadLimit(most)
	ctx, cancel := context.WithCancel(r.Context())
	go func() {
		select {
		case <-s.closing:
			cancel()
		case <-ctx.Done():
		}
	}()
	return c, ctx, func() {
		cancel()
		_ = c.CloseNow()
	}, nil
}
