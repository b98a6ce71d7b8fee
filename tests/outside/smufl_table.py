"""Checks fonts/music/smufl.tsv, the table of music glyphs that the program reads, against its published sources.

Sources: the metadata of the carried reference font (fonts/music/bravura_metadata.json, published with the font) and SMuFL's
glyphnames.json (W3C Music Notation Community Group, in fonts/music); and the outlines of the font itself, read with fontTools.
Also checks the engraving defaults in src/font/music.rs against the metadata's engravingDefaults.
"""

import json
import re
import sys
from pathlib import Path

from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

ROOT = Path(__file__).resolve().parents[2]
TOLERANCE = 0.021  # staff spaces: the carried font is 1.38, the metadata 1.392

metadata = json.loads((ROOT / "fonts/music/bravura_metadata.json").read_text())
names = json.loads((ROOT / "fonts/music/glyphnames.json").read_text())
font = TTFont(ROOT / "fonts/music/Bravura.otf")
glyphs, cmap = font.getGlyphSet(), font.getBestCmap()
space = font["head"].unitsPerEm / 4  # SMuFL: one em is four staff spaces
faults, rows = [], 0

for line in (ROOT / "fonts/music/smufl.tsv").read_text().splitlines()[1:]:
    _, name, code, _, _, ink, advance, _, anchors = line.split("\t")
    if name not in names:
        continue  # optional glyphs are named by the font, not by the standard
    rows += 1
    point = int(code[2:], 16)
    if names[name]["codepoint"] != code:
        faults.append(f"{name}: {code}, the standard says {names[name]['codepoint']}")
    if point not in cmap:
        faults.append(f"{name}: {code} is not in the font")
        continue
    pen = BoundsPen(glyphs)
    glyphs[cmap[point]].draw(pen)
    if pen.bounds:
        drawn = [value / space for value in pen.bounds]
        table = [float(value) for value in ink.split()]
        if max(abs(a - b) for a, b in zip(drawn, table)) > TOLERANCE:
            faults.append(f"{name}: ink {table}, the font draws {drawn}")
    width = glyphs[cmap[point]].width / space
    if abs(width - float(advance)) > TOLERANCE:
        faults.append(f"{name}: advance {advance}, the font says {width}")
    published = metadata["glyphsWithAnchors"].get(name, {})
    for anchor, place in (json.loads(anchors) if anchors.strip() else {}).items():
        if published.get(anchor) and max(abs(a - b) for a, b in zip(published[anchor], place)) > 1e-9:
            faults.append(f"{name}: {anchor} {place}, the metadata says {published[anchor]}")

# Engraving defaults: our field, the standard's key.
KEYS = {
    "staff_line": "staffLineThickness", "stem": "stemThickness", "beam": "beamThickness", "beam_gap": "beamSpacing",
    "ledger": "legerLineThickness", "ledger_extension": "legerLineExtension", "slur_end": "slurEndpointThickness",
    "slur_middle": "slurMidpointThickness", "thin_barline": "thinBarlineThickness", "thick_barline": "thickBarlineThickness",
    "barline_gap": "barlineSeparation", "repeat_dot_gap": "repeatBarlineDotSeparation",
    "ending_line": "repeatEndingLineThickness", "tuplet_line": "tupletBracketThickness", "lyric_line": "lyricLineThickness",
    "hairpin": "hairpinThickness",
}
source = (ROOT / "src/font/music.rs").read_text()
ours = dict(re.findall(r"(\w+): Sp::sp\(([\d.]+)\)", source))
for field, key in KEYS.items():
    if abs(float(ours[field]) - metadata["engravingDefaults"][key]) > 1e-9:
        faults.append(f"{field} is {ours[field]}, the metadata's {key} is {metadata['engravingDefaults'][key]}")

print(f"smufl_table: {rows} glyphs and {len(KEYS)} defaults checked, {len(faults)} faults")
print("\n".join(faults[:40]))
if rows < 500:
    faults.append("the table was not read")
sys.exit(1 if faults else 0)
