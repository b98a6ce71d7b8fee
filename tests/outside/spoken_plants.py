"""Faults planted in copies of a finished file, one for each rule of spoken.py, which must find it."""

import tempfile

import pikepdf

import spoken
from spoken_file import File

Name = pikepdf.Name


def elements(pdf, kind):
    return (e for e in pdf.objects if isinstance(e, pikepdf.Dictionary) and e.get("/S") == kind)


def first(pdf, kind, also=lambda element: True):
    return next(element for element in elements(pdf, kind) if also(element))


def kinds(element):
    return [kid.get("/S") for kid in element.get("/K", []) if isinstance(kid, pikepdf.Dictionary)]


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


def numbers(element):
    return str(element.A.get("/ListNumbering")) if "/A" in element else ""


def marker(pdf):
    """The bullet after the words, as it once was."""
    item = first(pdf, Name.LI, lambda e: kinds(e) == [Name.Lbl, Name.LBody] and numbers(e.P) == "/Disc")
    label, body = item.K
    body.K.append(label.K[0])
    parents = pdf.Root.StructTreeRoot.ParentTree.Nums
    page = next(parents[n + 1] for n in range(0, len(parents), 2) if label.objgen in [k.objgen for k in parents[n + 1]])
    page[[kid.objgen for kid in page].index(label.objgen)] = body
    item.K = pikepdf.Array([body])


def order(pdf):
    numbered = first(pdf, Name.L, lambda e: numbers(e) == "/Decimal")
    numbered.K = pikepdf.Array([*list(numbered.K)[1:], numbered.K[0]])


def unlabelled(pdf):
    item = first(pdf, Name.LI, lambda e: kinds(e) == [Name.Lbl, Name.LBody] and numbers(e.P) == "/None")
    item.K = pikepdf.Array([item.K[1]])


def ended(pdf):
    whole = first(pdf, Name.L, lambda e: len(e.K) > 5 and numbers(e) == "/None")
    rest = pdf.make_indirect(pikepdf.Dictionary(S=Name.L, P=whole.P, A=whole.A, K=pikepdf.Array(list(whole.K)[3:])))
    whole.K = pikepdf.Array(list(whole.K)[:3])
    at = next(nth for nth, top in enumerate(whole.P.K) if top.objgen == whole.objgen)
    whole.P.K.insert(at + 1, rest)


def again(pdf):
    """A sign of the key with the words of its sentence."""
    body = first(pdf, Name.LBody, lambda e: kinds(e) == [Name.P])
    words = next(element.said() for element in File(pdf.filename).all() if element.key == body.K[0].objgen)
    sign = pikepdf.Dictionary(S=Name.Figure, P=body, Alt=" ".join(words.split()), K=pikepdf.Array([]))
    body.K.insert(0, pdf.make_indirect(sign))


def direction(pdf):
    line = first(pdf, Name.Figure, lambda e: "repeat begins" in str(e.get("/Alt", "")))
    before, after = str(line.Alt).split("repeat begins", 1)
    for way in ("push", "pull"):
        after = after.replace(f", {way}, ", ", ")
    line.Alt = f"{before}repeat begins{after}"
    line.Alt = str(line.Alt) + " Bar 99: G quaver, push, outer 5."


def link(pdf):
    page = next(page for page in pdf.pages if any("/Dest" in link for link in page.get("/Annots", [])))
    link = next(link for link in page.Annots if "/Dest" in link)
    link.Contents = "12"


def flat(pdf):
    inner = first(pdf, Name.TOC, lambda e: e.P.get("/S") == Name.TOC)
    at = next(nth for nth, kid in enumerate(inner.P.K) if kid.objgen == inner.objgen)
    inner.P.K = pikepdf.Array([*list(inner.P.K)[:at], *inner.K, *list(inner.P.K)[at + 1:]])


def folio(pdf):
    """A footer that does not say that it is one."""
    for page in pdf.pages:
        content = page.Contents.read_bytes()
        if b"/Subtype/Footer" in content:
            page.Contents = pdf.make_stream(content.replace(b"<</Type/Pagination/Subtype/Footer>>", b"<</Type/Layout>>"))
            return


def alone(pdf):
    first(pdf, Name.P, lambda e: "/ActualText" not in e).ActualText = "push"


def letters(pdf):
    first(pdf, Name.P, lambda e: "/ActualText" not in e).ActualText = "inner row chin 1 2 3 4 lap 1.1"


def page_first(pdf):
    first(pdf, Name.Link, lambda e: e.P.get("/S") == Name.LBody).ActualText = "2 Breathing Out bellows"


def row_head(pdf):
    row = first(pdf, Name.TR, lambda e: e.K[0].S == Name.TH and str(e.K[0].A.Scope) == "/Row" and len(e.K) == 3)
    row.K[0].S = Name.TD


def slur(pdf):
    line = first(pdf, Name.Figure, lambda e: "slur begins" in str(e.get("/Alt", "")))
    line.Alt = str(line.Alt).replace("slur begins; ", "", 1)


PLANTS = [
    (heading, spoken.headings),
    (figure, spoken.headings),
    (unheld, spoken.ownership),
    (twice, spoken.ownership),
    (cell, spoken.tables),
    (head, spoken.tables),
    (parted, spoken.tables),
    (rate, spoken.rates),
    (marker, spoken.lists),
    (order, spoken.lists),
    (unlabelled, spoken.lists),
    (ended, spoken.lists),
    (again, spoken.twice),
    (direction, spoken.directions),
    (link, spoken.links),
    (flat, spoken.nested),
    (folio, spoken.running),
    (alone, spoken.pieces),
    (letters, spoken.pieces),
    (page_first, spoken.pieces),
    (row_head, spoken.pieces),
]


def plant(path, known, counts):
    """Breaks a copy in one way after the other; every fault must be found by the check that is meant."""
    checks = [*PLANTS, (button, lambda file: spoken.box(file, known))]
    if counts:
        # The file is of tunes alone, made for what is counted.
        checks = [(slur, lambda file: spoken.slurs(file, counts))]
    good = True
    for fault, check in checks:
        with pikepdf.open(path) as pdf, tempfile.NamedTemporaryFile(suffix=".pdf") as copy:
            fault(pdf)
            pdf.save(copy.name)
            found = list(check(File(copy.name)))
        print(f"planted {fault.__name__}: {'found: ' + found[0] if found else 'NOT FOUND'}")
        good &= bool(found)
    return good
