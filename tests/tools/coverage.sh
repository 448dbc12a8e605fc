#!/bin/sh
# Lines and branches of lib/ that the tests just run reached, a row a file.
#   coverage.sh build/coverage
set -u
LC_ALL=C
export LC_ALL
dir=${1:?the build folder}
for n in "$dir"/lib/*.gcno; do
    f=$(basename "$n" .gcno)
    [ "$f" = digest ] && continue
    gcov -n -b -o "$dir/lib" "$dir/lib/$f.o" 2>/dev/null |
        awk -v want="lib/$f.c" '
            /^File / { on = index($0, "'\''" want "'\''") > 0 }
            on && /^Lines executed/ { split($0, a, /[:% ]+/)
                lines = a[3]; ln = $NF }
            on && /^Branches executed/ { bn = $NF }
            on && /^Taken at least once/ { split($0, a, /[:% ]+/)
                taken = a[5] }
            END { print want, lines + 0, ln + 0, taken + 0, bn + 0 }'
done | awk '
    BEGIN { printf "%-24s %7s %7s %9s %8s\n", "file", "lines", "%", \
                   "branches", "%" }
    { printf "%-24s %7d %7.1f %9d %8.1f\n", $1, $3, $2, $5, $4
      l += $3; lc += $2 * $3; b += $5; bc += $4 * $5 }
    END { printf "%-24s %7d %7.1f %9d %8.1f\n", "all", l, l ? lc / l : 0, \
                 b, b ? bc / b : 0 }'
