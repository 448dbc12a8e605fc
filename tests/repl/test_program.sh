#!/bin/sh
# The program on files and pipes: exit codes, odd input, nothing raw in the
# output.  MARQUER names the program; without it build/marquer.
set -u
LC_ALL=C
export LC_ALL
unset NO_COLOR
marquer=${MARQUER:-build/marquer}
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
fail=0

say() { # CODE NAME
    if [ "$1" -eq 0 ]; then
        echo "ok - $2"
    else
        echo "not ok - $2"
        sed 's/^/#   out: /' "$scratch/out" | head -n 12 | tr -d '\033\000'
        sed 's/^/#   err: /' "$scratch/err" | head -n 5 | tr -d '\033\000'
        fail=1
    fi
}
# Runs the program; its code in $rc, what it said in out and err.
run() {
    timeout 60 "$marquer" "$@" >"$scratch/out" 2>"$scratch/err" </dev/null
    rc=$?
}
from() { # FILE ARGUMENT...: the same with standard input
    input=$1
    shift
    timeout 60 "$marquer" "$@" >"$scratch/out" 2>"$scratch/err" <"$input"
    rc=$?
}
ends() { # CODE NAME
    [ "$rc" -eq "$1" ]
    say $? "$2 (ends with $1)"
}
has() { # WORDS NAME
    grep -qF -e "$1" "$scratch/out"
    say $? "$2"
}
err_has() {
    grep -qF -e "$1" "$scratch/err"
    say $? "$2"
}
# No escape, no other control byte but the line feed, no broken UTF-8.
clean_output() {
    cat "$scratch/out" "$scratch/err" >"$scratch/both"
    tr -d '\n' <"$scratch/both" | tr -d '\001-\011\013-\037\177\000' |
        wc -c >"$scratch/a"
    tr -d '\n' <"$scratch/both" | wc -c >"$scratch/b"
    cmp -s "$scratch/a" "$scratch/b" &&
        iconv -f UTF-8 -t UTF-8 "$scratch/both" >/dev/null 2>&1
    say $? "$1: nothing raw in the output"
}

cat >"$scratch/good.combo" <<'END'
title    Side door
start    fifth, right front

1-2      glissade derrière, assemblé dessus
3-4      glissade derrière, assemblé dessus
5        changement
6        changement
7-8      hold
END
cat >"$scratch/bad.combo" <<'END'
start    fifth, right front

jeté dessus, changement
END
: >"$scratch/empty.combo"

# ---- exit codes ----
run check "$scratch/good.combo"
ends 0 'a combination that can be danced'
has 'counts   8, one eight' 'its sums are told'
has 'left side ' 'the other side is answered'
grep -q problem "$scratch/out"
[ $? -eq 1 ]
say $? 'and no problem is named'
run check "$scratch/bad.combo"
ends 1 'one that cannot'
has 'problem [S001] changement cannot follow' 'the finding stands alone'
has 'bad.combo, line 3, column ' 'with its place'
has '^^^^^^^^^^' 'underlined'
run check --lines "$scratch/bad.combo"
ends 1 'a finding a line'
grep -q "^$scratch/bad.combo:3:[0-9]*: problem: changement .* \[S001\]\$" \
    "$scratch/out"
say $? 'file, line, column, severity, text, code'
grep -vq '^[^:]*:[0-9]*:[0-9]*: [a-z]*: .* \[[A-Z][0-9][0-9][0-9]\]$' \
    "$scratch/out"
[ $? -eq 1 ]
say $? 'and no other line'
run mark "$scratch/bad.combo"
ends 1 'mark with a problem'
has 'not known' 'the row after a break is not known'
run mark "$scratch/good.combo"
ends 0 'mark'
has 'count  step ' 'a row a count'
[ ! -s "$scratch/err" ]
say $? 'and nothing on standard error'
run clean "$scratch/bad.combo"
ends 1 'clean of one with a problem'
err_has 'bad.combo: 1 problem' 'says so on standard error'
for asked in '' 'nonsense' 'check --nonsense' 'clean --lines' 'explain' \
    'explain Z999' 'explain S001x' 'explain S001 S002'; do
    [ -n "$asked" ] || continue
    # shellcheck disable=SC2086
    run $asked
    ends 2 "asked wrongly: $asked"
    [ ! -s "$scratch/out" ]
    say $? 'and nothing on standard output'
done
for asked in check mark other-side clean; do
    run $asked "$scratch/nowhere.combo"
    ends 3 "$asked of a file that is not there"
    run $asked "$scratch"
    ends 3 "$asked of a folder"
done
if [ "$(id -u)" -ne 0 ]; then
    cp "$scratch/good.combo" "$scratch/shut.combo"
    chmod 000 "$scratch/shut.combo"
    run check "$scratch/shut.combo"
    ends 3 'a file one may not read'
fi
run check "$scratch/nowhere.combo" "$scratch/bad.combo"
ends 3 'the worst of several counts'
has 'problem [S001]' 'and the others are still checked'
if [ -e /dev/full ]; then
    timeout 60 "$marquer" clean "$scratch/good.combo" >/dev/full \
        2>"$scratch/err" </dev/null
    rc=$?
    ends 3 'output that cannot be written'
fi
run --version
ends 0 'version'
grep -q '^marquer [0-9]*\.[0-9]*\.[0-9]*$' "$scratch/out"
say $? 'is three numbers'
run --help
ends 0 'help'
run explain s001
ends 0 'explain takes small letters'
has 'S001 ' 'and tells the code'

# ---- standard input, several files ----
from "$scratch/bad.combo" check
ends 1 'check of standard input'
has '  line 3, column ' 'which has no name'
from "$scratch/bad.combo" check --lines -
grep -q '^-:3:[0-9]*: problem: ' "$scratch/out"
say $? 'and is - in front of a line'
from "$scratch/good.combo" clean
cp "$scratch/out" "$scratch/once"
from "$scratch/once" clean
[ -s "$scratch/once" ] && cmp -s "$scratch/out" "$scratch/once"
say $? 'a clean copy is its own clean copy'
from "$scratch/good.combo" other-side
has 'left front' 'the other side begins on the left'
cp "$scratch/out" "$scratch/left"
from "$scratch/left" other-side
cp "$scratch/out" "$scratch/right"
from "$scratch/right" other-side
[ -s "$scratch/left" ] && cmp -s "$scratch/out" "$scratch/left"
say $? 'other side thrice is other side once'
run clean "$scratch/good.combo" "$scratch/empty.combo"
ends 0 'several files'
grep -qx "$scratch/good.combo" "$scratch/out" &&
    grep -qx "$scratch/empty.combo" "$scratch/out"
say $? 'have their names in front'
cp "$scratch/good.combo" "$scratch/--lines"
timeout 60 "$marquer" clean -- "$scratch/--lines" >"$scratch/out" \
    2>"$scratch/err" </dev/null
rc=$?
ends 0 'names after --'

# ---- nothing, noise, long, broken ----
for asked in check 'check --lines' mark other-side clean; do
    # shellcheck disable=SC2086
    run $asked "$scratch/empty.combo"
    ends 0 "$asked of an empty file"
done
run check "$scratch/empty.combo"
has '[R006]' 'which is said to have no step'

# The same noise every time, from a small generator of its own.
awk 'BEGIN { x = 1
    for (i = 0; i < 1048576; i++) {
        x = (x * 1103515245 + 12345) % 2147483648
        printf "%03o\n", int(x / 65536) % 256 } }' |
    awk '{ printf "\\%s", $1; if (NR % 4096 == 0) print "" }' |
    while read -r piece; do
        # shellcheck disable=SC2059
        printf "$piece"
    done >"$scratch/noise" 2>/dev/null
[ "$(wc -c <"$scratch/noise")" -eq 1048576 ]
say $? '1 MiB of noise is made'
tr '\n' ' ' <"$scratch/noise" >"$scratch/noise-line"
awk 'BEGIN { for (i = 0; i < 52429; i++) printf "glissade, assemble, " }' \
    >"$scratch/long-line"
printf 'changement\000\000, \000royale\000\n' >"$scratch/nul"
printf 'chang\351ment, \303, royale \377\376\n\200\342\202\n' >"$scratch/broken"
printf 'changement (\033[2J\033]0;gone\007 \302\233 31m \342\200\256)\n\033c\n' \
    >"$scratch/escape"
for odd in noise noise-line long-line nul broken escape; do
    for asked in check 'check --lines' mark other-side clean; do
        case $odd-$asked in # a hundred thousand steps: two are enough
        long-line-mark | long-line-other-side | 'long-line-check --lines')
            continue ;;
        esac
        # shellcheck disable=SC2086
        run $asked "$scratch/$odd"
        [ "$rc" -eq 0 ] || [ "$rc" -eq 1 ]
        say $? "$asked of $odd comes to an end ($rc)"
        [ -s "$scratch/out" ]
        say $? "$asked of $odd answers"
        clean_output "$asked of $odd"
    done
    from "$scratch/$odd"
    [ "$rc" -eq 0 ] || [ "$rc" -eq 1 ]
    say $? "typing $odd comes to an end ($rc)"
    [ -s "$scratch/out" ]
    say $? "typing $odd is answered"
    clean_output "typing $odd"
done
run check "$scratch/escape"
has '\x1b[2J' 'an escape byte is shown by number'
run check "$scratch/broken"
has '[R004]' 'broken bytes are told'

# A name with control bytes.
odd=$(printf '%s/a\033[31mb.combo' "$scratch")
cp "$scratch/bad.combo" "$odd"
run check "$odd"
clean_output 'a name with an escape'
run check "$odd-nowhere"
clean_output 'a name with an escape that is not there'
run mark "$odd" "$odd"
clean_output 'such names in front of several'
exit $fail
