#!/usr/bin/env bash
# Makes pictures of a debrief's page, on a screen and on A4 paper, for inspection. Needs Chromium and pdftoppm; not part of the
# tests.
#   tests/look_at_page.sh debrief.html OUT_FOLDER
set -euo pipefail
page=$(realpath "$1")
out=$2
mkdir -p "$out"
browser=$(command -v chromium || command -v chromium-browser)
run() { "$browser" --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$out/profile" "$@" "file://$page" 2>/dev/null; }
run --window-size=1000,1500 --screenshot="$out/screen.png"
run --window-size=500,1800 --screenshot="$out/narrow.png"
run --no-pdf-header-footer --print-to-pdf="$out/page.pdf"
pdftoppm -r 70 -png "$out/page.pdf" "$out/paper"
rm -rf "$out/profile"
ls "$out"
