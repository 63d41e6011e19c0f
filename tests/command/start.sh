# start: a folder that composes as it stands; nobody's files are touched.
. "$(dirname "$0")/lib.sh"

run start day
code 0
mute
says "Made day: a small print day"
for file in job.json orders.csv README.txt photos/first-light.png; do
    [ -s "day/$file" ] || fail "day/$file should be there"
done
is "$(ls day | tr '\n' ' ')" "README.txt job.json orders.csv photos "
is "$(ls -A day/photos | wc -l | tr -d ' ')" 3

# It works as it stands, without a single warning.
run compose day -o day/out --strict
code 0
mute
says "7 prints on 2 sheets, written to day/out"

# The same bytes every time.
run start other
code 0
for file in job.json orders.csv README.txt photos/first-light.png photos/quiet-water.png \
    photos/last-hour.png; do
    same "day/$file" "other/$file"
done

# An empty folder may be named; one that holds anything, or a file, may not.
mkdir empty
run start empty
code 0
mkdir taken && echo mine >taken/notes
run start taken
code 4
silent
tells "trimwell: taken: the folder is not empty"
is "$(ls -A taken)" notes
echo mine >file
run start file
code 4
tells "file: is there already and is not a folder"
is "$(cat file)" mine
ln -s nowhere dangling
run start dangling
[ "$code" -ne 0 ] || fail "a dangling link should be refused"
[ ! -e nowhere ] || fail "nothing should be made through a link"
run start day
code 4
run start ""
code 4
tells "the folder's name is empty"

run start said --json
code 0
json /ok true
[ -s said/job.json ] || fail "said/job.json should be there"
run start taken --json
code 4
json /ok false
json /error/code folder-not-empty
json /error/file taken
