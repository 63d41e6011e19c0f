# The quick form: paper, template and images without a job file.
. "$(dirname "$0")/lib.sh"

day day
run compose --paper satin-24in --template 8x10 -n 3 day/photos/first-light.png -o out.d
code 0
says "3 prints on 1 sheet, written to out.d"
tells 'paper "satin-24in" has no profile, so nothing is converted for it here'
is "$("$json_get" /sheets/0/prints/0/order <out.d/plan.json)" null
is "$("$json_get" /sheets/0/prints count <out.d/plan.json)" 3
cat out.d/plan.json >out
for id in print-1 print-2 print-3; do says "\"$id\""; done

# Several images, the folder named first, a size instead of a template, a paper of one's own.
cat >mine.json <<'END'
{"trimwell": 1, "name": "mine", "kind": "roll", "width": "17in", "length": "10m",
 "margins": {"side": "5mm", "lead": "5mm", "tail": "5mm"}}
END
run compose -o two.d --paper mine.json --template 6x9in day/photos/first-light.png \
    day/photos/quiet-water.png --copies=2
code 0
is "$("$json_get" /sheets/0/paper <two.d/plan.json)" mine
says "4 prints"
run compose -o three.d --paper ./mine.json --template 10x15-cm -- day/photos/first-light.png
code 0

# One is said as one.
run compose --paper satin-24in --template 8x10 day/photos/first-light.png -o single.d
code 0
says "1 print on 1 sheet, written to single.d"
says "By hand: 1 cut with 1 change of the stop."

# What is named wrongly is the person's to mend: code 4, nearest name, nothing written.
run compose --paper satin-24 --template 8x10 day/photos/first-light.png -o bad.d
code 4
tells 'satin-24'
tells 'nearest: "satin-24in"'
nothing_in bad.d
run compose --paper satin-24in --template 8x01 day/photos/first-light.png -o bad.d
code 4
tells '8x01'
run compose --paper satin-24in --template 8x10 nosuch.png -o bad.d
code 4
tells 'nosuch.png'
nothing_in bad.d
run compose --paper satin-24in --template 40x60in day/photos/first-light.png -o bad.d
code 4
nothing_in bad.d

# How many: 1 to 10 000.
for many in 0 -1 10001 99999999999999999999 3.5 x ''; do
    run compose --paper satin-24in --template 8x10 "--copies=$many" day/photos/first-light.png \
        -o bad.d
    code 2
    tells "it must be a whole number, 1 to 10000"
done
nothing_in bad.d
