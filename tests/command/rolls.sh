# Several rolls of one paper: used one after another, said in every place, none loaded in vain.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/job.json <<'END'
{"trimwell": 1, "name": "rolls", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
# What is left on the second roll is $1.
roll() {
    cat >day/roll.json <<END
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "24in",
 "further_rolls": $1, "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"},
 "lost": {"each_load": "3in", "core_end": "1in"}, "cutter": "hand"}
END
}
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
cat >day/orders.csv <<'END'
order,image,template,copies,due
1,first-light.png,8x10,6,2027-03-08
2,first-light.png,8x10,6,2027-03-09
END

# Twelve 8x10 are four rows of 10 in. Two rolls of 24 in lose 4 in each (load and core) and hold two
# rows each: 48 in = 1219.2 mm, all there is, and no plan uses less. Of each roll the core's inch is
# left.
roll '["24in"]'
run plan day
code 0
says "  roll 1 of 2, 2 ft (0.61 m) left:"
says "  roll 2 of 2, 2 ft (0.61 m) left:"
says "4 ft (1.219 m) of 4 ft (1.219 m) on 2 rolls"
says "roll 1: 1 in (0.025 m)"
run plan day --json
code 0
count /plan/sheets 2
json /plan/sheets/0/roll 1
json /plan/sheets/1/roll 2
json /plan/totals/length 1219.2
json /plan/totals/bound_length 1219.2
json /plan/totals/papers/0/rolls/0/used 609.6
json /plan/totals/papers/0/rolls/0/sheets 1
json /plan/totals/papers/0/rolls/1/left 25.4
count /plan/unplaced 0

# Each roll's sheets are a file of their own, though one file a paper was asked for.
run compose day --one-file -o day/out
code 0
is "$(ls day/out | tr '\n' ' ')" "cut-guide.pdf plan.json sheets-01.pdf sheets-02.pdf "
if command -v pdftotext >/dev/null; then
    pdftotext -layout day/out/cut-guide.pdf guide.txt
    tr -s ' \n' ' ' <guide.txt >out
    says "Load roll 1 of 2 (2 ft 0 in (0.61 m) left) for sheet 1, then roll 2 of 2"
    says "roll, roll 2"
    # Each roll begins with an end to square.
    is "$(grep -o "squared in step 0" out | wc -l)" 2
fi

# A roll that holds all by itself is taken alone; the other is not loaded.
roll '["50in"]'
run plan day
code 0
says "  roll 2 of 2, 4 ft 2 in (1.27 m) left:"
says_not "  roll 1 of 2"
says "roll 1: 2 ft (0.61 m), not loaded"
run plan day --json
code 0
json /plan/totals/length 1117.6

# Too little on all of them: the latest due are left out.
roll '["14in"]'
run plan day --json
code 0
count /plan/unplaced 3
json /plan/unplaced/0/order 2
json /warnings/2/code paper-used-up
run plan day
code 0
tells "the 38 in (965.2 mm) left on 2 rolls of paper \"roll\" are used up: 3 of 12 prints have no"

# A print too long for the first roll is too big only where no roll takes it.
printf 'order,image,template\n1,first-light.png,long\n' >day/orders.csv
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "long", "size": "20x30in", "border": "1in",
 "turn": "never", "lie": "upright"}]}
END
roll '["40in"]'
run plan day --json
code 0
json /plan/sheets/0/roll 2
roll '["20in"]'
run check day
code 4
says "is too big for paper"

# Wrong lists.
roll '"31ft"'
run check day
code 4
says "roll.json:2:"
says "\"further_rolls\" must be a list of at most 20 lengths"
roll '["31"]'
run check day
code 4
says "further_rolls"
sed 's/"roll", "width"/"sheets", "count": 2, "width"/' day/roll.json >sheets && mv sheets day/roll.json
run check day
code 4
says "\"further_rolls\" belongs to papers of kind \"roll\""
