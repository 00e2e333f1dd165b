#!/bin/sh
# Prints the command of a Chromium for the tests in a browser, or says how to have one. With it
# comes certutil, which tells it whom to trust.
# Needs nothing but a POSIX shell. As root on Debian it is installed. Never fails: without a
# browser those tests are skipped.
set -u

for candidate in ${CHROMIUM:-} chromium chromium-browser google-chrome; do
    if command -v "$candidate" 2>/dev/null; then
        exit 0
    fi
done

if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    echo "halfpoint: installing chromium for the tests in a browser (once)" >&2
    if { apt-get update && apt-get install -y --no-install-recommends chromium libnss3-tools; } >/dev/null 2>&1; then
        command -v chromium && exit 0
    fi
fi

echo "halfpoint: there is no Chromium, so the tests in a browser are skipped." >&2
echo "what to do: on Debian or Ubuntu 'sudo apt-get install chromium', or name one with CHROMIUM=..." >&2
exit 0
