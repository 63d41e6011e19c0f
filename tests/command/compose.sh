# compose: what is written, what is said, and that the same input gives the same bytes.
. "$(dirname "$0")/lib.sh"

day day
run compose day -o out.d
code 0
mute
is "$(ls -A out.d | tr '\n' ' ')" "cut-guide.pdf plan.json sheet-01.pdf sheet-02.pdf "
says "First print day: 7 prints on 2 sheets, written to out.d"
says "  sheet-01.pdf"
says "  cut-guide.pdf"
# What is said is what plan.json holds.
says "$("$json_get" /totals/length <out.d/plan.json) mm); no plan of these prints uses less than"
says "By hand: $("$json_get" /totals/hand_cuts <out.d/plan.json) cuts with \
$("$json_get" /totals/stop_changes <out.d/plan.json) changes of the stop."
says "Colour: every image carries its own profile"
says "Print at 100 %: how to set up the driver is on the first page of cut-guide.pdf."
for file in out.d/*.pdf; do
    is "$(head -c 5 "$file")" "%PDF-"
    tail -c 16 "$file" | grep -q '%%EOF' || fail "$file should end"
done

# Options may follow operands, in any of their spellings; the same input gives the same bytes.
run compose --output=again day
code 0
run compose -oonce-more day
code 0
for file in cut-guide.pdf plan.json sheet-01.pdf sheet-02.pdf; do
    same "out.d/$file" "again/$file"
    same "out.d/$file" "once-more/$file"
done

run compose day -o quiet.d --quiet
code 0
silent
mute
same out.d/plan.json quiet.d/plan.json

# The guide on A4 (210 x 297 mm = 595.276 x 841.890 units, ISO 216 and ISO 32000-1 8.3.2.3) or
# on Letter (612 x 792, ISO 32000-1 examples).
grep -qa 'MediaBox.*595\.27.*841\.8' out.d/cut-guide.pdf || fail "the guide should be on A4"
run compose day -o letter.d --guide-paper letter
code 0
grep -qa 'MediaBox.*612.*792' letter.d/cut-guide.pdf || fail "the guide should be on Letter"
same letter.d/sheet-01.pdf out.d/sheet-01.pdf
run compose day -o a4.d --guide-paper=a4
code 0
same a4.d/cut-guide.pdf out.d/cut-guide.pdf

# One file a paper: two pages in one document, and plan.json names it.
run compose day -o one.d --one-file
code 0
is "$(ls one.d/*.pdf | wc -l | tr -d ' ')" 2
name=$("$json_get" /sheets/0/file <one.d/plan.json)
is "$("$json_get" /sheets/1/file <one.d/plan.json)" "$name"
[ -s "one.d/$name" ] || fail "plan.json should name a file that is there"
says "  $name"
is "$(grep -ca '/Type */Page$' "one.d/$name")" 2

run compose day -o json.d --json
code 0
mute
json /ok true
count /written 4
json /written/0 sheet-01.pdf
json /written/3 plan.json
count /plan/sheets 2

# A slash at the end, a folder in a folder that is there.
run compose day/ -o out.d/deeper/
code 0
same out.d/deeper/sheet-01.pdf out.d/sheet-01.pdf
