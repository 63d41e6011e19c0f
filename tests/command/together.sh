# layout.keep_together: what a split order costs against paper; layout.at_risk: sheets worth more.
. "$(dirname "$0")/lib.sh"

mkdir -p day/photos
day drawn
cp drawn/photos/first-light.png day/photos
# An inch of this roll costs 1.00; three 8x20 lie across.
cat >day/roll.json <<'END'
{"trimwell": 1, "name": "roll", "kind": "roll", "width": "24in", "length": "50ft",
 "longest_sheet": "20in", "price": "600.00 EUR",
 "margins": {"side": "1/4in", "lead": "0in", "tail": "0in"}}
END
cat >day/plain.json <<'END'
{"trimwell": 1, "templates": [{"name": "8x20", "size": "8x20in", "border": "1/2in",
 "turn": "never", "lie": "upright"}]}
END
cat >day/orders.csv <<'END'
order,image,template,copies,price
1001,first-light.png,8x20,2,100.00 EUR
1002,first-light.png,8x20,2,90
1003,first-light.png,8x20,2,on account
END
with() {
    cat >day/job.json <<END
{"trimwell": 1, "name": "together", "papers": ["roll.json"], "templates": ["plain.json"],
 "orders": "orders.csv", "images": ["photos"], "colour": {"mode": "tag"}, "layout": {$1}}
END
}
# Split: two sheets, 40.00 of paper. Together: three sheets, 20.00 more.
with '"keep_together": "19.00 EUR"'
run plan day --json
code 0
json /plan/totals/length 1016
count /plan/split_orders 1
json /plan/split_orders/0/paper roll
count /plan/split_orders/0/sheets 2
run plan day
says "orders kept on one sheet: 2 of 3"
says " lies on sheets 1, 2"
with '"keep_together": "21 EUR"'
run plan day --json
code 0
json /plan/totals/length 1524
count /plan/split_orders 0
run plan day
says "orders kept on one sheet: 3 of 3"
with ''
run plan day --json
json /plan/totals/length 1016
run plan day
says_not "orders kept"

with '"keep_together": "19 USD"'
run check day --json
code 4
json /errors/0/code mixed-currency
json /errors/0/pointer /layout/keep_together
with '"keep_together": "20000000 EUR"'
run check day --json
code 4
json /errors/0/code out-of-range
with '"keep_together": 19'
run check day
code 4
sed 's/ "price": "600.00 EUR",//' day/roll.json >roll && mv roll day/roll.json
with '"keep_together": "19 EUR"'
run check day
code 0
says 'paper "roll" has no price, so "keep_together" cannot be weighed against it'

# Two sheets of three prints: 100 + 100 + 90 and 90, the third order's price being no money.
with '"at_risk": "250.00 EUR"'
run plan day --json
code 0
value_warnings() { "$json_get" / <out | grep -o "\"$1\"" | wc -l | tr -d ' '; }
is "$(value_warnings sheet-at-risk)" 1
is "$(value_warnings value-not-counted)" 1
run check day
says 'sheet 1 of paper "roll" holds prints worth 290.00 EUR; at most 250.00 EUR shall be at risk'
says 'the price of 2 prints is not money in EUR and is not counted for "at_risk"'
with '"at_risk": "290.00 EUR"'
run check day
says_not "at risk on one sheet"
with '"at_risk": "0 EUR"'
run check day
says "worth 90.00 EUR"
