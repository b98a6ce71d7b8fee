"""Reads finished files for reading as a voice would, and says where a listener would lose the thread.

Usage: spoken.py BOXES [--tunes FOLDER] FILE...      spoken.py BOXES [--tunes FOLDER] --plant FILE

The structure tree is walked with pikepdf and the letters are read through the fonts' own maps. Asked of every file:
  every piece of marked content belongs to one element, the one that the parent tree names, and is reached once
      (ISO 32000-1, 14.7.4.2 and 14.7.4.4);
  no heading is only numbers, and no figure is without words (ISO 14289-1, 7.4 and 7.3);
  the rows of a table have equally many columns, spans counted in; its column heads stand in its first row and nowhere else;
      no table follows another whose last row is on the page before (ISO 14289-1, 7.5; ISO 32000-1, 14.8.5.7);
  there is one contents, and no paragraph goes on from one before it on another page (14.8.4.3);
  a rate is said with its note: "crotchet = 108", never "= 108";
  labels stand before the words of their items, in order, in lists that say so; no list follows one that has not ended
      (14.8.4.3.3 and table 347);
  no figure says what the words beside it say; the words in a drawing are not heard by themselves;
  a bar that is come to from elsewhere says which way the bellows go (what ought to be, no source);
  a link says the title that it leads to (ISO 14289-1, 7.18.5), and no entry begins with its page;
  the tunes of a chapter stand under it in the contents (14.8.4.3.3); rows of chords have heads;
  folios and running heads are footers and headers (ISO 14289-1, 7.8);
  every slur of the tunes in FOLDER is said where it begins and where it ends, counted in their ABC;
  the drawings of a box say all buttons of one of the box files in BOXES, and no other, worked out here from the file itself.
With --plant a faulty copy of FILE is made for each of these, and the check that is meant must find it (spoken_plants.py).
"""

import argparse
import collections
import pathlib
import re
import sys

import pikepdf
import yaml

from spoken_file import File

NOTES = re.compile(r"([A-G])([#b]?)(-?\d)")


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
        for found in re.finditer(r"([\w/]*)\s*= \d+", element.said()):
            # A length that no note has is said as a fraction.
            if not re.search(r"[^\W\d_]|\d/\d", found[1]):
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


MARKS = {"/Disc": "\u2022", "/Decimal": "{}."}


def lists(file):
    for element in file.all():
        if element.kind != "L":
            continue
        items = [kid for kid in element.kids if kid.kind == "LI"]
        labels = [item.kids[0].words.strip() if item.kids and item.kids[0].kind == "Lbl" else None for item in items]
        mark = MARKS.get(str(element.attributes.get("/ListNumbering", "")))
        where = f"{element.where()}: the list"
        if None in labels and set(labels) != {None}:
            yield f"{where} has items with labels and items without"
        if mark and None not in labels and labels:
            first = int(re.sub(r"\D", "", labels[0]) or 1)
            for nth, label in enumerate(labels, first):
                if label != mark.format(nth):
                    yield f"{where} has {label!r} for {mark.format(nth)!r}"
        words = [" ".join(item.plain().split()) for item in items]
        for said in words:
            if "\u2022" in said:
                yield f"{where}: a bullet is heard in {said[:50]!r}"
        if None in labels and len(words) > 1 and all(f" {nth}. " in f"{said} " for nth, said in enumerate(words, 1)):
            yield f"{where}: its numbers are heard in the middle: {words[0][:50]!r}"
    for siblings in [file.tops] + [element.kids for element in file.all()]:
        for one, other in zip(siblings, siblings[1:]):
            if one.kind == other.kind == "L" and one.attributes == other.attributes and "/Decimal" not in map(
                str, one.attributes.values()
            ):
                yield f"{other.where()}: a list follows a list that has not ended"


def twice(file):
    for element in file.all():
        kids = [kid for kid in element.kids for kid in ([kid] if kid.kind not in ("Lbl", "LBody") else kid.kids)]
        for one, other in [*zip(kids, kids[1:]), *zip(kids[1:], kids)]:
            if one.kind == "Figure" and (one.alt or "").strip() == " ".join(other.said().split()) != "":
                yield f"{one.where()}: {one.alt[:50]!r} is heard twice"


PRESSED = re.compile(r", (?:inner|outer|half|button) \d")
LEADS = {"repeat begins", "segno", "coda"}


def directions(file):
    for element in file.all():
        alt = (element.alt or "").replace("\u00a0", " ")
        if not re.search(r", (?:push|pull),", alt):
            continue
        before = ""
        for bar in re.split(r"(?<=\.) (?=Bars? |Measures? |The second half)", alt):
            name, _, rest = bar.partition(": ")
            phrases = [phrase for phrase in rest.split("; ") if not phrase.startswith("left hand")]
            pressed = next((nth for nth, phrase in enumerate(phrases) if PRESSED.search(phrase)), None)
            led = "ending" in name or "repeat ends" in before or LEADS & set(phrases)
            if pressed is not None and led:
                if not any(re.search(r", (?:push|pull)", phrase) for phrase in phrases[: pressed + 1]):
                    yield f"{element.where()}: which way the bellows go is not said: {bar[:60]!r}"
            before = bar


def links(file):
    names = file.pdf.Root.get("/Names", {})
    places = pikepdf.NameTree(names.Dests) if "/Dests" in names else {}
    for number, page in enumerate(file.pdf.pages):
        for link in page.get("/Annots", []):
            if "/Dest" not in link:
                continue
            label = file.pdf.pages[file.number(places[str(link.Dest)][0])].label
            said = str(link.get("/Contents", ""))
            if not re.fullmatch(rf".*\w.*, \w+ {re.escape(label)}", said):
                yield f"page {number + 1}: a link to page {label} says {said!r}"


def outline(file):
    """The titles of the outline, each with those under it."""
    with file.pdf.open_outline() as outline:
        return [(item.title, [kid.title for kid in item.children]) for item in outline.root]


def nested(file):
    tops = outline(file)
    inner = {title for _, titles in tops for title in titles} - {title for title, _ in tops}
    for contents in (element for element in file.tops if element.kind == "TOC"):
        for entry in contents.kids:
            title = re.sub(r"\s+\S+$", "", " ".join(entry.said().split()))
            if entry.kind == "TOCI" and title in inner:
                yield f"{entry.where()}: {title!r} stands beside its chapter in the contents"


def running(file):
    title = str(file.pdf.docinfo.get("/Title", ""))
    heads = {title, re.sub(r" \([^()]*\)$", "", title)} | {title for title, _ in outline(file)}
    for number, page in enumerate(file.pdf.pages):
        of = collections.Counter(kind for kind, _ in file.asides(number))
        for kind, said in file.asides(number):
            words = " ".join(said.split())
            if words == page.label and kind != "/Footer":
                yield f"page {number + 1}: its number is no footer"
            if words in heads - {"", page.label} and kind != "/Header":
                yield f"page {number + 1}: its running head is no header"
        if of["/Footer"] > 1 or of["/Header"] > 1:
            yield f"page {number + 1}: there are {dict(of)}"
    if len(file.pdf.pages) > 4 and not any(kind == "/Footer" for n in range(len(file.pdf.pages)) for kind, _ in file.asides(n)):
        yield "no page has a footer"


def pieces(file):
    for element in file.all():
        words = " ".join(element.said().split())
        if element.kind == "P" and words and set(words.split()) <= {"push", "pull", "-", "\u2013"}:
            yield f"{element.where()}: {words!r} is heard by itself"
        if element.kind == "P" and re.search(r"\bchin\W*[\d\s]+lap\b", words):
            yield f"{element.where()}: the letters of a drawing are heard: {words!r}"
        if element.kind == "Link" and re.match(r"\d+ \D", words) and not re.search(r"[\divxlc]$", words):
            yield f"{element.where()}: an entry begins with its page: {words[:40]!r}"
        if element.kind == "Table":
            rows = [row.kids for row in element.kids if row.kind == "TR" and row.kids]
            if rows and [cell.words.strip() for cell in rows[0]] == ["chord", "push", "pull"]:
                for row in rows[1:]:
                    if (row[0].kind, scope(row[0])) != ("TH", "/Row"):
                        yield f"{element.where()}: {row[0].words!r} is not the head of its row"


def slur_counts(folder):
    """By title, how many slurs the tunes of a folder have: opening brackets in their ABC that begin no tuplet."""
    counts = {}
    for path in sorted(folder.glob("*.yaml")):
        tune = yaml.safe_load(path.read_text())
        lines = [line for line in str(tune.get("music", "")).splitlines() if not re.match(r"\s*[A-Za-z%]:|\s*%", line)]
        music = re.sub(r"\"[^\"]*\"|!([^!]*)!|%.*", "", "\n".join(lines))
        if "title" in tune:
            counts[tune["title"]] = len(re.findall(r"\((?!\d)", music))
    return counts


def slurs(file, counts):
    title, said, seen = None, collections.defaultdict(collections.Counter), []
    for element in file.all():
        if re.fullmatch(r"H\d?", element.kind):
            title = " ".join(element.words.split()) if element.kind == "H2" else title
            seen.append(title)
        for words in ("slur begins", "slur ends", "slurred"):
            said[title][words] += (element.alt or "").count(words)
    for title in counts.keys() & set(seen):
        begun, ended = (said[title][words] + said[title]["slurred"] for words in ("slur begins", "slur ends"))
        if (begun, ended) != (counts[title], counts[title]):
            yield f"{title}: of {counts[title]} slurs, {begun} begin and {ended} end"


CHECKS = [ownership, headings, tables, paragraphs, rates, lists, twice, directions, links, nested, running, pieces]


def faults(path, known, counts):
    file = File(path)
    return [fault for check in CHECKS for fault in check(file)] + list(box(file, known)) + list(slurs(file, counts))


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("boxes", type=pathlib.Path)
    parser.add_argument("files", nargs="+")
    parser.add_argument("--plant", action="store_true")
    parser.add_argument("--tunes", type=pathlib.Path)
    arguments = parser.parse_args()
    counts = slur_counts(arguments.tunes) if arguments.tunes else {}
    known = {path.stem: list(buttons(path)) for path in sorted(arguments.boxes.glob("*.yaml"))}
    if arguments.plant:
        import spoken_plants

        return 0 if all([spoken_plants.plant(path, known, counts) for path in arguments.files]) else 1
    good = True
    for path in arguments.files:
        found = faults(path, known, counts)
        print(f"{path}: {len(found)} faults")
        for fault in found:
            print(f"  {fault}")
        good &= not found
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
