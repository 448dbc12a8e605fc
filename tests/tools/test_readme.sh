#!/bin/sh
# Runs the commands of the screens in README.md and compares what they print.
set -u
: "${MARQUER:=build/marquer}"
work=$(mktemp -d) || exit 2
trap 'rm -rf "$work"' EXIT
awk -v dir="$work" '
    /^```console/ { inside = 1; next }
    /^```/ { inside = 0 }
    inside && /^\$ / { n++; print substr($0, 3) > (dir "/" n ".cmd")
                       printf "" > (dir "/" n ".want"); next }
    inside && n { print > (dir "/" n ".want") }
' README.md
count=0
bad=0
for cmd in "$work"/*.cmd; do
    test -f "$cmd" || continue
    n=${cmd%.cmd}
    count=$((count + 1))
    sed "s|build/marquer|$MARQUER|" "$cmd" | sh >"$n.got" 2>&1
    if cmp -s "$n.want" "$n.got"; then
        echo "ok - README: $(cat "$cmd")"
    else
        echo "not ok - README: $(cat "$cmd")"
        diff "$n.want" "$n.got"
        bad=1
    fi
done
if test "$count" -lt 2; then
    echo 'not ok - README shows no screen'
    exit 1
fi
exit "$bad"
