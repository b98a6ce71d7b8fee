"""Compares what `bring FILE --json` reads of MusicXML files with a general computer-musicology toolkit, event by event.

The files are the toolkit's own corpus, read from the installed package and never copied. `bring` reads one part and one
voice; compared are the files whose chosen part has one voice on one staff, since of those both give every note: onsets,
durations, pitches, graces, rests. Every difference is a failure but for the files in EXPLAINED.

    python musicxml_corpus.py [--command "target/release/boxwright bring --json"] [--most 300] [--show 5]

Exit status 0 if nearly as many files as asked for were compared and all of them agree, 1 if not.
"""

import argparse
import fractions
import glob
import json
import multiprocessing
import os
import subprocess
import sys
import warnings
import xml.etree.ElementTree
import zipfile

import music21

CORPUS = os.path.join(os.path.dirname(music21.__file__), "corpus")
Fraction = fractions.Fraction

# Files that differ for a reason: name and reason.
EXPLAINED = {}


def tree(path):
    """The root element of a score, plain or packed."""
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as package:
            names = [n for n in package.namelist() if not n.startswith("META-INF") and n.endswith((".xml", ".musicxml"))]
            return xml.etree.ElementTree.fromstring(package.read(names[0]))
    return xml.etree.ElementTree.parse(path).getroot()


def plain_part(path):
    """The index of the part with the most notes if it has one voice on one staff, else None."""
    root = tree(path)
    if root.tag != "score-partwise":
        return None
    parts = root.findall("part")
    counts = [len(part.findall("measure/note/pitch")) for part in parts]
    if not counts or max(counts) == 0:
        return None
    best = counts.index(max(counts))
    notes = parts[best].findall("measure/note")
    voices = {note.findtext("voice", "1") for note in notes}
    staves = {note.findtext("staff", "1") for note in notes}
    odd = any(note.find("cue") is not None or note.find("unpitched") is not None for note in notes)
    fractional = any("." in note.findtext("pitch/alter", "0").replace(".0", "") for note in notes)
    return best if len(voices) == 1 and staves == {"1"} and not odd and not fractional else None


def exact(value):
    return Fraction(value).limit_denominator(5000)


def theirs(path, index):
    """The toolkit's events of one part: onset, duration, keys, grace, bar after bar."""
    score = music21.converter.parse(path, forceSource=True)
    if isinstance(score, music21.stream.Opus):
        return None
    part = score.parts[index]
    out = []
    start = Fraction(0)
    for measure in part.getElementsByClass(music21.stream.Measure):
        for element in measure.flatten().notesAndRests:
            if isinstance(element, music21.harmony.Harmony):
                continue
            grace = element.duration.isGrace
            keys = () if element.isRest else tuple(sorted(round(pitch.ps) for pitch in element.pitches))
            onset = start + exact(element.offset) / 4
            out.append((onset, Fraction(0) if grace else exact(element.duration.quarterLength) / 4, keys, grace))
        start = start + exact(measure.duration.quarterLength) / 4
    return tidy(out)


def ours(tune):
    """Our events; pieces of notes that no one value draws stay apart on both sides only if tied in the file."""
    out = []
    for bar in tune["bars"]:
        for event in bar["events"]:
            grace = event.get("grace", False)
            length = Fraction(0) if grace else Fraction(event["duration"])
            out.append((Fraction(event["onset"]), length, tuple(sorted(event.get("midi", ()))), grace))
    return tidy(out)


def tidy(events):
    """Rests left out (gaps say the same), onsets and durations to a 960th."""
    unit = 960

    def near(value):
        return round(value * unit)

    return [(near(onset), near(length), keys, grace) for onset, length, keys, grace in events if keys]


def compare(job):
    path, index, tune = job
    warnings.simplefilter("ignore")
    try:
        yours = theirs(path, index)
    except Exception as error:  # the toolkit may fail in any way
        return "skip", f"the toolkit fails: {type(error).__name__} {error}"
    if yours is None:
        return "skip", "a list of scores"
    mine = ours(tune)
    if mine == yours:
        return "same", ""
    for nth, (a, b) in enumerate(zip(mine, yours)):
        if a != b:
            return "differs", f"event {nth}: ours {mine[nth:nth + 3]} theirs {yours[nth:nth + 3]}"
    return "differs", f"ours has {len(mine)} events, theirs {len(yours)}"


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--command", default="target/release/boxwright bring --json")
    arguments.add_argument("--most", type=int, default=300)
    arguments.add_argument("--show", type=int, default=5)
    arguments.add_argument("--jobs", type=int, default=2)
    options = arguments.parse_args()
    files = []
    for kind in ("xml", "mxl", "musicxml"):
        files += glob.glob(os.path.join(CORPUS, "**", f"*.{kind}"), recursive=True)
    jobs = []
    for path in sorted(files):
        index = plain_part(path)
        if index is None or len(jobs) >= options.most:
            continue
        done = subprocess.run([*options.command.split(), path], capture_output=True, text=True, check=False)
        tunes = json.loads(done.stdout or "[]")
        if len(tunes) != 1:
            print(f"{os.path.relpath(path, CORPUS)}: {len(tunes)} tunes read, 1 wanted: {done.stderr[:200]}")
            return 1
        jobs.append((path, index, tunes[0]))
    with multiprocessing.Pool(options.jobs) as pool:
        results = pool.map(compare, jobs, chunksize=5)
    names = [os.path.relpath(path, CORPUS) for path, _, _ in jobs]
    bad = [(n, why) for n, (how, why) in zip(names, results) if how == "differs" and n not in EXPLAINED]
    for how in ("same", "skip"):
        print(f"{sum(r[0] == how for r in results):5} {how}")
    for name, (how, why) in zip(names, results):
        if how == "skip":
            print(f"    {name}: {why}")
        elif how == "differs" and name in EXPLAINED:
            print(f"    {name}: {EXPLAINED[name]}")
    print(f"{len(bad):5} differ")
    for name, why in bad[: options.show]:
        print(f"    {name}: {why}")
    # The corpus that comes with the toolkit gave 300 of 300 when this was written.
    compared = sum(how != "skip" for how, _ in results)
    print(f"{compared:5} of {options.most} compared")
    return 1 if bad or compared < options.most * 0.95 else 0


if __name__ == "__main__":
    sys.exit(main())
