# Ctrl-C: the run stops, says so, and leaves nothing half-written.
. "$(dirname "$0")/lib.sh"

# Enough to write for a signal to fall in the middle of it: many copies on many sheets.
day day
sed 's/,2,First light/,400,First light/' day/orders.csv >many && mv many day/orders.csv
sed 's/"papers": \["satin-24in"\]/"papers": ["long.json"]/' day/job.json >job &&
    mv job day/job.json
cat >day/long.json <<'END'
{"trimwell": 1, "name": "long", "kind": "roll", "width": "24in", "length": "5000ft",
 "margins": {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}, "longest_sheet": "10in"}
END

# stopped SIGNAL: started in a shell that has it at its usual action; sent once files appear.
stopped() {
    rm -rf out.d
    "$trimwell" compose day -o out.d >out 2>err &
    process=$!
    tries=0
    while [ -z "$(ls -A out.d 2>/dev/null)" ] && [ $tries -lt 600 ]; do
        sleep 0.05
        tries=$((tries + 1))
    done
    kill -s "$1" $process
    wait $process
    code=$?
    last="compose, ended by SIG$1"
    code 5
    silent
    tells "trimwell: stopped"
    nothing_in out.d
}
stopped TERM
stopped HUP

# A run that was started with hang-ups ignored, as nohup does, goes on.
rm -rf out.d
(
    trap '' HUP
    exec "$trimwell" compose day -o out.d >out 2>err
) &
process=$!
tries=0
while [ -z "$(ls -A out.d 2>/dev/null)" ] && [ $tries -lt 600 ]; do
    sleep 0.05
    tries=$((tries + 1))
done
kill -s HUP $process
wait $process
code=$?
last="compose, hang-ups ignored"
code 0

run compose day -o out.d --quiet
code 0
[ -s out.d/plan.json ] || fail "left alone, the run ends well"
