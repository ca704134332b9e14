#!/usr/bin/env bash
# All tests and linters, one closing line. Reports lie in build/reports.
set -uo pipefail
cd "$(dirname "$0")/.."
export CGO_ENABLED=0
mkdir -p build/reports
rm -f build/reports/*
. scripts/needs.sh

failed=0
step() { # step NAME COMMAND...
  local name=$1 start=$SECONDS
  shift
  echo "== $name"
  if "$@"; then
    echo "== $name: done in $((SECONDS - start)) s"
  else
    echo "== $name: FAILED after $((SECONDS - start)) s"
    failed=1
  fi
}
go_tests() {
  go test -tags reference -timeout 20m -json ./... >build/reports/go.json
  local status=$?
  node scripts/tally.mjs --failures build/reports/go.json
  return $status
}
page_tests() { npm --prefix web run --silent test -- --reporter=default --reporter=json --outputFile.json=../build/reports/vitest.json; }
browser_tests() {
  if ! command -v chromium >/dev/null; then
    echo "skipped by name: the browser tests need Debian's package chromium"
    return 0
  fi
  PLAYWRIGHT_JSON_OUTPUT_NAME="$PWD/build/reports/playwright.json" npm --prefix web run --silent e2e -- --reporter=list,json
}

step "page and program" make build
step "linters" make lint
step "Go tests" go_tests
step "page tests" page_tests
step "browser tests" browser_tests
node scripts/tally.mjs build/reports/go.json build/reports/vitest.json build/reports/playwright.json || failed=1
exit $failed
