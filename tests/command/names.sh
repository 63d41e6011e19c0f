# Hostile names: blanks, quotes, line breaks, control characters, bytes that are not UTF-8, paths
# out of the folder.
. "$(dirname "$0")/lib.sh"

day day
odd=$(printf 'an odd\n"day" \033[31m;$(x)')
day "./$odd"
run compose "$odd" -o "$odd/out d"
code 0
same "$odd/out d/sheet-01.pdf" "$odd/out d/sheet-01.pdf"
! grep -q "$(printf '\033')" out || fail "no escape should reach the terminal"
says 'written to an odd\x0A"day" \x1B[31m;$(x)/out d'
run compose "$odd" -o "$odd/out d" --json
code 0
json /ok true

run check "$(printf 'no\033such\377')"
code 4
tells 'no\x1Bsuch\xFF'
! grep -q "$(printf '\033')" err || fail "no escape should reach the terminal"
run check "$(printf 'no\033such\377')" --json
code 4
json /ok false

# Images are looked up in the job's image folders and never outside, links resolved.
cp day/photos/first-light.png secret.png
outside() {
    printf 'order,image,template\n1,"%s",8x10\n' "$1" >day/orders.csv
    run compose day -o out.d
    code 4
    silent
    tells "orders.csv:2: "
    nothing_in out.d
}
outside '../../secret.png'
outside '../job.json'
outside "$work/secret.png"
ln -s ../../secret.png day/photos/link.png
outside link.png
ln -s ../.. day/photos/up
outside up/secret.png
ln -s first-light.png day/photos/inside.png
printf 'order,image,template\n1,inside.png,8x10\n' >day/orders.csv
run compose day -o out.d
code 0
rm -rf out.d

# Odd names of images, orders and titles come through, and out again in plan.json.
cp secret.png "day/photos/two words & 'quotes'.png"
cp secret.png day/photos/ÅÑ-Ωж.png
cat >day/orders.csv <<'END'
order,image,template,title
A/7 "x",two words & 'quotes'.png,8x10,"First, ""light"""
7,ÅÑ-Ωж.png,8x10,Ελληνικά και кириллица
END
run compose day -o out.d
code 0
cp out.d/plan.json out
says '"order": "A/7 \"x\""'
says 'ÅÑ-Ωж.png'
is "$(ls -A out.d | tr '\n' ' ')" "cut-guide.pdf plan.json sheet-01.pdf "

# The output folder: a name that is a file, or lies in a folder that is not there.
echo mine >file
run compose day -o file
[ "$code" -eq 4 ] || [ "$code" -eq 5 ] || fail "a file is no folder"
is "$(cat file)" mine
run compose day -o no/such/deep/folder
[ "$code" -eq 4 ] || [ "$code" -eq 5 ] || fail "a folder in a missing one"
[ ! -e no ] || fail "no chain of folders should be made"
