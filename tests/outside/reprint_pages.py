"""Proves that a reprint is enough: puts the reprinted pages into the printed file and compares every page's picture with a
full new build.

Usage: reprint_pages.py BINARY BOOK_FOLDER [EDITS]

The book is copied, bound, changed at random (a fixed seed: a pin of a tune, a word of a text, a title), bound anew in full,
and reprinted against the first file. Pages are put together with pikepdf by their labels and drawn with poppler; each must be
equal to the full build's, pixel by pixel. An edit that the program refuses (a pin that cannot be met) must leave no file.
"""

import pathlib
import random
import re
import shutil
import subprocess
import sys
import tempfile

import pikepdf

RESOLUTION = "40"


def run(*command):
    return subprocess.run([str(part) for part in command], capture_output=True, text=True)


def labels(pdf):
    return [page.label for page in pdf.pages]


def pictures(path, folder):
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    subprocess.run(["pdftoppm", "-gray", "-r", RESOLUTION, str(path), str(folder / "p")], check=True)
    return [picture.read_bytes() for picture in sorted(folder.glob("p*.pgm"))]


def edit(book, dice):
    """Changes one file of the book; gives what was done."""
    files = sorted(path for path in book.rglob("*") if path.suffix in (".yaml", ".md") and path.name != "book.yaml")
    path = dice.choice(files)
    text = path.read_text()
    if path.suffix == ".md":
        words = [match for match in re.finditer(r"(?<![{\w#])[a-z]{4,}(?![}\w])", text)]
        if not words:
            return None
        word = dice.choice(words)
        path.write_text(text[: word.start()] + word.group()[::-1] + text[word.end() :])
        return f"{path.name}: `{word.group()}` turned round"
    kind = dice.choice(("title", "pin", "note"))
    if kind == "title":
        path.write_text(re.sub(r"(?m)^title: (.*)$", lambda m: f"title: {m.group(1)} II", text, count=1))
        return f"{path.name}: another title"
    if kind == "pin" and "\npins:" not in text:
        bar = dice.randint(1, 8)
        direction = dice.choice(("push", "pull"))
        path.write_text(text.rstrip() + f"\npins:\n  - {{bar: {bar}, direction: {direction}}}\n")
        return f"{path.name}: bar {bar} on the {direction}"
    notes = [match for match in re.finditer(r"(?<=[ |])[d-g](?=[ |])", text)]
    if not notes:
        return None
    note = dice.choice(notes)
    path.write_text(text[: note.start()] + dice.choice("defg") + text[note.end() :])
    return f"{path.name}: another note"


def main() -> int:
    binary, source = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2])
    edits = int(sys.argv[3]) if len(sys.argv) > 3 else 200
    dice = random.Random(20260901)
    done = refused = unchanged = faults = 0
    with tempfile.TemporaryDirectory() as work:
        work = pathlib.Path(work)
        shelf = work / source.resolve().parent.name
        shutil.copytree(source.resolve().parent, shelf)
        book = shelf / source.name
        clean = work / "clean"
        shutil.copytree(book, clean)
        printed = work / "printed.pdf"
        first = run(binary, "bind", book / "book.yaml", "-o", printed)
        if first.returncode:
            print(first.stderr)
            return 1
        old_pictures = pictures(printed, work / "old")
        for number in range(edits):
            shutil.rmtree(book)
            shutil.copytree(clean, book)
            what = edit(book, dice)
            if what is None:
                continue
            new, again = work / "new.pdf", work / "again.pdf"
            for path in (new, again):
                path.unlink(missing_ok=True)
            bound = run(binary, "bind", book / "book.yaml", "-o", new)
            reprint = run(binary, "reprint", book / "book.yaml", "--against", printed, "-o", again)
            if bound.returncode:
                refused += 1
                if reprint.returncode == 0 or again.exists():
                    print(f"{number}: {what}: bind refuses, reprint does not")
                    faults += 1
                continue
            done += 1
            if not again.exists():
                unchanged += 1
                if pictures(new, work / "full") != old_pictures:
                    print(f"{number}: {what}: nothing is reprinted, but the pictures differ")
                    faults += 1
                continue
            with pikepdf.open(printed) as old, pikepdf.open(new) as full, pikepdf.open(again) as some:
                at = {label: index for index, label in enumerate(labels(some))}
                kept = {label: index for index, label in enumerate(labels(old))}
                again_pictures, full_pictures = pictures(again, work / "again"), pictures(new, work / "full")
                for index, label in enumerate(labels(full)):
                    if label in at:
                        page = again_pictures[at[label]]
                    elif label in kept:
                        page = old_pictures[kept[label]]
                    else:
                        page = None
                    if page != full_pictures[index]:
                        print(f"{number}: {what}: page {label} is not what a full build gives")
                        faults += 1
    print(f"{done} edits proven, {unchanged} of them without any change, {refused} refused, {faults} faults")
    return 1 if faults or not done else 0


if __name__ == "__main__":
    sys.exit(main())
