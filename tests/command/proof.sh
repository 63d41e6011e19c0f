# proof: pictures and figures of what the paper will show.
. "$(dirname "$0")/lib.sh"

day day
cat >day/press.json <<'END'
{"trimwell": 1, "name": "press", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"},
 "profile": "ghostscript/default_cmyk.icc"}
END
job() { # PAPERS COLOUR
    cat >day/job.json <<END
{"trimwell": 1, "name": "colours", "papers": [$1], "templates": ["frames-inch"],
 "orders": "orders.csv", "images": ["photos", "."], "colour": $2}
END
}
# One flat colour each, upright by Exif or not, and a white one beside a white border.
convert -size 1500x1200 xc:white PNG24:day/white.png
convert -size 1500x1200 xc:'rgb(0,0,255)' PNG24:day/blue.png
convert -size 1500x1200 xc:'gray(50%)' -colorspace Gray day/grey.png
printf 'order,image,template,copies\n1,white.png,5x7,2\n2,blue.png,5x7,1\n3,grey.png,5x7,1\n' \
    >day/orders.csv
job '"press.json"' '{"assume": {"grey": "sgray.icc"}}'

run proof day -o proof.d
code 0
says "press, profile Artifex CMYK SWOP Profile: white L* "
says "1-1: white.png, 5x7 on press, relative colorimetric: 0.00 % of the pixels out of gamut"
says "2-1: blue.png, 5x7 on press, relative colorimetric: 100.00 % of the pixels out of gamut"
says "greys are printed within a*"
says "Figures are of the proof's pixels, which stand for the image's."
says_not "1-2: white.png"
tells 'the top, right, bottom and left edges of image "white.png" are paper white for 5 in (127 mm), '\
'4 in (101.6 mm), 5 in (127 mm) and 4 in (101.6 mm) beside a white border'
tells '"keyline": true'
is "$(ls proof.d | tr '\n' ' ')" "gamut-001-1-1.png gamut-002-2-1.png gamut-003-3-1.png \
proof-001-1-1.png proof-002-2-1.png proof-003-3-1.png proof.json "
is "$("$json_get" /prints count <proof.d/proof.json)" 3
is "$("$json_get" /prints/1/out_of_gamut_percent <proof.d/proof.json)" 100
identify proof.d/proof-001-1-1.png >out
says "PNG 400x320"

# On the screen's white the paper's white is white; on its own it is not.
run proof day -o screen.d --show screen
code 0
is "$(convert screen.d/proof-001-1-1.png -format '%[pixel:p{200,100}]' info:)" 'srgb(255,255,255)'
[ "$(convert proof.d/proof-001-1-1.png -format '%[pixel:p{200,100}]' info:)" != 'srgb(255,255,255)' ] ||
    fail "the paper should not be white"

# The same bytes again.
run proof day -o again.d
for file in proof-002-2-1.png gamut-002-2-1.png proof.json; do same proof.d/$file again.d/$file; done

# Pictures of prints that are no longer in the day go; what no proof.json names stays.
echo mine >again.d/proof-099-mine.png
printf 'order,image,template\n1,white.png,5x7\n' >day/orders.csv
run proof day -o again.d
code 0
is "$("$json_get" /prints count <again.d/proof.json)" 1
says_not "blue.png"
is "$(ls again.d | tr '\n' ' ')" \
    "gamut-001-1-1.png proof-001-1-1.png proof-099-mine.png proof.json "

# A proof.json that somebody wrote to have other files removed.
echo mine >outside.png
echo mine >again.d/holiday.png
mkdir again.d/proof-050-x.png
ln -s ../outside.png again.d/gamut-051-x.png
long=proof-001-$(printf '%0300d' 0).png
cat >again.d/proof.json <<END
{"prints": [{"proof": "$long"}, {"proof": "holiday.png", "map": "../outside.png"}, {"proof": "proof.json"}, 7,
 {"proof": "proof-001-/../../outside.png", "map": "gamut-051-x.png"}, {"proof": "proof-050-x.png"},
 {"proof": "proof-099-mine.png", "map": ["gamut-001-1-1.png"]}, {"proof": "proof-001-1-1.png"}]}
END
run proof day -o again.d
code 0
is "$(ls again.d | tr '\n' ' ')" "gamut-001-1-1.png gamut-051-x.png holiday.png proof-001-1-1.png \
proof-050-x.png proof.json "
is "$(cat outside.png again.d/holiday.png | tr '\n' ' ')" 'mine mine '
is "$("$json_get" /prints count <again.d/proof.json)" 1

# What was seen of images that stand as they did is used again, whatever else is new in the day.
# Stamps of files go by up to two seconds: younger ones are not trusted.
orders() { # TEMPLATE
    printf 'order,image,template\n1,white.png,%s\n2,blue.png,%s\n3,grey.png,%s\n' "$1" "$1" "$1" \
        >day/orders.csv
}
fresh() { # what a proof into a new folder writes is in kept.d, byte by byte
    rm -rf fresh.d
    run proof day -o fresh.d
    code 0
    says_not 'used again'
    for file in fresh.d/*; do same "$file" "kept.d/${file#*/}"; done
}
orders 5x7
sleep 4
run proof day -o kept.d
code 0
says_not 'used again'
run proof day -o kept.d
code 0
says '3 of 3 images stand as they did at the last proof in this folder, and what it saw of them was used again. To have all of them read, remove .trimwell-views there.'
fresh
orders 8x10
job '"press.json"' '{"intent": "perceptual", "assume": {"grey": "sgray.icc"}}'
run proof day -o kept.d
code 0
says '3 of 3 images stand as they did'
fresh
convert -size 1500x1200 xc:'rgb(255,0,0)' PNG24:day/blue.png
run proof day -o kept.d
code 0
says '2 of 3 images stand as they did'
fresh
touch -t 203712312359 day/blue.png # written later than now: never trusted
for n in 1 2; do
    run proof day -o kept.d
    code 0
    says '2 of 3 images stand as they did'
done
rm kept.d/.trimwell-views
run proof day -o kept.d
code 0
says_not 'used again'
fresh

# A link of that name is replaced, what is no file is left alone and said.
echo mine >victim
ln -sf "$work/victim" kept.d/.trimwell-views
run proof day -o kept.d
code 0
says_not 'used again'
is "$(cat victim)" mine
[ -f kept.d/.trimwell-views ] && [ ! -h kept.d/.trimwell-views ] || fail "the link should be replaced"
rm -rf folder.d && mkdir -p folder.d/.trimwell-views
run proof day -o folder.d
code 5
tells '".trimwell-views" in folder.d is not a file and cannot be replaced'
is "$(ls folder.d)" ''
job '"press.json"' '{"assume": {"grey": "sgray.icc"}}'

# One edge alone, and two.
convert -size 1500x1200 xc:'rgb(0,0,255)' -fill white -draw 'rectangle 0,1100 1499,1199' \
    PNG24:day/foot.png
convert day/foot.png -fill white -draw 'rectangle 0,0 99,300' PNG24:day/two.png
printf 'order,image,template\n1,foot.png,5x7\n2,two.png,5x7\n' >day/orders.csv
run proof day -o edges.d
code 0
tells 'the bottom edge of image "foot.png" is paper white for 5 in (127 mm) beside a white border'
tells 'the bottom and left edges of image "two.png" are paper white for 5 in (127 mm) and 1 '

# Nothing to show where the print path converts; what would help stands there and nothing else.
cat >day/plain.json <<'END'
{"trimwell": 1, "name": "plain", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}}
END
job '"press.json"' '{"mode": "tag"}'
run proof day -o none.d
code 0
tells 'paper "press" is not converted to here, so there is nothing to show: the print path decides '\
'(to see it on this paper set "mode" in the job'"'s"' "colour" to auto or convert: it is tag)'
job '"plain.json"' '{}'
run proof day -o none.d
tells 'the print path decides (give the paper a "profile")'
job '"plain.json"' '{"mode": "tag"}'
run proof day -o none.d
tells 'the print path decides (give the paper a "profile", and set "mode" in the job'"'s"\
' "colour" to auto or convert: it is tag)'
job '"satin-24in"' '{"mode": "tag"}'
run proof day -o none.d
code 0
tells 'paper "satin-24in" is not converted to here, so there is nothing to show'
is "$("$json_get" /prints count <none.d/proof.json)" 0

run proof day
code 2
tells "proof needs a folder to write into"
run proof day -o x.d --show loud
code 2
run proof nowhere -o x.d
code 4
[ ! -e x.d ] || fail "nothing should be written"
