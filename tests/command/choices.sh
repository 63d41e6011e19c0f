# Plans to choose from: least paper, fewest cuts, equal rows, each with its price; what work is
# worth; sheets of given lengths.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
job() { # LAYOUT
    cat >day/job.json <<END
{"trimwell": 1, "name": "trade", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"},
 "resolution": {"warn_below": 72}, "layout": {$1}}
END
}
roll() { # MORE
    cat >day/roll.json <<END
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}$1}
END
}
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "16x20", "size": "16x20in", "fit": "fill", "border": "1/2in"},
 {"name": "7x9", "size": "7x9in", "fit": "fill", "border": "1/2in"}]}
END
printf 'order,image,template,copies,accept\n1,first-light.png,16x20,1,crops-much\n1,first-light.png,7x9,2,\n' \
    >day/orders.csv

# The least paper is 20 in with four cuts; 23 in need three (worked out in the layout's own test).
# An inch is 12900 / 600 = 21.5 cents.
roll ', "price": "129.00 EUR"'
job ''
run plan day --json
code 0
json /plan/totals/length 508
count /plan/choices 3
json /plan/choices/0/plan paper
json /plan/choices/0/chosen true
json /plan/choices/0/price "4.30 EUR"
json /plan/choices/0/hand_cuts 4
json /plan/choices/1/plan cuts
json /plan/choices/1/chosen false
json /plan/choices/1/length 584.2
json /plan/choices/1/price "4.95 EUR"
json /plan/choices/1/hand_cuts 3
json /plan/choices/2/plan rows
run plan day
says "* paper  1 ft 8 in (0.508 m)              4.30 EUR     4"
says "  cuts   1 ft 11 in (0.584 m)             4.95 EUR     3"
says_not "against least paper"

run plan day --plan cuts
code 0
says "* cuts "
says "against least paper: 1 hand cut fewer for 3 in (0.076 m) more paper"
run compose day --plan rows -o day/out
code 0
run plan day --plan fast
code 2
tells "one of: price paper cuts rows"
job '"plan": "cuts"'
run plan day --json
json /plan/totals/length 584.2
run plan day --plan paper --json
json /plan/totals/length 508

# A cut is worth 3 in of this paper: 64.5 cents.
job '"hand_cut": "0.64 EUR"'
run plan day --json
code 0
count /plan/choices 4
json /plan/choices/0/plan price
json /plan/choices/0/price "6.86 EUR"
json /plan/totals/length 508
job '"hand_cut": "0.65 EUR"'
run plan day --json
json /plan/totals/length 584.2
json /plan/totals/hand_cuts 3
run plan day
says "* price  1 ft 11 in (0.584 m)             6.90 EUR     3"
says "1 hand cut fewer for 3 in (0.076 m) more paper"

# Without a price there is nothing to weigh work against; in another currency neither.
roll ''
run plan day --json
code 0
json /plan/totals/length 508
json /plan/choices/0/price null
json /warnings/0/code work-not-weighed
json /warnings/0/pointer /layout/hand_cut
roll ', "price": "129.00 EUR"'
job '"hand_cut": "0.65 USD"'
run plan day
code 4
tells '"hand_cut" is in USD and the price of paper "roll" in EUR; both must be in one currency'

# Every sheet has one of these lengths; what is longer than all of them is named.
job '"sheet_lengths": ["24in", "30in"]'
run plan day --json
code 0
count /plan/sheets 1
json /plan/sheets/0/length 609.6
json /plan/totals/bound_length 609.6
job '"sheet_lengths": ["15in"]'
run plan day
code 4
tells "print 1-1, 20 in (508 mm) x 16 in (406.4 mm), fits on no sheet of the lengths in layout.sheet_lengths"
job '"sheet_lengths": ["70in"]'
run plan day
code 4
tells '"sheet_lengths" has no length that paper "roll" takes: its sheets are from 0 in (0 mm) to 60 in'
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "sheets", "width": "24in", "length": "36in", "count": 5,
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
job '"sheet_lengths": ["24in"]'
run plan day --json
code 0
json /warnings/0/code sheet-lengths-unused
run plan day
says "least paper, fewest cuts and equal rows come to the same plan"
