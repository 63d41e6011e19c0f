# Sourced by every whole-command test: $1 is the command, $2 json_get. Makes a folder of its own,
# goes there, and removes it at the end. Words for tests:
#   run WORDS...        the command; its code, output and messages in $code, ./out and ./err
#   code N              the code was N
#   says TEXT           standard output holds TEXT      silent      ... is empty
#   tells TEXT          standard error holds TEXT       mute        ... is empty
#   tells_not TEXT      says_not TEXT
#   json POINTER TEXT   ./out is one JSON document whose value there is TEXT
#   count POINTER N     ... has N items
#   day DIR             a fresh copy of the print day of `trimwell start`
set -u
trimwell=$(cd "$(dirname "$1")" && pwd)/${1##*/}
json_get=$(cd "$(dirname "$2")" && pwd)/${2##*/}
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 1' INT TERM
cd "$work" || exit 1
LC_ALL=C
export LC_ALL

fail() {
    echo "FAILED: $last"
    echo "  $*"
    echo "  code $code"
    echo "--- standard output" && head -c 3000 out
    echo "--- standard error" && head -c 3000 err
    exit 1
}
run() {
    last="trimwell $*"
    "$trimwell" "$@" >out 2>err </dev/null
    code=$?
}
code() { [ "$code" -eq "$1" ] || fail "code should be $1"; }
says() { grep -qF -- "$1" out || fail "output should hold: $1"; }
says_not() { ! grep -qF -- "$1" out || fail "output should not hold: $1"; }
tells() { grep -qF -- "$1" err || fail "messages should hold: $1"; }
tells_not() { ! grep -qF -- "$1" err || fail "messages should not hold: $1"; }
silent() { [ ! -s out ] || fail "output should be empty"; }
mute() { [ ! -s err ] || fail "messages should be empty"; }
same() { cmp -s "$1" "$2" || fail "$1 and $2 should be the same"; }
is() { [ "$1" = "$2" ] || fail "\"$1\" should be \"$2\""; }
json() {
    value=$("$json_get" "$1" <out) || fail "one JSON document with $1 should be there"
    is "$value" "$2"
}
count() {
    value=$("$json_get" "$1" count <out) || fail "one JSON document with $1 should be there"
    is "$value" "$2"
}
day() {
    if [ ! -d "$work/.day" ]; then
        run start "$work/.day"
        code 0
    fi
    cp -R "$work/.day" "$1"
}
# No file of a run that failed is left: DIR is missing or holds nothing.
nothing_in() {
    [ ! -e "$1" ] || [ -z "$(ls -A "$1")" ] || fail "$1 should hold nothing: $(ls -A "$1")"
}
skip() {
    echo "skipped: $*"
}
last='' code=0
: >out
: >err
