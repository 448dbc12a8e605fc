#!/bin/sh
# The vocabulary from outside the loader; ok and not ok lines.
set -u
LC_ALL=C
export LC_ALL
digest=${MARQ_DIGEST:-build/plain/digest}
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
fail=0
say() {
    if [ "$1" -eq 0 ]; then
        echo "ok vocab-lint: $2"
    else
        echo "not ok vocab-lint: $2"
        sed 's/^/#   /' "$scratch/why"
        fail=1
    fi
}

"$digest" "$scratch/one.c" vocab/*.vocab >"$scratch/why" 2>&1
say $? 'the digest tool accepts every file'
"$digest" "$scratch/two.c" vocab/*.vocab >"$scratch/why" 2>&1 &&
    cmp "$scratch/one.c" "$scratch/two.c" >"$scratch/why" 2>&1
say $? 'two digests of it are equal'

# A fault must stop the build: a term without anything it must have.
printf 'format 1\n\nterm marq lint probe\n  id  marq-lint-probe\n' \
    >"$scratch/zz.vocab"
if "$digest" "$scratch/bad.c" vocab/*.vocab "$scratch/zz.vocab" \
    >"$scratch/why" 2>&1; then
    echo 'the digest tool accepted a term without meaning or variant' \
        >"$scratch/why"
    false
else
    grep -q 'zz\.vocab:3\|zz\.vocab:4' "$scratch/why"
fi
say $? 'a faulty entry is refused with its file and line'

for f in vocab/*.vocab; do
    awk 'FNR == 1 { sub(/^\357\273\277/, "") }
         !seen && /^[^ \t#]/ { seen = 1
             if ($0 !~ /^format 1$/) { print FNR ": does not begin with format 1" } }
         /\t/ { print FNR ": a tab" }
         /[ ]+$/ { print FNR ": blanks at the end of the line" }
         /\r/ { print FNR ": a carriage return" }' "$f" >"$scratch/why"
    iconv -f UTF-8 -t UTF-8 "$f" >/dev/null 2>>"$scratch/why"
    test ! -s "$scratch/why"
    say $? "$f is tidy UTF-8 and begins with its format"
done

# Ids are permanent: each is there once, in small letters.
sed -n 's/^  *id  *//p' vocab/*.vocab | sed 's/ *#.*//' >"$scratch/ids"
{
    sort "$scratch/ids" | uniq -d | sed 's/$/: twice/'
    grep -v '^[a-z0-9-]*$' "$scratch/ids" | sed 's/$/: not an id/'
} >"$scratch/why"
test -s "$scratch/ids" && test ! -s "$scratch/why"
say $? "ids are distinct ($(wc -l <"$scratch/ids") terms)"

# Every term names what it rests on.
awk '/^[^ \t#]/ { if (term != "" && !source) { print term ": no source" }
                  term = ""; source = 0 }
     /^term / { term = FILENAME ":" FNR ": " $0 }
     /^  *source / { source = 1 }
     END { if (term != "" && !source) { print term ": no source" } }' \
    vocab/*.vocab >"$scratch/why"
test ! -s "$scratch/why"
say $? 'every term names its source'
exit $fail
