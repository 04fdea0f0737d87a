#!/bin/sh
# Installs the named Debian packages that are missing, or says in one sentence what to install.
set -eu
missing=""
for package in "$@"; do
    dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' || missing="$missing $package"
done
[ -z "$missing" ] && exit 0
if [ "$(id -u)" = 0 ]; then
    as_root=""
elif command -v sudo >/dev/null 2>&1 && sudo -n true 2>/dev/null; then
    as_root="sudo"
else
    echo "Please install as root, then run this again: apt-get install$missing" >&2
    exit 2
fi
export DEBIAN_FRONTEND=noninteractive DEBCONF_NOWARNINGS=yes
echo "Installing from Debian:$missing"
$as_root apt-get -qq update
# shellcheck disable=SC2086 # the list is meant to be split
$as_root apt-get -qq install -o Dpkg::Use-Pty=0 --no-install-recommends $missing >/dev/null
