#!/bin/sh
# The builds of both compilers at -O0 and -O2 print the same, byte for byte;
# ok and not ok lines.  The builds must be there (make both-cc).
set -u
build=${MARQ_BUILDS:-build}
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
fail=0
first=gcc-O0
runs=0
outputs() { # PROGRAM: everything it prints of every sample, with its status
    for s in shared/samples/*.combo; do
        [ -f "$s" ] || continue
        for c in check 'check --lines' mark other-side clean; do
            echo "== $c $s"
            # shellcheck disable=SC2086
            "$1" $c "$s" </dev/null 2>&1
            echo "== $?"
        done
    done
}
for v in $first gcc-O2 clang-O0 clang-O2; do
    outputs "$build/$v/marquer" >"$scratch/$v"
    runs=$(grep -c '^== [0-9]' "$scratch/$v")
    if [ "$runs" -eq 0 ] || grep -qE '^== (12[67]|70|1[3-9][0-9])$' \
        "$scratch/$v"; then
        echo "not ok both-cc: $v ran nothing or crashed"
        fail=1
    elif cmp "$scratch/$first" "$scratch/$v" &&
        cmp "$build/$first/builtin.c" "$build/$v/builtin.c"; then
        echo "ok both-cc: $v prints what $first prints ($runs runs)"
    else
        echo "not ok both-cc: $v differs from $first"
        diff "$scratch/$first" "$scratch/$v" | head -n 20 | sed 's/^/#   /'
        fail=1
    fi
done
exit $fail
