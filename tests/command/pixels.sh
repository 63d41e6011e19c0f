# What is done to pixels: resolution.limit_ppi and enlarge_to_ppi, sharpen, limits, pixels that are
# not square.
. "$(dirname "$0")/lib.sh"

# job KEYS: the day's job with more keys. The day's 8x10s are printed at 266.7 ppi (2400 pixels on
# 9 in) and 258.8 (1760 on 6.8); 8x8 at 369.2; 5x7 at 400.
job() {
    cp "$work/.day/job.json" day/job.json
    sed -i "s|\"orders\":|$1, \"orders\":|" day/job.json
}
day day

run plan day
code 0
says_not "pixels made for the paper"
run plan day --json
json /plan/sheets/0/prints/0/pixels/resampled false

job '"resolution": {"limit_ppi": 200}, "sharpen": {"radius": "0.3mm", "amount": 0.6, "threshold": 2}'
run plan day
code 0
says "pixels made for the paper (no file is changed)"
says "first-light.png for 101-1 and 1 more:"
says "reduced from 2400 x 1600 to 1800 x 1200 pixels in linear light"
says "sharpened: radius 0.3 mm, amount 0.6, threshold 2"
cksum day/photos/* >before
run compose day -o sheets
code 0
cksum day/photos/* | cmp -s - before || fail "no image file may change"
json_at() { run plan day --json && json "$1" "$2"; }
json_at /plan/sheets/0/prints/0/pixels/resampled true
json_at /plan/sheets/0/prints/0/pixels/sharpened/amount 0.6

# Twice the same bytes.
cp sheets/sheet-01.pdf first.pdf
run compose day -o again
code 0
same again/sheet-01.pdf first.pdf

job '"resolution": {"enlarge_to_ppi": 300}'
run plan day
code 0
says "enlarged from 2400 x 1600 to 2700 x 1800 pixels in linear light"

job '"resolution": {"limit_ppi": 200, "enlarge_to_ppi": 201}'
run plan day
code 4
tells '"enlarge_to_ppi" is 201 and "limit_ppi" 200; it may be at most that'
job '"resolution": {"limit_ppi": "most"}'
run plan day
code 4
tells '"limit_ppi" is "most"; write "off" or a number of ppi from 1 to 10000'
job '"sharpen": {"radius": "0.3mm"}'
run plan day
code 4
tells '"amount" is missing'
job '"sharpen": {"radius": "2mm", "amount": 1}'
run plan day
code 4
tells '"radius" is'
job '"resolution": {"enlarge_to_ppi": 3000}, "sharpen": {"radius": "1mm", "amount": 1}'
run plan day
code 4
tells 'with a radius of 0.039 in (1 mm) would reach over 118 pixels; it may be 64'

job '"limits": {"pixels": 3000000}'
run plan day
code 4
tells 'it is 2400 x 1600 = 3840000 pixels, limits.pixels allows 3000000'
job '"limits": {"decoded": "10 MiB"}'
run plan day
code 4
tells 'pixels are 11 MiB when decoded, limits.decoded allows 10 MiB'
job '"limits": {"decoded": "plenty"}'
run plan day
code 4
tells '"decoded": "plenty" is no amount of bytes'
job '"resolution": {"enlarge_to_ppi": 1000}, "limits": {"pixels": 10000000}'
run plan day
code 4
tells 'limits.pixels allows 10000000'

# A PNG of 400 x 200 pixels, 2 to 1 by its pHYs chunk.
printf '\211PNG\015\012\032\012\000\000\000\015IHDR\000\000\001\220\000\000\000\310\010' >day/photos/wide.png
printf '\002\000\000\000Iw\040\265\000\000\000\001sRGB\000\256\316\034\351\000\000\000' >>day/photos/wide.png
printf '\011pHYs\000\000\000\002\000\000\000\001\000\311\261\266x\000\000\002\005IDATx' >>day/photos/wide.png
printf '\332\355\3241\015\000\000\010\004\261\227\202\024\244!\035\025\014$M\252\340\206' >>day/photos/wide.png
printf '\313t\001\274\020\011\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/photos/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/photos/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/photos/wide.png
printf '\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/photos/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/photos/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/photos/wide.png
printf '\260\000\014\0130,\025\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,' >>day/photos/wide.png
printf '\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300' >>day/photos/wide.png
printf '\260\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300' >>day/photos/wide.png
printf '\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000' >>day/photos/wide.png
printf '\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260' >>day/photos/wide.png
printf '\000\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260' >>day/photos/wide.png
printf '\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303' >>day/photos/wide.png
printf '\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000' >>day/photos/wide.png
printf '\303\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000' >>day/photos/wide.png
printf '\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303\002' >>day/photos/wide.png
printf '\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303' >>day/photos/wide.png
printf '\0020,\000\303\002\014\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014' >>day/photos/wide.png
printf '\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\0020,\000\303\002\014' >>day/photos/wide.png
printf '\013\300\260\000\014\0130,\000\303\0020,\300\260\000\014\013\300\260\000\303\002' >>day/photos/wide.png
printf '0,\000\303\002\014\013\300\260\000\014\0130,\200;\013\313n\200\000\023#\263\246' >>day/photos/wide.png
printf '\000\000\000\000IEND\256B`\202' >>day/photos/wide.png
job '"resolution": {"warn_below": 10, "refuse_below": 10}'
printf 'order,image,template\n1,wide.png,8x8\n' >day/orders.csv
run check day
code 0
says 'the pixels of image "wide.png" are not square: it is printed in its true shape, with'
says '[uneven-pixels]'
printf 'order,image,template,accept\n1,wide.png,8x8,uneven-pixels\n' >day/orders.csv
run check day
code 0
is "$(cat out)" "0 errors, 0 warnings"
