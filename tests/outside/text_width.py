"""Widths of set words against another shaping library (HarfBuzz, through uharfbuzz), and divisions of words against another
reading of the patterns (pyphen, with its own dictionaries).

Reads target/text-widths.tsv and target/text-divisions.tsv, which `cargo test --test it text_widths` writes, shapes every word
again from the font file and divides it again. Fails if a width differs by more than half a thousandth of an em, if kerning
or ligatures had no part in it, or if a word is divided elsewhere.

    cargo test --test it text_widths && python tests/outside/text_width.py
"""

import csv
import pathlib
import re
import sys

import pyphen
import uharfbuzz
from fontTools.ttLib import TTFont

ROOT = pathlib.Path(__file__).resolve().parents[2]
TOLERANCE = 0.0005


def fonts():
    """Font files by PostScript name."""
    found = {}
    for path in sorted(ROOT.glob("fonts/**/*.[ot]tf")):
        found[TTFont(path, lazy=True)["name"].getDebugName(6)] = path
    return found


def width(face, text, features):
    """The sum of advances in ems, and how many glyphs."""
    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    buffer.direction = "ltr"
    font = uharfbuzz.Font(face)
    uharfbuzz.shape(font, buffer, features)
    return sum(p.x_advance for p in buffer.glyph_positions) / face.upem, len(buffer.glyph_infos)


def table(name):
    """The rows of a table under target/, without its head."""
    path = ROOT / "target" / name
    if not path.is_file():
        sys.exit(f"target/{name} is not there: run `cargo test --test it text_widths` first")
    with path.open(encoding="utf-8", newline="") as rows:
        return list(csv.reader(rows, delimiter="\t", quoting=csv.QUOTE_NONE))[1:]


def divisions():
    """Words divided elsewhere than pyphen divides them, with its dictionary's least letters after a division."""
    dictionaries = {"en-GB": ("en_GB", 3), "en-US": ("en_US", 3), "fr": ("fr", 2)}
    rows = table("text-divisions.tsv")
    faults = []
    for language, ours in rows:
        dictionary, right = dictionaries[language]
        theirs = pyphen.Pyphen(lang=dictionary, left=2, right=right).inserted(ours.replace("-", ""))
        # The one departure: no consonant stands alone between two hyphens.
        theirs = re.sub(r"-([b-df-hj-np-tv-xz])-", r"-\1", theirs)
        if ours != theirs:
            faults.append(f"{language}: {ours} here, {theirs} there")
    print(f"{len(rows)} words divided; {sum('-' in word for _, word in rows)} have divisions; {len(faults)} differ")
    if len(rows) < 60:
        faults.append("too few words were divided")
    return faults


def main():
    files, faces = fonts(), {}
    checked = kerned = joined = 0
    faults = []
    for name, old_style, tabular, text, ours in table("text-widths.tsv"):
        if name not in faces:
            faces[name] = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(files[name])))
        features = {"onum" if old_style == "true" else "lnum": True}
        if tabular == "true":
            features["tnum"] = True
        theirs, glyphs = width(faces[name], text, features)
        plain, _ = width(faces[name], text, {**features, "kern": False})
        kerned += abs(plain - theirs) > TOLERANCE
        joined += glyphs < len(text)
        checked += 1
        if abs(theirs - float(ours)) > TOLERANCE:
            faults.append(f"{name}: {text!r} is {ours} em here and {theirs:.6f} em there")
    print(f"{checked} words in {len(faces)} fonts; {kerned} kerned, {joined} with ligatures; {len(faults)} differ")
    if checked < 500 or kerned < 50 or joined < 10:
        faults.append("too little was checked")
    faults += divisions()
    if faults:
        sys.exit("\n".join(faults[:20]))


if __name__ == "__main__":
    main()
