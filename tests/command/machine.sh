# Where the machine fails: code 5, and nothing half-written.
. "$(dirname "$0")/lib.sh"

day day

# A folder that cannot be made; whoever runs this, /proc takes no folders.
if [ -d /proc/self ]; then
    run compose day -o /proc/trimwell-out
    code 5
    silent
    tells "trimwell: "
    tells "/proc/trimwell-out"
fi

# A folder without the right to write (root may write anywhere, so root tries a read-only mount).
mkdir closed
if [ "$(id -u)" != 0 ]; then
    chmod 555 closed
    run compose day -o closed
    code 5
    nothing_in closed
    run compose day -o closed/deeper
    code 5
    chmod 755 closed
elif mount -t tmpfs -o ro,size=64k tmpfs closed 2>/dev/null; then
    run compose day -o closed
    umount closed
    code 5
    tells "Read-only"
else
    skip "no read-only folder: mounting is not allowed here"
fi

# A disk that fills up midway: a file system of 512 KiB, sheets of more.
mkdir small
if [ "$(id -u)" = 0 ] && mount -t tmpfs -o size=512k tmpfs small 2>/dev/null; then
    run compose day -o small
    left=$(ls -A small)
    run_code=$code
    run compose day -o small/deeper --json
    deeper=$(find small/deeper -type f 2>/dev/null)
    umount small
    is "$run_code" 5
    is "$left" ""
    is "$deeper" ""
    code 5
    mute
    json /ok false
else
    skip "no full disk: mounting is not allowed here"
fi

# A limit on the size of files is a write error too, not a death by signal.
(ulimit -f 200 && "$trimwell" compose day -o limited >out 2>err)
code=$?
last="compose with a limit on files"
code 5
nothing_in limited

# An old result stays whole.
run compose day -o kept.d
code 0
cp kept.d/sheet-01.pdf before.pdf
(ulimit -f 200 && "$trimwell" compose day -o kept.d >out 2>err)
code=$?
code 5
same kept.d/sheet-01.pdf before.pdf
is "$(ls -A kept.d | tr '\n' ' ')" "cut-guide.pdf plan.json sheet-01.pdf sheet-02.pdf "
