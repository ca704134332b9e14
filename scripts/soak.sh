#!/usr/bin/env bash
# Long runs: every fuzz target for SECONDS_EACH (default 120) the kill test with many more kills, and 10,000 simulated trials that are killed again and again.
set -uo pipefail
cd "$(dirname "$0")/.."
seconds=${SECONDS_EACH:-120}
failed=0
for pkg in $(go list ./...); do
  for target in $(go test -list '^Fuzz' "$pkg" | grep '^Fuzz'); do
    echo "== $pkg $target for ${seconds} s"
    go test -run '^$' -fuzz "^$target\$" -fuzztime "${seconds}s" "$pkg" || failed=1
  done
done
HOLDFAST_KILLS=${HOLDFAST_KILLS:-1000} go test -run Kill -timeout 2h ./cmd/holdfast || failed=1
HOLDFAST_SOAK_TRIALS=${HOLDFAST_SOAK_TRIALS:-10000} go test -run TestKilledSimulationGoesOn -timeout 2h ./cmd/holdfast || failed=1
exit $failed
