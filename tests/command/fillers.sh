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
