# What is done to pixels: resolution.limit_ppi and enlarge_to_ppi, sharpen, limits, pixels that are
# not square.
. "$(dirname "$0")/lib.sh"

# Two PNGs of one colour, 400 x 200 pixels; those of the second are 2 to 1 by its pHYs chunk.
mkdir day
printf '\211PNG\015\012\032\012\000\000\000\015IHDR\000\000\001\220\000\000\000\310\010' >day/plain.png
printf '\002\000\000\000Iw\040\265\000\000\000\001sRGB\000\256\316\034\351\000\000\002' >>day/plain.png
printf '\005IDATx\332\355\3241\015\000\000\010\004\261\227\202\024\244!\035\025\014$M' >>day/plain.png
printf '\252\340\206\313t\001\274\020\011\000\303\0020,\300\260\000\014\013\300\260\000' >>day/plain.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000' >>day/plain.png
printf '\014\013\300\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303' >>day/plain.png
printf '\0020,\300\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000' >>day/plain.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000' >>day/plain.png
printf '\014\013\300\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303' >>day/plain.png
printf '\0020,\300\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000' >>day/plain.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000' >>day/plain.png
printf '\014\013\300\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303' >>day/plain.png
printf '\0020,\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303' >>day/plain.png
printf '\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014' >>day/plain.png
printf '\013\300\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\002' >>day/plain.png
printf '0,\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/plain.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/plain.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/plain.png
printf '\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000' >>day/plain.png
printf '\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260' >>day/plain.png
printf '\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260' >>day/plain.png
printf '\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303' >>day/plain.png
printf '\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000' >>day/plain.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\200;\013\313n\200\000\023#' >>day/plain.png
printf '\263\246\000\000\000\000IEND\256B`\202' >>day/plain.png
printf '\211PNG\015\012\032\012\000\000\000\015IHDR\000\000\001\220\000\000\000\310\010' >day/wide.png
printf '\002\000\000\000Iw\040\265\000\000\000\001sRGB\000\256\316\034\351\000\000\000' >>day/wide.png
printf '\011pHYs\000\000\000\002\000\000\000\001\000\311\261\266x\000\000\002\005IDATx' >>day/wide.png
printf '\332\355\3241\015\000\000\010\004\261\227\202\024\244!\035\025\014$M\252\340\206' >>day/wide.png
printf '\313t\001\274\020\011\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/wide.png
printf '\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/wide.png
printf '\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/wide.png
printf '\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000' >>day/wide.png
printf '\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260' >>day/wide.png
printf '\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260' >>day/wide.png
printf '\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303' >>day/wide.png
printf '\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000' >>day/wide.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000' >>day/wide.png
printf '\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303\002' >>day/wide.png
printf '\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303' >>day/wide.png
printf '\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014' >>day/wide.png
printf '\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303\002\014' >>day/wide.png
printf '\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\002' >>day/wide.png
printf '0,\000\303\002\014\013\300\260\000\014\0130,\200;\013\313n\200\000\023#\263\246' >>day/wide.png
printf '\000\000\000\000IEND\256B`\202' >>day/wide.png
# job KEYS: a day with more keys. The picture is 2 in wide, so that 400 pixels are 200 ppi.
cat >day/small.json <<'END'
{"trimwell": 1, "templates": [{"name": "small", "picture": "2in", "border": "1/2in"}]}
END
printf 'order,image,template\n1,plain.png,small\n2,plain.png,small\n' >day/orders.csv
job() {
    cat >day/job.json <<END
{"trimwell": 1, "name": "Day", "papers": ["satin-24in"], "templates": ["small.json"],
 "orders": "orders.csv", "colour": {"mode": "tag"}$1}
END
}

job ''
run plan day
code 0
says_not "pixels made for the paper"
run plan day --json
json /plan/sheets/0/prints/0/pixels/resampled false

job ', "resolution": {"limit_ppi": 100}, "sharpen": {"radius": "0.3mm", "amount": 0.6, "threshold": 2}'
run plan day
code 0
says "pixels made for the paper (no file is changed)"
says "plain.png for 1-1 and 1 more:"
says "reduced from 400 x 200 to 200 x 100 pixels in linear light"
says "sharpened: radius 0.3 mm, amount 0.6, threshold 2"
cksum day/*.png >before
run compose day -o sheets
code 0
cksum day/*.png | cmp -s - before || fail "no image file may change"
run plan day --json
json /plan/sheets/0/prints/0/pixels/resampled true
json /plan/sheets/0/prints/0/pixels/width 200
json /plan/sheets/0/prints/0/pixels/sharpened/amount 0.6
run compose day -o again
code 0
same again/sheet-01.pdf sheets/sheet-01.pdf

job ', "resolution": {"enlarge_to_ppi": 300}'
run plan day
code 0
says "enlarged from 400 x 200 to 600 x 300 pixels in linear light"

# refused KEYS MESSAGE
refused() {
    job "$1"
    run plan day
    code 4
    tells "$2"
}
refused ', "resolution": {"limit_ppi": 200, "enlarge_to_ppi": 201}' \
    '"enlarge_to_ppi" is 201 and "limit_ppi" 200; it may be at most that'
refused ', "resolution": {"limit_ppi": "most"}' \
    '"limit_ppi" is "most"; write "off" or a number of ppi from 1 to 10000'
refused ', "sharpen": {"radius": "0.3mm"}' '"amount" is missing'
refused ', "sharpen": {"radius": "2mm", "amount": 1}' '"radius" is'
refused ', "sharpen": {"radius": "0.1mm", "amount": 6}' '"amount" is 6; it may be more than 0, up to 5'
refused ', "resolution": {"enlarge_to_ppi": 3000}, "sharpen": {"radius": "1mm", "amount": 1}' \
    'with a radius of 0.039 in (1 mm) would reach over 118 pixels; it may be 64'
refused ', "limits": {"pixels": 79999}' \
    'it is 400 x 200 = 80000 pixels, limits.pixels allows 79999'
refused ', "limits": {"decoded": "plenty"}' '"decoded": "plenty" is no amount of bytes'
refused ', "limits": {"decoded": "1 MB"}' '"decoded": "1 MB" is less than 1 MiB'
refused ', "resolution": {"enlarge_to_ppi": 1000}, "limits": {"pixels": 1000000}' \
    'would be enlarged to 2000 x 1000 pixels; limits.pixels allows 1000000'

job ', "resolution": {"warn_below": 72}'
printf 'order,image,template\n1,wide.png,small\n' >day/orders.csv
run check day
code 0
says 'the pixels of image "wide.png" are not square: it is printed in its true shape, with 200.0 ppi'
says '[uneven-pixels]'
printf 'order,image,template,accept\n1,wide.png,small,uneven-pixels\n' >day/orders.csv
run check day
code 0
is "$(cat out)" "0 errors, 0 warnings"
