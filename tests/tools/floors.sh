#!/bin/sh
# Includes go downwards only.  Reads lib/FLOORS ("module floor" a line) and the
# #include lines of lib/ and repl/; one ok or not ok line a module.
#
# lib/NAME_PART.c belongs to module NAME unless NAME_PART has a line of its
# own.  lib/digest.c is a tool and may include any module; its output is data.
# repl/ may include marquer.h, its own headers, readline, jansson and the C
# library.  Another root may be given as the argument.
set -u
LC_ALL=C
export LC_ALL
cd "${1:-.}" || exit 2
if [ ! -f lib/FLOORS ]; then
    echo 'not ok floors: no lib/FLOORS'
    exit 1
fi

lines=$(awk -v files="$(ls lib/*.c lib/*.h lib/*.def repl/*.c repl/*.h 2>/dev/null |
        tr '\n' ' ')" '
function base(path) { sub(/^.*\//, "", path); return path }
function stem(path) { path = base(path); sub(/\.[a-z]+$/, "", path)
                      return path }
# The module a file of lib/ belongs to, or "".
function module(path,    m) {
    m = stem(path)
    while (!(m in floor)) {
        if (!sub(/_[^_]*$/, "", m)) { return "" }
    }
    return m
}
function fault(who, text) {
    bad[who] = bad[who] "\n#   " text
}
/^[ \t]*(#|$)/ { next }
NF != 2 || $2 !~ /^[0-9]+$/ {
    fault("FLOORS", "lib/FLOORS:" FNR ": not \"module floor\": " $0); next }
$1 in floor { fault("FLOORS", "lib/FLOORS:" FNR ": twice: " $1); next }
{ floor[$1] = $2 + 0 }
END {
    seen["FLOORS"] = 1
    n = split(files, list, " ")
    for (i = 1; i <= n; i++) {
        path = list[i]
        have[path] = 1
        if (path ~ /^lib\//) {
            who = stem(path) == "digest" ? "digest" : module(path)
            if (who == "" && base(path) == "banned.h") { who = "base" }
        } else {
            who = "repl"
        }
        if (who == "") {
            seen[stem(path)] = 1
            fault(stem(path), path ": its module is not in lib/FLOORS")
            continue
        }
        seen[who] = 1
        own[path] = who
    }
    for (m in floor) {
        if (!(m in seen)) {
            seen[m] = 1
            fault(m, "lib/FLOORS names it, lib/ has no file of it")
        }
    }
    for (path in own) {
        who = own[path]
        line = 0
        while ((getline text < path) > 0) {
            line++
            if (text !~ /^[ \t]*#[ \t]*include/) { continue }
            at = path ":" line ": "
            if (match(text, /"[^"]*"/)) {
                target = substr(text, RSTART + 1, RLENGTH - 2)
                check_own(who, path, at, target)
            } else if (match(text, /<[^>]*>/)) {
                target = substr(text, RSTART + 1, RLENGTH - 2)
                check_system(who, path, at, target)
            } else {
                fault(who, at "cannot read: " text)
            }
        }
        close(path)
    }
    for (who in seen) {
        total++
        if (who in bad) { wrong++
            print "not ok floors: " who bad[who]
        } else { print "ok floors: " who }
    }
    exit wrong > 0 || total < 2
}
function check_own(who, path, at, target,    other) {
    if (target == "marquer.h") { return }
    if (who == "repl") {
        if (!(("repl/" target) in have)) {
            fault(who, at "only marquer.h and headers of repl/: " target)
        }
        return
    }
    if (target ~ /\//) { fault(who, at "a path in an include: " target)
        return }
    if (!(("lib/" target) in have)) {
        fault(who, at "not a header of lib/: " target); return }
    if (target == "banned.h") { return }
    other = module(target)
    if (other == "") { fault(who, at target " is of no module"); return }
    if (who == "digest" || other == who) { return }
    if (floor[other] >= floor[who]) {
        fault(who, at who " (floor " floor[who] ") includes " target \
              " (floor " floor[other] ")")
    }
}
function check_system(who, path, at, target) {
    if (target ~ /^pcre2/ && who != "pattern") {
        fault(who, at "only pattern knows " target) }
    if (target ~ /^utf8proc/ && who != "text") {
        fault(who, at "only text knows " target) }
    if (target ~ /^(readline|jansson)/ && who != "repl") {
        fault(who, at "only repl/ uses " target) }
    if (target ~ /^(unistd|fcntl|pthread|threads|dlfcn|signal)\.h$/ &&
        who != "repl" && who != "digest") {
        fault(who, at "not in lib/: " target) }
}' lib/FLOORS)
status=$?
printf '%s\n' "$lines"
exit $status
