// Package web serves the page: the built files that lie in dist, embedded when the program is built.
package web

import (
	"embed"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

//go:embed all:dist
var built embed.FS

// Handler serves the page. An address that is no file answers with the page itself, which reads the address; files
// under assets carry a digest in their names and may be kept for good.
func Handler() http.Handler {
	dist, err := fs.Sub(built, "dist")
	if err != nil {
		panic("web: the embedded folder is not called dist") // a mistake in this file
	}
	return pages{dist}
}

type pages struct{ dist fs.FS }

func (p pages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "This address can only be read.", http.StatusMethodNotAllowed)
		return
	}
	name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
	if info, err := fs.Stat(p.dist, name); name != "" && err == nil && !info.IsDir() {
		if strings.HasPrefix(name, "assets/") {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		} else {
			w.Header().Set("Cache-Control", "no-cache")
		}
		http.ServeFileFS(w, r, p.dist, name)
		return
	}
	if strings.HasPrefix(name, "assets/") {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	page, err := fs.ReadFile(p.dist, "index.html")
	if err != nil {
		page = []byte(unbuilt)
	}
	_, _ = w.Write(page)
}

// unbuilt is shown by a program that was built without its page.
const unbuilt = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><title>Holdfast</title></head>
<body><h1>Holdfast</h1>
<p>This program was built without its page. Build it with <code>make build</code>, or use the interface for programs:
its contract is at <a href="/api/openapi.json">/api/openapi.json</a>.</p>
</body></html>
`
