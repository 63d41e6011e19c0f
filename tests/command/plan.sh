# plan: how it will lie, as a table and as JSON; the same plan that compose writes.
. "$(dirname "$0")/lib.sh"

day day
run plan day
code 0
mute
says "First print day: 7 prints on 2 sheets"
says "24 in x "
says "101-1"
says "hand cut"
[ ! -e day/out ] || fail "plan should write nothing"
is "$(ls -A day | tr '\n' ' ')" "README.txt job.json orders.csv photos "

run plan day --json
code 0
mute
json /ok true
json /error null
count /warnings 0
json /plan/unit mm
count /plan/sheets 2
# 24 in = 609.6 mm (the international inch is 25.4 mm exactly).
json /plan/sheets/0/width 609.6
json /plan/totals/hand_cuts "$("$json_get" /plan/totals/papers/0/hand_cuts <out)"
"$json_get" /plan <out >said
run compose day -o out.d
code 0
"$json_get" / <out.d/plan.json >written
same said written

# Issue's hand check: three 8x10 with 1/2 in borders on a 24 in roll with 1/4 in side margins and
# no lead or tail margin are one sheet of 24 x 10 in, two hand cuts at 8 and 16 in (203.2 and
# 406.4 mm), the stop at 8 in both times.
mkdir -p three/photos
cp day/photos/first-light.png three/photos
cat >three/job.json <<'END'
{"trimwell": 1, "name": "three", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
cat >three/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >three/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in"}]}
END
printf 'order,image,template,copies\n1,first-light.png,8x10,3\n' >three/orders.csv
run plan three --json
code 0
count /plan/sheets 1
json /plan/sheets/0/width 609.6
json /plan/sheets/0/length 254
count /plan/sheets/0/prints 3
count /plan/sheets/0/cuts 2
json /plan/sheets/0/cuts/0/at 203.2
json /plan/sheets/0/cuts/1/at 406.4
json /plan/sheets/0/cuts/0/stop 203.2
json /plan/sheets/0/cuts/1/stop 203.2
json /plan/totals/hand_cuts 2

# The bound says which cuts it is proved for. The area's, here of full rows, holds for any.
json /plan/totals/bound_stages free
cp three/plain.json plain
echo '{"trimwell": 1, "templates": [{"name": "11x14", "size": "11x14in", "border": "1in"}]}' \
    >three/plain.json
printf 'order,image,template,copies\n1,first-light.png,11x14,2\n' >three/orders.csv
run plan three --json
code 0
json /plan/totals/bound_length 355.6
json /plan/totals/bound_stages 3
run plan three
says "where they are cut in three stages and a trim"
run compose three -o three.d
says "no plan of these prints uses less than 14 in (355.6 mm) (cut in three stages and a trim)."
cp plain three/plain.json

# The order of the lines changes nothing: equal prints of other orders and images among them.
cp day/photos/first-light.png three/photos/other.png
lines='1,first-light.png,8x10,3
2,other.png,8x10,2
3,first-light.png,8x10,4
3,other.png,8x10,4
10,other.png,8x10,1
1,other.png,8x10,3'
for together in '' ', "layout": {"keep_together": "1 EUR"}'; do
    sed 's/}}$/}'"$together"'}/' three/job.json >job && cp job three/job.json
    { echo order,image,template,copies && echo "$lines"; } >three/orders.csv
    run plan three --json
    code 0
    "$json_get" /plan <out >said
    { echo order,image,template,copies && echo "$lines" | sort -r; } >three/orders.csv
    run plan three --json
    code 0
    "$json_get" /plan <out >now
    same said now
done
