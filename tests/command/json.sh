# --json: one document on standard output whatever happens, standard error silent.
. "$(dirname "$0")/lib.sh"

day day
printf 'order,image,template\n1,first-light.png,8x10\n1,"no ""such"".png",8x11\n' >day/bad.csv
sed 's/orders.csv/bad.csv/' day/job.json >day/bad.json

# document CODE WORDS...
document() {
    wanted=$1
    shift
    run "$@" --json
    code "$wanted"
    mute
    if [ "$wanted" = 0 ]; then json /ok true; else json /ok false; fi
    for key in warnings errors; do
        "$json_get" /$key count <out >/dev/null || fail "$key should be a list"
    done
    for key in error plan; do
        "$json_get" /$key <out >/dev/null || fail "$key should be there"
    done
    [ "$wanted" = 0 ] || for key in code message file line column pointer hint; do
        "$json_get" /error/$key <out >/dev/null || fail "the error should have $key"
        "$json_get" /errors/0/$key <out >/dev/null || fail "errors should have $key"
    done
}
document 0 check day
document 0 plan day
document 0 compose day -o out.d
document 0 start new
document 0 inspect day/photos/first-light.png
document 0 help
document 0 help --man
document 0 --version
document 2 nosuch
document 2 compose day
document 2 --nosuch check day
document 4 check nosuch
document 4 check day/bad.json
document 4 plan day/bad.json
document 4 compose day/bad.json -o bad.d
document 0 sizes satin-24in
document 4 start day
document 4 inspect nosuch
if [ -d /proc/self ]; then document 5 compose day -o /proc/out; fi

# The first error is the first of the errors; each has its place.
run check day/bad.json --json
count /errors 2
json /error/line 3
json /error/file bad.csv
is "$("$json_get" /error/message <out)" "$("$json_get" /errors/0/message <out)"
case $("$json_get" /errors/0/message <out)$("$json_get" /errors/1/message <out) in
*'no "such".png'*) ;;
*) fail "quotes should come through" ;;
esac
# --json counts wherever it stands, also where the command line is broken.
run --json nosuch
json /error/code unknown-command
run compose --output --json
code 2
json /error/code no-value
# Of --quiet and progress nothing mixes in.
run compose day -o out.d --json --quiet
code 0
count /written 4
