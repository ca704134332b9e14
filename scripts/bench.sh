#!/usr/bin/env bash
# Prints the bars of speed, memory and accuracy as tables, each with its reference measured in the same run.
set -uo pipefail
cd "$(dirname "$0")/.."
export CGO_ENABLED=0
mkdir -p build
. scripts/needs.sh
failed=0
echo "== success map"
go run ./bench/map -holdfast bin/holdfast "$@" || failed=1
echo "== next trials"
go run ./bench/adaptive || failed=1
echo "== logging and importing trials"
go run ./bench/ingest || failed=1
echo "== everything that was varied in one model"
go run ./bench/additive || failed=1
echo "== exact tests"
go run ./bench/compare || failed=1
echo "== choosing hands for a catalogue"
go run ./bench/handset || failed=1
echo "== borrowing from other items"
go run ./bench/family || failed=1
go run ./bench/family -outlier || failed=1
echo "== simulated picks"
go run ./bench/simulate || failed=1
echo "== what giving and surroundings are worth in simulated picks"
go run ./bench/compliance || failed=1
echo "== where a finger was touched, by sound"
go run ./bench/sound || failed=1
echo "== a simulation as the map's prior mean"
go run ./bench/simprior || failed=1
if command -v chromium >/dev/null; then
  echo "== map page"
  npm --prefix web run --silent bench:repaint || failed=1
else
  echo "skipped by name: the map page's repaint needs Debian's package chromium"
fi
exit $failed
