# check: every problem in one run, each where it is; codes 0 and 4.
. "$(dirname "$0")/lib.sh"

day day
run check day
code 0
mute
is "$(cat out)" "0 errors, 0 warnings"
run check day/job.json
code 0
is "$(cat out)" "0 errors, 0 warnings"

# Many problems, one run, in the order of the file. The sentences are held word for word: they
# are read aloud to people.
cat >day/orders.csv <<'END'
order,image,template,copies,accept
1,first-light.png,8x11,1,
2,frist-light.png,8x10,1,
3,first-light.png,8x10,none,
4,first-light.png,24x36,1,low-ppi uneven-border
5,first-light.png,11x14,1,
6,first-light.png,11x14,1,uneven-border
7,first-light.png,8x10,1,
7,first-light.png,8x10,1,
END
run check day
code 4
mute
says 'Errors:'
says '  orders.csv:2: template "8x11" is not in'
says '(nearest: "8x10")'
says '  orders.csv:3: image "frist-light.png" is not in the image folder (nearest: "first-light.png")'
says '  orders.csv:4: copies is "none"; it may be a whole number from 1 to 10000'
says 'Warnings:'
says '  orders.csv:6: the border shows 3/4 in (19.1 mm) at the sides and 1.208 in (30.7 mm) at the top'
says '[uneven-border]'
says_not 'orders.csv:5: '
says_not 'orders.csv:7: the border'
says '  orders.csv:9: this line asks for the same as line 8'
grep -q '^3 errors, 4 warnings$' out || fail "the summary should count 3 errors and 4 warnings"

run check day --json
code 4
mute
json /ok false
count /errors 3
count /warnings 4
json /errors/0/line 2
json /error/line 2
json /error/file orders.csv
json /plan null

# check says on standard output what compose says on standard error, and both exit alike.
run compose day -o out.d
code 4
silent
tells 'trimwell: orders.csv:2: template "8x11" is not in'
tells 'trimwell: warning: orders.csv:6: '
is "$(grep -c 'orders.csv:2:' err)" 1
nothing_in out.d

# What stops the reading is an error like any other.
for job in nosuch day/photos day/orders.csv; do
    run check "$job"
    code 4
    tells "trimwell: "
    is "$(wc -l <err | tr -d ' ')" 1
done
printf '{"trimwell": 1, "nmae": "x"' >broken.json
run check broken.json
code 4
tells "trimwell: broken.json:1:"

# --pixels decodes every image too; a whole day stays whole. Damage that only this finds is made in
# tests/unit/settle/test_check_pixels.c.
day whole
run check whole --pixels
code 0
mute
is "$(cat out)" "0 errors, 0 warnings"
run plan whole --pixels
code 2
tells "pixels"
