# proof --accept-damaged: a damaged image is shown as it will print, white where it is lost, and that
# is said; a test strip shows what is intact.
. "$(dirname "$0")/lib.sh"

day day
cat >day/press.json <<'E2'
{"trimwell": 1, "name": "press", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"},
 "profile": "ghostscript/default_cmyk.icc"}
E2
cat >day/job.json <<'E2'
{"trimwell": 1, "name": "damaged", "papers": ["press.json"], "templates": ["frames-inch"],
 "orders": "orders.csv", "images": ["."]}
E2
printf 'order,image,template\n1,half.png,8x10\n' >day/orders.csv
# Dark, with fine squares of little contrast in its upper left corner; stored, so that a file cut
# after six tenths holds as many rows.
convert -size 1500x1200 xc:'rgb(40,40,60)' \
    \( -size 120x120 pattern:checkerboard -normalize +level 30%,40% \) -geometry +60+60 -composite \
    -define png:compression-level=0 PNG24:whole.png
cp whole.png day/half.png
run proof day -o whole.d
code 0
is "$("$json_get" /prints/0/damaged <whole.d/proof.json)" null
says_not damaged

size=$(wc -c <whole.png | tr -d ' ')
head -c $((size * 6 / 10)) whole.png >day/half.png
run proof day -o none.d
code 4
tells "with --accept-damaged what is intact of it may still be printed"
[ ! -e none.d ] || fail "nothing should be written"
run proof --accept-damaged day -o half.d
code 0
tells 'image "half.png" is printed though it is damaged: the PNG is cut short: '
says "; damaged: rows 7"
says " to 1199 of 0 to 1199 are white (40."
is "$("$json_get" /prints/0/damaged/white_rows count <half.d/proof.json)" 1
is "$("$json_get" /prints/0/damaged/white_rows/0/1 <half.d/proof.json)" 1199

# As the whole image's proof down to the damage, the paper's own white below it, upright too.
upper() { convert "$1" -crop '100%x55%+0+0' +repage rgb:"$2"; }
upper whole.d/proof-001-1-1.png whole.rgb
upper half.d/proof-001-1-1.png half.rgb
same whole.rgb half.rgb
run proof --accept-damaged day -o screen.d --show screen
code 0
lower() { convert "$1" -gravity south -crop '100%x35%+0+0' +repage -format "$2" info:; }
is "$(lower screen.d/proof-001-1-1.png '%[fx:minima]')" 1
is "$(lower half.d/gamut-001-1-1.png '%k')" 1
[ "$(lower half.d/proof-001-1-1.png '%[fx:maxima]')" != 1 ] || fail "the paper is not white"

# The strip shows the squares, not the edge of the damage.
run proof --strip day -o none.d
code 4
run proof --strip --accept-damaged day -o strip.d
code 0
tells 'image "half.png" is printed though it is damaged: '
says "(most detail); damaged: rows 7"
is "$("$json_get" /strips/0/details/0/damaged/white_rows/0/1 <strip.d/strip.json)" 1199
top=$(sed -n 's/^  1-1: .* and \([0-9]*\) % from its top.*/\1/p' out)
[ "$top" -le 20 ] || fail "most detail should be found in the squares: $top %"
