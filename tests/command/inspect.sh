# inspect: what is known of an image or profile.
. "$(dirname "$0")/lib.sh"

day day
run inspect day/photos/first-light.png
code 0
mute
says "2400 x 1600"
says "PNG"
says "RGB"
says "sRGB"

# One that cannot be read does not hide the others; the code is the error's.
run inspect day/photos/first-light.png nosuch.png day/photos/last-hour.png day/orders.csv
code 4
says "2400 x 1600"
says "2400 x 2400"
tells "trimwell: nosuch.png: "
tells "trimwell: day/orders.csv: "

run inspect day/photos/first-light.png day/photos/quiet-water.png --json
code 0
mute
json /ok true
count /files 2
run inspect nosuch.png day/photos/quiet-water.png day/orders.csv --json
code 4
mute
json /ok false
count /files 1
count /errors 2
json /errors/0/file nosuch.png

for file in /dev/zero day .; do
    run inspect "$file"
    code 4
    tells "not a regular file"
done

# A PNG of one pixel whose sRGB and gAMA chunks disagree, and one in HDR.
printf '\211PNG\015\012\032\012\000\000\000\015IHDR\000\000\000\001\000\000\000\001\010\002' >twice.png
printf '\000\000\000\220wS\336\000\000\000\001sRGB\000\256\316\034\351\000\000\000\004gAMA' >>twice.png
printf '\000\001\206\2401\350\226_\000\000\000\014IDATx\332c\370\317\300\000\000\003\001\001' >>twice.png
printf '\000\367\003AC\000\000\000\000IEND\256B`\202' >>twice.png
printf '\211PNG\015\012\032\012\000\000\000\015IHDR\000\000\000\001\000\000\000\001\010\002' >hdr.png
printf '\000\000\000\220wS\336\000\000\000\004cICP\011\020\000\001M##\376\000\000\000\014IDA' >>hdr.png
printf 'Tx\332c\370\317\300\000\000\003\001\001\000\367\003AC\000\000\000\000IEND\256B`\202' >>hdr.png
run inspect twice.png
code 0
mute
says "sRGB, as the file says"
says "its sRGB and gAMA chunks contradict each other: sRGB is followed"
run inspect hdr.png
code 4
tells "high dynamic range (its cICP chunk says primaries 9, transfer 16: PQ)"
tells "as sRGB or Display P3"

# A printer's profile, one of a version that is not read, one whose way to the paper is broken.
press=/usr/share/color/icc/ghostscript/default_cmyk.icc
run inspect "$press"
code 0
says "  output intent can be one: it is an output profile"
says "thousand cubic units"
cp "$press" five.icc
printf '\005\020' | dd of=five.icc bs=1 seek=8 conv=notrunc 2>/dev/null
run inspect five.icc
code 0
says "  as a paper    cannot be one: the profile is of ICC version 5.1; versions 2 and 4 are read"
says "  output intent cannot be one: the profile is of ICC version 5.1; versions 2 and 4 are read"
run inspect five.icc --json
json /files/0/profile/output_intent false
json /files/0/profile/unfit "the profile is of ICC version 5.1; versions 2 and 4 are read"
sed 's/B2A[012]/B2Ax/g' "$press" >broken.icc
run inspect broken.icc
code 0
says "  output intent cannot be one: the profile has no usable tables"

# A line has no volume.
run inspect /usr/share/color/icc/ghostscript/sgray.icc
code 0
says "  gamut         a line from white to black, which has no volume"
run inspect /usr/share/color/icc/ghostscript/sgray.icc --json
says '"black": ['
says_not gamut_volume
