# Colour: converted for papers with a profile, left to the print path for others; never both, never
# neither; what cannot be used is refused by name.
. "$(dirname "$0")/lib.sh"

day day
paper() { # NAME PROFILE
    cat >"day/$1.json" <<END
{"trimwell": 1, "name": "$1", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}$2}
END
}
job() { # PAPERS COLOUR
    cat >day/job.json <<END
{"trimwell": 1, "name": "colours", "papers": [$1], "templates": ["frames-inch"],
 "orders": "orders.csv", "images": ["photos"], "colour": $2}
END
}
paper press ', "profile": "ghostscript/default_cmyk.icc"'
paper screen ', "profile": "compatibleWithAdobeRGB1998.icc"'
paper plain ''
printf 'order,image,template,intent\n1,first-light.png,8x10,saturation\n' >day/orders.csv

# A press profile: converted, named, said.
job '"press.json"' '{}'
run compose day -o out.d --strict
code 0
mute
says "Colour: converted here for the paper; colour management off in the driver."
is "$("$json_get" /sheets/0/colour <out.d/plan.json)" convert
is "$("$json_get" /sheets/0/prints/0/intent <out.d/plan.json)" saturation
pdfimages -list out.d/sheet-01.pdf >out
says " icc     4   8 "
pdftotext out.d/cut-guide.pdf out
says "Colour management OFF in the driver"
pdftotext out.d/sheet-01.pdf out
says "colour management off in the driver"

# The same bytes again.
run compose day -o again.d
same out.d/sheet-01.pdf again.d/sheet-01.pdf

# Where intents differ on one paper the setup card says for which prints.
pdftotext out.d/cut-guide.pdf - | tr '\n' ' ' >out
says_not "Rendering intent:"
printf 'order,image,template,intent\n1,first-light.png,5x7,saturation\n' >day/orders.csv
printf '%s,quiet-water.png,5x7,relative\n' 2 3 >>day/orders.csv
run compose day -o differ.d
code 0
pdftotext differ.d/cut-guide.pdf - | tr '\n' ' ' >out
says "Rendering intent: saturation for 1-1; relative colorimetric for the others."

# A display's profile serves, too.
job '"screen.json"' '{"mode": "convert", "intent": "auto"}'
printf 'order,image,template\n1,first-light.png,8x10\n' >day/orders.csv
run compose day -o screen.d
code 0
is "$("$json_get" /sheets/0/prints/0/intent <screen.d/plan.json)" relative
is "$("$json_get" /sheets/0/prints/0/out_of_gamut <screen.d/plan.json)" 0

# "auto": by image and paper, each image looked at once; one that cannot be read is told once.
convert -size 960x768 gradient:lime-blue day/photos/vivid.png
job '"press.json", "screen.json"' '{"intent": "auto"}'
printf '%s\n' order,image,template,paper 1,vivid.png,8x10,press 2,first-light.png,8x10,press \
    3,vivid.png,8x10,screen 4,vivid.png,5x7,press >day/orders.csv
run plan day --json
code 0
grep -o '"order": "[0-9]"\|"intent": "[a-z]*"' out | tr -d '\n' >intents
for wanted in '1""intent": "perceptual' '2""intent": "relative' '3""intent": "relative' \
    '4""intent": "perceptual'; do
    grep -qF -- "$wanted" intents || fail "intents should hold: $wanted"
done
head -c 20 /dev/zero | dd of=day/photos/vivid.png bs=1 seek=4000 conv=notrunc 2>/dev/null
run plan day -q
code 4
is "$(grep -c 'vivid.png: the PNG cannot be decoded, row ' err)" 1
rm day/photos/vivid.png
printf 'order,image,template\n1,first-light.png,8x10\n' >day/orders.csv

# What auto took, for which images and why, is said wherever somebody looks before printing; what
# differs by lines' own intents is said beside it.
auto_said() {
    says "Intents chosen by auto on press, perceptual where over 5 % of an image's pixels are out of \
gamut:"
    says "  perceptual: blue.png (100 %), red.png (100 %)"
}
for colour in red blue; do convert -size 1500x1200 "xc:$colour" "PNG24:day/photos/$colour.png"; done
printf 'order,image,template,copies\n1,red.png,5x7,2\n2,blue.png,5x7,1\n3,red.png,4x6,1\n' \
    >day/orders.csv
job '"press.json"' '{"intent": "auto"}'
run check day
auto_said
run plan day
auto_said
says_not "relative colorimetric"
run compose day -o auto.d
code 0
auto_said
pdftotext auto.d/cut-guide.pdf - | tr '\n' ' ' >out
says "Rendering intent chosen by auto, perceptual where over 5 % of an image's pixels are out of \
gamut. Perceptual: blue.png (100 %), red.png (100 %)."
says_not "for the others"
printf 'order,image,template,intent\n1,red.png,5x7,\n2,blue.png,5x7,saturation\n' >day/orders.csv
printf '3,first-light.png,8x10,\n4,red.png,4x6,\n' >>day/orders.csv
run compose day -o autos.d
code 0
says "  perceptual: red.png (100 %)"
says "  relative colorimetric: first-light.png (0 %)"
says_not "blue.png ("
pdftotext autos.d/cut-guide.pdf - | tr '\n' ' ' >out
says "Perceptual: red.png (100 %). Relative colorimetric: first-light.png (0 %)."
says "saturation for 2-1; perceptual for the others."
job '"press.json"' '{}'
run compose day -o none.d
says_not "Intents chosen by auto"

# "tag" keeps every image as it is.
job '"press.json"' '{"mode": "tag"}'
run compose day -o tag.d
code 0
says "let the print path convert for the paper"
is "$("$json_get" /sheets/0/colour <tag.d/plan.json)" tag
pdfimages -list tag.d/sheet-01.pdf >out
says " icc     3   8 "

# Both on one day.
job '"press.json", "plain.json"' '{}'
printf 'order,image,template,paper\n1,first-light.png,8x10,press\n2,first-light.png,8x10,plain\n' \
    >day/orders.csv
run compose day -o both.d
code 0
says "each sheet's setup card says which"
tells 'paper "plain" has no profile'

# Where a person's own profiles are (XDG Base Directory Specification 0.8), and not where only a
# relative path would lead.
mkdir -p "$PWD/home/.local/share/icc/studio" "$PWD/data/icc"
cp /usr/share/color/icc/ghostscript/default_cmyk.icc home/.local/share/icc/studio/own-press.icc
paper mine ', "profile": "own-press.icc"'
job '"mine.json"' '{}'
printf 'order,image,template\n1,first-light.png,8x10\n' >day/orders.csv
XDG_DATA_HOME='' HOME=$PWD/home run check day
code 0
XDG_DATA_HOME=$PWD/data HOME=$PWD/home run check day
code 4
says '~/.local/share/icc'
mv home/.local/share/icc/studio/own-press.icc data/icc
XDG_DATA_HOME=$PWD/data HOME=$PWD/home run check day
code 0
XDG_DATA_HOME=data HOME=$PWD/home run check day
code 4

# Refused by name.
job '"plain.json"' '{"mode": "convert"}'
printf 'order,image,template\n1,first-light.png,8x10\n' >day/orders.csv
run compose day -o no.d
code 4
tells 'colour mode "convert" needs a profile, and paper "plain" names none'
head -c 3000 /usr/share/color/icc/ghostscript/default_cmyk.icc >day/cut.icc
paper cut ', "profile": "cut.icc"'
job '"cut.json"' '{}'
run check day
code 4
says 'says it is'
paper lab ', "profile": "ghostscript/lab.icc"'
job '"lab.json"' '{}'
run check day
code 4
says 'the ICC profile is for "Lab "; it must be for grey, RGB or CMYK'
job '"press.json"' '{"intent": "absolute"}'
run check day
code 4
says 'which is for proofs'
printf 'order,image,template,intent\n1,first-light.png,8x10,vivid\n' >day/orders.csv
job '"press.json"' '{}'
run check day
code 4
says 'intent is "vivid"; it may be auto, perceptual, relative or saturation'
[ ! -e no.d ] || fail "nothing should be written"
