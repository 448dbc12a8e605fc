#!/bin/sh
# Runs test programs and adds up what they say.
#
#   run-tests.sh STAGE LOGDIR PROGRAM...   run, one line a program, a sum
#   run-tests.sh --sum FILE...             the sum of several stages
#
# A C program is a cmocka program: its own "Running", PASSED and FAILED lines
# are counted.  A shell script (*.sh) prints "ok ..." and "not ok ..." lines.
# A program that crashes, stops early, skips a test or runs none counts as a
# failure.  With MARQ_TOTALS=FILE a line "STAGE passed failed" is added there.
# The last line printed is "N passed, N failed".
set -u

if [ "${1-}" = --sum ]; then
    shift
    for f in "$@"; do
        [ -s "$f" ] || echo "missing-$f 0 1" >>"$f"
    done
    echo
    awk '{ printf "  %6d passed %4d failed   %s\n", $2, $3, $1
           p += $2; f += $3 }
         END { if (p + f == 0) { f = 1 }
               printf "\n%d passed, %d failed\n", p, f
               exit f > 0 }' "$@"
    exit
fi

# One program: write LOGDIR/NAME.log and .sum, print one line.
if [ "${1-}" = --one ]; then
    logs=$2
    program=$3
    name=$(echo "$program" | sed 's,^.*tests/,,; s,/,-,g')
    log=$logs/$name.log
    case $program in
    *.sh) kind=shell; set -- sh "$program" ;;
    *) kind=cmocka; set -- "$program" ;;
    esac
    if command -v timeout >/dev/null 2>&1; then
        set -- timeout -k 5 "${MARQ_TEST_TIMEOUT:-600}" "$@"
    fi
    from=$(date +%s)
    "$@" </dev/null >"$log" 2>&1
    rc=$?
    took=$(($(date +%s) - from))
    LC_ALL=C awk -v kind=$kind -v rc=$rc '
        kind == "cmocka" && match($0, /Running [0-9]+ test/) {
            ran += substr($0, RSTART + 8) + 0 }
        kind == "cmocka" && match($0, /\[  PASSED  \] [0-9]+ test/) {
            p += substr($0, RSTART + 13) + 0 }
        kind == "cmocka" && match($0, /\[  FAILED  \] [0-9]+ test/) {
            f += substr($0, RSTART + 13) + 0 }
        kind == "cmocka" && match($0, /\[  SKIPPED \] [0-9]+ test/) {
            s += substr($0, RSTART + 13) + 0 }
        kind == "shell" && /^ok( |$)/ { if (/# *SKIP/) { s++ } else { p++ } }
        kind == "shell" && /^not ok( |$)/ { f++ }
        END {
            if (s > 0) { f += s; why = "skipped " s }
            if (ran > p + f) { f += ran - p - f; why = "stopped early" }
            if (rc == 124) { why = "out of time" }
            if (rc > 128) { why = "killed by signal " rc - 128 }
            if (p + f == 0) { f = 1; if (!why) { why = "ran nothing" } }
            if (rc != 0 && f == 0) { f = 1; if (!why) { why = "exit " rc } }
            print p + 0, f + 0, why
        }' "$log" >"$logs/$name.sum"
    read -r p f why <"$logs/$name.sum"
    printf '  %6d passed %4d failed %5d s  %s%s\n' "$p" "$f" "$took" \
        "$name" "${why:+  ($why)}"
    if [ "$f" -gt 0 ]; then
        echo "  ---- end of $log"
        LC_ALL=C grep -v '^\[       OK \]\|^\[ RUN      \]\|^ok ' "$log" |
            tail -n 40 | LC_ALL=C tr -d '\000-\010\013-\037' | sed 's/^/  | /'
    fi
    exit 0
fi

stage=$1
logs=$2
shift 2
unset CMOCKA_MESSAGE_OUTPUT CMOCKA_XML_FILE CMOCKA_TEST_ABORT
mkdir -p "$logs"
if [ $# -eq 0 ]; then
    echo "[$stage] no tests here" >&2
    if [ -n "${MARQ_TOTALS-}" ]; then
        echo "$stage 0 1" >>"$MARQ_TOTALS"
    else
        printf '\n0 passed, 1 failed\n'
    fi
    exit 1
fi
echo "[$stage]"
sums=
for program in "$@"; do
    name=$(echo "$program" | sed 's,^.*tests/,,; s,/,-,g')
    rm -f "$logs/$name.sum"
    sums="$sums $logs/$name.sum"
done
printf '%s\n' "$@" |
    xargs -P "${JOBS:-2}" -I '{}' sh "$0" --one "$logs" '{}'
# A missing sum (the runner itself failed) is a failure too.
for s in $sums; do
    [ -s "$s" ] || echo "0 1 not run" >"$s"
done
# shellcheck disable=SC2086
total=$(awk '{ p += $1; f += $2 } END { print p + 0, f + 0 }' $sums)
p=${total% *}
f=${total#* }
[ -z "${MARQ_TOTALS-}" ] || echo "$stage $p $f" >>"$MARQ_TOTALS"
if [ -z "${MARQ_TOTALS-}" ]; then
    printf '\n%d passed, %d failed\n' "$p" "$f"
fi
[ "$f" -eq 0 ]
