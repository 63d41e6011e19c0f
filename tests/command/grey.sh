# A paper with a grey profile: the sheet's pictures are ICC based greys of one channel, and their
# pixels are what another program makes of the colours through the same profile.
profiles=$(cd "$3" && pwd)
. "$(dirname "$0")/lib.sh"
for tool in qpdf pdfimages transicc convert; do
    command -v $tool >/dev/null || { echo "skipped: $tool is not here" && exit 77; }
done

day day
cp "$profiles/grey.icc" day
cat >day/baryta.json <<'END'
{"trimwell": 1, "name": "baryta", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}, "profile": "grey.icc"}
END
cat >day/job.json <<'END'
{"trimwell": 1, "name": "greys", "papers": ["baryta.json"], "templates": ["frames-inch"],
 "orders": "orders.csv", "images": ["."], "colour": {"intent": "relative"}}
END
printf 'order,image,template\n1,chart.png,5x7\n' >day/orders.csv

# Eight stripes of a flat colour each, 250 pixels wide.
colours='255 255 255:0 0 0:255 0 0:0 255 0:0 0 255:128 128 128:230 180 90:40 60 80'
set --
IFS=:
for colour in $colours; do
    set -- "$@" "xc:rgb($(echo "$colour" | tr ' ' ','))"
done
unset IFS
for bits in 8 16; do
    convert -size 250x1400 "$@" +append -depth $bits -define png:exclude-chunks=gAMA,cHRM PNG$((3 * bits)):day/chart.png
    run compose day -o "out$bits"
    code 0
    pdfimages -list "out$bits/sheet-01.pdf" >out
    says " icc     1  $(printf %2d $bits) "
    qpdf --json "out$bits/sheet-01.pdf" >out
    says '"/N": 1'
    says_not '"/N": 3'
    says_not '"/N": 4'
done

# The samples as they lie in the sheet. Dithering moves one by less than a step, so sixteen beside
# each other are taken; transicc's answer has its own rounding.
pdfimages -list out8/sheet-01.pdf >list
number=$(awk 'NR == 3 {print $11}' list) width=$(awk 'NR == 3 {print $4}' list)
qpdf --show-object="$number" --filtered-stream-data out8/sheet-01.pdf >samples
is "$width" 2000
at=$((700 * width + 117))
IFS=:
for colour in $colours; do
    unset IFS
    wanted=$(echo "$colour" | transicc -n -t1 -b -i '*sRGB' -o day/grey.icc 2>/dev/null)
    seen=$(od -An -v -tu1 -w1 -j $at -N 16 samples | awk '{s += $1} END {print s / NR}')
    near=$(echo "$wanted $seen" | awk '{d = $1 - $2; print (d < 1 && d > -1) ? "near" : "far"}')
    is "colour $colour: $seen, wanted $wanted: $near" "colour $colour: $seen, wanted $wanted: near"
    at=$((at + 250))
done

# White is the device's own, not what L* 100 is printed with (templates-demo/make-profiles.c).
for name in satin satin-v4 cmyk; do
    run inspect "$profiles/$name.icc"
    code 0
    says "  white         L* 95.5, a* 0.0, b* -2.0"
done
run inspect "$profiles/matte.icc"
says "  white         L* 96.5, a* 0.5, b* 2.0"
