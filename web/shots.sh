#!/usr/bin/env bash
# Makes the pictures in web/shots anew: what the main screens look like on a phone and on a
# laptop, light and dark, with a player of our own making, to be looked through when they change.
# Needs xvfb besides what the window needs.
set -euo pipefail
cd "$(dirname "$0")/.."
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/" ./cmd/reedwell ./cmd/reedwell-desktop
"$tmp/reedwell" render ladder-4d-1 -harp C -cents -9 -deep 22 -ms 20 -o "$tmp/player.wav"
mkdir -p web/shots
# shoot NAME WIDTHxHEIGHT FLAGS LINK SCRIPT: a picture of where the script ends.
shoot() {
  xvfb-run -a -s "-screen 0 1280x1024x24" "$tmp/reedwell-desktop" -data "$tmp/data-$1" -files "$tmp" -fake "$tmp/player.wav" \
    -size "$2" -still -speed 4 $3 -shot "$tmp/$1.png" -script "$5" "$4"
  mv "$tmp/$1.png" "web/shots/$1.png"
}
phone=360x640 laptop=1100x760
ladder='#v=1&drill=ladder-4d-1&harp=C'
shoot phone-welcome $phone "" "" wait:0.3
shoot phone-drills $phone "" "" look,screen:path,wait:0.3
shoot phone-drill-dark $phone -dark "$ladder" start,screen:drill,wait:0.3
shoot phone-take $phone "" "$ladder" start,screen:drill,play,screen:take,wait:3
shoot phone-result $phone "" "$ladder" start,screen:drill,play,screen:result,wait:0.3
shoot phone-families $phone "" "" look,screen:path,families,screen:families,wait:0.3
shoot phone-settings-dark $phone -dark "" look,screen:path,settings,screen:settings,wait:0.3
shoot laptop-drills-dark $laptop -dark "" look,screen:path,wait:0.3
shoot laptop-take-dark $laptop -dark "$ladder" start,screen:drill,play,screen:take,wait:3
shoot laptop-result $laptop "" "$ladder" start,screen:drill,play,screen:result,wait:0.3
shoot laptop-lesson $laptop "" "" look,screen:path,lessons,screen:lessons,lesson-demo-kettle,screen:lesson,wait:0.3
shoot laptop-write $laptop "" "" look,screen:path,lessons,screen:lessons,write,screen:write,begin-2,wait:0.3
shoot phone-room $phone "" "" look,screen:path,room,screen:room,wait:0.3
shoot phone-harps $phone "" "" look,screen:path,harps,screen:harps,wait:0.3
shoot phone-map $phone "" "" look,screen:path,map,screen:map,wait:0.3
shoot phone-week $phone "" "" look,screen:path,week,screen:week,wait:0.3
