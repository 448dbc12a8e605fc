#!/bin/sh
# Pages and links of README.md, DEVELOPERS.md and docs/; ok and not ok lines.
# (Examples are run by the programs of tests/docs.)
set -u
LC_ALL=C
export LC_ALL
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
fail=0
say() {
    if [ "$1" -eq 0 ]; then
        echo "ok docs: $2"
    else
        echo "not ok docs: $2"
        sed 's/^/#   /' "$scratch/why"
        fail=1
    fi
}

# Codes: the catalogue and the pages name the same ones.
sed -n 's/^ *MARQ_DIAG([A-Z0-9_]*, *"\([A-Z][0-9]*\)".*/\1/p' lib/diag.def |
    sort >"$scratch/codes"
ls docs/explain | sed -n 's/^\([A-Z][0-9][0-9][0-9]\)\.md$/\1/p' |
    sort >"$scratch/pages"
uniq -d "$scratch/codes" >"$scratch/why"
test -s "$scratch/codes" && test ! -s "$scratch/why"
say $? 'codes of the catalogue are distinct'
diff "$scratch/codes" "$scratch/pages" >"$scratch/why"
say $? 'one page under docs/explain for each code'

# Links between our own pages lead somewhere.
: >"$scratch/why"
pages=$(find README.md DEVELOPERS.md docs vocab shared tests -name '*.md' \
    2>/dev/null | sort)
for p in $pages; do
    grep -o '](\([^)]*\))' "$p" | sed 's/^](//; s/)$//; s/#.*//' |
        grep -v '^$\|^https\{0,1\}:' | while read -r link; do
        [ -e "$(dirname "$p")/$link" ] || echo "$p: no $link"
    done
done >"$scratch/why"
test ! -s "$scratch/why"
say $? 'links between pages lead somewhere'

# Commands the two pages give are targets of the Makefile.
for p in README.md DEVELOPERS.md; do
    [ -f "$p" ] || { echo "no $p"; continue; }
    { grep '^    \|^\$ ' "$p"; grep -o '`[^`]*`' "$p"; } |
        sed 's/^ *//; s/^\$ //; s/`//g' |
        grep -oE '^([A-Z_]+=[^ ]+ )*make( [A-Z_]+=[^ ]+)* [a-z][a-z-]*' |
        awk '{ print $NF }' | sort -u | while read -r t; do
        grep -q "^$t:" Makefile ||
            grep -q "^KINDS = .*\\b$t\\b" Makefile ||
            grep -q "^\.PHONY:.* $t\\b" Makefile || echo "$p: make $t"
    done
done >"$scratch/why"
test ! -s "$scratch/why"
say $? 'make targets named in README and DEVELOPERS exist'

# The pages a reader expects.
for p in README.md DEVELOPERS.md LICENSE docs/notation.md vocab/README.md; do
    [ -s "$p" ] || echo "no $p"
done >"$scratch/why"
test ! -s "$scratch/why"
say $? 'the pages a reader expects are there'
exit $fail
