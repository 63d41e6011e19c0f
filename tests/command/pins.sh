# layout.pins: prints fixed to a sheet or a place, and every reason why one cannot be.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never"}, {"name": "4x8", "size": "4x8in", "border": "1/4in", "turn": "never"},
 {"name": "up", "size": "8x10in", "border": "1/2in", "turn": "never", "lie": "upright"}]}
END
cat >day/orders.csv <<'END'
order,image,template,copies
1,first-light.png,8x10,6
2,first-light.png,4x8,4
3,first-light.png,up,1
END
pins() {
    cat >day/job.json <<END
{"trimwell": 1, "name": "pinned", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"},
 "layout": {"gutter": "${2-0in}", "pins": [$1]}}
END
    run plan day --json
}
at_print() { # POINTER of the print called $1 on sheet $2
    n=0
    while [ "$("$json_get" "/plan/sheets/$2/prints/$n/id" <out)" != "$1" ]; do
        n=$((n + 1))
        [ "$n" -lt 20 ] || fail "print $1 should be on sheet $2"
    done
    echo "/plan/sheets/$2/prints/$n"
}
pins ''
code 0
"$json_get" /plan/totals/length <out >plain

# Equal prints change places: it costs nothing. 6 in from the left is no place of any row: it does.
pins '{"print": "1-6", "sheet": 1, "x": "0in", "y": "0in"}'
code 0
json /plan/sheets/0/prints/0/id 1-6
"$json_get" /plan/totals/length <out >now
same plain now
pins '{"print": "1-2", "sheet": 2, "x": "6in", "y": "1/4in", "turned": false},
      {"print": "1-1", "sheet": 1}'
code 0
there=$(at_print 1-2 1)
json "$there/x" 152.4
json "$there/y" 6.35
json "$there/turned" false
at_print 1-1 0 >said
run compose day -o day/out
code 0

refused() {
    code 4
    json /errors/0/code "$1"
    json /errors/0/pointer "$2"
    "$json_get" /errors/0/message <out | grep -qF -- "$3" || fail "the reason should be: $3"
}
pins '{"print": "1-7", "sheet": 1}'
refused pin-unknown /layout/pins/0/print 'there is no print "1-7"'
pins '{"print": "1-1", "sheet": 1}, {"print": "1-1", "sheet": 2}'
refused pin-doubled /layout/pins/1/print 'print "1-1" is pinned at line 3 already'
pins '{"print": "1-1", "sheet": 1, "x": "17in", "y": "0in"}'
refused pin-impossible /layout/pins/0 'lies 1 in (25.4 mm) over the right edge of paper "roll"'
pins '{"print": "1-1", "sheet": 1, "x": "1/16in", "y": "0in"}'
refused pin-impossible /layout/pins/0 'leaves a strip of 1/16 in (1.6 mm) at the left edge'
pins '{"print": "1-1", "sheet": 1, "x": "0in", "y": "51in"}'
refused pin-impossible /layout/pins/0 'makes sheet 1 61 in (1549.4 mm) long; the longest may be 60 in'
pins '{"print": "1-1", "sheet": 1, "x": "0in", "y": "0in"},
      {"print": "1-2", "sheet": 1, "x": "7in", "y": "9in"}'
refused pin-impossible /layout/pins/1 'so pinned overlaps print "1-1"'
pins '{"print": "1-1", "sheet": 1, "x": "0in", "y": "0in"},
      {"print": "1-2", "sheet": 1, "x": "8in", "y": "0in"}' 1/4in
refused pin-impossible /layout/pins/1 '1/4 in (6.4 mm) must be between them'
pins '{"print": "3-1", "sheet": 1, "x": "0in", "y": "0in", "turned": true}'
refused pin-impossible /layout/pins/0 'is pinned turned and may not lie so'
pins '{"print": "1-1", "sheet": 40}'
refused pin-impossible /layout/pins/0 'is pinned to sheet 40 of paper "roll"'
# Four prints round a hole.
pins '{"print": "2-1", "sheet": 1, "x": "0in", "y": "0in", "turned": true},
      {"print": "2-2", "sheet": 1, "x": "8in", "y": "0in"},
      {"print": "2-3", "sheet": 1, "x": "4in", "y": "8in", "turned": true},
      {"print": "2-4", "sheet": 1, "x": "0in", "y": "4in"}'
refused pin-impossible /layout/pins/3 'cannot be cut apart edge to edge where they lie'

pins '{"print": "1-1", "sheet": 1, "x": "0in"}'
refused pin-place /layout/pins/0 'this pin has "x" without "y"'
pins '{"print": "1-1", "sheet": 1, "turned": true}'
refused pin-place /layout/pins/0 '"turned" without a place'
pins '{"print": "1-1", "sheet": 0}'
refused out-of-range /layout/pins/0/sheet '"sheet": 0 is out of range'
pins '{"print": "1-1"}'
refused missing-key /layout/pins/0 '"sheet" is missing'
pins '"1-1"'
refused wrong-kind /layout/pins/0 'pins'
sed 's/"pins": .*/"pins": "all"}}/' day/job.json >job && mv job day/job.json
run check day --json
refused wrong-kind /layout/pins '"pins" must be a list'

# Pinned sheets that the roll does not hold.
sed 's/"50ft"/"30in"/' day/roll.json >roll && mv roll day/roll.json
pins '{"print": "1-1", "sheet": 1, "x": "0in", "y": "25in"}'
refused pin-impossible /layout/pins/0 'take 35 in (889 mm) of paper "roll"; 30 in (762 mm) is left'
# What is left over finds no paper, but never a pinned print.
pins '{"print": "1-1", "sheet": 1, "x": "0in", "y": "20in"}'
code 0
at_print 1-1 0 >said
