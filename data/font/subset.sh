#!/bin/sh
# Makes dejavu-sans-subset.ttf from the full font (Debian: fonts-dejavu-core) with fontTools' pyftsubset.
# Usage: subset.sh /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf
set -e
pyftsubset "$1" \
  --unicodes='U+0020-007E,U+00A0-017F,U+2010-2015,U+2018-201E,U+2020-2022,U+2026,U+2032,U+2033,U+2070-209C,U+2126,U+2190-2195,U+2212,U+2248,U+2260,U+2264,U+2265,U+03A9,U+03BC,U+25A0,U+25A1,U+25CF,U+FFFD' \
  --notdef-outline --notdef-glyph --no-hinting --desubroutinize --layout-features='' \
  --drop-tables+=GDEF,GPOS,GSUB,FFTM --name-IDs='*' \
  --output-file="$(dirname "$0")/dejavu-sans-subset.ttf"
