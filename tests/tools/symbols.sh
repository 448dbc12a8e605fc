#!/bin/sh
# What the library exports and what it calls; ok and not ok lines.  Needs the
# plain build: MARQ_LIB (libmarquer.so.N, libmarquer.a), MARQ_BUILD (objects).
set -u
LC_ALL=C
export LC_ALL
nm=${NM:-nm}
lib=${MARQ_LIB:-build}
objects=${MARQ_BUILD:-build/plain}
fail=0
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT

say() { # STATUS NAME; $scratch/why explains a failure
    if [ "$1" -eq 0 ]; then
        echo "ok symbols: $2"
    else
        echo "not ok symbols: $2"
        sed 's/^/#   /' "$scratch/why"
        fail=1
    fi
}

major=$(sed -n 's/^#define MARQ_VERSION_MAJOR //p' include/marquer.h)
so=$lib/libmarquer.so.$major

# 1. exported = promised, in both directions
"$nm" -D --defined-only "$so" | awk '{ print $NF }' |
    grep -v '^_init$\|^_fini$' | sort -u >"$scratch/have"
sort -u tests/symbols.txt >"$scratch/want"
test -s "$scratch/have" && diff "$scratch/want" "$scratch/have" >"$scratch/why"
say $? 'exported names equal tests/symbols.txt'

# 2. promised = declared in the header
tr '\n' ' ' <include/marquer.h | sed 's/MARQ_API/\n&/g' |
    sed -n 's/^MARQ_API [^(;]*[ *]\(marq_[a-z0-9_]*\)(.*/\1/p' |
    sort -u >"$scratch/declared"
diff "$scratch/want" "$scratch/declared" >"$scratch/why"
say $? 'tests/symbols.txt equals what the header declares'

# 3. soname
objdump -p "$so" | grep -q "SONAME  *libmarquer.so.$major\$" 2>"$scratch/why"
say $? "soname is libmarquer.so.$major"

# 4. no writable data in any object: no mutable globals
: >"$scratch/why"
for o in "$objects"/lib/*.o "$objects"/builtin.o; do
    case $o in */digest.o) continue ;; esac
    "$nm" "$o" | awk -v o="${o##*/}" '
        $(NF - 1) ~ /^[bBdDC]$/ && $NF !~ /\.rel\.ro|^\.L|^__gcov|^__llvm/ {
            print o ": " $NF " (" $(NF - 1) ")" }' >"$scratch/data"
    # const tables of pointers stand in .data.rel.ro, which is read only
    # once the program is loaded; nm calls it d too.
    while read -r line; do
        name=${line#*: }
        name=${name% (*}
        objdump -t "$o" | awk -v n="$name" '$NF == n { print $0 }' |
            grep -q '\.data\.rel\.ro' || echo "$line" >>"$scratch/why"
    done <"$scratch/data"
done
test ! -s "$scratch/why"
say $? 'no mutable globals'

# 5. what objects call
calls() { # NAME REGEX ALLOWED-OBJECT
    : >"$scratch/why"
    for o in "$objects"/lib/*.o "$objects"/builtin.o; do
        case ${o##*/} in digest.o | "$3") continue ;; esac
        "$nm" -u "$o" | awk '{ sub(/@.*/, "", $NF); print $NF }' |
            grep -xE "$2" | sed "s|^|${o##*/}: |" >>"$scratch/why"
    done
    test ! -s "$scratch/why"
    say $? "$1"
}
calls 'only base.o allocates' \
    'malloc|calloc|realloc|reallocarray|free|aligned_alloc|posix_memalign|memalign|strdup|strndup|__strdup|asprintf|vasprintf|getline|mmap|sbrk' \
    base.o
calls 'no locale' 'setlocale|newlocale|uselocale|localeconv|nl_langinfo' -
calls 'no printing' \
    '(__)?(v?printf|v?fprintf|v?dprintf|puts|fputs|putc|putchar|fputc|_IO_putc|fwrite|write|perror|syslog)(_chk)?|stdout|stderr' -
calls 'no files' \
    '(f|fd|fre|)open(64)?|openat(64)?|fread|fgets|fgetc|getc|getchar|read|stdin|remove|rename|unlink|tmpfile(64)?|mkstemp(64)?|popen|system|getenv|secure_getenv' -
# A debug build may assert; the delivered one may not even hold that.
calls 'no exit or abort' 'exit|_exit|_Exit|quick_exit|abort|__assert_fail|longjmp|__longjmp_chk|raise|kill|signal|sigaction' -
: >"$scratch/why"
for o in "$objects"/lib/*.o; do
    case ${o##*/} in pattern.o | pattern_*.o | digest.o) continue ;; esac
    "$nm" -u "$o" | grep -o 'pcre2_[a-z0-9_]*' |
        sed "s|^|${o##*/}: |" >>"$scratch/why"
done
test ! -s "$scratch/why"
say $? 'only pattern.o calls PCRE2'

# 6. the program needs nothing of the library but what is exported
# shellcheck disable=SC2086
${CC:-cc} -o "$scratch/program" "$objects"/repl/*.o "$so" \
    $(pkg-config --libs readline 2>/dev/null || echo -lreadline) \
    >"$scratch/why" 2>&1
say $? 'the program links with the shared library alone'

# 7. the header stands by itself, in C and in C++
echo '#include "marquer.h"' >"$scratch/h.c"
${CC:-cc} -std=c11 -pedantic -Wall -Wextra -Werror -Iinclude -fsyntax-only \
    "$scratch/h.c" >"$scratch/why" 2>&1
say $? 'the header compiles alone as C11'
if command -v clang >/dev/null 2>&1; then
    clang -x c++ -std=c++11 -pedantic -Wall -Wextra -Werror -Iinclude \
        -fsyntax-only "$scratch/h.c" >"$scratch/why" 2>&1
    say $? 'the header compiles alone as C++11'
fi
exit $fail
