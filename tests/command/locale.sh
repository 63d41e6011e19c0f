# A program that calls setlocale gets the same messages, and numbers in files are read alike: JSON
# has a point whatever the user's locale writes.
# Words: COMMAND JSON_GET PROGRAM (locale.c).
. "$(dirname "$0")/lib.sh"
program=$3
day day
code=0; : >out; : >err

localedef -i de_DE -f UTF-8 ./de_DE.UTF-8 2>made || {
    cat made
    exit 1
}
export LOCPATH="$PWD"

cat >day/wrong.json <<'END_JOB'
{"trimwell": 1.5, "name": "Wrong numbers", "papers": ["satin-24in"], "templates": ["frames-inch"],
 "orders": "orders.csv", "layout": {"gutter": 3.25, "add_row_at": 1.75},
 "images": ["photos"], "sharpen": {"radius": "0.3mm", "amount": 5.5}}
END_JOB

last="the same messages with a decimal comma"
"$program" day/wrong.json >plain || exit 1
"$program" day/wrong.json de_DE.UTF-8 >comma || exit 1
for number in 1.5 3.25 1.75 5.5; do
    grep -qF "$number" plain || fail "$number is not in: $(cat plain)"
done
cmp -s plain comma || fail "$(diff plain comma)"
