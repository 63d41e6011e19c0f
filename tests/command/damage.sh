# Images and files that are damaged or not what they say: code 4, a clear message, no output.
. "$(dirname "$0")/lib.sh"

day day
photo=day/photos/first-light.png
cp "$photo" whole.png
size=$(wc -c <whole.png | tr -d ' ')

refused() {
    run compose day -o out.d
    code 4
    silent
    tells "trimwell: "
    tells "$1"
    nothing_in out.d
    run compose day -o out.d --json
    code 4
    mute
    json /ok false
    nothing_in out.d
}

# Cut off in the middle of its pixels.
head -c $((size / 2)) whole.png >"$photo"
refused first-light.png
# One byte of the pixels changed: the chunk's CRC no longer holds (PNG specification, 5.3).
{ head -c $((size / 2)) whole.png && printf '\377\000\377' &&
    tail -c +$((size / 2 + 4)) whole.png; } >"$photo"
is "$(wc -c <"$photo" | tr -d ' ')" "$size"
! cmp -s "$photo" whole.png || fail "the image should be changed"
refused first-light.png
# Not an image; empty; a folder; a pipe, which must not make it wait.
echo 'not an image' >"$photo"
refused first-light.png
: >"$photo"
refused first-light.png
rm "$photo" && mkdir "$photo"
refused first-light.png
rmdir "$photo" && mkfifo "$photo"
refused first-light.png
rm "$photo"
refused first-light.png

# An older result stays as it was when an image turns out damaged.
cp whole.png "$photo"
run compose day -o kept.d
code 0
cp kept.d/sheet-01.pdf before.pdf
{ head -c $((size / 2)) whole.png && printf '\377\000\377' &&
    tail -c +$((size / 2 + 4)) whole.png; } >"$photo"
run compose day -o kept.d
code 4
same kept.d/sheet-01.pdf before.pdf
is "$(ls -A kept.d | tr '\n' ' ')" "cut-guide.pdf plan.json sheet-01.pdf sheet-02.pdf "
cp whole.png "$photo"

# Texts: not UTF-8, no order lines, a file too deep, a device.
printf 'order,image,template\n1,first-light.png,8x10\377\n' >day/orders.csv
refused orders.csv
printf 'order,image,template\n' >day/orders.csv
refused orders.csv
printf '\357\273\277order;image;template\r\n1;first-light.png;"8x10"\r\n' >day/orders.csv
run compose day -o bom.d
code 0
for job in /dev/zero /dev/stdin; do
    run check "$job"
    code 4
    tells "not a regular file"
done
cp day/job.json good.json
tr '{' '[' <good.json >day/job.json
run check day
code 4
tells "job.json:"
