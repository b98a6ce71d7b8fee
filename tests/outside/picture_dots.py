"""Dots an inch of pictures as preflight finds them, against those that poppler's `pdfimages -list` finds in the same file.

Usage: picture_dots.py PROGRAM FILE

FILE is a press file without pictures. Pictures are put on its pages with pikepdf: large and small, turned, skewed in their sides,
in black and white alone, through forms of another size, on a page with a unit of its own (which poppler leaves out of account, so
its figure is divided by the unit here; ISO 32000-1, table 30). Both must find the same number of dots, but for one that is
rounded, and preflight must warn below 200 in tones and 600 in black and white alone, and not above.
"""

import json
import re
import subprocess
import sys
import tempfile

import pikepdf
from pikepdf import Array, Dictionary, Name

# What is done: dots on a side, bits, matrix of the picture, matrix of the form it stands in if any, unit of the page.
CASES = [
    ((20, 20), 8, (400, 0, 0, 400, 100, 100), None, 1),
    ((100, 100), 8, (36, 0, 0, 36, 100, 100), None, 1),
    ((100, 100), 8, (36.5, 0, 0, 36, 100, 100), None, 1),
    ((100, 300), 8, (0, 72, -72, 0, 300, 300), None, 1),
    ((300, 300), 8, (21.6, 28.8, -28.8, 21.6, 300, 300), None, 1),
    ((50, 50), 1, (12, 0, 0, 6, 100, 100), None, 1),
    ((50, 50), 1, (6, 0, 0, 6, 100, 100), None, 1),
    ((64, 64), 8, (10, 0, 0, 10, 0, 0), (4, 0, 0, 4, 100, 100), 1),
    ((64, 64), 8, (40, 0, 0, 40, 0, 0), (0, 0.25, -0.25, 0, 200, 200), 1),
    ((144, 144), 8, (36, 0, 0, 36, 100, 100), None, 2),
]


def changed(path, target, dots, bits, place, form, unit):
    pdf = pikepdf.open(path)
    page = pdf.pages[0].obj
    line = (dots[0] * bits + 7) // 8
    image = pdf.make_stream(bytes(line * dots[1]), Type=Name.XObject, Subtype=Name.Image, Width=dots[0], Height=dots[1],
                            ColorSpace=Name.DeviceGray, BitsPerComponent=bits)
    numbers = lambda matrix: " ".join(str(number) for number in matrix).encode()
    drawn = b"q " + numbers(place) + b" cm /Odd Do Q"
    if form is not None:
        image = pdf.make_stream(drawn, Type=Name.XObject, Subtype=Name.Form, BBox=Array([-999, -999, 999, 999]),
                                Resources=Dictionary(XObject=Dictionary(Odd=image)))
        drawn = b"q " + numbers(form) + b" cm /Odd Do Q"
    page.Resources.XObject = Dictionary(page.Resources.get("/XObject", Dictionary()))
    page.Resources.XObject.Odd = image
    if unit != 1:
        page.UserUnit = unit
    pdf.pages[0].contents_add(pdf.make_stream(drawn))
    pdf.save(target, object_stream_mode=pikepdf.ObjectStreamMode.disable, fix_metadata_version=False)


def poppler(path):
    """The least of all dots an inch, x and y."""
    listed = subprocess.run(["pdfimages", "-list", path], capture_output=True, text=True, check=True).stdout
    rows = [line.split() for line in listed.splitlines()[2:]]
    assert rows, "poppler finds no picture"
    return min(int(dots) for row in rows for dots in row[12:14])


def main() -> int:
    program, path = sys.argv[1:3]
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        target = f"{folder}/pictures.pdf"
        for dots, bits, place, form, unit in CASES:
            changed(path, target, dots, bits, place, form, unit)
            report = json.loads(subprocess.run([program, "preflight", target, "--json"], capture_output=True, text=True).stdout)
            point = next(check for check in report["checks"] if check["id"] == "P-05")
            ours = int(re.search(r"on page 1, has (\d+)", point["found"]).group(1))
            theirs = poppler(target) / unit
            wanted = "warning" if theirs < (600 if bits == 1 else 200) else "pass"
            if abs(ours - theirs) > 1 or point["outcome"] != wanted:
                print(f"  {dots} {bits} {place} {form} {unit}: {ours} and {point['outcome']}, not {theirs:.0f} and {wanted}")
                bad += 1
    print(f"{len(CASES)} pictures, {bad} of them otherwise than poppler finds them")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
