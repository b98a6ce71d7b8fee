"""Drawings in SVG as bound in a book, against the same files drawn by a browser.

Each drawing below is set alone in a small book; its place on the page is the box of its figure in the file's structure. Page
and browser's print are rendered by poppler at the same size, and the browser's colours are turned to grey by the luma of
ITU-R BT.709, as the book promises. Edges may lie a pixel apart; the mean difference of grey levels beyond that must be next to
nothing; a plant (the same drawing with one shape moved, or its rule of filling changed) must be seen.

Usage: drawing_second.py BOXWRIGHT OUT-FOLDER. The browser is Debian's Chromium.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import numpy
import pikepdf

ROOT = Path(__file__).resolve().parents[2]
BIN, OUT = Path(sys.argv[1]).resolve(), (Path(sys.argv[2]) / "drawings").resolve()
DPI = 150
# Mean difference in grey levels of 255 beyond a pixel: what anti-aliasing leaves, and the rounding of tints to a per cent, which
# is up to 1.3 levels inside an area.
MOST = 0.6
BOOK = """book: 1
id: drawn
title: Drawn
date: 2026-01-01
box: dg-21-third
front: []
back: []
chapters:
  - title: One
    text: week.md
    tunes: [tune.yaml]
"""
TUNE = "title: Kettle\nid: kettle\nmusic: |\n  M:3/4\n  L:1/4\n  K:G\n  \"G\"G A B | \"D\"d3 |\n"

FRAME = '<rect x="1" y="1" width="198" height="118" fill="none" stroke="#000" stroke-width="1"/>'
DRAWINGS = {
    "shapes": '<rect x="10" y="10" width="50" height="30" rx="8" fill="#c03"/><circle cx="100" cy="30" r="20" fill="#0a5"/>'
              '<ellipse cx="160" cy="30" rx="30" ry="12" fill="#36f" stroke="#000" stroke-width="3"/>'
              '<polygon points="20,110 60,60 90,110" fill="#888"/><path d="M110 110A40 25 20 1 1 180 90Q150 60 120 90T110 110Z"/>',
    "rules": '<path d="M40 10L64 84L1 38H79L16 84Z" fill-rule="evenodd"/>'
             '<path transform="translate(100)" d="M40 10L64 84L1 38H79L16 84Z"/>',
    "strokes": '<g fill="none" stroke="#000" stroke-width="9"><path d="M15 20L60 20L20 50"/>'
               '<path d="M85 20L130 20L90 50" stroke-linejoin="round" stroke-linecap="round"/>'
               '<path d="M150 20L190 20L160 50" stroke-linejoin="bevel" stroke-linecap="square"/>'
               '<path d="M15 70H190" stroke-width="4" stroke-dasharray="12 5 3 5" stroke-dashoffset="6"/>'
               '<path d="M15 85H190" stroke-width="4" stroke-dasharray="9 6"/>'
               '<ellipse cx="30" cy="50" rx="20" ry="4" transform="scale(3 2)" stroke-width="3"/></g>',
    "clips": '<clipPath id="c"><path d="M100 10L150 110H50Z"/></clipPath><g clip-path="url(#c)">'
             '<rect width="200" height="120" fill="#999"/><circle cx="100" cy="60" r="30" fill="#fff"/></g>'
             '<svg x="10" y="10" width="40" height="40" viewBox="0 0 10 10"><circle cx="10" cy="10" r="8"/></svg>',
    "parts": '<defs><g id="b"><circle r="6"/><path d="M-9 9H9" stroke="#000"/></g><marker id="m" viewBox="0 0 8 8" refX="4" refY="4" '
             'markerWidth="5" markerHeight="5" orient="auto"><path d="M0 0L8 4L0 8Z"/></marker></defs>'
             '<use href="#b" x="30" y="30"/><use href="#b" transform="translate(80 60) rotate(30) scale(2)" fill="#777"/>'
             '<path d="M110 30H150L180 100" fill="none" stroke="#000" stroke-width="2" marker-mid="url(#m)" marker-end="url(#m)"/>',
    "style": '<style>.a { fill: #666 } g > .b { stroke: #000; stroke-width: 4px } #c { fill: hsl(200, 60%, 40%) }</style>'
             '<g><path class="a b" d="M20 20H80V90H20Z"/></g><path id="c" class="a" d="M110 20H180V90H110Z"/>',
    "beyond": '<circle cx="0" cy="0" r="60" fill="#aaa"/><path d="M150 60H400" stroke="#000" stroke-width="10"/>',
}
PLANTS = {"shapes": ('cx="100"', 'cx="106"'), "rules": (' fill-rule="evenodd"', ""), "clips": ("M100 10L150", "M100 10L170")}


def run(*words):
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, timeout=300)
    if done.returncode:
        sys.exit(f"{words[0]} ended with {done.returncode}\n{done.stdout}{done.stderr}")


def grey(pdf, page, box=None):
    """A page's grey levels by poppler, or those of a box of it in points from the page's lower left corner."""
    base = pdf.with_suffix("")
    run("pdftoppm", "-r", DPI, "-f", page, "-l", page, "-singlefile", pdf, base)
    data = base.with_suffix(".ppm").read_bytes()
    _, width, height, _ = data[:20].split()[:4]
    width, height = int(width), int(height)
    pixels = numpy.frombuffer(data[len(data) - 3 * width * height:], numpy.uint8).reshape(height, width, 3)
    luma = pixels @ numpy.array([0.2126, 0.7152, 0.0722])
    if box is None:
        return luma
    scale = DPI / 72
    left, bottom, right, top = (round(float(value) * scale) for value in box)
    return luma[height - top:height - bottom, left:right]


def figure(pdf):
    """The page and the box of the first figure that a file's structure names."""
    with pikepdf.open(pdf) as file:
        pages = [page.objgen for page in file.pages]
        for item in file.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/S") == "/Figure" and "/A" in item:
                if str(item.get("/Alt", "")).startswith("Drawing"):
                    return pages.index(item["/Pg"].objgen) + 1, [float(value) for value in item["/A"]["/BBox"]]
    sys.exit(f"{pdf} has no figure")


def ours(name, svg):
    folder = OUT / name
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "book.yaml").write_text(BOOK)
    (folder / "tune.yaml").write_text(TUNE)
    (folder / "week.md").write_text(f"Look.\n\n![Drawing {name}](a.svg)\n\nThat was it.\n")
    (folder / "a.svg").write_text(svg)
    pdf = folder / "book.pdf"
    run(BIN, "--quiet", "bind", folder / "book.yaml", "-o", pdf)
    page, box = figure(pdf)
    return grey(pdf, page, box), (box[2] - box[0], box[3] - box[1])


def theirs(name, svg, size):
    folder = OUT / name
    width, height = size
    (folder / "b.svg").write_text(svg)
    (folder / "page.html").write_text(
        f"<style>@page {{ size: {width}pt {height}pt; margin: 0 }} body {{ margin: 0 }} "
        f"img {{ display: block; width: {width}pt; height: {height}pt }}</style><img src=b.svg>")
    pdf = folder / "browser.pdf"
    with tempfile.TemporaryDirectory() as profile:
        run("chromium", "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={profile}", "--no-pdf-header-footer",
            f"--print-to-pdf={pdf}", f"file://{folder}/page.html")
    return grey(pdf, 1)


def around(grey, choose):
    """The least or greatest level of each pixel and its eight neighbours."""
    rows, columns = grey.shape
    edged = numpy.pad(grey, 1, mode="edge")
    return choose.reduce([edged[y:y + rows, x:x + columns] for y in range(3) for x in range(3)])


def beyond(one, other):
    """By how much each pixel lies outside of all levels that are around it in the other picture."""
    return numpy.maximum(numpy.maximum(one - around(other, numpy.maximum), around(other, numpy.minimum) - one), 0)


def difference(one, other):
    """The mean difference, either way, beyond what one pixel to any side explains: the box may fall between two pixels."""
    assert abs(one.shape[0] - other.shape[0]) < 5 and abs(one.shape[1] - other.shape[1]) < 5, (one.shape, other.shape)
    height, width = (min(sides) for sides in zip(one.shape, other.shape))
    one, other = one[:height, :width], other[:height, :width]
    return (beyond(one, other) + beyond(other, one)).mean()


faults = []
drawings = {name: f'<svg xmlns="http://www.w3.org/2000/svg" width="90mm" viewBox="0 0 200 120">{FRAME}{inside}</svg>'
            for name, inside in DRAWINGS.items()}
drawings["bellows"] = (ROOT / "books/guide/chapters/bellows.svg").read_text()
for name, svg in drawings.items():
    mine, size = ours(name, svg)
    told = difference(mine, theirs(name, svg, size))
    print(f"{name}: {size[0]:.1f} x {size[1]:.1f} pt, mean difference {told:.3f} of 255")
    if not told < MOST:
        faults.append(f"{name} differs from the browser's by {told:.2f}")
    if name in PLANTS:
        before, after = PLANTS[name]
        planted = difference(mine, theirs(name, svg.replace(before, after), size))
        print(f"{name}, planted: {planted:.3f}")
        if not planted > max(MOST, 3 * told):
            faults.append(f"{name}: a planted fault is not seen ({planted:.2f})")
sys.exit("\n".join(faults) if faults else 0)
