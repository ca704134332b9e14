#!/usr/bin/env bash
# Formatting and static checks of the Go program and the page. Every gate fails the run.
set -uo pipefail
cd "$(dirname "$0")/.."
failed=0
gate() { # gate NAME COMMAND...
  local name=$1 out
  shift
  if out=$("$@" 2>&1); then
    echo "lint: $name ok"
  else
    printf 'lint: %s FAILED\n%s\n' "$name" "$out"
    failed=1
  fi
}
unformatted() {
  local files
  files=$(git ls-files --cached --others --exclude-standard '*.go' | xargs -r gofmt -l)
  [ -z "$files" ] || { echo "not formatted by gofmt:"; echo "$files"; return 1; }
}
gate gofmt unformatted
gate "go vet" go vet -tags reference ./...
gate staticcheck go tool staticcheck -tags reference ./...
gate prettier npm --prefix web run --silent lint
gate svelte-check npm --prefix web run --silent check
exit $failed
