#!/usr/bin/env bash
# Opens finished PDFs with tools that share no code with ours; any complaint is a fault.
#
# Usage: pdf_tools.sh [--press] FILE...
# --press: the files promise black ink alone; Ghostscript separates them and no other plate may carry ink
#          (a spot ink is promised with SPOT="Name"; with MARKS=yes printer's marks on each plate are, too).
# Tools: qpdf, poppler (pdffonts, pdfinfo, pdftotext, pdftoppm), mutool, Ghostscript.
set -euo pipefail
press=no
if [ "${1:-}" = --press ]; then press=yes; shift; fi
[ $# -gt 0 ] || { echo "usage: $0 [--press] FILE..." >&2; exit 2; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
here=$(dirname "$0")
faults=0
fault() { echo "  FAULT: $*"; faults=$((faults + 1)); }

for file in "$@"; do
    echo "$file"
    qpdf --check "$file" > "$work/qpdf" 2>&1 || fault "qpdf: $(grep -v '^checking' "$work/qpdf" | head -3 | tr '\n' ' ')"
    # Name, then type in one or more words; the columns emb, sub and uni stand before the object number.
    pdffonts "$file" 2> "$work/warn" | tail -n +3 > "$work/fonts"
    [ -s "$work/warn" ] && fault "pdffonts: $(head -1 "$work/warn")"
    awk '{ if ($(NF-4) != "yes" || $(NF-3) != "yes" || $(NF-2) != "yes") print $1 }' "$work/fonts" > "$work/bad"
    [ -s "$work/bad" ] && fault "not embedded, not subset or without Unicode: $(tr '\n' ' ' < "$work/bad")"
    pdftotext "$file" "$work/text" 2> "$work/warn" || fault "pdftotext fails"
    [ -s "$work/warn" ] && fault "pdftotext: $(head -1 "$work/warn")"
    grep -q '[[:alpha:]]' "$work/text" || fault "no text can be copied"
    # U+FFFD means a glyph without meaning.
    grep -q $'\xef\xbf\xbd' "$work/text" && fault "text has characters without meaning"
    pdftoppm -gray -r 20 "$file" "$work/page" 2> "$work/warn" || fault "pdftoppm fails"
    [ -s "$work/warn" ] && fault "pdftoppm: $(head -1 "$work/warn")"
    rm -f "$work"/page*
    mutool draw -q -r 20 -o "$work/page%d.png" "$file" > "$work/warn" 2>&1 || fault "mutool fails"
    grep -vi 'ICC support' "$work/warn" > "$work/mutool" || true
    [ -s "$work/mutool" ] && fault "mutool: $(head -1 "$work/mutool")"
    rm -f "$work"/page*
    if [ $press = yes ]; then
        gs -q -dNOPAUSE -dBATCH -dSAFER -sDEVICE=tiffsep -r36 -sOutputFile="$work/sep%d.tif" "$file" > "$work/gs" 2>&1 \
            || fault "Ghostscript: $(head -2 "$work/gs" | tr '\n' ' ')"
        grep -qi 'error' "$work/gs" && fault "Ghostscript: $(grep -i error "$work/gs" | head -1)"
        python3 "$here/plates.py" "$work" "${SPOT:-}" ${MARKS:+36} > "$work/plates" || fault "$(cat "$work/plates")"
        rm -f "$work"/sep*
    fi
done
if [ $faults -gt 0 ]; then echo "$faults faults"; exit 1; fi
echo "no faults"
