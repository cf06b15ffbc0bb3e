#!/bin/sh
# Debian packages that some tests compare against: installed when missing and permitted.
# Without them those tests are skipped, except where CI is set: there they must run.
set -eu
missing=""
command -v ngspice >/dev/null 2>&1 || missing="$missing ngspice"
command -v pdftoppm >/dev/null 2>&1 || missing="$missing poppler-utils"
command -v chromium >/dev/null 2>&1 || missing="$missing chromium"
[ -n "$missing" ] || exit 0
if ! command -v apt-get >/dev/null 2>&1; then
    echo "Not on Debian: install$missing yourself to run every test."
elif [ "$(id -u)" = 0 ]; then
    export DEBIAN_FRONTEND=noninteractive
    apt-get update -qq && apt-get install -y -qq --no-install-recommends $missing >/dev/null
elif sudo -n true 2>/dev/null; then
    sudo apt-get update -qq && sudo apt-get install -y -qq --no-install-recommends $missing >/dev/null
else
    echo "Install$missing to run every test; without them some are skipped."
fi
