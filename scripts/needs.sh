#!/usr/bin/env bash
# Installs what the tests need beside Go and Node: a Chromium for the browser tests, and the reference libraries that the
# computations are checked against. Where it may not install, it says what to install, and exports what is missing, so that
# just those tests are skipped by name. Meant to be sourced.

declare -A needs=(
  [chromium]=chromium
  [Rscript]=r-base-core
  [pdftotext]=poppler-utils
  [cc]=gcc
)
missing=()
for tool in "${!needs[@]}"; do
  command -v "$tool" >/dev/null || missing+=("${needs[$tool]}")
done
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import scipy' 2>/dev/null || missing+=(python3-scipy)
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import sklearn' 2>/dev/null || missing+=(python3-sklearn)
[ -x /usr/bin/python3 ] && /usr/bin/python3 -c 'import statsmodels' 2>/dev/null || missing+=(python3-statsmodels)
for package in mgcv lme4 brglm2; do
  command -v Rscript >/dev/null && Rscript -e "library($package)" >/dev/null 2>&1 || missing+=("r-cran-$package")
done
[ -e /usr/include/stdio.h ] || missing+=(libc6-dev)
[ -e /usr/share/sonic-pi/samples/tabla_ke1.flac ] || missing+=(sonic-pi-samples)
[ -e /usr/include/mujoco/mujoco.h ] || missing+=(libmujoco-dev)

if [ ${#missing[@]} -gt 0 ]; then
  if command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
    echo "Installing what the tests need: ${missing[*]}"
    { apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "${missing[@]}"; } \
      >build/apt.log 2>&1 || echo "Could not install: see build/apt.log"
  else
    echo "The tests would also use these Debian packages; tests that need a missing one are skipped by name:"
    echo "  sudo apt-get install --no-install-recommends ${missing[*]}"
  fi
fi
