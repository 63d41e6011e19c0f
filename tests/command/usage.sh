# The command line itself: code 2, one plain sentence, the nearest name, nothing on standard output.
. "$(dirname "$0")/lib.sh"

# wrong SENTENCE WORDS...: exactly this is said.
wrong() {
    sentence=$1
    shift
    run "$@"
    code 2
    silent
    is "$(cat err)" "trimwell: $sentence"
    run "$@" --json
    code 2
    mute
    json /ok false
    count /errors 1
    json /plan null
}

wrong 'say what to do (trimwell --help lists the commands)'
wrong 'unknown command "chekc" (nearest: check)' chekc day
wrong 'unknown command "zzzzzzzz" (trimwell --help lists them)' zzzzzzzz
wrong 'unknown option "--outptu=x" (nearest: --output)' compose --outptu=x
wrong 'unknown option "--wholly-else" (trimwell --help lists them)' check --wholly-else day
wrong 'unknown option "-x" (trimwell --help lists them)' check -x day
wrong '--one-file is not an option of plan' plan day --one-file
wrong '--strict is not an option of start' start --strict day
wrong '--json takes no value; "yes" was given' check day --json=yes
wrong 'check was not told what to work on (trimwell check JOB)' check
wrong 'check does not know what to do with "b" (trimwell check JOB)' check a b
wrong 'start was not told what to work on (trimwell start DIR)' start
wrong 'inspect was not told what to work on (trimwell inspect FILE...)' inspect
wrong 'compose was not told what to work on (trimwell compose --paper P --template T [-n COPIES] IMAGE... -o DIR)' \
    compose --paper satin-24in --template 8x10 -o c
wrong 'compose needs a folder to write into (trimwell compose JOB -o DIR)' compose day
wrong 'compose needs a folder to write into (trimwell compose JOB -o DIR)' compose day --output=
wrong 'compose takes one JOB; "b" is one too many (without a job file, --paper and --template are needed)' \
    compose a b -o c
wrong '--paper needs --template too (trimwell compose --paper P --template T IMAGE... -o DIR)' \
    compose --paper satin-24in a.png -o c
wrong '--template needs --paper too (trimwell compose --paper P --template T IMAGE... -o DIR)' \
    compose --template 8x10 a.png -o c
wrong "--copies is for images without a job file (a job's copies are in its orders)" \
    compose day -n 3 -o c
wrong '--guide-paper "a3" is none of its words (one of: a4 letter)' \
    compose day -o c --guide-paper a3
wrong '--guide-paper "4 l" is none of its words (one of: a4 letter)' \
    compose day -o c --guide-paper='4 l'
wrong '--output is given twice, "a" and "b"' compose day -o a --output b
wrong '--output needs a value: --output DIR (a value that begins with a dash is written --output=VALUE)' \
    compose day -o --quiet
run compose day -o
code 2
is "$(cat err)" 'trimwell: --output needs a value: --output DIR'
[ ! -e c ] || fail "nothing should be written"

# Three 8x10 lie across a 24 in roll with nothing lost (arithmetic: 24 = 3 x 8).
run sizes satin-24in
code 0
mute
grep -Eq '^  8x10 +3 +0 %  10 in' out || fail "three 8x10 should lie across with nothing lost"
says "1 of 16x20 and 2 of 8x10"
says "no sheet of this roll may be shorter than 8 in (203.2 mm)"
run sizes satin-24in frames-cm --json
code 0
json /ok true
run sizes no-such-paper
code 4
silent

# What is said about hostile words cannot drive a terminal.
run "$(printf 'che\033[31mck')"
code 2
tells 'che\x1B[31mck'
! grep -q "$(printf '\033')" err || fail "no escape should reach the terminal"

# "--" ends the options: what follows is an operand, whatever it looks like.
day ./-day
run check -- -day
code 0
run check -- --json
code 4
silent
run check ./-day
code 0
