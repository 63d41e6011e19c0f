# layout.choose: lines that name no paper go where the day costs least, and the plan says so.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
job() { # job CHOOSE
    cat >day/job.json <<END
{"trimwell": 1, "name": "choice", "papers": ["narrow.json", "wide.json"],
 "templates": ["plain.json"], "orders": "orders.csv", "images": ["photos"],
 "layout": {"choose": $1}, "colour": {"mode": "tag"}}
END
}
paper() { # paper NAME WIDTH PRICE
    cat >"day/$1.json" <<END
{"trimwell": 1, "name": "$1", "kind": "roll", "width": "$2", "length": "100ft", $3
 "margins": {"side": "0in", "lead": "0in", "tail": "0in"}, "lost": {"each_load": "2in"}}
END
}
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [
 {"name": "8x10", "size": "8x10in", "border": "1in", "turn": "never", "lie": "upright"},
 {"name": "30x40", "size": "30x40in", "border": "1in", "turn": "never", "lie": "upright"}]}
END
accept="low-ppi uneven-border thin-border"

# Six 8x10 are two rows of 10 in on 24 in: 22 in with the load. On 40 in they are one of five and
# one of one: 22 in too. At 120.00 for 100 ft (1200 in) an inch is 0.10.
job '["narrow", "wide"]'
paper narrow 24in '"price": "120.00 EUR",'
paper wide 40in '"price": "240.00 EUR",'
printf 'order,image,template,copies,accept\n1,first-light.png,8x10,6,%s\n' "$accept" >day/orders.csv
run plan day
code 0
mute
says "paper for the lines that name none, by price:"
says "  all on narrow: 2.20 EUR, 1 ft 10 in (0.559 m) (chosen)"
says "  all on wide: 4.40 EUR, 1 ft 10 in (0.559 m)"
says "narrow: roll"
says_not "wide: roll"
run plan day --json
code 0
json /plan/sheets/0/paper narrow
json /plan/choice/by price
json /plan/choice/chosen 0
count /plan/choice/ways 2
json /plan/choice/ways/0/price "2.20 EUR"
json /plan/choice/ways/1/price "4.40 EUR"
json /plan/choice/ways/1/length 558.8
json /plan/choice/ways/1/prints/wide 6

# The wide roll at 1/20 of it.
paper wide 40in '"price": "12.00 EUR",'
run plan day
code 0
says "  all on wide: 0.22 EUR, 1 ft 10 in (0.559 m) (chosen)"

# A print too wide for 24 in: all on the wide roll, or that one there and the rest on the narrow.
# On 40 in: 40 in with four 8x10 beside it, 10 in for the other two, and the load: 52 in. Shared:
# 22 in of the narrow roll and 42 in of the wide one.
printf '2,first-light.png,30x40,1,%s\n' "$accept" >>day/orders.csv
paper wide 40in '"price": "240.00 EUR",'
run plan day --json
code 0
count /plan/choice/ways 2
json /plan/choice/ways/0/price "10.40 EUR"
json /plan/choice/ways/1/price "10.60 EUR"
json /plan/choice/ways/1/prints/narrow 6
json /plan/choice/ways/1/prints/wide 1
json /plan/choice/chosen 0
run plan day
code 0
says "  all on wide: 10.40 EUR"
says "  6 prints on narrow and 1 on wide: 10.60 EUR"
paper narrow 24in '"price": "60.00 EUR",'
run plan day
code 0
says "  6 prints on narrow and 1 on wide: 9.50 EUR, 5 ft 4 in (1.626 m) (chosen)"
says "narrow: roll"
says "wide: roll"

# A paper without a price: by area, and said so. A line that names its paper stays there: the wide
# roll is loaded anyway, 32 in of it (40 x 32 in = 0.826 m2), or 12 in of it and 22 of the narrow
# (40 x 12 + 24 x 22 in = 0.650 m2).
paper narrow 24in ''
cat >day/orders.csv <<END
order,image,template,copies,paper,accept
1,first-light.png,8x10,6,,$accept
2,first-light.png,8x10,5,wide,$accept
END
run plan day
code 0
says "by area, as not every price is known"
says "  all on narrow: 0.65 m2, 2 ft 10 in (0.864 m) (chosen)"
says "  all on wide: 0.826 m2"

# Too little paper: fewer left out comes before a lower price.
paper narrow 24in '"price": "1.00 EUR",'
sed 's/100ft/1ft/' day/narrow.json >narrow && mv narrow day/narrow.json
run plan day --json
code 0
count /plan/unplaced 0
json /plan/choice/ways/0/unplaced 3
json /plan/choice/chosen 1

# Too big for every one: refused on the widest.
sed 's/30x40/50x60/g' day/plain.json >plain && mv plain day/plain.json
printf 'order,image,template\n1,first-light.png,50x60\n' >day/orders.csv
run check day
code 4
says "is too big for paper \"wide\""

# Wrong lists; without one a line must name its paper.
job '["narrow", "wyde"]'
run check day
code 4
says "\"choose\": paper \"wyde\" is not one of the job's (nearest: \"wide\")"
job '["wide", "wide"]'
run check day
code 4
says "\"choose\" names paper \"wide\" twice"
job '"wide"'
run check day
code 4
says "\"choose\" must be a list of 1 to 8 names of the job's papers"
job '[]'
run check day
code 4
says "\"choose\" must be a list"
sed 's/"layout".*}, //' day/job.json >job && mv job day/job.json
run check day
code 4
says "no paper is given, and the job has several"
says "layout.choose names papers to choose from"
