# orders.csv's column `set`: its prints lie all upright or all turned.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
cat >day/job.json <<'END'
{"trimwell": 1, "name": "sets", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}}
END
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x10", "size": "8x10in", "border": "1/2in",
 "turn": "never"}, {"name": "up", "size": "8x10in", "border": "1/2in", "turn": "never",
 "lie": "upright"}, {"name": "wide", "size": "30x20in", "border": "1/2in", "turn": "never"}]}
END
# Five 8x10 on 24 in: 10 in for three upright and 8 in for two turned; 20 in where all lie one way.
printf 'order,image,template,copies,set\n1,first-light.png,8x10,5,\n' >day/orders.csv
run plan day --json
code 0
json /plan/totals/length 457.2
printf 'order,image,template,copies,set\n1,first-light.png,8x10,3,pair\n2,first-light.png,8x10,2,pair\n' \
    >day/orders.csv
run plan day --json
code 0
json /plan/totals/length 508
printf 'order,image,template,set\n1,first-light.png,8x10,a\n1,first-light.png,up,a\n' >day/orders.csv
run plan day --json
code 0
json /plan/sheets/0/prints/0/turned false
json /plan/sheets/0/prints/1/turned false
# Upright only and turned only in one set: no way for both.
printf 'order,image,template,set\n1,first-light.png,up,a\n1,first-light.png,wide,a\n' >day/orders.csv
run check day
code 4
says 'print 1-2 cannot lie the same way as the others of set "a"'
