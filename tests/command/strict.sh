# --strict: with any warning nothing is written, and the code is 3; errors stay 4.
. "$(dirname "$0")/lib.sh"

day day
for command in check plan; do
    run $command day --strict
    code 0
done
run compose day -o out.d --strict
code 0

sed 's/, *"colour": {"mode": "tag"}//' day/job.json >job && grep -v '"colour"' job |
    sed 's/"images": \["photos"\],/"images": ["photos"]/' >day/job.json
run compose day -o plain.d
code 0
tells 'trimwell: warning: day/job.json: '
tells 'paper "satin-24in" has no profile, so nothing is converted for it here'
run check day
code 0
says "0 errors, 1 warning"
says "[colour-tagged]"

run check day --strict
code 3
says "0 errors, 1 warning"
tells "trimwell: 1 warning, and --strict allows none"
run plan day --strict
code 3
silent
run compose day -o strict.d --strict
code 3
silent
tells "1 warning, and this run allows none: nothing was written"
tells "trimwell: warning: "
[ ! -e strict.d ] || fail "the folder should not even be made"

run compose day -o strict.d --strict --json
code 3
mute
json /ok false
json /error/code strict
count /warnings 1
json /warnings/0/code colour-tagged

# An older result stays when --strict says no.
cp plain.d/plan.json before.json
run compose day -o plain.d --strict
code 3
same plain.d/plan.json before.json

printf 'order,image,template\n1,first-light.png,nosuch\n' >day/orders.csv
run compose day -o strict.d --strict
code 4
