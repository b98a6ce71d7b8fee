"""Reads the codes of a bound book back from its pictures: the ISBN's EAN-13 on the back cover and a QR code for each lesson
link, by zbarimg (an outside decoder) from pages rendered by pdftoppm (another).

Binds a copy of books/first-steps that has an ISBN (the worked number of the ISBN Users' Manual), a back cover and links of
several lengths, in standard and large print, and fails unless exactly these are read.

    python tests/outside/codes_back.py target/release/boxwright
"""

import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
ISBN = "978-3-16-148410-0"
LINKS = ["https://example.org/a", "https://example.org/lessons/ferry-rope?week=3&part=2", "https://example.org/" + "long/" * 18]
DOTS = 300


def prepare(folder):
    """The book with what is to be read back."""
    shutil.copytree(ROOT / "books" / "first-steps", folder, ignore=shutil.ignore_patterns("*.pdf"))
    book = folder / "book.yaml"
    text = book.read_text()
    text, found = re.subn(r"isbn: [^,}\n]+", f"isbn: {ISBN}", text, count=1)
    assert found, "the book names its ISBN"
    text, found = re.subn(r"^back: \[", "back: [back-cover, ", text, flags=re.M)
    assert found, "the book has a back"
    # The back cover comes last.
    text = re.sub(r"^back: \[back-cover, (.*?)\]", r"back: [\1, back-cover]", text, flags=re.M)
    book.write_text(text)
    tunes = sorted((folder / "tunes").glob("*.yaml"))
    assert len(tunes) >= len(LINKS)
    for tune, link in zip(tunes, LINKS):
        words = re.sub(r"^link:.*\n", "", tune.read_text(), flags=re.M)
        tune.write_text(f"link: {link}\n{words}")


def read_back(pdf, pictures):
    """What zbarimg reads on all pages, kind and words."""
    subprocess.run(["pdftoppm", "-r", str(DOTS), "-gray", "-png", pdf, pictures / "page"], check=True)
    pages = sorted(pictures.glob("page*.png"))
    done = subprocess.run(["zbarimg", "--quiet", *pages], capture_output=True, text=True)
    assert done.returncode in (0, 4), done.stderr
    return sorted(set(done.stdout.split()))


def main():
    program = pathlib.Path(sys.argv[1]).resolve()
    wanted = sorted([f"EAN-13:{ISBN.replace('-', '')}"] + [f"QR-Code:{link}" for link in LINKS])
    for edition in (None, "large-print"):
        with tempfile.TemporaryDirectory() as temporary:
            folder = pathlib.Path(temporary) / "book"
            prepare(folder)
            pdf = folder / "out.pdf"
            options = ["--edition", edition] if edition else []
            subprocess.run([program, "--quiet", "bind", folder / "book.yaml", "-o", pdf, *options], check=True)
            found = read_back(pdf, folder)
            # An edition without an ISBN of its own prints none: it does not take over the book's.
            own = [code for code in wanted if not edition or not code.startswith("EAN")]
            if found != own:
                sys.exit(f"{edition or 'the book'}: read {found}, wanted {own}")
            print(f"  {edition or 'the book'}: {len(found)} codes as they should be")


main()
