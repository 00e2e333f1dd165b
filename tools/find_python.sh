#!/bin/sh
# Prints the command of a Python that can make our environment: 3.11 or newer, with venv.
# Needs nothing but a POSIX shell. PYTHON=... in the environment is tried first.
set -u

NEEDED='import sys; sys.exit(sys.version_info < (3, 11))'
old=''
bare=''

for candidate in ${PYTHON:-} python3.13 python3.12 python3.11 python3.14 python3 python; do
    "$candidate" -c 'import sys' >/dev/null 2>&1 || continue
    if ! "$candidate" -c "$NEEDED" >/dev/null 2>&1; then
        old="$candidate ($("$candidate" -c 'import sys; print("%d.%d" % sys.version_info[:2])'))"
        continue
    fi
    if "$candidate" -c 'import venv, ensurepip' >/dev/null 2>&1; then
        command -v "$candidate"
        exit 0
    fi
    [ -n "$bare" ] || bare=$candidate
done

if [ -n "$bare" ]; then
    version=$("$bare" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
    package="python$version-venv"
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        echo "halfpoint: installing $package, which Debian keeps apart from Python" >&2
        if { apt-get update && apt-get install -y --no-install-recommends "$package"; } >&2 &&
            "$bare" -c 'import venv, ensurepip' >/dev/null 2>&1; then
            command -v "$bare"
            exit 0
        fi
    fi
    echo "halfpoint: $bare is new enough, but cannot make an environment: venv or ensurepip is missing." >&2
    echo "what to do: on Debian or Ubuntu, 'sudo apt-get install $package', then the same make again." >&2
    exit 1
fi

echo "halfpoint: no Python 3.11 or newer was found${old:+; found only $old}." >&2
echo "what to do: install Python 3.11 or newer (Debian 12 and later and Homebrew carry it)," >&2
echo "or name one: make PYTHON=/path/to/python3.12 ..." >&2
exit 1
