"""Faults planted in copies of a file for the press, one for each tool of pdf_tools.sh, which must find it and say so.

Usage: pdf_tools_plants.py FILE

Planted are a page in a second process colour (ISO 32000-1, 8.6.8), a table of places that leads astray (7.5.4), a font without its
file and one without its map to Unicode (9.9 and 9.10.3). The file itself must pass first. Exit status 1 if any fault is missed.
"""

import pathlib
import subprocess
import sys
import tempfile

import pikepdf

TOOLS = pathlib.Path(__file__).with_name("pdf_tools.sh")


def coloured(pdf):
    page = pdf.pages[-1]
    page.contents_add(b"q 0 1 0 0 k 100 100 200 200 re f Q")


def fontless(pdf):
    del next(o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/FontFile3" in o).FontFile3


def meaningless(pdf):
    del next(o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/ToUnicode" in o).ToUnicode


def astray(path):
    """The number after the last `startxref` is another."""
    data = path.read_bytes()
    at = data.rindex(b"startxref")
    path.write_bytes(data[:at] + b"startxref\n7\n%%EOF\n")


def faults(path):
    done = subprocess.run(["bash", str(TOOLS), "--press", str(path)], capture_output=True, text=True)
    found = [line.strip() for line in done.stdout.splitlines() if "FAULT:" in line]
    return found if done.returncode else []


def main() -> int:
    source = pathlib.Path(sys.argv[1])
    good = not faults(source)
    if not good:
        print(f"{source} has faults before any is planted")
    plants = [(coloured, "ink on the plate Magenta"), (fontless, "not embedded"), (meaningless, "without Unicode"), (astray, "qpdf:")]
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder) / "planted.pdf"
        for plant, words in plants:
            if plant is astray:
                copy.write_bytes(source.read_bytes())
                astray(copy)
            else:
                with pikepdf.open(source) as pdf:
                    plant(pdf)
                    pdf.save(copy)
            found = [fault for fault in faults(copy) if words in fault]
            print(f"planted {plant.__name__}: {found[0][:120] if found else 'NOT FOUND'}")
            good &= bool(found)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
