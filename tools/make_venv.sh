#!/bin/sh
# Makes .venv and puts a lock file's packages and Sinkside itself into it.
# usage: make_venv.sh requirements/run.txt
set -eu
lock=$1
python=${PYTHON:-python3}

if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
    echo "Sinkside needs Python 3.11 or newer as '$python'; set PYTHON=/path/to/python3.11." >&2
    exit 2
fi

if [ ! -x .venv/bin/python ] || ! .venv/bin/python -m pip --version >/dev/null 2>&1; then
    rm -rf .venv
    # Debian and Ubuntu keep venv's ensurepip in a package of its own.
    if ! "$python" -c 'import ensurepip' 2>/dev/null; then
        sh tools/debian_packages.sh python3-venv
    fi
    "$python" -m venv .venv
fi
echo "Installing what $lock names into .venv; the first time takes about a minute."
.venv/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r "$lock"
.venv/bin/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
