"""Opens proof pages in a headless Chromium and looks at what a reader gets: keys, contents, complaints, names, print, ink.

The browser is Debian's; print is read with pdfinfo and pdftoppm (poppler), which also compare every printed page of the proof
with the same page of the bound PDF: the two are drawn from the same frames by writers that share no code.

Usage: proof_page.py BOXWRIGHT OUT-FOLDER
"""

import html
import json
import re
import shutil
import subprocess
import sys
import tempfile
from html.parser import HTMLParser
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BIN, OUT = Path(sys.argv[1]).resolve(), (Path(sys.argv[2]) / "proof").resolve()
DPI = 80
faults = []


def command(*arguments, timeout=120, allowed=(0,)):
    done = subprocess.run([str(a) for a in arguments], capture_output=True, text=True, timeout=timeout)
    if done.returncode not in allowed:
        sys.exit(f"{arguments[0]} {arguments[1:]} ended with {done.returncode}\n{done.stderr[-2000:]}")
    return done.stdout


def chromium(page, *arguments):
    """A fresh, mute browser without a net: every name fails to resolve."""
    with tempfile.TemporaryDirectory() as profile:
        return command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
                       "--disable-background-networking", "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={profile}",
                       "--window-size=1400,950", "--virtual-time-budget=20000", *arguments, f"file://{page}", timeout=300)


# Presses keys in the page and reports; appended to a copy of the proof, whose own policy allows it.
PROBE = """<script>
(async () => {
  const pages = [...document.querySelectorAll(".page")], report = {};
  const frame = () => new Promise(done => setTimeout(done, 60));
  const press = async key => { dispatchEvent(new KeyboardEvent("keydown", { key, cancelable: true })); await frame(); };
  const shown = () => [pages.findIndex(page => page.classList.contains("here")),
    pages.findIndex(page => { const box = page.getBoundingClientRect(); return box.top <= 475 && box.bottom >= 475; })];
  report.pages = pages.length;
  report.start = shown();
  await press("End"); report.end = shown();
  await press("ArrowRight"); report.beyond = shown();
  await press("ArrowLeft"); report.back = shown();
  await press("Home"); report.home = shown();
  await press("ArrowRight"); report.right = shown();
  report.focus = document.activeElement.id;
  report.where = document.getElementById("where").textContent;
  await press("n"); report.note = document.querySelectorAll(".note[open]").length;
  report.notes = document.querySelectorAll(".note").length;
  const links = [...document.querySelectorAll("nav a")];
  links[links.length - 1].click(); await frame();
  report.last = [shown(), Number(links[links.length - 1].hash.slice(6)) - 1];
  await press("f"); report.facing = document.getElementById("pages").classList.contains("facing");
  const left = page => page.getBoundingClientRect().left;
  const rectos = pages.filter(page => page.classList.contains("recto")), versos = pages.filter(page => page.classList.contains("verso"));
  report.leaves = rectos.every(page => left(page) > left(versos[0] ?? page) || !versos.length);
  report.fetched = performance.getEntriesByType("resource").map(entry => entry.name);
  report.missing = [...document.querySelectorAll("use")].filter(use => !document.getElementById(use.getAttribute("href").slice(1))).length;
  report.nameless = [...document.querySelectorAll('[role="img"], section.page, button, summary')].filter(
    one => !(one.getAttribute("aria-label") || one.textContent).trim()).length;
  report.letters = document.querySelectorAll(".page use").length;
  report.words = [...document.querySelectorAll(".page text")].map(text => text.textContent).join(" ").length;
  const out = document.createElement("pre"); out.id = "report"; out.textContent = JSON.stringify(report); document.body.append(out);
})();
</script>"""


class Balance(HTMLParser):
    """Every element that is opened is closed, in order; no id comes twice."""

    EMPTY = {"meta", "br", "img", "input", "link", "hr"}

    def __init__(self):
        super().__init__()
        self.open, self.ids, self.faults = [], set(), []

    def handle_starttag(self, tag, attributes):
        self.note(attributes)
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.note(attributes)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> at {self.getpos()}")

    def note(self, attributes):
        for name, value in attributes:
            if name == "id" and value in self.ids:
                self.faults.append(f"id {value} twice")
            if name == "id":
                self.ids.add(value)


CELL = 12  # pixels; a cell is about 4 mm, so that hinting, and bars drawn to whole pixels by one side, do not count
FAR = 60  # of 255 grey levels in one cell: the same page drawn twice stays well below 50, two different pages lie above 70


def grey_cells(pdf, folder, name):
    """Every page of a PDF as (width, height, ink of its cells), ink as grey levels from white."""
    command("pdftoppm", "-gray", "-r", DPI, pdf, folder / name)
    pages = []
    for path in sorted(folder.glob(f"{name}-*.pgm")):
        data = path.read_bytes()
        width, height = map(int, re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", data).groups())
        rows = data[-width * height:]
        cells = []
        for y in range(0, height - CELL + 1, CELL):
            band = [rows[(y + k) * width:(y + k + 1) * width] for k in range(CELL)]
            cells += [255 - sum(sum(row[x:x + CELL]) for row in band) / CELL**2 for x in range(0, width - CELL + 1, CELL)]
        pages.append((width, height, cells))
    return pages


def apart(one, other):
    """The greatest difference of a cell between two pages."""
    return max(abs(a - b) for a, b in zip(one[2], other[2]))


def check(book, broken=False):
    name = book.parent.name
    fault = lambda text: faults.append(f"{name}: {text}")
    folder = OUT / name
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    proof = folder / "proof.html"
    command(BIN, "proof", book, "-o", proof, allowed=(0, 1) if broken else (0,))
    text = proof.read_text()
    balance = Balance()
    balance.feed(text)
    for problem in balance.faults[:5] + balance.open[:5]:
        fault(problem)
    if re.search(r"<(script|link|img|iframe)[^>]+(src|href)=", text):
        fault("something would be fetched")

    probe = folder / "probe.html"
    probe.write_text(text.replace("</body>", PROBE + "</body>"))
    dom = chromium(probe, "--dump-dom")
    found = re.search(r'<pre id="report">(.*?)</pre>', dom, re.S)
    if not found:
        return fault("the page's script did not run to its end")
    report = json.loads(html.unescape(found.group(1)))
    last = report["pages"] - 1
    wanted = {"start": [0, 0], "end": [last, last], "beyond": [last, last], "back": [last - 1] * 2, "home": [0, 0], "right": [1, 1],
              "focus": "page-2", "facing": True, "leaves": True, "fetched": [], "missing": 0, "nameless": 0}
    for key, value in wanted.items():
        if report[key] != value:
            fault(f"{key}: {report[key]}, expected {value}")
    if report["last"][0] != [report["last"][1]] * 2:
        fault(f"a contents link leads to {report['last']}")
    if report["note"] != min(report["notes"], 1) or (broken and report["notes"] == 0):
        fault(f"{report['note']} of {report['notes']} notes open after the key for the next one")
    if report["letters"] < 1000 or report["words"] < 1000:
        fault(f"hardly any ink: {report['letters']} glyphs, {report['words']} letters")

    chromium(proof, f"--screenshot={folder / 'screen.png'}")
    chromium(proof, f"--print-to-pdf={folder / 'print.pdf'}", "--no-pdf-header-footer")
    bound = folder / "bound.pdf"
    compared, worst = 0, 0.0
    if not broken:
        command(BIN, "bind", book, "-o", bound)
        ours, theirs = grey_cells(folder / "print.pdf", folder, "print"), grey_cells(bound, folder, "bound")
        if len(ours) != len(theirs) or len(ours) != report["pages"]:
            fault(f"{report['pages']} pages on the screen, {len(ours)} printed, {len(theirs)} bound")
        for number, (one, other) in enumerate(zip(ours, theirs), 1):
            if abs(one[0] - other[0]) > 1 or abs(one[1] - other[1]) > 1:
                fault(f"page {number} is {one[:2]} pixels printed and {other[:2]} bound")
            compared += 1
            worst = max(worst, apart(one, other))
            if apart(one, other) > FAR:
                fault(f"page {number} is drawn otherwise than it is bound: {apart(one, other):.0f} grey levels")
        # The comparison must be able to fail: a page and its neighbour are told apart.
        told = sum(apart(one, other) > FAR for one, other in zip(ours, theirs[1:]))
        if told < 0.8 * (len(ours) - 1):
            fault(f"only {told} of {len(ours) - 1} neighbouring pages are told apart")
    elif 'class="about error"' not in text:
        fault("the error is not drawn around its bar")
    print(f"{name}: {report['pages']} pages, {report['letters']} glyphs, {report['notes']} notes, {len(text) // 1024} KiB; "
          f"{compared} pages compared with the bound file, greatest difference of a cell {worst:.0f} of 255")


OUT.mkdir(parents=True, exist_ok=True)
for path in sorted((ROOT / "books").glob("*/book.yaml")):
    check(path)
# A book with a bar too short: its page is shown all the same, with the error at its bar.
broken = OUT / "broken-source" / "broken"
shutil.rmtree(broken.parent, ignore_errors=True)
shutil.copytree(ROOT / "books/first-steps", broken)
tune = broken / "tunes/porch-step.yaml"
whole = tune.read_text()
tune.write_text(whole.replace('"C"c c e c', '"C"c c e'))
assert tune.read_text() != whole
check(broken / "book.yaml", broken=True)
for line in faults[:40]:
    print(line)
sys.exit(f"{len(faults)} faults" if faults else 0)
