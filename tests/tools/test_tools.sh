#!/bin/sh
# The checks under tests/tools must be able to fail: each is given something
# wrong, and must say so.
set -u
tools=$(cd "$(dirname "$0")" && pwd)
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 2
unset MARQ_TOTALS
fail=0
expect() { # NAME WANTED GOT
    if [ "$2" = "$3" ]; then
        echo "ok tools: $1"
    else
        echo "not ok tools: $1"
        printf '#   wanted %s\n#   got    %s\n' "$2" "$3"
        fail=1
    fi
}

# ---- run-tests.sh: what it makes of a program's words and status ----
program() { # NAME: a program whose output and status come from standard input
    { echo '#!/bin/sh'; cat; } >"$1"
    chmod +x "$1"
}
judge() { # PROGRAM...: last line and status
    sh "$tools/run-tests.sh" stage log "$@" >out 2>&1
    rc=$?
    echo "$(tail -n 1 out), exit $rc"
}
program good.sh <<'E'
echo 'ok one'
echo 'ok two'
E
program bad.sh <<'E'
echo 'ok one'
echo 'not ok two'
exit 1
E
program lying.sh <<'E'
echo 'not ok one'
E
program silent.sh <<'E'
exit 0
E
program dying.sh <<'E'
echo 'ok one'
kill -SEGV $$
E
program skipping.sh <<'E'
echo 'ok one # SKIP today'
E
program c_good <<'E'
echo '[==========] Running 2 test(s).'
echo '[  PASSED  ] 2 test(s).'
E
program c_two <<'E'
echo '[==========] Running 2 test(s).'
echo '[  PASSED  ] 2 test(s).'
echo '[==========] other: Running 3 test(s).'
echo '[  PASSED  ] 3 test(s).'
E
program c_bad <<'E'
echo '[==========] Running 2 test(s).'
echo '[  PASSED  ] 1 test(s).'
echo '[  FAILED  ] 1 test(s), listed below:'
echo '[  FAILED  ] second'
exit 1
E
program c_early <<'E'
echo '[==========] Running 5 test(s).'
exit 0
E
program c_skip <<'E'
echo '[==========] Running 2 test(s).'
echo '[  PASSED  ] 1 test(s).'
echo '[  SKIPPED ] 1 test(s), listed below:'
E
program c_status <<'E'
echo '[==========] Running 2 test(s).'
echo '[  PASSED  ] 2 test(s).'
exit 3
E
expect 'two ok lines pass' '2 passed, 0 failed, exit 0' "$(judge ./good.sh)"
expect 'a not ok line fails' '1 passed, 1 failed, exit 1' "$(judge ./bad.sh)"
expect 'a not ok line fails though the status is 0' \
    '0 passed, 1 failed, exit 1' "$(judge ./lying.sh)"
expect 'a test that says nothing fails' '0 passed, 1 failed, exit 1' \
    "$(judge ./silent.sh)"
expect 'a test that dies fails' '1 passed, 1 failed, exit 1' \
    "$(judge ./dying.sh)"
expect 'a skipped check fails' '0 passed, 1 failed, exit 1' \
    "$(judge ./skipping.sh)"
expect 'a missing program fails' '0 passed, 1 failed, exit 1' \
    "$(judge ./nowhere)"
expect 'no program at all fails' '0 passed, 1 failed, exit 1' "$(judge)"
expect 'cmocka: passed' '2 passed, 0 failed, exit 0' "$(judge ./c_good)"
expect 'cmocka: two groups add up' '5 passed, 0 failed, exit 0' \
    "$(judge ./c_two)"
expect 'cmocka: failed' '1 passed, 1 failed, exit 1' "$(judge ./c_bad)"
expect 'cmocka: stopped early' '0 passed, 5 failed, exit 1' \
    "$(judge ./c_early)"
expect 'cmocka: skipped' '1 passed, 1 failed, exit 1' "$(judge ./c_skip)"
expect 'cmocka: a bad status after good lines' '2 passed, 1 failed, exit 1' \
    "$(judge ./c_status)"
expect 'programs add up' '3 passed, 2 failed, exit 1' \
    "$(judge ./good.sh ./bad.sh ./silent.sh)"
printf 'a 3 0\nb 4 0\n' >one
printf 'c 1 2\n' >two
sum() {
    sh "$tools/run-tests.sh" --sum "$@" >out 2>&1
    rc=$?
    echo "$(tail -n 1 out), exit $rc"
}
expect 'stages add up' '7 passed, 0 failed, exit 0' "$(sum one)"
expect 'files of stages add up' '8 passed, 2 failed, exit 1' "$(sum one two)"
expect 'a missing stage fails' '7 passed, 1 failed, exit 1' "$(sum one three)"

# ---- floors.sh: a small tree, right and then wrong in one place ----
tree() {
    rm -rf t
    mkdir -p t/lib t/repl
    printf '# module floor\nlow 0\nmid 1\nside 1\ntop 2\n' >t/lib/FLOORS
    echo '#include "marquer.h"' >t/lib/low.h
    echo '#include "low.h"' >t/lib/mid.h
    echo '#include "low.h"' >t/lib/side.h
    printf '#include <stdlib.h>\n#include "mid.h"\n' >t/lib/top.c
    echo '#include "top.h"' >t/lib/digest.c
    echo '#include "mid.h"' >t/lib/top.h
    echo '#include "mid_part.h"' >t/lib/mid_part.c
    : >t/lib/mid_part.h
    : >t/repl/own.h
    printf '#include "marquer.h"\n#include "own.h"\n' >t/repl/main.c
    printf '#include <readline/readline.h>\n' >>t/repl/main.c
}
faults() {
    sh "$tools/floors.sh" t >out 2>&1
    rc=$?
    echo "$(grep -c '^not ok' out) $(sed -n 's/^not ok floors: //p' out |
        tr '\n' ' ')exit $rc"
}
tree
expect 'floors: a right tree passes' '0 exit 0' "$(faults)"
tree
echo '#include "top.h"' >>t/lib/mid_part.c
expect 'floors: upward' '1 mid exit 1' "$(faults)"
tree
echo '# include  "side.h" /* x */' >>t/lib/mid.h
expect 'floors: sideways' '1 mid exit 1' "$(faults)"
tree
: >t/lib/stray.c
expect 'floors: a module without a floor' '1 stray exit 1' "$(faults)"
tree
rm t/lib/side.h
expect 'floors: a floor without a module' '1 side exit 1' "$(faults)"
tree
echo 'mid 0' >>t/lib/FLOORS
expect 'floors: named twice' '1 FLOORS exit 1' "$(faults)"
tree
echo '#include "low.h"' >>t/repl/main.c
expect 'floors: repl reaches into lib' '1 repl exit 1' "$(faults)"
tree
echo '#include "../lib/low.h"' >>t/repl/main.c
expect 'floors: repl reaches into lib by a path' '1 repl exit 1' "$(faults)"
tree
echo '#include <pcre2.h>' >>t/lib/top.c
expect 'floors: PCRE2 outside pattern' '1 top exit 1' "$(faults)"
tree
rm t/lib/FLOORS
expect 'floors: no FLOORS' '1 no lib/FLOORS exit 1' "$(faults)"
exit $fail
