# Two commands do all on a fresh machine with Go, Node and git: `make demo` and `make test`.

GO ?= go
export CGO_ENABLED = 0
VERSION := $(shell git describe --tags --always --dirty 2>/dev/null || echo unversioned)
PAGE_SOURCES := $(shell find web/src web/index.html web/vite.config.ts web/package-lock.json -type f 2>/dev/null)

.PHONY: build demo test lint bench soak generate clean

build: web/dist/index.html
	$(GO) build -trimpath -ldflags "-s -w -X main.version=$(VERSION)" -o bin/holdfast ./cmd/holdfast

# The page's packages, installed again only when the lock file changed.
web/node_modules/.installed: web/package-lock.json
	cd web && PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1 npm ci --no-audit --no-fund
	@touch $@

web/dist/index.html: web/node_modules/.installed $(PAGE_SOURCES)
	cd web && npm run build
	@touch $@

demo: build
	./bin/holdfast demo --lab build/fernhollow

test:
	@bash scripts/test.sh

lint: web/node_modules/.installed
	@bash scripts/lint.sh

bench: build
	@bash scripts/bench.sh $(BENCH)

# Long runs that make test leaves out: fuzzing of every parser and many kills of the server.
soak: build
	@bash scripts/soak.sh

# The contract out of the Go types, and the page's client out of the contract.
generate: web/node_modules/.installed
	$(GO) run ./cmd/holdfast openapi > web/src/lib/api/openapi.json.new
	mv web/src/lib/api/openapi.json.new web/src/lib/api/openapi.json
	cd web && npm run generate

clean:
	rm -rf bin build web/dist/assets web/dist/index.html
