# Kept offcuts as sheets: used where they shorten the roll, said in every place, else left alone.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/job.json <<'END'
{"trimwell": 1, "name": "kept", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
paper() { # paper LENGTH OFFCUTS
    cat >day/roll.json <<END
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "$1",
 "offcuts": $2, "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"},
 "lost": {"each_load": "3in", "core_end": "1in"}, "cutter": "hand"}
END
}
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
orders() { # orders COPIES
    printf 'order,image,template,copies,accept\n1,first-light.png,8x10,%s,uneven-border\n' "$1" \
        >day/orders.csv
}

# Four 8x10 are a row of three and one more: 20 in and 4 in lost. With that one on a kept piece
# of 10 x 12 in it is 14 in = 355.6 mm of the roll.
orders 4
paper 50ft '[{"width": "7in", "length": "9in", "count": 3}, {"width": "10in", "length": "12in"}]'
run plan day
code 0
mute
says "  offcut 2, fed singly:"
says "  sheet-02.pdf  10 in x 12 in (254 x 304.8 mm): 1 print"
says "  offcuts     1 used, which saves 10 in (0.254 m)"
says "no plan of the prints not on offcuts uses less"
run plan day --json
code 0
count /plan/sheets 2
json /plan/sheets/1/offcut 2
json /plan/sheets/1/width 254
json /plan/sheets/1/length 304.8
json /plan/totals/length 355.6
json /plan/totals/papers/0/offcuts 1
json /plan/totals/papers/0/offcuts_saved 254
cuts=$("$json_get" /plan/totals/hand_cuts <out)
json /plan/choices/0/hand_cuts "$cuts"
json /plan/choices/0/length 355.6
json /plan/choices/0/sheets 2
run compose day --one-file -o day/out
code 0
is "$(ls day/out | tr '\n' ' ')" "cut-guide.pdf plan.json sheets-01.pdf sheets-02.pdf "
if command -v pdftotext >/dev/null; then
    pdftotext -layout day/out/cut-guide.pdf guide.txt
    tr -s ' \n' ' ' <guide.txt >out
    says "Kept pieces sheet 2 is offcut 2, 10 x 12 in (254 x 304.8 mm)."
    says "roll, offcut 2"
    says "the leading edge is the sheet's own edge"
    pdftotext -layout day/out/sheets-02.pdf out
    says "roll, offcut 2"
fi

# Three are one row: the pieces stay where they are.
orders 3
run plan day --json
code 0
count /plan/sheets 1
json /plan/totals/length 355.6
run plan day
code 0
says_not "offcut"

# All on kept pieces: no roll is loaded, and nothing of it used.
orders 2
paper 50ft '[{"width": "8in", "length": "10in", "count": 2}]'
run plan day --json
code 0
count /plan/sheets 2
json /plan/sheets/0/offcut 1
json /plan/sheets/1/offcut 1
json /plan/totals/length 0

# What the roll does not hold, and a print longer than the roll has left.
orders 5
paper 14in '[{"width": "10in", "length": "12in"}]'
run plan day --json
code 0
count /plan/unplaced 1
orders 1
paper 13in '[{"width": "10in", "length": "12in"}]'
run plan day --json
code 0
count /plan/unplaced 0
json /plan/sheets/0/offcut 1

# Wrong lists.
paper 50ft '[{"width": "25in", "length": "12in"}]'
run check day
code 4
says "roll.json:2:"
says "\"width\" is 25 in (635 mm); it may be from"
paper 50ft '[{"width": "20in", "length": "12in", "feeds": 2}]'
run check day
code 4
says "feeds"
paper 50ft '{}'
run check day
code 4
says "\"offcuts\" must be a list of at most 50 rectangles"

# What a day leaves for the next: one 8x10 on a page of 24 x 10 in, without marks all the rest.
paper 50ft '[]'
sed 's/"colour"/"marks": {"place": "none"}, "colour"/' day/job.json >job && mv job day/job.json
run plan day
code 0
says "worth keeping, marks trimmed off, as \"offcuts\" of a paper lists them:"
says "  {\"width\": \"16in\", \"length\": \"10in\"}  of sheet 1, waste-1: roll"
run plan day --json
code 0
count /plan/worth_keeping 1
json /plan/worth_keeping/0/piece waste-1
json /plan/worth_keeping/0/x 203.2
json /plan/worth_keeping/0/width 406.4
# As a line of the paper's file it is read, and used for two more.
orders 5
paper 50ft '[{"width": "16in", "length": "10in"}]'
run plan day --json
code 0
json /plan/totals/length 355.6
