package api

import (
	"net"
	"net/http"
	"net/url"

	"holdfast/domain"
)

// guard keeps other sites out. A page of another site can make a browser send requests here, and a name that it owns
// can be made to point at the loopback address (DNS rebinding). So only requests that name this machine's loopback
// address and our port are answered, and writes that a browser marks as coming from elsewhere are refused.
func guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secure(w.Header())
		if !ownHost(r) {
			writeProblem(w, newProblem(http.StatusForbidden, domain.KindRefused,
				"This server answers on this machine only; open it as http://127.0.0.1 or http://localhost with its port."))
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead && !ownOrigin(r) {
			writeProblem(w, newProblem(http.StatusForbidden, domain.KindRefused,
				"This request came from another site's page; only this server's own page and programs without a browser may change the lab."))
			return
		}
		next.ServeHTTP(w, r)
	})
}

// secure sets the headers that keep the page to itself. Pictures may come from blobs and data, for what the page draws;
// styles may be inline, for what the page positions.
func secure(h http.Header) {
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Content-Security-Policy", "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; "+
		"script-src 'self' 'wasm-unsafe-eval'; worker-src 'self' blob:; connect-src 'self'; object-src 'none'; base-uri 'none'; "+
		"frame-ancestors 'none'; form-action 'self'")
}

// ownHost says whether the request names the loopback address and the port that it came in on.
func ownHost(r *http.Request) bool {
	host, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		host, port = r.Host, "80"
	}
	switch host {
	case "localhost", "127.0.0.1", "::1", "[::1]":
	default:
		return false
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return true // not over a socket: a test's recorder
	}
	_, own, err := net.SplitHostPort(local.String())
	return err != nil || own == port
}

// ownOrigin says whether a write comes from our own page or from a program that is no browser.
func ownOrigin(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
	default:
		return false
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		return true
	}
	u, err := url.Parse(origin)
	return err == nil && u.Scheme == "http" && u.Host == r.Host
}
