#!/bin/sh
# The stages of `make check-all`, one after another; a stage that cannot be
# built or run counts as a failure.  Sums go to $MARQ_TOTALS.
set -u
: "${MAKE:=make}" "${MARQ_TOTALS:?}"
case "${MAKEFLAGS-}" in
*jobserver*) many= ;;
*) many=-j${JOBS:-2} ;;
esac

failed_so_far() {
    awk '{ f += $3 } END { print f + 0 }' "$MARQ_TOTALS" 2>/dev/null || echo 0
}

stage() { # NAME MAKE-ARGUMENTS...
    name=$1
    shift
    before=$(failed_so_far)
    # shellcheck disable=SC2086
    if ! $MAKE --no-print-directory "$@"; then
        after=$(failed_so_far)
        if [ "$after" = "$before" ]; then
            echo "[$name] did not run to its end" >&2
            echo "$name 0 1" >>"$MARQ_TOTALS"
        fi
    fi
}

mkdir -p "$(dirname "$MARQ_TOTALS")"
: >"$MARQ_TOTALS"
# shellcheck disable=SC2086
{
stage build $many all build-tests
stage floors floors
stage symbols symbols
stage vocab-lint vocab-lint
stage docs-check docs-check
stage long long
stage asan asan
stage both-cc both-cc
stage valgrind valgrind
}
