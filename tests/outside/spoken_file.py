"""A finished file as spoken.py and spoken_plants.py read it: the structure tree with the letters of its marked content."""

import re

import pikepdf

Name = pikepdf.Name


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
    """What each marked-content sequence of a page says, by its number; what the artifacts say, with their subtypes."""
    fonts = {str(name): unicode_map(font) for name, font in page.Resources.Font.items()}
    said, asides, stack, font = {}, [], [], None

    def say(words):
        numbers = [entry for entry in stack if isinstance(entry, int)]
        if "silent" in stack:
            return
        if numbers:
            said[numbers[-1]] += words
        elif "artifact" in stack:
            asides[-1][1] += words

    for operands, operator in pikepdf.parse_content_stream(page):
        operator = str(operator)
        if operator == "Tf":
            font = fonts.get(str(operands[0]))
        elif operator == "BMC":
            if operands[0] == Name.Artifact:
                asides.append(["", ""])
            stack.append("artifact" if operands[0] == Name.Artifact else None)
        elif operator == "BDC":
            properties = operands[1]
            if operands[0] == Name.Artifact:
                asides.append([str(properties.get("/Subtype", "")), ""])
                stack.append("artifact")
            elif "/MCID" in properties:
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
    return said, asides


class Element:
    """An element with what it holds: kids, words, pages."""

    def __init__(self, file, entry, page):
        self.kind = str(entry.S)[1:]
        self.key = entry.objgen
        self.words, self.kids, self.pages = "", [], []
        # What it says itself, without the elements in it.
        self.own = ""
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
            self.words = self.own = str(entry.ActualText)

    def take(self, file, page, number):
        words = file.content(page).get(number, "")
        self.words += words
        self.own += words
        self.pages.append(page)
        file.owners.setdefault((page, number), []).append(self.key)

    def said(self):
        return self.words if self.alt is None else self.alt

    def plain(self):
        """What it says without the lists and labels in it."""
        kids = [kid.plain() for kid in self.kids if kid.kind not in ("L", "Lbl")]
        return self.alt if self.alt is not None else " ".join([self.own, *kids])

    def where(self):
        return f"page {self.pages[0] + 1}" if self.pages else "nowhere"

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

    def _read(self, page):
        if page not in self.read:
            self.read[page] = contents(self.pdf.pages[page])
        return self.read[page]

    def content(self, page):
        return self._read(page)[0]

    def asides(self, page):
        return self._read(page)[1]

    def all(self):
        for top in self.tops:
            yield from top.all()
