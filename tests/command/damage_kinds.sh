# Damage in every kind of image that decoding can find: `check --pixels` names file and place, and
# --accept-damaged prints what is left or says that nothing is. $3 is make_sample.
make_sample=$(cd "$(dirname "$3")" && pwd)/${3##*/}
. "$(dirname "$0")/lib.sh"

mkdir day
cat >day/small.json <<'END'
{"trimwell": 1, "templates": [{"name": "small", "picture": "1/2in", "border": "1/2in"}]}
END
cat >day/job.json <<'END'
{"trimwell": 1, "name": "Day", "papers": ["satin-24in"], "templates": ["small.json"],
 "orders": "orders.csv", "colour": {"mode": "tag"}, "resolution": {"warn_below": 72}}
END

# damaged KIND PART WORDS LEFT BYTES COUNT: the COUNT bytes at PART percent of the file are others;
# WORDS are said of it, and LEFT when it is accepted.
damaged() {
    "$make_sample" "$1" whole || fail "$1 should be made"
    size=$(wc -c <whole | tr -d ' ')
    at=$((size * $2 / 100))
    cp whole "day/$1"
    printf 'order,image,template\n1,%s,small\n' "$1" >day/orders.csv
    run check day --pixels
    code 0
    { head -c "$at" whole && printf "$5" && tail -c +$((at + 1 + $6)) whole; } >"day/$1"
    is "$(wc -c <"day/$1" | tr -d ' ')" "$size"
    run check day --pixels
    code 4
    says "$1: "
    says "$3"
    run check day --pixels --accept-damaged
    code 0
    says "image \"$1\" is printed though it is damaged: "
    says "$4"
}

damaged plain.png 60 'the PNG cannot be decoded, row ' ' of 0 to 59 are white (' '\125\252\125' 3
damaged interlaced.png 60 'the PNG cannot be decoded: ' 'its picture is made of ' '\125\252\125' 3
# ones that no code has (ITU-T T.81, C.2), with the zero after each FF that data must have
damaged baseline.jpg 70 'the JPEG is damaged in row ' 'look at the picture: a JPEG has no check sums' \
    '\377\000\377\000\377\000\377\000\377\000\377\000' 12
damaged progressive.jpg 70 'the JPEG is damaged in row ' ' scans and coarser' \
    '\377\000\377\000\377\000\377\000\377\000\377\000' 12
damaged deflated.tif 50 'the TIFF is damaged in row ' ' are white (16.7 %)' '\125\252\125' 3
damaged tiles.tif 20 'the TIFF is damaged in row 0' 'rows 0 to 31 of 0 to 59 are white (53.3 %)' \
    '\125\252\125' 3
damaged lzw.tif 50 'the TIFF is damaged in row ' ' are white (16.7 %)' \
    '\377\377\377\377\377\377\377\377' 8
damaged jpeg.tif 50 'the TIFF is damaged in row ' ' are white (' \
    '\377\000\377\000\377\000\377\000\377\000\377\000' 12
