# --accept-damaged: damaged images are printed as far as they go, and that is said everywhere; without
# it they are errors.
. "$(dirname "$0")/lib.sh"

day day
photo=day/photos/first-light.png
cp "$photo" whole.png
size=$(wc -c <whole.png | tr -d ' ')
cut_at() { head -c "$1" whole.png >"$photo"; }

cut_at $((size * 6 / 10))
run check day
code 4
says 'image "first-light.png"'
says "the PNG is cut short: "
says "with --accept-damaged what is intact of it may still be printed"
run check day --accept-damaged
code 0
says 'image "first-light.png" is printed though it is damaged: the PNG is cut short: '
says " are white ("
says "get the file again if there is another copy of it"
says "[damaged-image]"
run plan day --accept-damaged
code 0
tells "is printed though it is damaged"
says "pixels made for the paper (no file is changed)"
says "damaged: rows "
run plan day --accept-damaged --strict
code 3
run plan day --accept-damaged --json
code 0
json /ok true
at=/plan/sheets/0/prints/1/pixels/damaged
"$json_get" $at/why <out >why || fail "plan.json should say why"
grep -q "the PNG is cut short" why || fail "plan.json should say why"
json /plan/sheets/0/prints/0/pixels/damaged null
count $at/white_rows 1
json $at/passes null
"$json_get" $at/white_share <out >share || fail "plan.json should say the share"
run compose day --accept-damaged -o first
code 0
tells "is printed though it is damaged"
run compose day --accept-damaged -o second
code 0
for file in first/*; do
    same "$file" "second/${file#first/}"
done
run compose day -o without
code 4
nothing_in without

# Whole images are as they are without the option.
cp whole.png "$photo"
run compose day -o plain
code 0
run compose day --accept-damaged -o accepting
code 0
tells_not "damaged"
for file in plain/*; do
    same "$file" "accepting/${file#plain/}"
done

# Damage that only decoding shows, and so little that no row is left.
{ head -c $((size / 2)) whole.png && printf '\377\000\377' &&
    tail -c +$((size / 2 + 4)) whole.png; } >"$photo"
run plan day --accept-damaged
code 0
tells "the PNG cannot be decoded, row "
run plan day
code 0
run check day --pixels
code 4
says "first-light.png: the PNG cannot be decoded, row "
cut_at 200
run check day --accept-damaged
code 4
says "no row of it is known to be intact"
says "get the file again from where it came from"
cut_at 20
run check day --accept-damaged
code 4

# A line may say that it knows.
cut_at $((size * 6 / 10))
image=$(sed -n 's/.*\(first-light\.png\).*/\1/p' day/orders.csv | head -1)
printf 'order,image,template,accept\n1,%s,8x10,damaged-image\n' "$image" >day/orders.csv
run check day --accept-damaged
code 0
says_not "[damaged-image]"
