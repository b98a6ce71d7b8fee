"""Reads finished files for reading as a voice would, and says where a listener would lose the thread.

Usage: spoken.py BOXES FILE...      spoken.py BOXES --plant FILE

The structure tree is walked with pikepdf and the letters are read through the fonts' own maps. Asked of every file:
  every piece of marked content belongs to one element, the one that the parent tree names, and is reached once
      (ISO 32000-1, 14.7.4.2 and 14.7.4.4);
  no heading is only numbers, and no figure is without words (ISO 14289-1, 7.4 and 7.3);
  the rows of a table have equally many columns, spans counted in; its column heads stand in its first row and nowhere else;
      no table follows another whose last row is on the page before (ISO 14289-1, 7.5; ISO 32000-1, 14.8.5.7);
  there is one contents, and no paragraph goes on from one before it on another page (14.8.4.3);
  a rate is said with its note: "crotchet = 108", never "= 108";
  the drawings of a box say all buttons of one of the box files in BOXES, and no other, worked out here from the file itself.
With --plant a faulty copy of FILE is made for each of these, and each must be found.
"""

import argparse
import collections
import pathlib
import re
import sys
import tempfile

import pikepdf
import yaml

Name = pikepdf.Name
NOTES = re.compile(r"([A-G])([#b]?)(-?\d)")


def unicode_map(font):
    """From character codes to text, and the width of a code in bytes."""
    table = {}
    if "/ToUnicode" in font:
        data = font.ToUnicode.read_bytes().decode("latin1")
        text = lambda digits: bytes.fromhex(digits).decode("utf-16-be")
        for block in re.findall(r"beginbfchar(.*?)endbfchar", data, re.S):
            for code, digits in re.findall(r"<(\w+)>\s*<(\w*)>", block):
                table[int(code, 16)] = text(digits)
        for block in re.findall(r"beginbfrange(.*?)endbfrange", data, re.S):
            for first, last, digits in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
                start = text(digits)
                for code in range(int(first, 16), int(last, 16) + 1):
                    table[code] = start[:-1] + chr(ord(start[-1]) + code - int(first, 16))
    return table, 2 if font.Subtype == Name.Type0 else 1


def contents(page):
    """What each marked-content sequence of a page says, by its number."""
    fonts = {str(name): unicode_map(font) for name, font in page.Resources.Font.items()}
    said, stack, font = {}, [], None

    def say(words):
        numbers = [entry for entry in stack if isinstance(entry, int)]
        if numbers and "silent" not in stack:
            said[numbers[-1]] += words

    for operands, operator in pikepdf.parse_content_stream(page):
        operator = str(operator)
        if operator == "Tf":
            font = fonts.get(str(operands[0]))
        elif operator == "BMC":
            stack.append(None)
        elif operator == "BDC":
            properties = operands[1]
            if "/MCID" in properties:
                stack.append(int(properties.MCID))
                said.setdefault(int(properties.MCID), "")
            elif "/ActualText" in properties:
                say(str(properties.ActualText))
                stack.append("silent")
            else:
                stack.append(None)
        elif operator == "EMC":
            stack.pop()
        elif operator in ("Tj", "TJ") and font:
            for part in operands[0] if operator == "TJ" else [operands[0]]:
                if isinstance(part, pikepdf.String):
                    table, width = font
                    codes = bytes(part)
                    for at in range(0, len(codes), width):
                        say(table.get(int.from_bytes(codes[at:at + width], "big"), "?"))
    return said


class Element:
    """An element with what it holds: kids, words, pages."""

    def __init__(self, file, entry, page):
        self.kind = str(entry.S)[1:]
        self.key = entry.objgen
        self.words, self.kids, self.pages = "", [], []
        self.alt = str(entry.Alt) if "/Alt" in entry else None
        self.attributes = {}
        for group in [entry.A] if isinstance(entry.get("/A"), pikepdf.Dictionary) else entry.get("/A", []):
            self.attributes.update({str(key): group[key] for key in group.keys()})
        page = file.number(entry.Pg) if "/Pg" in entry else page
        kids = entry.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if not isinstance(kid, pikepdf.Dictionary):
                self.take(file, page, int(kid))
            elif kid.get("/Type") == Name.MCR:
                self.take(file, file.number(kid.Pg) if "/Pg" in kid else page, int(kid.MCID))
            elif kid.get("/Type") != Name.OBJR:
                inner = Element(file, kid, page)
                self.kids.append(inner)
                self.words += inner.said() + " "
                self.pages += inner.pages
        if "/ActualText" in entry:
            self.words = str(entry.ActualText)

    def take(self, file, page, number):
        self.words += file.content(page).get(number, "")
        self.pages.append(page)
        file.owners.setdefault((page, number), []).append(self.key)

    def said(self):
        return self.words if self.alt is None else self.alt

    def all(self):
        yield self
        for kid in self.kids:
            yield from kid.all()


class File:
    def __init__(self, path):
        self.pdf = pikepdf.open(path)
        self.pages = {page.objgen: number for number, page in enumerate(self.pdf.pages)}
        self.read, self.owners = {}, {}
        root = self.pdf.Root.StructTreeRoot
        kids = root.K.K
        self.tops = [Element(self, kid, None) for kid in (kids if isinstance(kids, pikepdf.Array) else [kids])]

    def number(self, page):
        return self.pages[page.objgen]

    def content(self, page):
        if page not in self.read:
            self.read[page] = contents(self.pdf.pages[page])
        return self.read[page]

    def all(self):
        for top in self.tops:
            yield from top.all()


def ownership(file):
    parents = {}
    tree = file.pdf.Root.StructTreeRoot.ParentTree.Nums
    for at in range(0, len(tree), 2):
        parents[int(tree[at])] = tree[at + 1]
    for number, page in enumerate(file.pdf.pages):
        known = parents[int(page.StructParents)]
        for content in file.content(number):
            owners = file.owners.get((number, content), [])
            named = known[content].objgen if content < len(known) else None
            if owners != [named]:
                yield f"page {number + 1}: content {content} is held by {owners}, the parent tree names {named}"


def headings(file):
    for element in file.all():
        if re.fullmatch(r"H\d?", element.kind) and not re.search(r"[^\W\d_]", element.words):
            yield f"page {element.pages[0] + 1}: the heading {element.words!r} has no word"
        if element.kind == "Figure" and not (element.alt or "").strip():
            yield f"page {element.pages[0] + 1}: a figure says nothing"


def scope(cell):
    return str(cell.attributes.get("/Scope", ""))


def tables(file):
    before = None
    for element in file.tops:
        if element.kind == "Table":
            where = f"page {element.pages[0] + 1}: the table" if element.pages else "a table"
            rows = [row for row in element.kids if row.kind == "TR"]
            widths = [sum(int(cell.attributes.get("/ColSpan", 1)) for cell in row.kids) for row in rows]
            if len(set(widths)) > 1:
                yield f"{where} has rows of {sorted(set(widths))} columns"
            for nth, row in enumerate(rows):
                heads = [cell for cell in row.kids if cell.kind == "TH" and scope(cell) == "/Column"]
                if nth and heads:
                    yield f"{where} has column heads in row {nth + 1}"
            if before is not None and before.kind == "Table" and before.pages and element.pages[0] > before.pages[-1]:
                yield f"{where} follows another from the page before"
        before = element
    if sum(element.kind == "TOC" for element in file.tops) > 1:
        yield "there are two contents"


def paragraphs(file):
    before = None
    for element in file.tops:
        said = element.said().strip()
        if element.kind == "P" and before is not None and before.kind == "P" and before.pages and element.pages:
            unfinished = not re.search(r"[.!?:;…”’)»]$", before.said().strip())
            if element.pages[0] > before.pages[-1] and said[:1].islower() and unfinished:
                yield f"page {element.pages[0] + 1}: the paragraph {said[:40]!r} goes on from the page before"
        before = element


def rates(file):
    for element in file.tops:
        for found in re.finditer(r"(\w*)\s*= \d+", element.said()):
            if not re.search(r"[^\W\d_]", found[1]):
                yield f"page {element.pages[0] + 1}: {found[0]!r} does not say its note"


def spoken_note(text):
    letter, sign, _ = NOTES.fullmatch(text).groups()
    return letter + {"": "", "#": " sharp", "b": " flat"}[sign]


def buttons(path):
    """Every right-hand button of a box file as it is to be said."""
    for row in yaml.safe_load(path.read_text())["rows"]:
        for number, (push, pull) in enumerate(row["buttons"], 1):
            yield f"button {number}: push {spoken_note(push)}, pull {spoken_note(pull)}"


def box(file, known):
    drawn = [element.alt for element in file.all() if element.kind == "Figure" and "Right hand" in (element.alt or "")]
    if not drawn:
        return
    note = r"[A-G](?: sharp| flat)?"
    said = re.findall(rf"button \d+: push {note}, pull {note}", " ".join(drawn).replace("\u00a0", " "), re.I)
    said = collections.Counter(button.replace("Button", "button") for button in said)
    apart = {name: (collections.Counter(all_of) - said, said - collections.Counter(all_of)) for name, all_of in known.items()}
    nearest = min(apart, key=lambda name: sum(part.total() for part in apart[name]))
    for part, how in zip(apart[nearest], ("is not said", "is said, but not on it")):
        for button in part:
            yield f"the box is nearest to {nearest}: {button!r} {how}"


def faults(path, known):
    file = File(path)
    checks = [ownership, headings, tables, paragraphs, rates]
    return [fault for check in checks for fault in check(file)] + list(box(file, known))


def plant(path, known):
    """Breaks a copy in one way after the other; every fault must be found."""

    def first(pdf, kind, also=lambda element: True):
        return next(e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/S") == kind and also(e))

    def heading(pdf):
        first(pdf, Name.H2).ActualText = "9\u201310"

    def figure(pdf):
        del first(pdf, Name.Figure).Alt

    def unheld(pdf):
        first(pdf, Name.P, lambda e: "/K" in e and len(e.K) == 1).K = pikepdf.Array([])

    def twice(pdf):
        element = first(pdf, Name.P, lambda e: len(e.get("/K", [])) == 1)
        element.K.append(element.K[0])

    def cell(pdf):
        del first(pdf, Name.TR, lambda e: len(e.K) > 2).K[0]

    def head(pdf):
        row = first(pdf, Name.TR, lambda e: e.K[0].S == Name.TD)
        row.K[0].S, row.K[0].A = Name.TH, pikepdf.Dictionary(O=Name.Table, Scope=Name.Column)

    def parted(pdf):
        numbers = {page.objgen: number for number, page in enumerate(pdf.pages)}

        def page(entry):
            kids = [page(kid) for kid in entry.get("/K", []) if isinstance(kid, pikepdf.Dictionary)]
            return max([numbers[entry.Pg.objgen]] if "/Pg" in entry else [kid for kid in kids if kid is not None], default=None)

        def pages(table):
            return [page(row) for row in table.K]

        table = first(pdf, Name.Table, lambda e: len({number for number in pages(e) if number is not None}) > 1)
        start = pages(table).index(page(table))
        rest = pdf.make_indirect(pikepdf.Dictionary(S=Name.Table, P=table.P, K=pikepdf.Array(list(table.K)[start:])))
        table.K = pikepdf.Array(list(table.K)[:start])
        at = next(nth for nth, top in enumerate(table.P.K) if top.objgen == table.objgen)
        table.P.K.insert(at + 1, rest)

    def rate(pdf):
        first(pdf, Name.P, lambda e: "/ActualText" not in e).ActualText = "Practice 60% = 65"

    def button(pdf):
        drawn = first(pdf, Name.Figure, lambda e: "Right hand" in str(e.get("/Alt", "")))
        drawn.Alt = str(drawn.Alt).replace("button 3:", "button 33:")

    good = True
    for fault in [heading, figure, unheld, twice, cell, head, parted, rate, button]:
        with pikepdf.open(path) as pdf, tempfile.NamedTemporaryFile(suffix=".pdf") as copy:
            fault(pdf)
            pdf.save(copy.name)
            found = faults(copy.name, known)
        print(f"planted {fault.__name__}: {'found: ' + found[0] if found else 'NOT FOUND'}")
        good &= bool(found)
    return good


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("boxes", type=pathlib.Path)
    parser.add_argument("files", nargs="+")
    parser.add_argument("--plant", action="store_true")
    arguments = parser.parse_args()
    known = {path.stem: list(buttons(path)) for path in sorted(arguments.boxes.glob("*.yaml"))}
    if arguments.plant:
        return 0 if all([plant(path, known) for path in arguments.files]) else 1
    good = True
    for path in arguments.files:
        found = faults(path, known)
        print(f"{path}: {len(found)} faults")
        for fault in found:
            print(f"  {fault}")
        good &= not found
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
