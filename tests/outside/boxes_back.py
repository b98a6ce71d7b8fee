"""Reads the boxes of press files back, to a hundredth of a millimetre (ISO 32000-1, 14.11.2).

Usage: boxes_back.py --trim WIDTHxHEIGHT --bleed MM [--room MM] [--multiple N] FILE...

Lengths are in millimetres. Every page of every file must have a trim box of that size with the same room on all four sides
(10 mm if not given), a bleed box by so much larger than the trim box, and a crop box that is the medium. The number of pages
must be a multiple of N: leaves have two sides, and folded sheets four pages (common practice, no source). It shares no code with
the program: files are read with pikepdf, pinned in requirements.txt. A planted fault of 0.02 mm has to be found first, and a
page that was taken out.
"""

import argparse
import sys

import pikepdf

NEAR = 0.01


def millimetres(page, key):
    return [float(value) / 72 * 25.4 for value in page.obj[key]]


def faults(pdf, trim, bleed, room, multiple):
    width, height = trim
    wanted = {
        "/MediaBox": [0, 0, width + 2 * room, height + 2 * room],
        "/CropBox": [0, 0, width + 2 * room, height + 2 * room],
        "/TrimBox": [room, room, room + width, room + height],
        "/BleedBox": [room - bleed, room - bleed, room + width + bleed, room + height + bleed],
    }
    found = []
    if len(pdf.pages) % multiple:
        found.append(f"{len(pdf.pages)} pages are no multiple of {multiple}")
    for number, page in enumerate(pdf.pages, 1):
        for key, right in wanted.items():
            box = millimetres(page, key)
            if any(abs(a - b) > NEAR for a, b in zip(box, right)):
                found.append(f"page {number}: {key} is {[round(v, 3) for v in box]} mm and not {right}")
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trim", required=True)
    parser.add_argument("--bleed", type=float, required=True)
    parser.add_argument("--room", type=float, default=10.0)
    parser.add_argument("--multiple", type=int, default=1)
    parser.add_argument("files", nargs="+")
    arguments = parser.parse_args()
    trim = [float(side) for side in arguments.trim.split("x")]
    bad = 0
    for path in arguments.files:
        with pikepdf.open(path) as pdf:
            asked = (trim, arguments.bleed, arguments.room, arguments.multiple)
            found = faults(pdf, *asked)
            print(f"{path}: {len(pdf.pages)} pages, {len(found)} faults")
            for words in found[:5]:
                print(f"  {words}")
            bad += len(found)
            box = pdf.pages[-1].obj.TrimBox
            box[2] = float(box[2]) + 0.02 / 25.4 * 72
            if len(faults(pdf, *asked)) != len(found) + 1:
                print("  a planted fault of 0.02 mm is not found")
                bad += 1
            del pdf.pages[-1]
            if arguments.multiple > 1 and len(faults(pdf, *asked)) != len(found) + 1:
                print("  a page that was taken out is not missed")
                bad += 1
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
