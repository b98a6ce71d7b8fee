"""Reads covers back as a binder and a bookshop would, without any code of the program's.

Usage: cover_back.py PROGRAM FOLDER

Binds copies of books/lantern-nights in several forms and leaves their files in FOLDER. The spine is reckoned here from the
leaves that the pages' file really has (caliper = grams x specific volume / 1000, twice the board, half a millimetre of glue:
common practice, no source). Then

- boxes are read with pikepdf to 0.01 mm (ISO 32000-1, 14.11.2),
- ticks are looked for on the raster of the margin (pdftoppm, 600 dots an inch): cuts, folds and scores to 0.1 mm, told apart by
  how much of them is ink,
- a spine of 5.9 mm has no ink, one of 6.0 mm has words that run from head to foot and keep 1.5 mm from either fold,
- the ISBN's bars are decoded by zbarimg, on paper and on a ground,
- a ground is solid up to the bleed on the plate of the second ink (Ghostscript's tiffsep), over the spine too.

Each way of looking has to find a planted fault first.
"""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import numpy
import pikepdf

from plates import Plate

ROOT = pathlib.Path(__file__).resolve().parents[2]
ISBN = "978-3-16-148410-0"
WIDTH, HEIGHT, BLEED, ROOM, SCORE = 210.0, 297.0, 3.0, 10.0, 6.0
PAPER, BOARD, GLUE = 100 * 1.2 / 1000, 250 * 1.1 / 1000, 0.5
FINE = 600
faults = []


def fault(words):
    faults.append(words)
    print(f"  FAULT: {words}")


def bind(program, folder, name, binding, cover, more=()):
    """A copy of the book bound for the press; the paths of pages and cover."""
    book = folder / f"{name}-book"
    shutil.rmtree(book, ignore_errors=True)
    shutil.copytree(ROOT / "books" / "lantern-nights", book, ignore=shutil.ignore_patterns("*.pdf"))
    text = (book / "book.yaml").read_text()
    changes = [(r"binding: comb", f"binding: {binding}"), (r"isbn: none, notice", f"isbn: {ISBN}, notice"),
               (r"marks: \[crop\]", "marks: [crop, registration]"), (r"cover: \{", f"cover: {{{cover}"), *more]
    for old, new in changes:
        text, found = re.subn(old, new, text, count=1)
        assert found, f"the book has `{old}`"
    (book / "book.yaml").write_text(text)
    pages = folder / f"{name}.pdf"
    subprocess.run([program, "--quiet", "bind", book / "book.yaml", "--for", "press", "-o", pages], check=True)
    shutil.rmtree(book)
    return pages, folder / f"{name}.cover.pdf"


def boxes(path, trim):
    """Faults of the boxes of all pages against a trimmed size in millimetres."""
    width, height = trim
    wanted = {
        "/MediaBox": [0, 0, width + 2 * ROOM, height + 2 * ROOM],
        "/TrimBox": [ROOM, ROOM, ROOM + width, ROOM + height],
        "/BleedBox": [ROOM - BLEED, ROOM - BLEED, ROOM + width + BLEED, ROOM + height + BLEED],
    }
    found = []
    with pikepdf.open(path) as pdf:
        for number, page in enumerate(pdf.pages, 1):
            for key, right in wanted.items():
                box = [float(value) / 72 * 25.4 for value in page.obj[key]]
                if any(abs(a - b) > 0.01 for a, b in zip(box, right)):
                    found.append(f"{path.name} page {number}: {key} is {[round(v, 3) for v in box]} mm and not {right}")
    return found


def raster(path, dots, page=1):
    """The page as levels of grey, 255 for paper."""
    with tempfile.TemporaryDirectory() as folder:
        to = pathlib.Path(folder) / "page"
        subprocess.run(["pdftoppm", "-r", str(dots), "-gray", "-f", str(page), "-l", str(page), "-singlefile", path, to], check=True)
        data = to.with_suffix(".pgm").read_bytes()
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data)
    width, height = int(head[1]), int(head[2])
    return numpy.frombuffer(data, numpy.uint8, offset=head.end()).reshape(height, width)


def ticks(levels, foot):
    """Upright ticks in the margin at head or foot: millimetres right of the trim, and how much of their length is ink."""
    dot = FINE / 25.4
    # Marks are 6 mm long and begin at the bleed, 3 mm from the trim.
    first = levels.shape[0] - (ROOM - BLEED - 0.5) * dot if foot else (ROOM - BLEED - 5.5) * dot
    band = levels[int(first):int(first + 5.0 * dot)] < 128
    dark = band.mean(axis=0)
    found, column = [], 0
    while column < dark.size:
        end = column
        while end < dark.size and dark[end] > 0.12:
            end += 1
        if end > column and end - column < 0.3 * dot:
            found.append(((column + end) / 2 / dot - ROOM, float(dark[column:end].max())))
        column = max(end, column + 1)
    return found


def marked(path, wanted):
    """Faults of the ticks against (place, least ink, most ink)."""
    levels = raster(path, FINE)
    found = []
    for foot in (False, True):
        there = ticks(levels, foot)
        where = "foot" if foot else "head"
        for place, least, most in wanted:
            near = [ink for x, ink in there if abs(x - place) <= 0.1]
            if not any(least <= ink <= most for ink in near):
                found.append(f"{path.name}: no tick of ink {least} to {most} at {place:.2f} mm, {where}: {[(round(x, 2), round(i, 2)) for x, i in there]}")
    return found


SOLID, DASHED, DOTTED = (0.9, 1.0), (0.4, 0.7), (0.15, 0.39)


def around(spine):
    return [(0.0, *SOLID), (WIDTH - SCORE, *DOTTED), (WIDTH, *DASHED), (WIDTH + spine, *DASHED),
            (WIDTH + spine + SCORE, *DOTTED), (2 * WIDTH + spine, *SOLID)]


def spine_ink(path, spine):
    """Where there is ink on the spine: least and most millimetres right of its left fold; nothing where there is none."""
    levels = raster(path, FINE)
    dot = FINE / 25.4
    left = (ROOM + WIDTH) * dot
    area = levels[int(ROOM * dot):int((ROOM + HEIGHT) * dot), int(left):int(left + spine * dot)] < 200
    columns = numpy.flatnonzero(area.any(axis=0))
    return (columns[0] / dot, (columns[-1] + 1) / dot) if columns.size else None


def words_down(path, words):
    """Whether the words stand under one another in the order given, each taller than wide, on the spine."""
    out = subprocess.run(["pdftotext", "-bbox", path, "-"], capture_output=True, text=True, check=True).stdout
    found = re.findall(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</word>', out)
    lying = [(float(y0), word) for x0, y0, x1, y1, word in found if float(y1) - float(y0) > 1.5 * (float(x1) - float(x0)) and len(word) > 2]
    return [word for _, word in sorted(lying)][:len(words)] == words


def decoded(path, dots=300):
    with tempfile.TemporaryDirectory() as folder:
        to = pathlib.Path(folder) / "page"
        subprocess.run(["pdftoppm", "-r", str(dots), "-gray", "-png", path, to], check=True)
        done = subprocess.run(["zbarimg", "--quiet", *sorted(pathlib.Path(folder).glob("*.png"))], capture_output=True, text=True)
    return done.stdout.split()


def ground(path, spot, spine):
    """Faults of a ground: solid along the edge of the bleed and down both folds on the plate of its ink, and none on black's."""
    dots = 72
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", f"-r{dots}", f"-sOutputFile={folder}/sep%d.tif", path],
                       check=True, capture_output=True)
        plates = {re.search(r"\((.*)\)", each.name)[1]: Plate(each) for each in pathlib.Path(folder).glob("sep1(*).tif*")}
    found, dot = [], dots / 25.4
    width, height = 2 * WIDTH + spine + 2 * ROOM, HEIGHT + 2 * ROOM
    near, far = ROOM - BLEED + 0.7, lambda side: side - ROOM + BLEED - 0.7
    places = [(x, y) for x in (near, width / 3, far(width)) for y in (near, far(height))]
    places += [(ROOM + WIDTH + beside, y) for beside in (-1, 0, 1, spine - 1, spine, spine + 1) for y in (near, ROOM + 5, height / 2, far(height))]
    for x, y in places:
        if plates[spot].level(x * dot, y * dot) != 0:
            found.append(f"{path.name}: the ground is not solid at {x:.1f}, {y:.1f} mm")
        if plates["Black"].level(x * dot, y * dot) != 255:
            found.append(f"{path.name}: black ink under the ground at {x:.1f}, {y:.1f} mm")
    return found


def main():
    program, folder = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)

    pages, cover = bind(program, folder, "glued", "perfect", "")
    with pikepdf.open(pages) as pdf:
        leaves = (len(pdf.pages) + 1) // 2
    spine = leaves * PAPER + 2 * BOARD + GLUE
    trim = (2 * WIDTH + spine, HEIGHT)
    for words in boxes(cover, trim) + marked(cover, around(spine)):
        fault(words)
    print(f"  glued: {leaves} leaves, a spine of {spine:.2f} mm")
    if not boxes(cover, (trim[0] + 0.02, HEIGHT)) or not marked(cover, around(spine + 0.3)):
        fault("a planted fault of the spine is not found")
    if decoded(cover) != [f"EAN-13:{ISBN.replace('-', '')}"]:
        fault(f"{cover.name}: the bars say {decoded(cover)}")

    for width in (5.9, 6.0):
        _, cover = bind(program, folder, f"spine-{width}", "perfect", f"spine: {width}mm, ")
        for words in boxes(cover, (2 * WIDTH + width, HEIGHT)) + marked(cover, around(width)):
            fault(words)
        ink = spine_ink(cover, width)
        print(f"  a spine of {width} mm: ink {ink}")
        if width < 6 and ink is not None:
            fault(f"{cover.name}: words on a thin spine")
        if width >= 6 and (ink is None or ink[0] < 1.45 or ink[1] > width - 1.45):
            fault(f"{cover.name}: the words are not where they should be: {ink}")
        if width >= 6 and not words_down(cover, ["Lantern", "Nights", "Quill"]):
            fault(f"{cover.name}: the words of the spine do not run from head to foot")
        if words_down(cover, ["Nights", "Lantern", "Quill"]):
            fault("planted: words in the wrong order are taken for right")

    _, cover = bind(program, folder, "ground", "perfect", "spine: 9mm, ground: spot, ", [(r"spot: none", "spot: Lamp Red")])
    for words in boxes(cover, (2 * WIDTH + 9, HEIGHT)) + ground(cover, "Lamp Red", 9.0):
        fault(words)
    if decoded(cover) != [f"EAN-13:{ISBN.replace('-', '')}"]:
        fault(f"{cover.name}: the bars say {decoded(cover)} on a ground")
    # The same book without a ground has none.
    _, bare = bind(program, folder, "bare", "perfect", "spine: 9mm, ", [(r"spot: none", "spot: Lamp Red")])
    if not ground(bare, "Lamp Red", 9.0):
        fault("planted: a cover without a ground is taken for one with")

    _, cover = bind(program, folder, "stapled", "saddle", "")
    fold = [(0.0, *SOLID), (WIDTH, *DASHED), (2 * WIDTH, *SOLID)]
    for words in boxes(cover, (2 * WIDTH, HEIGHT)) + marked(cover, fold):
        fault(words)
    if any(least < 0.4 and not marked(cover, [(place, least, most)]) for place, least, most in around(0.0)):
        fault(f"{cover.name}: a score on a stapled cover")

    _, cover = bind(program, folder, "comb", "comb", "")
    for words in boxes(cover, (WIDTH, HEIGHT)):
        fault(words)
    inside = slice(int((ROOM - BLEED) * 72 / 25.4) + 1, int(-(ROOM - BLEED) * 72 / 25.4) - 1)
    inked = [bool((raster(cover, 72, page)[inside, inside] < 200).any()) for page in (1, 2, 3, 4)]
    if inked != [True, False, False, True]:
        fault(f"{cover.name}: ink on the pages {inked}, not on the first and the last alone")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
