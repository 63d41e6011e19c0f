# check --pdf: the checks of PDF/X-4 and PDF/A-2b on sheets of our own, on the same sheets as
# another program writes them (qpdf: object streams, compressed cross-references), and on what is
# no sheet. $3 is the folder of the invented profiles.
profiles=$(cd "$3" && pwd)
. "$(dirname "$0")/lib.sh"

# paper DAY PROFILE: the day's roll gets a profile.
paper() {
    cp "$profiles/$2" "$1/paper.icc"
    cat >"$1/paper.json" <<'PAPER'
{"trimwell": 1, "name": "mine", "kind": "roll", "width": "24in", "length": "50ft", "margins":
 {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}, "profile": "paper.icc"}
PAPER
    sed -e 's|"papers": \["satin-24in"\]|"papers": ["paper.json"], "date": "2027-03-06"|' \
        "$1/job.json" >job.new
    mv job.new "$1/job.json"
}

# A printer's profile: every check of both.
day day
for name in satin.icc satin-v4.icc grey.icc cmyk.icc; do
    paper day $name
    run compose day -o sheets
    code 0
    mute
    for sheet in sheets/sheet-*.pdf; do
        run check --pdf "$sheet"
        code 0
        mute
        says "$sheet: 1 page, the first 609.6 x "
        says "PDF/X-4 (ISO 15930-7): passes these checks, 14 of 14."
        says "PDF/A-2b (ISO 19005-2): passes these checks, 22 of 22."
        says_not "onform"
    done
done
run check --pdf sheets/sheet-01.pdf --json
code 0
mute
json /ok true
json /pdf/file sheets/sheet-01.pdf
json /pdf/passes_x4 true
json /pdf/passes_a2b true
json /pdf/checks/0/name header
count /pdf/checks 27
run compose day -o again
same sheets/sheet-01.pdf again/sheet-01.pdf

# Other people's readers see the same: qpdf the intents and the profile to the byte, exiftool the
# same title and dates in Info and XMP.
if command -v qpdf >/dev/null && command -v exiftool >/dev/null; then
    qpdf --json sheets/sheet-01.pdf >sheet.json || fail "qpdf --json"
    is "$(grep -c '"/S": "/GTS_PDFX"' sheet.json)" "$(grep -c '"/S": "/GTS_PDFA1"' sheet.json)"
    number=$(sed -n 's|.*"/DestOutputProfile": "\([0-9]*\) 0 R".*|\1|p' sheet.json | sort -u)
    qpdf --show-object="$number" --raw-stream-data sheets/sheet-01.pdf >profile.icc ||
        fail "one profile should be there, not: $number"
    same profile.icc day/paper.icc
    is "$(exiftool -s3 -PDF:Title sheets/sheet-01.pdf)" "$(exiftool -s3 -XMP:Title sheets/sheet-01.pdf)"
    is "$(exiftool -s3 -PDF:CreateDate sheets/sheet-01.pdf | cut -c 1-10)" "2027:03:06"
    is "$(exiftool -s3 -XMP:CreateDate sheets/sheet-01.pdf)" "2027:03:06"
    is "$(exiftool -s3 -PDF:Trapped sheets/sheet-01.pdf)" "False"
    is "$(exiftool -s3 -XMP:GTS_PDFXVersion sheets/sheet-01.pdf)" "PDF/X-4"
    is "$(exiftool -s3 -XMP:Part sheets/sheet-01.pdf)" "2"
fi

# The guide is no sheet for a printer: PDF/A-2b, and no output intent.
run check --pdf sheets/cut-guide.pdf
code 4
says "PDF/A-2b (ISO 19005-2): passes these checks, 22 of 22."
says "PDF/X-4 (ISO 15930-7): fails 2 of these 14 checks."
tells "sheets/cut-guide.pdf: 2 of 27 checks failed, the first: print-intent: it has no output intent"
run check --json --pdf sheets/cut-guide.pdf
code 4
mute
json /ok false
json /error/code pdf-check
json /pdf/passes_x4 false

# Written again by another program, the sheet is still the sheet.
if command -v qpdf >/dev/null; then
    for how in --object-streams=generate --stream-data=uncompress --linearize; do
        qpdf $how sheets/sheet-01.pdf other.pdf || fail "qpdf $how"
        run check --pdf other.pdf
        code 0
    done
    qpdf --encrypt '' secret 256 -- sheets/sheet-01.pdf locked.pdf
    run check --pdf locked.pdf
    code 4
    says "FAILS   encryption"
fi

# A display's profile is no output intent, which is said before paper is spent.
day screen
cp day/photos/*.png screen/photos/ 2>/dev/null
paper screen satin.icc
printf 'mntr' | dd of=screen/paper.icc bs=1 seek=12 conv=notrunc 2>/dev/null
run check screen
code 0
says '"paper.icc" is of class "mntr", not a printer'
says '[no-output-intent]'
run compose screen -o shown
code 0
tells "the sheets carry no output intent"
run check --pdf shown/sheet-01.pdf
code 4
says "it has no output intent of PDF/X"
says "PDF/A-2b (ISO 19005-2): passes these checks"

# A profile that is none stops the job.
head -c 5000 "$profiles/satin.icc" >screen/paper.icc
run check screen
code 4
says 'profile "paper.icc" cannot be used: the ICC profile says it is 906840 bytes long but is 5000'

# What is no PDF, not there, or a broken one.
run check --pdf day/job.json
code 4
silent
tells 'day/job.json: this is not a PDF: "%PDF-" is not in its first 1024 bytes'
run check --pdf nosuch.pdf
code 4
tells "nosuch.pdf: "
run check --pdf day
code 4
tells "day: "
head -c 100000 sheets/sheet-01.pdf >cut.pdf
run check --pdf cut.pdf
code 4
tells "cut.pdf: this PDF cannot be checked: its cross-references do not lead to its objects"
run check --pdf cut.pdf --json
code 4
json /error/code pdf-unreadable

# Options of jobs mean nothing here.
run check --pdf --strict sheets/sheet-01.pdf
code 2
tells "--strict is for jobs: it means nothing with --pdf"
run check --pdf --pixels sheets/sheet-01.pdf
code 2
tells "--pixels is for jobs: it means nothing with --pdf"
run check --pdf --effort quick sheets/sheet-01.pdf
code 2
tells "--effort is for jobs: it means nothing with --pdf"
run check --pdf
code 2
run plan --pdf day
code 2
tells "--pdf is not an option of plan"
