#!/bin/sh
# Names what is missing on this machine and installs it.
#
#   need.sh demo|check|all|fuzz    what make demo, check, check-all, fuzz need
#
# With NO_INSTALL=1 nothing is installed: what is missing is printed with the
# command that installs it, and the exit status is 1.  apt is tried on
# Debian 12; dnf, pacman and brew were NOT TRIED.
set -u
level=${1:-check}
case $level in
demo | check | all | fuzz) ;;
*)
    echo "need: demo, check, all or fuzz, not $level" >&2
    exit 2
    ;;
esac

missing=
apt= dnf= pacman= brew=

# want WHAT apt dnf pacman brew: remember it as missing; "-" is nothing.
want() {
    missing="$missing, $1"
    [ "$2" = - ] || apt="$apt $2"
    [ "$3" = - ] || dnf="$dnf $3"
    [ "$4" = - ] || pacman="$pacman $4"
    [ "$5" = - ] || brew="$brew $5"
}
have() {
    command -v "$1" >/dev/null 2>&1
}
library() {
    have "$pkg_config" && "$pkg_config" --exists "$1" 2>/dev/null
}
compiles() { # a program that includes header $1
    have "$cc" &&
        printf '#include <%s>\n' "$1" | $cc -E -x c - >/dev/null 2>&1
}

look() {
    missing= apt= dnf= pacman= brew=
    cc=${CC:-cc}
    cc=${cc%% *}
    have "$cc" || cc=gcc
    pkg_config=${PKG_CONFIG:-pkg-config}
    have "$cc" || want 'a C compiler' gcc gcc gcc gcc
    compiles stdio.h ||
        want 'headers of the C library' libc6-dev glibc-devel glibc -
    have "$pkg_config" ||
        want pkg-config pkg-config pkgconf-pkg-config pkgconf pkgconf
    library libpcre2-8 ||
        want PCRE2 libpcre2-dev pcre2-devel pcre2 pcre2
    library libutf8proc ||
        want utf8proc libutf8proc-dev utf8proc-devel libutf8proc utf8proc
    library readline ||
        want readline libreadline-dev readline-devel readline readline
    library cmocka ||
        want cmocka libcmocka-dev libcmocka-devel cmocka cmocka
    [ "$level" = demo ] && return
    [ "$level" = check ] && return
    have gcc || [ "$cc" = gcc ] || want gcc gcc gcc gcc gcc
    have clang || want clang clang clang clang llvm
    have valgrind || want valgrind valgrind valgrind valgrind -
    if [ "$level" = fuzz ] && ! printf '%s\n' '#include <stddef.h>' \
        'int LLVMFuzzerTestOneInput(const char *p, size_t n);' \
        'int LLVMFuzzerTestOneInput(const char *p, size_t n)' \
        '{ (void)p; return (int)n * 0; }' |
        clang -fsanitize=fuzzer -x c -o "${TMPDIR:-/tmp}/need.$$" - \
            2>/dev/null; then
        want "clang's fuzzer" libclang-rt-dev compiler-rt compiler-rt -
    fi
    rm -f "${TMPDIR:-/tmp}/need.$$"
    # gcc's sanitizers come with gcc on Debian; elsewhere they are apart.
    if have dnf && have "$cc" && ! echo 'int main(void) { return 0; }' |
        $cc -fsanitize=address,undefined -x c -o /dev/null - 2>/dev/null; then
        want 'sanitizer libraries' - 'libasan libubsan' - -
    fi
}

look
if [ -z "$missing" ]; then
    exit 0
fi
echo "need: missing here: ${missing#, }"

root=
if [ "$(id -u)" -ne 0 ]; then
    root='sudo '
fi
tried=
if have apt-get; then
    command="${root}env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends$apt"
    before="${root}apt-get update -qq"
elif have dnf; then
    command="${root}dnf install -y$dnf"
    before= tried=no
elif have pacman; then
    command="${root}pacman -S --needed --noconfirm$pacman"
    before= tried=no
elif have brew; then
    command="brew install$brew"
    before= root= tried=no
else
    echo 'need: no apt-get, dnf, pacman or brew here; install by hand:' >&2
    echo "  Debian:  apt-get install$apt" >&2
    echo "  Fedora:  dnf install$dnf           (not tried)" >&2
    echo "  Arch:    pacman -S$pacman          (not tried)" >&2
    echo "  macOS:   brew install$brew         (not tried)" >&2
    exit 1
fi
[ -z "$tried" ] || echo 'need: this package manager was not tried by us'

if [ -n "${NO_INSTALL-}" ] && [ "${NO_INSTALL-}" != 0 ]; then
    echo 'need: nothing is installed (NO_INSTALL); the command is'
    [ -z "$before" ] || echo "  $before"
    echo "  $command"
    exit 1
fi
if [ -n "$root" ] && ! have sudo; then
    echo 'need: neither root nor sudo here; as root run' >&2
    [ -z "$before" ] || echo "  ${before#sudo }" >&2
    echo "  ${command#sudo }" >&2
    exit 1
fi

echo "need: installing with: $command"
if [ -n "$before" ]; then
    $before </dev/null ||
        echo 'need: the lists could not be brought up to date; going on' >&2
fi
$command </dev/null || {
    echo 'need: the installation failed' >&2
    exit 1
}
look
if [ -n "$missing" ]; then
    echo "need: still missing: ${missing#, }" >&2
    exit 1
fi
