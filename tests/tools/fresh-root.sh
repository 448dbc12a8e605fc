#!/bin/sh
# Proves that a fresh Debian with only git and make is enough.
#
#   fresh-root.sh DIR [SUITE [MIRROR]]
#
# As root: makes a minimal root in DIR with debootstrap (DIR must not exist,
# or be one made by this script), adds git and make, clones this tree into it
# and runs there, one after another: `make demo` with NO_INSTALL=1 (must stop
# and name what is missing), `make demo`, `make check`.  TREE=work copies the
# files as they stand instead of the last commit.  DIR is left for a look.
set -eu
dir=${1:?where to put the root}
suite=${2:-bookworm}
mirror=${3:-} # none: what debootstrap takes by itself
src=$(cd "$(dirname "$0")/../.." && pwd)
test "$(id -u)" -eq 0 || { echo 'fresh-root: needs root' >&2; exit 2; }
command -v debootstrap >/dev/null || {
    echo 'fresh-root: needs debootstrap' >&2
    exit 2
}

if [ ! -e "$dir" ]; then
    debootstrap --variant=minbase --include=git,make "$suite" "$dir" ${mirror:+"$mirror"}
    touch "$dir/.fresh-root"
fi
test -f "$dir/.fresh-root" || {
    echo "fresh-root: $dir is not one of ours" >&2
    exit 2
}
dir=$(cd "$dir" && pwd)

# How this machine reaches its packages.
cp -L /etc/resolv.conf /etc/hosts "$dir/etc/"
for f in /etc/apt/apt.conf /etc/apt/apt.conf.d/*; do
    if [ -f "$f" ] && grep -q '^ *Acquire' "$f"; then
        cp "$f" "$dir/etc/apt/apt.conf.d/"
    fi
done

rm -rf "$dir/root/marquer"
mkdir -p "$dir/root/marquer"
if [ "${TREE-}" != work ] && git -C "$src" rev-parse -q --verify HEAD \
    >/dev/null; then
    git -C "$src" bundle create "$dir/root/marquer.bundle" HEAD 2>/dev/null
    rm -rf "$dir/root/marquer"
    chroot "$dir" git clone -q /root/marquer.bundle /root/marquer
else
    tar -C "$src" --exclude=./build --exclude=./.git -cf - . |
        tar -x -C "$dir/root/marquer"
fi

# Private mounts: they vanish with this script's own process.
exec unshare --mount --propagation private sh -eu -c '
    dir=$1
    mount -t proc proc "$dir/proc" 2>/dev/null ||
        mount --rbind /proc "$dir/proc"
    mount --rbind /dev "$dir/dev"
    inside() {
        echo "fresh-root: $*"
        chroot "$dir" env -i HOME=/root TERM=dumb \
            PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin \
            http_proxy="${http_proxy-}" https_proxy="${https_proxy-}" \
            sh -c "cd /root/marquer && $*" </dev/null
    }
    for c in cc gcc pkg-config; do
        if chroot "$dir" sh -c "command -v $c" >/dev/null; then
            echo "fresh-root: $c is there already: not fresh"
        fi
    done
    if inside NO_INSTALL=1 make demo; then
        echo "fresh-root: nothing was missing"
    fi
    inside make demo
    inside make check
    echo "fresh-root: done"' fresh-root "$dir"
