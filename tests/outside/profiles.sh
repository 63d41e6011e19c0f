# The invented printer profiles, read by Little CMS's transicc (Debian liblcms2-utils): white,
# black and solids are the model's, colours survive the way to Lab, back and to Lab again, and the
# bytes are the same on every machine. $1 holds the profiles.
# The model is ours (templates-demo/profiles/ink.h); that A2B and B2A undo each other is what
# ICC.1:2010 clause 6.3 asks of the two directions; how well is the tables' coarseness, stated here.
set -eu
from=$(cd "$1" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
LC_ALL=C
export LC_ALL
command -v transicc >/dev/null || { echo "skipped: transicc is not here"; exit 77; }

bad=0
complain() { echo "profiles: $*"; bad=1; }

# One checksum (POSIX cksum) a file.
fixed() {
    sum=$(cksum <"$from/$1")
    [ "$sum" = "$2" ] || complain "$1 has checksum $sum, not $2"
}

# lab FILE INTENT "DEVICE NUMBERS" "L a b": what transicc says, to within 0.15.
lab() {
    said=$(echo "$3" | transicc -n -t"$2" -i "$from/$1" -o '*Lab' 2>/dev/null)
    echo "$said $4" | awk '{ for (i = 1; i <= 3; i++) if (($i - $(i + 3))^2 > 0.0225) exit 1 }' ||
        complain "$1 intent $2: $3 is $said, not $4"
}

# Device numbers on an even grid, N channels up to TOP.
grid() {
    awk -v n="$1" -v top="$2" 'BEGIN {
        side = n == 4 ? 5 : 9; all = 1
        for (i = 0; i < n; i++) all *= side
        for (i = 0; i < all; i++) {
            x = i; line = ""
            for (k = 0; k < n; k++) { line = line " " top * (x % side) / (side - 1); x = int(x / side) }
            print line
        }
    }'
}

# survives FILE INTENT CHANNELS TOP MEAN MOST: CIE 1976 differences of the round trip.
survives() {
    grid "$3" "$4" | transicc -n -t"$2" -i "$from/$1" -o '*Lab' 2>/dev/null >first
    transicc -n -t"$2" -i '*Lab' -o "$from/$1" 2>/dev/null <first |
        transicc -n -t"$2" -i "$from/$1" -o '*Lab' 2>/dev/null >second
    paste first second | awk -v mean="$5" -v most="$6" '
        { d = sqrt(($1-$4)^2 + ($2-$5)^2 + ($3-$6)^2); sum += d; if (d > worst) worst = d; n++ }
        END { printf "mean %.3f, most %.3f of %d", sum / n, worst, n
              exit !(n > 600 && sum / n <= mean && worst <= most) }' >said ||
        complain "$1 intent $2: $(cat said); allowed mean $5, most $6"
}

fixed satin.icc "2963115505 906840"
fixed matte.icc "3108374463 906840"
fixed satin-v4.icc "167607600 1029664"
fixed grey.icc "491405802 996"
fixed cmyk.icc "2502727687 1222388"

# Absolute: the Lab values written in templates-demo/make-profiles.c.
for name in satin.icc satin-v4.icc; do
    lab $name 3 "255 255 255" "95.5 0 -2"
    lab $name 3 "0 0 0" "4 0 -0.5"
    lab $name 3 "0 255 255" "55 -36 -52"
    lab $name 3 "255 0 0" "48 72 58"
    lab $name 1 "255 255 255" "100 0 0"
done
lab matte.icc 3 "255 255 255" "96.5 0.5 2"
lab matte.icc 3 "0 0 0" "17 0.5 1"
lab matte.icc 3 "255 255 0" "87 -4 78"
lab cmyk.icc 3 "0 0 0 0" "95.5 0 -2"
lab cmyk.icc 3 "0 100 100 0" "48 72 58"
lab grey.icc 1 "255" "100 0 0"
# Perceptual and saturation: the darkest there is stands for black.
lab satin.icc 0 "255 255 255" "100 0 0"
lab satin.icc 2 "255 255 255" "100 0 0"
echo "0 0 0" | transicc -n -t0 -i "$from/satin.icc" -o '*Lab' 2>/dev/null |
    awk '{ exit !($1 < 0.1) }' || complain "satin.icc: perceptual black is not 0"

# A picture's white is bare paper: version 4 has a node there, version 2 misses one by a hair.
white() { # FILE DEVICE_NUMBERS_AT_LEAST
    for intent in 0 1 2; do
        echo "100 0 0" | transicc -n -t$intent -i '*Lab' -o "$from/$1" 2>/dev/null |
            awk -v least="$2" '{ exit !($1 >= least && $2 >= least && $3 >= least) }' ||
            complain "$1 intent $intent: white is printed with ink"
    done
}
white satin-v4.icc 255
white satin.icc 254.98

for intent in 0 1 2; do
    survives satin.icc $intent 3 255 0.7 3.1
    survives matte.icc $intent 3 255 0.7 3.1
    survives satin-v4.icc $intent 3 255 0.7 3.1
    survives cmyk.icc $intent 4 100 1.2 5.5
done
[ "$bad" -eq 0 ] && echo "profiles: all as said"
exit "$bad"
