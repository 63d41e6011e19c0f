# README's commands, in README's order, in a fresh folder: each indented line that begins with
# "trimwell" is run as a reader would type it, and must end with exit code 0.
# $3 is the folder of the invented profiles, $4 README.md.
profiles=$(cd "$3" && pwd)
readme=$(cd "$(dirname "$4")" && pwd)/${4##*/}
. "$(dirname "$0")/lib.sh"
mkdir reader

# As `run`, in the reader's folder.
typed() {
    last="trimwell $*"
    (cd reader && "$trimwell" "$@") >out 2>err </dev/null
    code=$?
}

# What README asks the reader to do before the commands under "Colour": a paper with a profile, the
# mode auto, and composing again. Until then check --pdf ends as README says.
give_profile() {
    typed check --pdf march/out/sheet-01.pdf
    code 4
    tells "it has no output intent of PDF/X"
    typed proof march -o march/proof
    code 0
    tells "there is nothing to show"
    cp "$profiles/satin.icc" reader/march/paper.icc
    cat >reader/march/paper.json <<'PAPER'
{"trimwell": 1, "name": "mine", "kind": "roll", "width": "24in", "length": "50ft", "margins":
 {"side": "1/4in", "lead": "1/8in", "tail": "1/8in"}, "profile": "paper.icc"}
PAPER
    sed -e 's|"satin-24in"|"paper.json"|' -e 's|"mode": "tag"|"mode": "auto"|' reader/march/job.json >new
    mv new reader/march/job.json
    typed compose march -o march/out
    code 0
    mute
}

ran=0
while IFS= read -r line; do
    case $line in
    '## Colour') give_profile ;;
    '    trimwell '*)
        words=${line%%#*}
        # The reader's own picture, for the line that names one.
        [ ! -d reader/march ] || cp reader/march/photos/first-light.png reader/picture.png
        # shellcheck disable=SC2086 # the words of the line are meant
        set -- $words
        shift
        typed "$@"
        code 0
        ran=$((ran + 1))
        ;;
    esac
done <"$readme"
last="the commands of README.md"
[ "$ran" -ge 8 ] || fail "at least 8 should be found, not $ran"

# What README says is there then.
for file in march/out/sheet-01.pdf march/out/cut-guide.pdf march/out/plan.json out/sheet-01.pdf \
    march/proof/proof.json; do
    [ -s "reader/$file" ] || fail "$file should be there"
done
