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
