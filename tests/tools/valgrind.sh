#!/bin/sh
# Unit tests and the program under valgrind; ok and not ok lines.
set -u
build=${MARQ_BUILD:-build/plain}
program=${MARQUER:-build/marquer}
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
fail=0
grind() { # NAME COMMAND...: any status but 99 is the command's own affair
    name=$1
    shift
    timeout -k 5 300 valgrind -q --error-exitcode=99 --leak-check=full \
        --errors-for-leak-kinds=definite,indirect,possible \
        --show-leak-kinds=definite,indirect,possible \
        --log-file="$scratch/log" "$@" </dev/null >"$scratch/out" 2>&1
    rc=$?
    if [ $rc -ne 99 ] && [ $rc -lt 124 ] && [ $rc -le "$most" ]; then
        echo "ok valgrind: $name"
    else
        echo "not ok valgrind: $name (exit $rc)"
        tail -n 30 "$scratch/log" | sed 's/^/#   /'
        tail -n 5 "$scratch/out" | sed 's/^/#   /'
        fail=1
    fi
}
most=0
for t in "$build"/tests/unit/test_*; do
    case $t in *.o | *.d) continue ;; esac
    [ -f "${t#"$build"/}.c" ] || continue # its source is gone
    grind "${t##*/}" "$t"
done
most=1 # a sample may hold problems
for s in shared/samples/*.combo; do
    [ -f "$s" ] || continue
    grind "check ${s##*/}" "$program" check "$s"
    case $s in # the same walk with a print behind it: a few are enough
    */light-*) grind "other-side ${s##*/}" "$program" other-side "$s" ;;
    esac
done
exit $fail
