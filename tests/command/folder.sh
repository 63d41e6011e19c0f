# compose and its folder: own files replaced whole, old sheets removed, nothing else touched.
. "$(dirname "$0")/lib.sh"

day day
run compose day -o out.d
code 0
[ -s out.d/sheet-02.pdf ] || fail "there should be two sheets"
echo mine >out.d/notes.txt
echo mine >out.d/sheet-07.pdf
mkdir out.d/sheet-09.pdf

# Only the first order is left: the second sheet is no longer part, and is removed; a file that
# is only named like a sheet is somebody's own.
head -n 3 day/orders.csv >fewer && mv fewer day/orders.csv
run compose day -o out.d
code 0
is "$(ls -A out.d | tr '\n' ' ')" \
    "cut-guide.pdf notes.txt plan.json sheet-01.pdf sheet-07.pdf sheet-09.pdf "
is "$(cat out.d/notes.txt)" mine
is "$(cat out.d/sheet-07.pdf)" mine
[ -d out.d/sheet-09.pdf ] || fail "a folder should not be touched"

# An old plan.json that names files outside the folder, or others' files, removes none of them.
echo mine >precious.pdf
cat >out.d/plan.json <<'END'
{"trimwell": 1, "sheets": [{"file": "../precious.pdf"}, {"file": "notes.txt"},
 {"file": "/etc/hostname"}, {"file": 7}, {"file": "sheet-09.pdf"}]}
END
run compose day -o out.d
[ "$code" -eq 0 ] || [ "$code" -eq 4 ] || [ "$code" -eq 5 ] || fail "a strange old plan"
is "$(cat precious.pdf)" mine
is "$(cat out.d/notes.txt)" mine
[ -d out.d/sheet-09.pdf ] || fail "a folder should not be touched"
rmdir out.d/sheet-09.pdf
echo 'not JSON at all' >out.d/plan.json
run compose day -o out.d
code 0

# A link under one of the names is replaced, never followed.
rm out.d/sheet-01.pdf
ln -s ../precious.pdf out.d/sheet-01.pdf
run compose day -o out.d
code 0
is "$(cat precious.pdf)" mine
[ ! -L out.d/sheet-01.pdf ] || fail "the link should be gone"
is "$(head -c 5 out.d/sheet-01.pdf)" "%PDF-"

# A folder under one of the names: nothing is written, the old files stay as they were.
cp out.d/plan.json before.json
rm out.d/cut-guide.pdf && mkdir out.d/cut-guide.pdf
run compose day -o out.d
[ "$code" -eq 4 ] || [ "$code" -eq 5 ] || fail "a folder is in the way"
tells "cut-guide.pdf"
same out.d/plan.json before.json
rmdir out.d/cut-guide.pdf
is "$(ls -A out.d | tr '\n' ' ')" "notes.txt plan.json sheet-01.pdf sheet-07.pdf "

# An error leaves an older result as it was.
run compose day -o out.d
code 0
cp out.d/sheet-01.pdf before.pdf
sed 's/8x10/9x10/' day/orders.csv >broken && mv broken day/orders.csv
run compose day -o out.d
code 4
same out.d/sheet-01.pdf before.pdf
