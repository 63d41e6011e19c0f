# The same bytes whichever compiler built the library: gcc and clang, both at -O3 for processors
# that have fused multiply-add (-march=x86-64-v3), compose one small day, and so does the command
# that this build made. Converted through a profile, reduced, enlarged, sharpened and dithered, from
# PNG, JPEG and TIFF. Every file must be the same in all.
# Words: COMMAND JSON_GET MAKE_SAMPLE PROFILES. Builds the library twice, so it is one of the deep tests.
. "$(dirname "$0")/../command/lib.sh"
make_sample=$3
profiles=$4

not_here() {
    skip "$*"
    exit 77
}
for needed in gcc clang cmake; do
    command -v $needed >found || not_here "$needed is not here"
done
for flag in avx2 bmi2 fma movbe; do
    grep -qw $flag /proc/cpuinfo 2>found || not_here "this processor is not an x86-64-v3 ($flag)"
done

# built COMPILER: the command in COMPILER/trimwell.
built() {
    last="building with $1"
    {
        cmake -S "$here/../.." -B "$1" -DCMAKE_C_COMPILER="$1" -DCMAKE_BUILD_TYPE=Release \
            -DCMAKE_C_FLAGS= -DCMAKE_C_FLAGS_RELEASE='-O3 -march=x86-64-v3 -DNDEBUG' &&
            cmake --build "$1" -j2 --target trimwell-command
    } >out 2>err
    code=$?
    code 0
}

mkdir day
for kind in plain.png interlaced.png progressive.jpg deflated.tif lzw.tif; do
    "$make_sample" $kind day/$kind || exit 1
done
"$make_sample" rgb.jpg day/rgb.jpg "$profiles/satin-v4.icc" || exit 1
"$make_sample" cmyk.jpg day/cmyk.jpg "$profiles/cmyk.icc" || exit 1
cp "$profiles/satin.icc" "$profiles/matte.icc" day || exit 1

# Images of 60 x 60 pixels: on half an inch they are reduced, on two inches enlarged.
cat >day/sizes.json <<'END_SIZES'
{"trimwell": 1, "templates": [
 {"name": "small", "picture": "1/2in", "border": "1/2in"},
 {"name": "large", "picture": "2in", "border": "1/2in",
  "sharpen": {"radius": "0.3mm", "amount": 0.6, "threshold": 2}}]}
END_SIZES
for paper in satin matte; do
    cat >day/$paper.json <<END_PAPER
{"trimwell": 1, "name": "$paper", "kind": "roll", "width": "17in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}, "profile": "$paper.icc"}
END_PAPER
done
cat >day/job.json <<'END_JOB'
{"trimwell": 1, "name": "Day", "papers": ["satin.json", "matte.json"], "templates": ["sizes.json"],
 "orders": "orders.csv", "colour": {"mode": "convert", "intent": "auto"},
 "resolution": {"limit_ppi": 100, "enlarge_to_ppi": 90,
                "refuse_below": 20}}
END_JOB
echo "order,image,template,paper,intent" >day/orders.csv
for image in plain.png interlaced.png progressive.jpg deflated.tif lzw.tif rgb.jpg cmyk.jpg; do
    for size in small large; do
        echo "$image,$image,$size,satin," >>day/orders.csv
        echo "$image,$image,$size,matte,perceptual" >>day/orders.csv
    done
done

# made COMMAND DIR: the sheets, their proof and a test strip, by that command.
made() {
    trimwell=$1
    run compose day -o "$2"
    code 0
    run proof day -o "$2/proof"
    code 0
    run proof day -o "$2/strip" --strip --vary exposure --wedge --patches
    code 0
}
here_made=$trimwell
made "$here_made" this
[ -s this/sheet-02.pdf ] || fail "a sheet of each paper should be there"
trimwell=$here_made
run plan day
says "reduced from 60 x 60 to 50 x 50 pixels"
says "enlarged from 60 x 60 to 180 x 180 pixels"
says "sharpened: radius 0.3 mm"

for compiler in gcc clang; do
    built $compiler
    made "$work/$compiler/trimwell" by_$compiler
    last="composing with what $compiler built"
    # What the proof saw of files bears their stamps and its own.
    diff -rq -x .trimwell-views this by_$compiler >out 2>err || fail "every file should be the same"
done
echo "gcc and clang at -O3 -march=x86-64-v3: the same bytes"
