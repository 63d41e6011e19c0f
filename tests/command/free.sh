# plan says which of the job's templates still fit today's waste, and what would pay.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/job.json <<'END'
{"trimwell": 1, "name": "free", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
# An inch of this roll costs 1.00; three 8x10 lie across, 10 in long.
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "price": "600.00 EUR", "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never", "lie": "upright"}, {"name": "4x5", "size": "4x5in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
printf 'order,image,template,copies\n1,first-light.png,8x10,2\n' >day/orders.csv
run plan day --json
code 0
json /plan/totals/length 254
count /plan/free 1
json /plan/free/0/template 8x10
json /plan/free/0/count 1
# Of 10.00 a row, two pay 5.00 each and three 3.33.
count /plan/would_pay 1
json /plan/would_pay/0/more 1
json /plan/would_pay/0/saves_each "1.67 EUR"
run plan day
says "free today on roll: one 8x10"
says "one more 8x10 saves 1.67 EUR of paper on each of the 3 in a row"

# Three fill it.
printf 'order,image,template,copies\n1,first-light.png,8x10,3\n' >day/orders.csv
run plan day --json
code 0
count /plan/free 0
count /plan/would_pay 0
run plan day
says "free today on roll: nothing"

# One 8x9 leaves 16 in of 9 in: four 4x5 across, and no second row under them.
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x9", "size": "8x9in", "border": "1/2in",
 "turn": "never", "lie": "upright"}, {"name": "4x5", "size": "4x5in", "border": "1/2in",
 "turn": "never", "lie": "upright"}, {"name": "9x9", "size": "9x9in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
printf 'order,image,template\n1,first-light.png,8x9\n' >day/orders.csv
run plan day
code 0
says "free today on roll: one 4x5, one 9x9"
says "two more 8x9 save 6.00 EUR of paper on each of the 3 in a row"
