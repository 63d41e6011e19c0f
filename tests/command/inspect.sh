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
