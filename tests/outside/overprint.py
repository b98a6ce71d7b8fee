"""Black prints over the second ink, and paper covers both, by separations made with Ghostscript.

Usage: overprint.py FILE...

The files are the samples that the tests of the PDF room write for the press (page 2: a square of the second ink 80 mm from the
left and 40 mm from the top of the trimmed page, 20 mm wide; on it a black square at 85, 45, 10 mm wide, and a square of paper at
81, 41, 3 mm wide). Under black the plate of the second ink must be full (ISO 32000-1, 8.6.7), under paper both plates empty. As a
planted fault the same file without overprint is separated: there the second ink must be gone under black, or the check asks nothing.
"""

import pathlib
import subprocess
import sys
import tempfile

import pikepdf

from plates import Plate

RESOLUTION = 72
ROOM = 10.0


def plates(path, folder):
    out = pathlib.Path(folder) / "sep%d.tif"
    subprocess.run(["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-dFirstPage=2", "-dLastPage=2", "-sDEVICE=tiffsep",
                    f"-r{RESOLUTION}", f"-sOutputFile={out}", str(path)], check=True, capture_output=True)
    found = {}
    for plate in pathlib.Path(folder).glob("sep*(*).tif*"):
        found[plate.name.split("(")[1].split(")")[0]] = Plate(plate)
    return found


def inks(found):
    """Ink of the two plates, 0 to 255, in the middle of each square."""
    at = lambda plate, x, y: 255 - plate.level((ROOM + x) / 25.4 * RESOLUTION, (ROOM + y) / 25.4 * RESOLUTION)
    places = {"second ink": (97.5, 57.5), "black over it": (90, 50), "paper over it": (82.5, 42.5)}
    return {name: (at(found["Black"], x, y), at(found["Lamp Red"], x, y)) for name, (x, y) in places.items()}


def main() -> int:
    bad = 0
    for path in sys.argv[1:]:
        with tempfile.TemporaryDirectory() as folder:
            found = inks(plates(path, folder))
        right = {"second ink": (0, 255), "black over it": (255, 255), "paper over it": (0, 0)}
        wrong = {name: value for name, value in found.items() if any(abs(a - b) > 8 for a, b in zip(value, right[name]))}
        with tempfile.TemporaryDirectory() as folder, pikepdf.open(path) as pdf:
            for entry in pdf.objects:
                if isinstance(entry, pikepdf.Dictionary) and "/ExtGState" in entry:
                    entry.ExtGState.Over = entry.ExtGState.Cover
            plain = pathlib.Path(folder) / "plain.pdf"
            pdf.save(plain, fix_metadata_version=False)
            planted = inks(plates(plain, folder))
        if planted["black over it"][1] > 8:
            wrong["a file without overprint"] = planted["black over it"]
        print(f"{path}: {found}: {'FAULT ' + str(wrong) if wrong else 'as it should be'}")
        bad += len(wrong)
    return 1 if bad or len(sys.argv) < 2 else 0


if __name__ == "__main__":
    sys.exit(main())
