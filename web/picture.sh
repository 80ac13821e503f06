#!/usr/bin/env bash
# Makes web/picture.png, the picture in the README: a take on a phone's window, twice as dense
# as usual, with a player of our own making who bends a little deep and plays a little late.
# Needs xvfb and x11-utils (xprop) besides what the window needs.
set -euo pipefail
cd "$(dirname "$0")/.."
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/" ./cmd/reedwell ./cmd/reedwell-desktop
"$tmp/reedwell" render turnaround-5 -harp A -cents -9 -deep 22 -ms 20 -o "$tmp/player.wav"
export tmp
# Without -noreset the display forgets its density when xprop ends.
xvfb-run -a -s "-screen 0 1280x1800x24 -noreset" bash -c '
	xprop -root -f RESOURCE_MANAGER 8s -set RESOURCE_MANAGER "Xft.dpi: 192"
	"$tmp/reedwell-desktop" -data "$tmp/data" -fake "$tmp/player.wav" -size 390x760 -shot "$tmp/picture.png" \
		-script start,screen:drill,play,screen:take,wait:8.8 "#v=1&drill=turnaround-5&harp=A"'
mv "$tmp/picture.png" web/picture.png
