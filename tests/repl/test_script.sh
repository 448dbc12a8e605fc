#!/bin/sh
# Typing by a pipe: each line is followed at once, commands are carried out.
# MARQUER names the program; without it build/marquer.
set -u
LC_ALL=C.UTF-8
export LC_ALL
marquer=${MARQUER:-build/marquer}
case $marquer in
/*) ;;
*) marquer=$PWD/$marquer ;;
esac
scratch=$(mktemp -d) || exit 2
trap 'rm -rf "$scratch"' EXIT
cd "$scratch" || exit 2
fail=0

say() { # CODE NAME
    if [ "$1" -eq 0 ]; then
        echo "ok - $2"
    else
        echo "not ok - $2"
        sed 's/^/#   /' out | head -n 30
        fail=1
    fi
}
# Types the arguments, a line each; what was said in out, the code in $rc.
typed() {
    printf '%s\n' "$@" >in
    timeout 60 "$marquer" <in >out 2>err
    rc=$?
}
has() { # WORDS NAME
    grep -qF -e "$1" out
    say $? "$2"
}
lacks() {
    grep -qF -e "$1" out
    [ $? -eq 1 ]
    say $? "$2"
}

typed 'glissade, assemble' 'changement'
[ "$rc" -eq 0 ]
say $? 'what can be danced ends with 0'
lacks 'marquer:' 'there is no prompt'
lacks "$(printf '\033')" 'there is no colour'
has 'assemblé ~dessus' 'what was assumed bears its mark'
[ "$(grep -c '^  stands   ' out)" -eq 2 ]
say $? 'where one stands is told after each line'
[ "$(grep -c 'S009' out)" -eq 1 ]
say $? 'a finding is told once'
lacks 'C006' 'what the end alone decides waits'
typed 'glissade, assemble' 'changement' 'check'
has '[C006]' 'until check is asked for'

typed 'start fifth, right front' 'jete dessus' 'changement'
[ "$rc" -eq 1 ]
say $? 'a problem ends with 1'
has 'problem [S001] changement cannot follow' 'it is told'
has '  stands   not known' 'after it nothing is known'
grep -q '^  try ' out
say $? 'a correction is offered'

typed 'start fifth, right front' 'jete dessus' 'changement' 'undo' \
    'temps leve' 'clean'
has '  taken    changement' 'undo takes back the last line'
has 'on the left' 'and one stands where one stood'
sed -n '/^start    fifth/,$p' out >after
grep -q changement after
[ $? -eq 1 ]
say $? 'it is gone from the clean copy'
typed 'undo' 'undo'
has 'nothing to take back' 'undo of nothing says so'

typed 'changement (soft' 'check' 'arms)' 'clean'
has 'changement (soft check arms)' 'an open bracket takes the next lines'
typed 'changement (soft' '' 'royale'
has '[R005]' 'an empty line ends it'
has 'royale' 'and the next line is a line'
printf 'changement (soft\narms' >in
timeout 60 "$marquer" <in >out 2>err
has 'changement' 'so does the end of the input'

typed 'changement' 'then other side' 'clean'
[ "$(grep -c '^other side$' out)" -ge 1 ]
say $? 'then other side writes the words'
typed 'start fifth, right front' 'changement' 'other side'
has 'fifth, left front' 'other side alone writes the other side'
typed ' other side ' 'other-side' 'OTHER side' 'clean'
[ "$(grep -c 'other side' out)" -ge 1 ]
say $? 'only the exact words are the command'

typed 'changement' 'new' 'royale' 'clean'
grep -v '^  ' out | grep -q changement
[ $? -eq 1 ]
say $? 'new begins again'
typed 'changement' 'mark'
has 'step  name ' 'mark walks it through'
typed 'explain S001' 'help' 'quit' 'royale'
has 'S001 ' 'explain'
has 'load FILE' 'help'
lacks 'royale' 'quit leaves'
[ "$rc" -eq 0 ]
say $? 'and ends with 0'

typed 'changement' 'save lamp.combo' 'royale' 'save lamp.combo'
printf 'changement\nroyale\n' >want
cmp -s want lamp.combo
say $? 'save writes what was typed, and again'
typed 'changement' 'save lamp.combo'
[ "$rc" -eq 3 ] && cmp -s want lamp.combo
say $? 'a file that is not ours is not written over'
typed 'load lamp.combo' 'undo' 'clean' 'save lamp.combo'
has '  loaded   lamp.combo' 'load'
printf 'changement\n' >want
cmp -s want lamp.combo
say $? 'what was loaded can be taken back by lines and saved'
typed 'load nowhere.combo'
[ "$rc" -eq 3 ]
say $? 'load of what is not there ends with 3'
has 'not read  nowhere.combo' 'and says so'

# Long texts are followed at the end, not at each line.
awk 'BEGIN { for (i = 0; i < 4000; i++) print "changement, royale"
             print "jete dessus, changement" }' >in
timeout 60 "$marquer" <in >out 2>err
rc=$?
[ "$rc" -eq 1 ]
say $? 'a long text has its verdict too'
has '[S001]' 'at its end'
exit $fail
