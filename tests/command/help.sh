# Help, the manual page and the completion say the same, as they come from the parser's tables.
. "$(dirname "$0")/lib.sh"

run --version
code 0
mute
grep -qx 'trimwell [0-9]*\.[0-9]*\.[0-9]*' out || fail "a version of three numbers"
run --help
code 0
mute
cp out whole
run -h
same out whole
run help
same out whole
run help --man
code 0
mute
cp out manual
run help --completion
code 0
cp out completion
# The help lists both among the options, so both are taken without the word help, too.
run --man
code 0
mute
same out manual
run --completion
code 0
mute
same out completion
run --man --pdf
code 2
silent
tells "--pdf is not an option of help"

# The options and commands of the design are all there.
for option in --output --one-file --guide-paper --paper --template --copies --strict --quiet \
    --json --help --version; do
    cp whole out
    says " $option"
done
# Every option of the help is on the manual page and in the completion, and is taken.
for option in $(grep -o -- '^ *\(-., \)\?--[a-z-]*' whole | grep -o -- '--[a-z-]*'); do
    name=$(echo "$option" | sed 's/-/\\-/g')
    cp manual out
    says "$name"
    cp completion out
    says " $option"
    run "$option=x=y" check day
    tells_not "unknown option"
done
for command in start check plan compose sizes inspect help; do
    cp whole out
    says "trimwell $command"
    cp manual out
    says ".B trimwell $command"
    cp completion out
    says "    $command) options="
    run $command --help
    code 0
    mute
    cp out one
    says "Usage: trimwell $command"
    run help $command
    code 0
    same out one
    run --help $command
    same out one
    # Options of the command's own help are taken by it, and by no surprise refused.
    for option in $(grep -o -- '^ *\(-., \)\?--[a-z-]*' one | grep -o -- '--[a-z-]*'); do
        run $command --help "$option" a4
        tells_not "is not an option of"
    done
done
# Every exit code.
for exit in 0 2 3 4 5 70; do
    grep -q "^ *$exit  " whole || fail "the help should name exit code $exit"
    grep -qx ".B $exit" manual || fail "the manual page should name exit code $exit"
done
# No line of the help is wider than a terminal.
[ "$(wc -L <whole)" -le 80 ] || fail "the help is too wide"

# The completion is bash, and completes.
if command -v bash >/dev/null; then
    bash -n completion || fail "the completion should be bash"
    bash -c '. ./completion; COMP_WORDS=(trimwell com); COMP_CWORD=1; _trimwell
        echo "${COMPREPLY[@]}"
        COMP_WORDS=(trimwell compose --one); COMP_CWORD=2; _trimwell; echo "${COMPREPLY[@]}"
        COMP_WORDS=(trimwell plan --one); COMP_CWORD=2; _trimwell; echo "${COMPREPLY[@]}"
        COMP_WORDS=(trimwell compose --guide-paper l); COMP_CWORD=3; _trimwell
        echo "${COMPREPLY[@]}"' >out
    is "$(tr '\n' '|' <out)" "compose|--one-file||letter|"
fi
# The manual page is roff without complaints.
if command -v man >/dev/null && command -v groff >/dev/null; then
    man --warnings -E UTF-8 -l -Tutf8 ./manual >out 2>err
    mute
    says "the command line is wrong"
fi

run help nosuch
code 2
silent
run --version --json
code 0
mute
json /ok true
"$json_get" /text <out | grep -q '^trimwell [0-9]' || fail "the version in the document"
