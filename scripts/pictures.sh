#!/usr/bin/env bash
# Makes the README's pictures from the demo's packet. Needs poppler's pdftoppm and ImageMagick's convert.
set -euo pipefail
pdf=out/orchard.pdf
[ -s "$pdf" ] || { echo "run make demo first" >&2; exit 1; }
mkdir -p docs/pictures
page_of() { # the first page after the cover that holds these words as a line
    local page text
    for page in $(seq 2 "$(pdfinfo "$pdf" 2>/dev/null | awk '/^Pages/ {print $2}')"); do
        text=$(pdftotext -f "$page" -l "$page" "$pdf" - 2>/dev/null)
        if grep -qx "$1" <<<"$text"; then echo "$page"; return; fi
    done
    echo "no page holds: $1" >&2; return 1
}
picture() { # name, page
    pdftoppm -r 80 -f "$2" -l "$2" -singlefile -png "$pdf" "docs/pictures/$1" 2>/dev/null
    convert "docs/pictures/$1.png" -colors 64 -strip -bordercolor '#b5b5b5' -border 1 "docs/pictures/$1.png"
}
picture cover 1
picture one-line-as-proposed "$(page_of 'One-line as proposed')"
picture schedules "$(page_of 'Schedules, as proposed')"
picture grounding "$(page_of 'Grounding and bonding')"
picture what-changes "$(page_of 'What changes')"
picture worksheets "$(page_of 'Worksheets')"
