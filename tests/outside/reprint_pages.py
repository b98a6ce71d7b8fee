"""Proves that a reprint is enough: puts the reprinted pages into the printed file and compares every page's picture with a
full new build.

Usage: reprint_pages.py BINARY BOOK_FOLDER [EDITS] [--hold-pages]

The book is copied, bound, changed at random (a fixed seed: a pin of a tune, a word of a text, a title), bound anew in full,
and reprinted against the first file. Pages are put together with pikepdf by their labels and drawn with poppler; each must be
equal to the full build's, pixel by pixel. With --hold-pages half of the edits lengthen a text by pages, and the full build
is the reprint of everything (against a file whose digests were made unknown, so that every page differs): there, besides,
every printed page must keep its number and its place among the others. An edit that the program refuses (a pin that cannot be
met) must leave no file. At least half of the edits must be bound, and half of those must change a page: else nothing is proven.
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


def lengthen(book, dice):
    """Makes one text longer by some paragraphs."""
    files = sorted(path for path in book.rglob("*") if path.suffix in (".yaml", ".md") and path.name != "book.yaml")
    path = dice.choice(files)
    text = path.read_text()
    count = dice.choice((3, 8, 15, 40))
    words = "Play it once more, a little slower than you want to, and listen for the turn of the bellows."
    if path.suffix == ".md":
        path.write_text(text.rstrip() + "\n" + f"\n{words}\n" * count)
    elif "\ncommentary: |\n" in text:
        more = f"  {words}\n\n" * count
        path.write_text(text.replace("\ncommentary: |\n", "\ncommentary: |\n" + more, 1))
    else:
        return None
    return f"{path.name}: {count} paragraphs more"


def forget(printed, to):
    """The printed file with a record in which every page's digest is another, so that a reprint of it is the whole book."""
    with pikepdf.open(printed) as pdf:
        record = pdf.Root["/BXWR_Record"]
        text = record.read_bytes().decode()
        record.write(re.sub(r"(?m)^(page\t[^\t]*\t)[0-9a-f]+$", r"\g<1>" + "0" * 32, text).encode())
        pdf.save(to)


def is_among(some, all_of_them):
    """Whether the first list is the second with entries left out."""
    rest = iter(all_of_them)
    return all(entry in rest for entry in some)


class Proof:
    """One book, printed once, and edited again and again."""

    def __init__(self, binary, book, work, hold):
        self.binary, self.book, self.work, self.hold = binary, book, work, hold
        self.printed, self.forgotten = work / "printed.pdf", work / "forgotten.pdf"
        self.done = self.refused = self.unchanged = self.grown = self.faults = 0

    def fault(self, words):
        print(words)
        self.faults += 1

    def print_once(self):
        first = run(self.binary, "bind", self.book / "book.yaml", "-o", self.printed)
        if first.returncode:
            raise SystemExit(first.stderr)
        forget(self.printed, self.forgotten)
        self.old_pictures = pictures(self.printed, self.work / "old")
        with pikepdf.open(self.printed) as old:
            self.kept = {label: index for index, label in enumerate(labels(old))}

    def reprint(self, against, to):
        held = ["--hold-pages"] if self.hold else []
        return run(self.binary, "reprint", self.book / "book.yaml", "--against", against, "-o", to, *held)

    def prove(self, what):
        new, again = self.work / "new.pdf", self.work / "again.pdf"
        for path in (new, again):
            path.unlink(missing_ok=True)
        if self.hold:
            bound = self.reprint(self.forgotten, new)
        else:
            bound = run(self.binary, "bind", self.book / "book.yaml", "-o", new)
        reprint = self.reprint(self.printed, again)
        if bound.returncode:
            self.refused += 1
            if reprint.returncode == 0 or again.exists():
                self.fault(f"{what}: bind refuses, reprint does not")
            return
        self.done += 1
        full_pictures = pictures(new, self.work / "full")
        if not again.exists():
            self.unchanged += 1
            if full_pictures != self.old_pictures:
                self.fault(f"{what}: nothing is reprinted, but the pictures differ")
            return
        with pikepdf.open(new) as full, pikepdf.open(again) as some:
            at = {label: index for index, label in enumerate(labels(some))}
            all_labels = labels(full)
        if self.hold:
            self.grown += len(all_labels) > len(self.kept)
            if not is_among(self.kept, all_labels):
                self.fault(f"{what}: pages were renumbered: {all_labels}")
        again_pictures = pictures(again, self.work / "again")
        for index, label in enumerate(all_labels):
            if label in at:
                page = again_pictures[at[label]]
            else:
                page = self.old_pictures[self.kept[label]] if label in self.kept else None
            if page != full_pictures[index]:
                self.fault(f"{what}: page {label} is not what a full build gives")


def main() -> int:
    words = [word for word in sys.argv[1:] if not word.startswith("--")]
    hold = "--hold-pages" in sys.argv
    binary, source = pathlib.Path(words[0]).resolve(), pathlib.Path(words[1])
    edits = int(words[2]) if len(words) > 2 else 200
    dice = random.Random(20260901)
    with tempfile.TemporaryDirectory() as work:
        work = pathlib.Path(work)
        shelf = work / source.resolve().parent.name
        shutil.copytree(source.resolve().parent, shelf)
        book, clean = shelf / source.name, work / "clean"
        shutil.copytree(book, clean)
        proof = Proof(binary, book, work, hold)
        proof.print_once()
        tried = 0
        while tried < edits:
            shutil.rmtree(book)
            shutil.copytree(clean, book)
            what = lengthen(book, dice) if hold and tried % 2 else edit(book, dice)
            if what is None:
                continue
            tried += 1
            proof.prove(f"{tried}: {what}")
    print(
        f"{source.name}: {proof.done} edits proven, {proof.unchanged} of them without any change, "
        f"{proof.grown} with point pages, {proof.refused} refused, {proof.faults} faults"
    )
    changed = proof.done - proof.unchanged
    few = 2 * proof.done < edits or 2 * changed < proof.done
    if few:
        print(f"too little is proven: of {edits} edits {proof.done} are bound, and {changed} change a page")
    return 1 if proof.faults or few or (hold and not proof.grown) else 0


if __name__ == "__main__":
    sys.exit(main())
