# Standard streams: results here, messages there; closed, full and broken ones.
. "$(dirname "$0")/lib.sh"

day day
sed 's/quiet-water.png,8x10/quiet-water.png,5x7/' day/orders.csv >day/warned.csv
sed 's/orders.csv/warned.csv/' day/job.json >day/warned.json

run plan day/warned.json
code 0
says "First print day"
says_not "warning"
tells "trimwell: warning: warned.csv:3: "
tells_not "First print day"
tells_not "%"

# A full or closed standard output is a failure of the machine, said on standard error.
last="closed and full streams"
if [ -c /dev/full ]; then
    for words in "plan day" "plan day --json" "--help" "--version" "check day" \
        "compose day -o out.d"; do
        # shellcheck disable=SC2086 # words are meant
        "$trimwell" $words >/dev/full 2>err
        code=$?
        last="trimwell $words >/dev/full"
        code 5
        tells "trimwell: cannot write to standard output: No space left on device"
    done
fi
"$trimwell" plan day >&- 2>err
code=$?
last="standard output closed"
code 5
tells "trimwell: cannot write to standard output"
# With every stream closed nothing of what is said lands in the files written.
"$trimwell" compose day -o bare.d <&- >&- 2>&-
code=$?
last="all streams closed"
code 5
"$trimwell" compose day/warned.json -o bare2.d <&- >out 2>&-
code=$?
code 0
"$trimwell" compose day -o full.d >out 2>err
for file in sheet-01.pdf sheet-02.pdf plan.json cut-guide.pdf; do
    same bare.d/$file full.d/$file
done
! grep -qa 'warning' bare2.d/plan.json || fail "messages should not land in files"

# A reader that goes away is a write error, not a death by SIGPIPE.
last="a broken pipe"
{ { sleep 1; "$trimwell" plan day 2>err; echo $? >code; } | true; }
code=$(cat code)
code 5
tells "Broken pipe"

# Progress: only on a terminal, and gone at the end.
run compose day -o out.d
mute
if command -v script >/dev/null; then
    TERM=xterm script -qec "'$trimwell' compose day -o tty.d >shown" /dev/null >seen </dev/null
    last="compose on a terminal"
    esc=$(printf '\033')
    grep -q '%' seen || fail "progress should show on a terminal: $(head -c 300 seen)"
    tail -c 4 seen | grep -q "$esc\\[K" || fail "progress should be erased at the end"
    is "$(grep -c "$esc" shown)" 0
    TERM=dumb script -qec "'$trimwell' compose day -o tty.d >shown" /dev/null >seen </dev/null
    ! grep -q '%' seen || fail "a dumb terminal gets no progress"
    TERM=xterm script -qec "'$trimwell' compose day -o tty.d --quiet >shown" /dev/null >seen \
        </dev/null
    [ ! -s seen ] || fail "--quiet should show nothing"
else
    skip "no script(1) to make a terminal"
fi
