#!/bin/sh
# The public header from C and from C++: it compiles, and a C++ program links
# with the library and runs.  Needs MARQ_LIB (libmarquer.so.N); ok and not ok
# lines.
set -u
lib=${MARQ_LIB:-build}
fail=0
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT

say() { # STATUS NAME; $scratch/why explains a failure
    if [ "$1" -eq 0 ]; then
        echo "ok header: $2"
    else
        echo "not ok header: $2"
        sed 's/^/#   /' "$scratch/why"
        fail=1
    fi
}

cat >"$scratch/twice.c" <<'END'
#include "marquer.h"
#include "marquer.h"
int main(void)
{
    return marq_finding_count(0) != 0;
}
END
for std in c11 c17; do
    "${CC:-cc}" -std=$std -pedantic -Wall -Wextra -Wstrict-prototypes -Werror \
        -Iinclude -fsyntax-only "$scratch/twice.c" >"$scratch/why" 2>&1
    say $? "compiles as $std, twice in one file"
done

# Names as C++ sees them must be those of the library: without the guard this
# does not link.
cat >"$scratch/plus.cc" <<'END'
#include "marquer.h"
int main()
{
    marq_config config;
    marq_vocab *vocab = nullptr;
    marq_config_init(&config);
    if (marq_vocab_builtin(&vocab, &config) != MARQ_OK) {
        return 1;
    }
    bool some = marq_vocab_term_count(vocab) > 0;
    marq_vocab_free(vocab);
    return some ? 0 : 1;
}
END
so=$(ls "$lib"/libmarquer.so.[0-9]* 2>/dev/null | head -n 1)
for cxx in g++ clang++; do
    command -v $cxx >/dev/null 2>&1 || continue
    $cxx -std=c++11 -pedantic -Wall -Wextra -Werror -Iinclude -fsyntax-only \
        "$scratch/plus.cc" >"$scratch/why" 2>&1
    say $? "compiles as C++11 with $cxx"
    [ -n "$so" ] || continue
    { $cxx -std=c++11 -Iinclude "$scratch/plus.cc" "$so" -o "$scratch/plus" &&
        LD_LIBRARY_PATH=$lib "$scratch/plus"; } >"$scratch/why" 2>&1
    say $? "a C++ program links and runs with $cxx"
done
exit $fail
