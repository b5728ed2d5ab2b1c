#!/bin/sh
# Installs the system libraries that Python packages cannot bring, where this user may; else says so in one line.
#   system.sh report         pango and a fallback font, for the PDF
#   system.sh report tests   and a browser, page pictures, and voices and rooms for made speech, for the tests
#   system.sh venv           the venv module where Debian splits it off
set -u
want=""
has_lib() { ldconfig -p 2>/dev/null | grep -q "$1" || ls /usr/lib/*/"$1"* >/dev/null 2>&1; }
for topic in "$@"; do
    case $topic in
    report)
        has_lib libpango-1.0.so.0 || want="$want libpango-1.0-0"
        has_lib libpangoft2-1.0.so.0 || want="$want libpangoft2-1.0-0"
        has_lib libharfbuzz-subset.so.0 || want="$want libharfbuzz-subset0"
        [ -e /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf ] || want="$want fonts-dejavu-core"
        ;;
    tests)
        command -v chromium >/dev/null 2>&1 || want="$want chromium"
        command -v espeak-ng >/dev/null 2>&1 || want="$want espeak-ng"
        command -v sox >/dev/null 2>&1 || want="$want sox"
        command -v pdftoppm >/dev/null 2>&1 || want="$want poppler-utils"
        ;;
    venv) want="$want python3-venv" ;;
    esac
done
[ -z "$want" ] && exit 0
if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
    echo "installing:$want"
    { apt-get -qq update && DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends $want; } >/dev/null 2>&1 && exit 0
elif command -v apt-get >/dev/null 2>&1 && sudo -n true 2>/dev/null; then
    echo "installing:$want"
    { sudo apt-get -qq update && sudo DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends $want; } >/dev/null 2>&1 && exit 0
fi
echo "missing on this machine:$want (install it with your package manager; the HTML report does not need it)"
exit 0
