# proof --strip: details at print scale, where the strip goes, measured colours given back.
. "$(dirname "$0")/lib.sh"

day day
paper() { # NAME KIND-AND-MORE
    cat >"day/$1.json" <<END
{"trimwell": 1, "name": "$1", $2,
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}}
END
}
job() { # PAPERS COLOUR ORDERS
    cat >day/job.json <<END
{"trimwell": 1, "name": "strips", "papers": [$1], "templates": ["frames-inch", "focus.json"],
 "orders": "orders.csv", "images": ["photos", "."], "colour": $2}
END
    printf "order,image,template,paper,copies\n$3" >day/orders.csv
}
of_strip() { is "$("$json_get" "$1" <"$2/strip.json")" "$3"; }
cat >day/focus.json <<'END'
{"trimwell": 1, "templates": [{"name": "aimed", "size": "5x7in", "fit": "fill",
 "border": "1/2in", "focus": [0.25, 0.25]}]}
END
press='"profile": "ghostscript/default_cmyk.icc"'
paper wide "\"kind\": \"roll\", \"width\": \"24in\", \"length\": \"50ft\", \"price\": \"100.00 EUR\", $press"
paper tight "\"kind\": \"roll\", \"width\": \"8in\", \"length\": \"10ft\", \"price\": \"60.00 EUR\", $press"
paper kept "\"kind\": \"roll\", \"width\": \"8in\", \"length\": \"10ft\", $press,
 \"offcuts\": [{\"width\": \"7in\", \"length\": \"9in\"}, {\"width\": \"7in\", \"length\": \"5in\"}]"
paper box "\"kind\": \"sheets\", \"width\": \"8in\", \"length\": \"10in\", \"count\": 4, \"price\": \"10.00 EUR\", $press"
paper plain '"kind": "roll", "width": "8in", "length": "10ft"'
# Flat grey, fine squares in its lower right quarter alone.
convert -size 1500x1200 xc:'gray(50%)' -type TrueColor PNG24:day/flat.png
convert day/flat.png \( -size 120x120 pattern:checkerboard -normalize \) \
    -geometry +1200+900 -composite PNG24:day/busy.png
convert -size 1000x800 xc:'cmyk(20%,30%,40%,0%)' -colorspace CMYK day/inks.jpg

# In the waste beside a print: no paper, the sheet itself with the strip in it.
job '"wide.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,aimed,wide,1\n'
run proof --strip day -o waste.d
code 0
says "strip-01-wide.pdf, wide: 6 details of 2 images, each 1 1/2 in (38.1 mm) square"
says "It goes in the waste of sheet 1 (waste-"
says "from its lead: it costs no paper."
says "Print strip-01-wide.pdf in place of sheet 1: its prints and cuts are the same"
says "(most detail)"
says "25 % from the picture's left and 30 % from its top (its focus)"
says "Judge after dry-down in the light it will hang in."
is "$(ls waste.d | tr '\n' ' ')" "strip-01-wide.pdf strip.json "
of_strip /strips/0/place waste.d waste
of_strip /strips/0/colour waste.d convert
of_strip /strips/0/print_path waste.d "Colour management off in the driver."
says "  Colour: converted here for the paper. Colour management off in the driver."
says_not "Rendering intent"
of_strip /strips/0/details/0/cells/0/intent waste.d perceptual
of_strip /strips/0/details/0/cells/1/as_print waste.d true
of_strip /strips/0/details/0/by waste.d detail
of_strip /strips/0/details/1/by waste.d focus
# the squares lie 80 % to 88 % across and 75 % to 85 % down
share=$(sed -n 's/^  1-1: .*, \([0-9]*\) % from the picture.s left.*/\1/p' out)
[ "$share" -ge 76 ] && [ "$share" -le 90 ] || fail "most detail should be found in the squares: $share"
run compose day -o sheets.d
code 0
qpdf --check waste.d/strip-01-wide.pdf >out 2>&1 || fail "qpdf should find nothing"
is "$(pdfinfo waste.d/strip-01-wide.pdf | grep 'Page size')" \
    "$(pdfinfo sheets.d/sheet-01.pdf | grep 'Page size')"
pdftotext waste.d/strip-01-wide.pdf out
says "relative colorimetric (the"
says "saturation"
says "Colour management off in the driver."
says "colour management off in the driver" # the sheet's slug

# An image is on the strip once, as its largest print; fillers are left out.
job '"wide.json"' '{}' '1,busy.png,5x7,wide,1\n2,busy.png,8x10,wide,1\n'
sed -i 's/"orders"/"fillers": "fillers.csv", "orders"/' day/job.json
printf 'image,template,copies,sells_for,chance\nflat.png,5x7,2,10.00 EUR,0.9\n' >day/fillers.csv
run plan day
says "filler-1"
run proof --strip day -o once.d
code 0
says "3 details of 1 image,"
says "2-1: busy.png as 8x10"

# For another program: one document, the report as its text.
job '"wide.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,aimed,wide,1\n'
run proof --strip --json day -o waste.d
code 0
json /ok true
says "in place of sheet 1"

# Nothing but the roll itself; it says its length and cost.
job '"tight.json"' '{}' '1,busy.png,8x10,tight,1\n'
run proof --strip --vary exposure day -o roll.d
code 0
says "It goes onto the roll by itself: it takes "
says ", costs 1.19 EUR." # 60.45 mm of 3048 mm for 60 EUR
of_strip /strips/0/place roll.d roll
off="Colour management off in the driver. Rendering intent: relative colorimetric."
says "  Colour: converted here for the paper. $off"
of_strip /strips/0/details/0/cells/2/stop_twelfths roll.d 4
run proof --strip --vary exposure --step 1/2 day -o roll.d
of_strip /strips/0/details/0/cells/0/stop_twelfths roll.d -6
pdftotext roll.d/strip-01-tight.pdf out
says "$off"
says "+1/2 stop"

# The smallest kept piece that holds it.
job '"kept.json"' '{}' '1,busy.png,8x10,kept,1\n'
run proof --strip day -o offcut.d
code 0
says "onto the kept offcut of 7 in (177.8 mm) x 5 in (127 mm): it costs no new paper"
of_strip /strips/0/offcut offcut.d 2
says "Colour: converted here for the paper. Colour management off in the driver."
pdftotext offcut.d/strip-01-kept.pdf out
says "Colour management off in the driver."

# A cut sheet out of the box: its share of the box's price.
job '"box.json"' '{}' '1,busy.png,8x10,box,1\n'
run proof --strip day -o box.d
code 0
says "onto a cut sheet of the same paper, costs 2.50 EUR."
says "Colour: converted here for the paper. Colour management off in the driver."
pdftotext box.d/strip-01-box.pdf out
says "Colour management off in the driver."
job '"box.json"' '{}' '1,busy.png,8x10,box,4\n'
run proof --strip day -o none.d
code 4
tells 'the test strip of 3 details finds no place on paper "box"'
tells "--detail 1in makes smaller details"
[ ! -e none.d ] || fail "nothing should be written"

# Where nothing is converted here only exposure can be varied; ink has none.
job '"plain.json"' '{"mode": "tag"}' '1,busy.png,5x7,plain,1\n2,inks.jpg,5x7,plain,1\n'
run proof --strip day -o tag.d
code 0
tells 'image "inks.jpg" is CMYK, and ink has no exposure: its detail is on the strip once'
says "4 details of 2 images"
on="The driver or print path must convert with the profile of this paper: colour management on there."
says "  Colour: every image carries its own profile and nothing is converted here. $on"
of_strip /strips/0/colour tag.d tag
of_strip /strips/0/print_path tag.d "$on"
pdftotext tag.d/strip-01-plain.pdf - | tr '\n' ' ' >out
says "$on"
job '"tight.json"' '{"mode": "tag"}' '1,busy.png,5x7,tight,1\n'
run proof --strip day -o tag.d
says "must convert with the paper's profile default_cmyk.icc: colour management on there."
job '"plain.json"' '{"mode": "tag"}' '1,busy.png,5x7,plain,1\n2,inks.jpg,5x7,plain,1\n'
run proof --strip --vary intents day -o tag.d
code 0
tells 'image "busy.png" is not converted here for paper "plain", so no intents of it can be shown'
says "2 details of 2 images"
run proof --strip --wedge --measured day/seen.csv day -o tag.d
code 4
tells 'paper "plain" is not converted to here, so nothing says what its patches should measure'

# Measured colours: what the profile promises differs by nothing, ten steps of L* by much.
job '"wide.json"' '{}' '1,busy.png,8x10,wide,1\n'
run proof --strip --wedge --patches day -o chart.d
code 0
says ", with a neutral wedge, with a patch row"
says "it costs no paper, but that piece was worth keeping"
is "$(ls chart.d | tr '\n' ' ')" "strip-01-wide.pdf strip-patches.png strip.json "
is "$("$json_get" /strips/0/patches count <chart.d/strip.json)" 22
of_strip /strips/0/patches_picture chart.d strip-patches.png
run help proof
says "strip-patches.png is the picture of the"
at() { "$json_get" "/strips/0/patches/$1" <chart.d/strip.json; }
i=0
echo 'patch,L,a,b' >seen.csv
while [ "$i" -lt 22 ]; do
    echo "$(at "$i/patch"),$(at "$i/intended/0"),$(at "$i/intended/1"),$(at "$i/intended/2")" >>seen.csv
    i=$((i + 1))
done
run proof --strip --wedge --patches --measured seen.csv day -o chart.d
code 0
tells_not "measured"
says "Measured against the profile, 22 patches: CIEDE2000 mean 0.0"
is "$("$json_get" /strips/0/measured/patches count <chart.d/strip.json)" 22
sed '/^sky/d; s/^red,.*/red,0,0,0/' seen.csv >other.csv
run proof --strip --wedge --patches --measured other.csv day -o chart.d
code 0
tells '1 of 22 patches on paper "wide" is not measured: sky'
says "21 patches: CIEDE2000 mean "
red=$("$json_get" /strips/0/measured/patches/11/difference <chart.d/strip.json)
[ "${red%.*}" -ge 30 ] || fail "black is far from red: $red"
is "$red" "$("$json_get" /strips/0/measured/largest <chart.d/strip.json)"
printf 'patch,L,a,b\nL50,50,0,0\n' >one.csv
run proof --strip --wedge --measured one.csv day -o one.d
code 0
says "Measured against the profile, 1 patch: CIEDE2000 mean "
bad() { # LINES MESSAGE HINT
    printf "$1" >bad.csv
    run proof --strip --wedge --measured bad.csv day -o bad.d
    code 4
    tells "bad.csv:$2"
    tells "$3"
    [ ! -e bad.d ] || fail "nothing should be written"
}
bad 'patch,L,a,b\n' '1: there is a heading and no line below it, so no patch is measured' \
    'a line for each patch that was measured, such as L50,52.4,0.3,-1.2'
bad 'patch,L,a\nL50,50,0\n' '1: the column "b" is missing' 'the first line is patch,L,a,b'
bad 'patch,L,a,b\nL55,50,0,0\n' '2: patch "L55" is not on the strip' 'nearest: L50'
bad 'patch,L,a,b\nred,50,0,0\n' '2: patch "red" is not on the strip' '--patches the hues'
bad 'patch,L,a,b\nL50,50,0,0\nL50,51,0,0\n' '3: patch "L50" is measured twice' 'keep one line'
bad 'patch,L,a,b\nL50,130,0,0\n' '2: L of patch "L50" is "130"; it must be a number from 0 to 100' ''
bad 'patch,L,a,b\nL50,50,x,0\n' '2: a of patch "L50" is "x"; it must be a number from -150 to 150' ''
bad 'patch;L;a;b\nL50;50,5;0;0\n' '2: L of patch "L50" is "50,5"' 'decimals have a point'
bad 'patch,L,a,b,paper\nL50,50,0,0,wise\n' '2: paper "wise" has no test strip today' 'nearest: wide'
run proof --strip --wedge --measured missing.csv day -o bad.d
code 4
tells "missing.csv"
job '"wide.json", "tight.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,8x10,tight,1\n'
bad 'patch,L,a,b\nL50,50,0,0\n' '1: the column "paper" is missing: there is a strip for more than' \
    'patch,L,a,b,paper'
run proof --strip day -o two.d
is "$(ls two.d | tr '\n' ' ')" "strip-01-wide.pdf strip-02-tight.pdf strip.json "
# A paper that is not converted to keeps no other from being compared.
job '"wide.json", "plain.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,5x7,plain,1\n'
sed '1s/$/,paper/; 2,$s/$/,wide/' seen.csv >both.csv
echo 'red,50,40,30,plain' >>both.csv
run proof --strip --wedge --patches --measured both.csv day -o mixed.d
code 0
tells 'plain.json'
tells 'paper "plain" is not converted to here, so nothing says what its patches should measure: they are not compared'
says "Measured against the profile, 22 patches: CIEDE2000 mean 0.0"
says "  Not compared with what was measured: the paper is not converted to here"
is "$("$json_get" /strips/0/measured/patches count <mixed.d/strip.json)" 22
"$json_get" /strips/1/measured <mixed.d/strip.json >/dev/null 2>&1 && fail "nothing is compared"
of_strip /strips/1/not_compared mixed.d \
    "the paper is not converted to here, so nothing says what its patches should measure"

# Files of an earlier strip that its strip.json names go when they are not written again; others,
# whatever it says, stay.
job '"wide.json", "tight.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,8x10,tight,1\n'
run proof --strip --patches day -o second.d
code 0
is "$(ls second.d | tr '\n' ' ')" \
    "strip-01-wide.pdf strip-02-tight.pdf strip-patches.png strip.json "
echo mine >second.d/strip-07-mine.pdf
job '"wide.json"' '{}' '1,busy.png,8x10,wide,1\n'
run proof --strip day -o second.d
code 0
is "$(ls second.d | tr '\n' ' ')" "strip-01-wide.pdf strip-07-mine.pdf strip.json "
echo mine >strip-09-out.pdf
echo mine >second.d/notes.pdf
mkdir second.d/strip-08-folder.pdf
cat >second.d/strip.json <<'END'
{"strips": [{"file": "notes.pdf", "patches_picture": "notes.pdf"}, {"file": "../strip-09-out.pdf"},
 {"file": "strip-01-/../../strip-09-out.pdf"}, {"file": "strip-08-folder.pdf"}, {"file": 7}, 8,
 {"patches_picture": "strip-07-mine.pdf"}]}
END
run proof --strip day -o second.d
code 0
is "$(ls second.d | tr '\n' ' ')" "notes.pdf strip-01-wide.pdf strip-08-folder.pdf strip.json "
[ -e strip-09-out.pdf ] || fail "nothing outside the folder should go"
echo '{"strips": [{"file": "strip-01-wide.pdf' >second.d/strip.json
run proof --strip day -o second.d
code 0
of_strip /strips/0/file second.d strip-01-wide.pdf

# The same bytes again.
job '"wide.json", "tight.json"' '{}' '1,busy.png,8x10,wide,1\n2,flat.png,8x10,tight,1\n'
run proof --strip --wedge day -o once.d
run proof --strip --wedge day -o again.d
for file in strip-01-wide.pdf strip-02-tight.pdf strip.json; do same once.d/$file again.d/$file; done

usage() { # MESSAGE WORDS...
    message=$1
    shift
    run proof "$@" day -o x.d
    code 2
    tells "$message"
    [ ! -e x.d ] || fail "nothing should be written"
}
usage 'the side of a detail is "1/4in"; it must be a length from 1/2in to 6in' --strip --detail 1/4in
usage 'the side of a detail is "big"' --strip --detail big
usage '--wedge is for test strips: it needs --strip too' --wedge
usage '--show is for proofs on a screen, not for --strip' --strip --show paper
usage '--step is of exposure, not of intents' --strip --vary intents --step 1/3
usage '--measured compares the neutral wedge or the patch row' --strip --measured seen.csv
usage '--step "2" is none of its words' --strip --step 2
run proof --strip day
code 2
tells "proof needs a folder to write into"
