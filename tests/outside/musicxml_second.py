"""Compares what `bring FILE --part P --voice V --json` reads of MusicXML files with partitura, a second outside reader of
MusicXML 4.0 (W3C Music Notation Community Group, 2021), note by note: onsets, durations, pitches.

The files are two kinds: scores of the general toolkit's own corpus, read from the installed package and never copied, and tunes
of its ABC corpus that the toolkit itself writes as MusicXML. Of each file two voices are compared where it has so many:
the one with the most notes, and another voice of its part or another part, chosen by name. Grace notes have no time and are left out; notes tied
together are one note, since both readers may cut a note where no one value draws it. Every difference is a failure but for the
files in EXPLAINED.

    python musicxml_second.py [--command "target/release/boxwright bring --json"] [--files 300] [--show 5]

Exit status 0 if at least so many files were compared and all agree, 1 if not.
"""

import argparse
import collections
import fractions
import glob
import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import warnings
import xml.etree.ElementTree
import zipfile

import music21
import partitura

CORPUS = os.path.join(os.path.dirname(music21.__file__), "corpus")
ABC = ["oneills1850", "ryansMammoth", "airdsAirs", "miscFolk"]
Fraction = fractions.Fraction
UNIT = 960

# File, part and voice that differ for a reason.
EXPLAINED = {}


def tree(path):
    """The root element of a score, plain or packed."""
    if zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as package:
            names = [n for n in package.namelist() if not n.startswith("META-INF") and n.endswith((".xml", ".musicxml"))]
            return xml.etree.ElementTree.fromstring(package.read(names[0]))
    return xml.etree.ElementTree.parse(path).getroot()


def choices(path):
    """Up to two pairs of part id and voice with the most notes, each voice on one staff and with plain pitches only."""
    root = tree(path)
    if root.tag != "score-partwise":
        return []
    counts = collections.Counter()
    staves, odd = collections.defaultdict(set), set()
    for part in root.findall("part"):
        for note in part.findall("measure/note"):
            key = (part.get("id"), note.findtext("voice", "1"))
            staves[key].add(note.findtext("staff", "1"))
            if note.find("cue") is not None or note.find("unpitched") is not None or "." in note.findtext("pitch/alter", "0"):
                odd.add(key)
            if note.find("pitch") is not None and note.find("grace") is None:
                counts[key] += 1
    good = [key for key, _ in counts.most_common() if len(staves[key]) == 1 and key not in odd]
    beside = [key for key in good[1:] if key[0] == good[0][0]] + [key for key in good[1:] if key[0] != good[0][0]]
    return good[:1] + beside[:1]


def near(value):
    return round(value * UNIT)


def merged(notes):
    """Notes as (onset, end, key, tied on), sorted; those tied to an equal pitch that begins where they end made one."""
    out = []
    waiting = {}
    for onset, end, key, tied in sorted(notes):
        place = waiting.pop((onset, key), None)
        if place is None:
            out.append([onset, end, key])
            place = len(out) - 1
        else:
            out[place][1] = end
        if tied:
            waiting[(end, key)] = place
    return sorted(tuple(note) for note in out)


def ours(tune):
    notes = []
    for bar in tune["bars"]:
        for event in bar["events"]:
            if event.get("grace"):
                continue
            onset = Fraction(event["onset"])
            end = onset + Fraction(event["duration"])
            notes += [(near(onset), near(end), key, bool(event.get("tie"))) for key in set(event.get("midi", ()))]
    return merged(notes)


def theirs(score, part_id, voice):
    """The second reader's notes of one voice; quarters into whole notes, from the beginning of the score."""
    part = next(part for part in score.parts if part.id == part_id)
    quarter = part.quarter_map
    zero = quarter(part.first_point.t)
    notes = []
    for note in part.iter_all(partitura.score.Note, include_subclasses=False):
        if str(note.voice) == voice:
            onset, end = ((float(quarter(point.t)) - zero) / 4 for point in (note.start, note.end))
            notes.append((near(onset), near(end), note.midi_pitch, note.tie_next is not None))
    return merged(set(notes))


def compare(job):
    path, read = job
    warnings.simplefilter("ignore")
    try:
        score = partitura.load_musicxml(path)
        yours = [theirs(score, part, voice) for (part, voice), _ in read]
    except Exception as error:  # the outside reader may fail in any way
        return [("skip", f"the outside reader fails: {type(error).__name__} {error}")]
    out = []
    for ((part, voice), tune), other in zip(read, yours):
        mine = ours(tune)
        if mine == other:
            out.append(("same", ""))
            continue
        nth = next((n for n, (a, b) in enumerate(zip(mine, other)) if a != b), min(len(mine), len(other)))
        why = f"{part} voice {voice}, {len(mine)} notes and {len(other)}: ours {mine[nth:nth + 3]} theirs {other[nth:nth + 3]}"
        out.append(("differs", why))
    return out


def written(folder, most):
    """Tunes of the ABC corpus as the toolkit writes them, every so many-th file's first tunes."""
    paths = []
    books = [f for name in ABC for f in sorted(glob.glob(os.path.join(CORPUS, name, "**", "*.abc"), recursive=True))]
    for path in books[:: max(1, len(books) // (most + 20))]:
        if len(paths) >= most:
            break
        try:
            score = music21.converter.parse(path, forceSource=True)
            first = score.scores[0] if isinstance(score, music21.stream.Opus) else score
            name = os.path.join(folder, f"{len(paths):03}.musicxml")
            first.write("musicxml", fp=name)
        except Exception:  # the toolkit may fail in any way on a text that it can't read
            continue
        paths.append(name)
    return paths


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--command", default="target/release/boxwright bring --json")
    arguments.add_argument("--files", type=int, default=300)
    arguments.add_argument("--show", type=int, default=5)
    arguments.add_argument("--jobs", type=int, default=2)
    options = arguments.parse_args()
    warnings.simplefilter("ignore")
    with tempfile.TemporaryDirectory() as folder:
        paths = written(folder, options.files // 3)
        converted = len(paths)
        corpus = []
        for kind in ("xml", "mxl", "musicxml"):
            corpus += glob.glob(os.path.join(CORPUS, "**", f"*.{kind}"), recursive=True)
        jobs = []
        for path in paths + sorted(corpus):
            if len(jobs) >= options.files:
                break
            read = []
            for part, voice in choices(path):
                command = [*options.command.split(), "--part", part, "--voice", voice, path]
                done = subprocess.run(command, capture_output=True, text=True, check=False)
                tunes = json.loads(done.stdout or "[]")
                if len(tunes) != 1:
                    print(f"{os.path.relpath(path, CORPUS)}: {len(tunes)} tunes read, 1 wanted: {done.stderr[:200]}")
                    return 1
                read.append(((part, voice), tunes[0]))
            if read:
                jobs.append((path, read))
        with multiprocessing.Pool(options.jobs) as pool:
            results = pool.map(compare, jobs, chunksize=5)
    names = [os.path.relpath(path, CORPUS) if path.startswith(CORPUS) else os.path.basename(path) for path, _ in jobs]
    counts = collections.Counter(how for result in results for how, _ in result)
    print(f"{len(jobs)} files ({converted} converted), {counts['same']} voices agree, {counts['skip']} files not read by the other")
    bad = []
    for name, result in zip(names, results):
        for how, why in result:
            if how == "skip":
                print(f"    {name}: {why[:160]}")
            elif how == "differs" and name in EXPLAINED:
                print(f"    {name}: {EXPLAINED[name]}")
            elif how == "differs":
                bad.append(f"    {name}: {why}")
    print(f"{len(bad)} voices differ")
    for line in bad[: options.show]:
        print(line)
    return 1 if bad or len(jobs) - counts["skip"] < options.files * 0.95 else 0


if __name__ == "__main__":
    sys.exit(main())
