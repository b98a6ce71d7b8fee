"""Where ink ends at the trim, read from pictures of pages, against what the program's preflight says of it (its point P-06).

Usage: trim_edges.py BOXWRIGHT FILE...

Poppler draws the pages; a piece of ink is looked at as dots, and shares no code with the program. That ink has to end 3 mm inside the
trim or run over it by the bleed is common practice, no source. Every FILE is a press file that preflight passes and in which nothing
runs off the page: then nothing may stand within 3 mm of any trim. The first of them is then emptied to one page on which a curve, a
glyph of its own fonts, a run of them or a form is planted near an edge, by dice whose seed is fixed: preflight must name the edge
and the distance that the picture shows, and must not warn where the picture shows none. Last, each kind of plant must have been
found at least once and been fine at least once, and a measure that is wrong by a millimetre must be told from a right one.
"""

import io
import pathlib
import random
import re
import subprocess
import sys
import tempfile

import numpy
import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf

DPI = 300
ROOM = 3.0
# A dot is 0.085 mm, and what is half covered may be drawn or not; preflight says tenths.
NEAR = 0.16
PLANTS = 40
EDGES = ("left", "right", "head", "foot")


def mm(points):
    return points / 72 * 25.4


def drawn(path, dpi):
    """Every page as an array that is true where there is ink."""
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        subprocess.run(["pdftoppm", "-gray", "-r", str(dpi), str(path), str(root / "p")], check=True)
        for picture in sorted(root.glob("p*.pgm"), key=lambda name: int(re.search(r"(\d+)\.pgm", name.name).group(1))):
            data = picture.read_bytes()
            head = re.match(rb"P5\s(\d+)\s(\d+)\s255\s", data)
            width, height = int(head.group(1)), int(head.group(2))
            yield numpy.frombuffer(data, numpy.uint8, offset=head.end()).reshape(height, width) < 128


def boxes(page):
    """The trim, and the bleed, in points from the left and from the head of the medium: left, head, right, foot."""
    media = [float(side) for side in page.mediabox]
    for key in ("/TrimBox", "/BleedBox"):
        x0, y0, x1, y1 = (float(side) for side in page.obj[key])
        yield [x0 - media[0], media[3] - y1, x1 - media[0], media[3] - y0]


def inside(ink, trim, dpi):
    """How far inside each edge of the trim the ink ends, in millimetres; nothing where there is none."""
    rows, columns = numpy.nonzero(ink.any(axis=1))[0], numpy.nonzero(ink.any(axis=0))[0]
    if not len(rows):
        return None
    scale = 72 / dpi
    left, head, right, foot = trim
    return {
        "left": mm(columns[0] * scale - left), "right": mm(right - (columns[-1] + 1) * scale),
        "head": mm(rows[0] * scale - head), "foot": mm(foot - (rows[-1] + 1) * scale),
    }


def white(path):
    """Pages of a file with ink within 3 mm of the trim, on either side of it."""
    found = []
    dpi = 150
    with Pdf.open(path) as pdf:
        trims = [next(iter(boxes(page))) for page in pdf.pages]
    for number, (ink, trim) in enumerate(zip(drawn(path, dpi), trims, strict=True), 1):
        dots = lambda points: round(points / 72 * dpi)
        left, head, right, foot = (dots(side) for side in trim)
        room = dots(ROOM / 25.4 * 72) - 1
        ring = ink[head:foot, left:right].copy()
        ring[room:-room, room:-room] = False
        if ring.any():
            found.append(number)
    return found


def said(program, path):
    """What preflight says of P-06: how it came out, how far inside, at which edge."""
    report = subprocess.run([program, "preflight", str(path)], capture_output=True, text=True, check=False).stdout
    line = next(line for line in report.splitlines() if " P-06 " in line)
    outcome = line.split()[0]
    if found := re.search(r"ink ends (?:([\d.]+) mm (inside|beyond)|at) the trim,? at the (\w+)", line):
        far = float(found.group(1) or 0)
        return outcome, far if found.group(2) != "beyond" else -far, found.group(3)
    return outcome, None, None


def expected(measure, bleed):
    """The edge that is too near, and how near; `None` for none; "?" where a dot decides."""
    if measure is None:
        return None
    if any(abs(measure[edge] - limit) < NEAR for edge in EDGES for limit in (ROOM, -bleed[edge])):
        return "?"
    near = sorted((abs(far), edge) for edge, far in measure.items() if -bleed[edge] < far < ROOM)
    if len(near) > 1 and near[1][0] - near[0][0] < 2 * NEAR:
        return "?"
    return near[0][1] if near else None


class Planting:
    """One page of a file, emptied, for one plant after the other."""

    def __init__(self, program, source, folder):
        self.program, self.path = program, pathlib.Path(folder) / "planted.pdf"
        self.source, self.dice = source, random.Random(20261128)
        self.tally = {}

    def plant(self, kind, make):
        with Pdf.open(self.source) as pdf:
            del pdf.pages[1:]
            page = pdf.pages[0]
            media = [float(side) for side in page.mediabox]
            trim, bleed = boxes(page)
            apart = {"left": trim[0] - bleed[0], "head": trim[1] - bleed[1], "right": bleed[2] - trim[2], "foot": bleed[3] - trim[3]}
            # A place near one of the edges, in the page's own points.
            x0, y0, x1, y1 = trim[0], media[3] - trim[3], trim[2], media[3] - trim[1]
            edge = self.dice.choice(EDGES)
            across, along = self.dice.uniform(-8, 14), self.dice.uniform(60, 300)
            at = {"left": (x0 + across, y0 + along), "right": (x1 - across, y0 + along),
                  "foot": (x0 + along, y0 + across), "head": (x0 + along, y1 - across)}[edge]
            page.obj.Contents = pdf.make_stream(make(pdf, page, edge, at))
            out = io.BytesIO()
            pdf.save(out, object_stream_mode=pikepdf.ObjectStreamMode.disable, fix_metadata_version=False)
            self.path.write_bytes(out.getvalue())
        ink = next(iter(drawn(self.path, DPI)))
        measure = inside(ink, trim, DPI)
        wanted = expected(measure, {name: mm(far) for name, far in apart.items()})
        # A run that is cut by the trim is told glyph by glyph, which its picture as a whole does not show.
        if wanted == "?" or (kind == "run" and measure and min(measure.values()) < 0):
            return 0
        outcome, far, edge = said(self.program, self.path)
        found = self.tally.setdefault(kind, [0, 0])
        if wanted is None:
            found[1] += 1
            if outcome == "pass":
                return 0
            print(f"  {kind}: {outcome}, {far} mm at the {edge}, and nothing is near: {measure}")
            return 1
        found[0] += 1
        right = outcome == "warning" and edge == wanted and abs(far - measure[wanted]) < NEAR
        # The same by a measure that is a millimetre off must not be right.
        if right and abs(far + 1 - measure[wanted]) < NEAR:
            raise SystemExit("a millimetre makes no difference")
        if not right:
            print(f"  {kind}: {outcome}, {far} mm at the {edge}, but {measure[wanted]:.2f} mm at the {wanted}")
        return int(not right)

    def curve(self, pdf, page, edge, at):
        dice, (x, y) = self.dice, at
        point = lambda: f"{x + dice.uniform(-30, 30):.3f} {y + dice.uniform(-30, 30):.3f}"
        first, second, third = point(), point(), point()
        operator = dice.choice(("c", "v", "y"))
        middle = {"c": f"{first} {second} {third} c", "v": f"{first} {third} v", "y": f"{first} {third} y"}[operator]
        # Round ends and joins: the line is as broad in every direction.
        paint = dice.choice(("f", "3 w 1 J 1 j S"))
        style, paint = paint.rsplit(" ", 1) if " " in paint else ("", paint)
        return f"{style} {x:.3f} {y:.3f} m {middle} {paint}".encode()

    def font(self, page):
        """A font of the page, its name, and how many glyphs it has."""
        name, font = self.dice.choice(sorted(page.obj.Resources.Font.items()))
        return name, len(font.DescendantFonts[0].W[1])

    def glyph(self, pdf, page, edge, at):
        name, count = self.font(page)
        size, code = self.dice.uniform(10, 90), self.dice.randrange(1, count)
        turn = self.dice.choice(("1 0 0 1", "0 1 -1 0", "-1 0 0 -1", "0 -1 1 0", "1.5 0 0 0.7"))
        return f"BT {name} {size:.2f} Tf {turn} {at[0]:.3f} {at[1]:.3f} Tm <{code:04x}> Tj ET".encode()

    def run(self, pdf, page, edge, at):
        name, count = self.font(page)
        widths = [float(width) for width in page.obj.Resources.Font[name].DescendantFonts[0].W[1]]
        codes = [self.dice.randrange(1, count) for _ in range(5)]
        size, back, spacing, stretched = self.dice.uniform(8, 14), self.dice.uniform(-900, 100), self.dice.uniform(0, 3), self.dice.uniform(70, 130)
        length = (sum(widths[code] for code in codes) / 1000 * size - back / 1000 * size + 5 * spacing) * stretched / 100
        start = at[0] - length if edge == "right" else at[0]
        texts = ["".join(f"{code:04x}" for code in part) for part in (codes[:2], codes[2:])]
        return (f"BT {name} {size:.3f} Tf {spacing:.3f} Tc {stretched:.3f} Tz {start:.3f} {at[1]:.3f} Td "
                f"[<{texts[0]}> {back:.2f} <{texts[1]}>] TJ ET").encode()

    def form(self, pdf, page, edge, at):
        """A form twice: in the middle, and at the edge; only there does it matter."""
        form = pdf.make_stream(b"0 0 m 9 0 12 6 6 9 c f", Type=Name.XObject, Subtype=Name.Form, BBox=Array([-1, -1, 13, 13]),
                               Resources=Dictionary())
        page.obj.Resources.XObject = Dictionary(Odd=form)
        turn = self.dice.choice(("1 0 0 1", "0 1 -1 0", "-2 0 0 -2"))
        return (f"q 1 0 0 1 300 400 cm /Odd Do Q q {turn} {at[0]:.3f} {at[1]:.3f} cm /Odd Do Q").encode()


def main() -> int:
    program, *files = sys.argv[1:]
    bad = 0
    for path in files:
        pages = white(path)
        outcome, *_ = said(program, path)
        print(f"{path}: {len(pages)} pages with ink at the trim, preflight: {outcome}")
        bad += len(pages) + (outcome != "pass")
    with tempfile.TemporaryDirectory() as folder:
        planting = Planting(program, files[0], folder)
        for kind in ("curve", "glyph", "run", "form"):
            bad += sum(planting.plant(kind, getattr(planting, kind)) for _ in range(PLANTS))
        for kind, (near, fine) in planting.tally.items():
            print(f"{kind}: {near} too near the trim, {fine} fine")
            bad += int(near < 5 or fine < 2)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
