# Profiles that cannot be used: an image's own is refused by name for a paper that is converted to,
# with "assume" as the way out, and reported where images are tagged. $3 is make_sample.
make_sample=$(cd "$(dirname "$3")" && pwd)/${3##*/}
. "$(dirname "$0")/lib.sh"

icc=/usr/share/color/icc
mkdir day bad
cat >day/small.json <<'END'
{"trimwell": 1, "templates": [{"name": "small", "picture": "1/2in", "border": "1/2in"}]}
END
job() { # PAPER COLOUR
    cat >day/job.json <<END
{"trimwell": 1, "name": "profiles", "papers": ["$1.json"], "templates": ["small.json"],
 "orders": "orders.csv", "resolution": {"warn_below": 72}, "colour": $2}
END
}
paper() { # NAME PROFILE
    cat >"day/$1.json" <<END
{"trimwell": 1, "name": "$1", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}$2}
END
}
paper press ', "profile": "ghostscript/default_cmyk.icc"'
paper plain ''
printf 'order,image,template\n1,bad.jpg,small\n' >day/orders.csv

# bad NAME OFFSET BYTES...: sRGB with some bytes changed.
bad() {
    cp "$icc/sRGB.icc" "bad/$1"
    file=bad/$1
    shift
    while [ $# -gt 1 ]; do
        printf "$2" | dd of="$file" bs=1 seek="$1" conv=notrunc 2>/dev/null
        shift 2
    done
}
bad version1.icc 8 '\001'
bad version3.icc 8 '\003'
bad version5.icc 8 '\005'
bad link.icc 12 link
bad luv.icc 20 'LUV '
# Its curves and colorants of a type nobody knows: the tag table (ICC.1:2010 7.3) says where.
tags=$(od -An -tu1 -j128 -N4 bad/luv.icc | awk '{print $4}')
cp "$icc/sRGB.icc" bad/tags.icc
i=0
while [ "$i" -lt "$tags" ]; do
    entry=$((132 + 12 * i))
    name=$(dd if=bad/tags.icc bs=1 skip=$entry count=4 2>/dev/null)
    at=$(od -An -tu1 -j$((entry + 4)) -N4 bad/tags.icc |
        awk '{print (($1 * 256 + $2) * 256 + $3) * 256 + $4}')
    case $name in
    ?TRC | ?XYZ) printf 'what' | dd of=bad/tags.icc bs=1 seek="$at" conv=notrunc 2>/dev/null ;;
    esac
    i=$((i + 1))
done

why() { # KIND: the reason that is said
    case $1 in
    version1) echo 'its profile is of ICC version 1.' ;;
    version3) echo 'its profile is of ICC version 3.' ;;
    version5) echo 'its profile is of ICC version 5.' ;;
    link) echo 'its profile is of class "link"' ;;
    luv) echo 'its profile connects through "LUV "' ;;
    tags) echo 'its profile has no usable tables: no transform can be made of it' ;;
    esac
}

for kind in version1 version3 version5 link luv tags; do
    "$make_sample" rgb.jpg day/bad.jpg "bad/$kind.icc" || fail "make_sample"

    # Converted: refused, unless the job says what to take.
    job press '{}'
    run check day
    code 4
    says "the colour profile of image \"bad.jpg\" cannot be used to convert it: $(why "$kind")"
    says 'name a profile to take instead in "colour.assume"'
    says '1 error, 0 warnings' # which would say what is taken instead
    for assume in '"srgb"' '{"rgb": "srgb"}' '"sRGB.icc"'; do
        job press "{\"assume\": $assume}"
        run check day
        code 0
        says "the colour profile in image \"bad.jpg\" is not usable: $(why "$kind")"
        says 'is taken, as colour.assume says'
    done

    # Tagged: sRGB stands in, or what the job says, and it is said.
    job press '{"mode": "tag"}'
    run check day
    code 0
    says "the colour profile in image \"bad.jpg\" is not usable: $(why "$kind")"
    says 'sRGB is assumed'
    job plain '{"mode": "tag", "assume": "compatibleWithAdobeRGB1998.icc"}'
    run compose day -o "$kind.d"
    code 0
    tells "\"compatibleWithAdobeRGB1998.icc\" is taken, as colour.assume says"
    grep -qF 'Adobe RGB' "$kind.d/sheet-01.pdf" || fail "the assumed profile should be embedded"
done

# An assumed profile that no image can have is refused where it is named, in every mode, whether or
# not an image takes it.
"$make_sample" rgb.jpg day/bad.jpg "$icc/sRGB.icc" || fail "make_sample"
assumed() { # FILE WORDS
    for paper in press plain; do
        for mode in auto tag; do
            job "$paper" "{\"mode\": \"$mode\", \"assume\":
    \"../bad/$1\"}"
            run check day
            code 4
            says "job.json:3:5: the assumed profile \"../bad/$1\" $2"
            says '(name another one; for RGB images "srgb" is built in)'
            says "1 error, "
        done
    done
}
assumed version1.icc 'is of ICC version 1.'
assumed version5.icc 'is of ICC version 5.'
assumed link.icc 'is of class "link"; an image'\''s profile must be of class mntr, scnr, prtr or spac'
assumed luv.icc 'connects through "LUV "'
assumed tags.icc 'has no usable tables: no transform can be made of it'

# The images that would have taken it are not told of once more.
"$make_sample" rgb.jpg day/bad.jpg bad/luv.icc || fail "make_sample"
assumed tags.icc 'has no usable tables'

# A paper's, at the name of its profile.
paper luv ', "profile":
    "../bad/luv.icc"'
for mode in auto tag convert; do
    job luv "{\"mode\": \"$mode\", \"assume\": \"srgb\"}"
    run check day
    code 4
    says 'luv.json:3:5: the profile "luv.icc" of paper "luv" connects through "LUV "'
done

# CMYK that does not say what it means: the same.
head -c 3000 "$icc/ghostscript/default_cmyk.icc" >bad/cut.icc
"$make_sample" cmyk.jpg day/bad.jpg bad/cut.icc || fail "make_sample"
job press '{}'
run check day
code 4
says 'image "bad.jpg" cannot be used to convert it: the ICC profile says it is'
says '1 error, 0 warnings'
job press '{"mode": "tag"}'
run check day
code 0
says 'its colours are printed as the print path takes untagged CMYK'

# The quick form has no place for "assume".
run compose --paper day/press.json --template 0.5x0.5in -o quick.d day/bad.jpg
code 4
tells 'or print it from a job, where "colour.assume" can name one to take instead)'
nothing_in quick.d
