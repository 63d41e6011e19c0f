# What `cmake --install` gives: a command that runs, a header and a library that a program finds
# through pkg-config and through CMake, a manual page, a completion.
# $3 the build folder, $4 cmake, $5 flags the build was made with, $6 the C compiler.
. "$(dirname "$0")/lib.sh"
build=$3 cmake=$4 flags=$5 compiler=$6

last="cmake --install"
"$cmake" --install "$build" --prefix "$work/there" >out 2>err || fail "it should install"
for file in bin/trimwell include/trimwell.h share/man/man1/trimwell.1 \
    share/bash-completion/completions/trimwell; do
    [ -s "there/$file" ] || fail "$file should be there"
done
is "$(ls there/include)" trimwell.h
trimwell=$work/there/bin/trimwell
run --version
code 0
cp out version
run help --man
same out there/share/man/man1/trimwell.1

cat >program.c <<'END'
#include <stdio.h>
#include <trimwell.h>
int main(void) {
    tw_job *job = NULL;
    tw_error error = {0};
    tw_code code = tw_job_open("/nowhere", NULL, &job, &error);
    printf("trimwell %s\n", tw_version());
    tw_job_close(job);
    return code == TW_INPUT ? 0 : 1;
}
END
library=$(dirname "$(find there -name trimwell.pc)")/..
works() {
    LD_LIBRARY_PATH="$library" "$1" >out 2>err
    code=$?
    code 0
    same out version
}

if command -v pkg-config >/dev/null; then
    last="a program through pkg-config"
    PKG_CONFIG_PATH=$library/pkgconfig
    export PKG_CONFIG_PATH
    # shellcheck disable=SC2046,SC2086 # words are meant
    "$compiler" $flags -o by-pkg-config program.c $(pkg-config --cflags --libs --static trimwell) \
        >out 2>err || fail "it should link"
    works ./by-pkg-config
fi

last="a program through CMake"
mkdir project && cp program.c project
cat >project/CMakeLists.txt <<'END'
cmake_minimum_required(VERSION 3.25)
project(program LANGUAGES C)
find_package(trimwell 0.1 REQUIRED)
add_executable(program program.c)
target_link_libraries(program PRIVATE trimwell::trimwell)
END
{ "$cmake" -S project -B project/build -DCMAKE_PREFIX_PATH="$work/there" \
    -DCMAKE_C_COMPILER="$compiler" -DCMAKE_C_FLAGS="$flags" &&
    "$cmake" --build project/build; } >out 2>err || fail "it should build"
works project/build/program

# The folder may be moved as a whole.
mv there moved
trimwell=$work/moved/bin/trimwell
run --version
same out version
