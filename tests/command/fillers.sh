# Fillers take free places and no paper: those worth their cost, as many as fit; and --effort.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/job.json <<'END'
{"trimwell": 1, "name": "three", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
printf 'order,image,template,copies\n1,first-light.png,8x10,1\n' >day/orders.csv
run plan day --json
code 0
count /plan/sheets/0/prints 1
json /plan/totals/length 254

# One 8x10 leaves room for two more beside it (24 in = 3 x 8 in).
sed 's/"orders.csv",/"orders.csv", "fillers": "fillers.csv",/' day/job.json >job && mv job day/job.json
cat >day/fillers.csv <<'END'
image,template,copies,sells_for,chance,cost
first-light.png,8x10,5,20.00 EUR,50%,4.00 EUR
END
run plan day --json
code 0
count /plan/sheets/0/prints 3
json /plan/totals/length 254
count /plan/unplaced 0
run plan day
code 0
says "3 prints on 1 sheet, 2 of them fillers"
run compose day -o day/out
code 0
[ -s day/out/sheet-01.pdf ] || fail "the sheet should be written"

# 20.00 at one in ten brings 2.00 and costs 4.00: no filler.
sed 's/50%/10%/' day/fillers.csv >fillers && mv fillers day/fillers.csv
run plan day --json
code 0
count /plan/sheets/0/prints 1
count /plan/unplaced 0

for how in quick normal thorough; do
    run plan --effort "$how" day --json
    code 0
    json /plan/totals/length 254
done
run plan --effort much day
code 2
tells "one of: quick normal thorough"

# Cut to any depth, the free places are taken as well.
sed 's/10%/50%/' day/fillers.csv >fillers && mv fillers day/fillers.csv
sed 's/"images"/"layout": {"stages": "free"}, "images"/' day/job.json >job && mv job day/job.json
run plan day --json
code 0
count /plan/sheets/0/prints 3
json /plan/totals/length 254

# A row of three more: 3 x 6.00 for 10 in of a roll at 1.00 an inch. Not for a roll without price.
rows() { sed "s/\"layout\": {[^}]*}/\"layout\": {\"add_row_at\": $1}/" day/job.json >job && mv job day/job.json; }
rows 0.9
run plan day --json
code 0
count /plan/sheets 1
run check day
says 'paper "roll" has no price: no rows of fillers are added'
sed 's/"50ft",/"50ft", "price": "600 EUR",/' day/roll.json >roll && mv roll day/roll.json
run plan day --json
code 0
count /plan/sheets 2
count /plan/sheets/1/prints 3
json /plan/totals/length 508
rows 0
run check day --json
code 4
json /errors/0/code out-of-range
json /errors/0/pointer /layout/add_row_at
rows 1.01
run check day
code 4
rows '"often"'
run check day
code 4
