"""Reads folded sheets back from their picture: fold marks, what is left free for milling, and where each page stands.

Usage: folds_back.py --page WIDTHxHEIGHT --milling MM --caliper MM PLAIN IMPOSED

IMPOSED are the sheets of PLAIN, the same book as single pages, in sections of nested sheets of at most sixteen pages; lengths are in
millimetres, both files have 10 mm of room round the trim. On every side the fold's dashed mark must stand in the middle of what is
milled off, which is white but for the bar by which sections are gathered; and each page's ink must lie where the pages' own file has
it, moved towards the fold by the caliper of every sheet outside it. Sections take sheets evenly, the first ones more; the order of
pages on nested sheets is the saddle formula (common practice, no source): front N - 2k | 2k + 1, back 2k + 2 | N - 2k - 1. It shares
no code with the program: poppler draws the pages. A fold mark looked for 0.3 mm aside must not be found.
"""

import argparse
import pathlib
import re
import subprocess
import sys
import tempfile

import numpy

DPI = 200
ROOM = 10.0
# Marks end 1 mm from the edge of the medium and begin 3 mm from the trim.
MARK = (1.2, 6.8)
NEAR = 0.15


def dots(mm):
    return mm / 25.4 * DPI


def sides(path):
    """Every page as an array that is true where there is ink."""
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), str(path), str(root / "p")], check=True)
        for picture in sorted(root.glob("p*.pgm"), key=lambda name: int(re.search(r"(\d+)\.pgm", name.name).group(1))):
            data = picture.read_bytes()
            head = re.match(rb"P5\s(\d+)\s(\d+)\s255\s", data)
            width, height = int(head.group(1)), int(head.group(2))
            yield numpy.frombuffer(data, numpy.uint8, offset=head.end()).reshape(height, width) < 160


def cut(ink, left, top, width, height):
    """Part of a picture; all in millimetres."""
    x, y = round(dots(left)), round(dots(top))
    return ink[y:y + round(dots(height)), x:x + round(dots(width))]


def columns(ink):
    return numpy.nonzero(ink.any(axis=0))[0]


def sections(pages):
    sheets = pages // 4
    count = -(-sheets // 4)
    return [4 * (sheets // count + (section < sheets % count)) for section in range(count)]


def wanted(pages):
    """For each side in turn: number of the left page, of the right one, and how many sheets lie outside it."""
    start = 0
    for size in sections(pages):
        for k in range(size // 4):
            yield start + size - 2 * k, start + 2 * k + 1, k
            yield start + 2 * k + 2, start + size - 2 * k - 1, k
        start += size


def fold_mark(ink, at):
    """Whether a dashed mark stands at a place, at head and foot."""
    height = ink.shape[0] / DPI * 25.4
    for top in (MARK[0], height - MARK[1]):
        band = cut(ink, at - 2, top, 4, MARK[1] - MARK[0])
        found = columns(band)
        if len(found) == 0 or found[-1] - found[0] > 3:
            return False
        middle = (found[0] + found[-1] + 1) / 2
        filled = band[:, found].any(axis=1).mean()
        if abs(middle - dots(2)) > dots(NEAR) or not 0.3 < filled < 0.8:
            return False
    return True


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--page", required=True)
    parser.add_argument("--milling", type=float, required=True)
    parser.add_argument("--caliper", type=float, required=True)
    parser.add_argument("plain")
    parser.add_argument("imposed")
    asked = parser.parse_args()
    width, height = (float(side) for side in asked.page.split("x"))
    plain = [cut(ink, ROOM, ROOM, width, height) for ink in sides(asked.plain)]
    slots = -(-len(plain) // 4) * 4
    places = list(wanted(slots))
    faults, seen, held = [], 0, 0
    for number, ink in enumerate(sides(asked.imposed), 1):
        seen += 1
        if number > len(places):
            break
        left, right, outside = places[number - 1]
        fold = ROOM + width + asked.milling
        if not fold_mark(ink, fold):
            faults.append(f"side {number}: no fold mark at {fold} mm")
        if fold_mark(ink, fold + 0.3):
            faults.append(f"side {number}: a fold mark is found 0.3 mm aside")
        free = cut(ink, ROOM + width + 0.2, ROOM, 2 * asked.milling - 0.4, height)
        bar = columns(free)
        middle = dots(asked.milling - 0.2)
        if len(bar) and (bar[0] < middle - dots(1) or bar[-1] > middle + dots(1)):
            faults.append(f"side {number}: ink in what is milled off")
        for page, at, to in ((left, ROOM, 1), (right, ROOM + width + 2 * asked.milling, -1)):
            if page > len(plain) or not plain[page - 1].any():
                continue
            held += 1
            was, now = columns(plain[page - 1]), columns(cut(ink, at, ROOM, width, height))
            if len(now) == 0:
                faults.append(f"side {number}: page {page} is white")
                continue
            moved = [(n - w) / DPI * 25.4 for n, w in ((now[0], was[0]), (now[-1], was[-1]))]
            if any(abs(by - to * outside * asked.caliper) > NEAR + 0.13 for by in moved):
                faults.append(f"side {number}: page {page} is moved by {[round(float(by), 2) for by in moved]} mm and not {to * outside * asked.caliper:.2f}")
    if seen != len(places):
        faults.append(f"{seen} sides and not {len(places)}")
    if held < len(plain) // 2:
        faults.append(f"only {held} pages with ink were held against their own file")
    print(f"{asked.imposed}: {seen} sides, {held} pages held, {len(faults)} faults")
    for words in faults[:8]:
        print(f"  {words}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
