"""Reads practice files back with mido and compares them with the tunes as `bring --json` and `plan --json` give them.

Source of the format: Standard MIDI Files 1.0, read by mido (PyPI), which has nothing in common with our writer. The played
order is that of `played_bars`, which has checks of its own; everything else (time, ties, clicks, left-hand keys) is worked out
here anew. Program 22 (accordion, 21 counted from 0) and the wood blocks 76 and 77 are General MIDI 1, from memory.

Usage: midi_back.py BOXWRIGHT OUT-FOLDER
"""

import json
import re
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import mido
import yaml

ROOT = Path(__file__).resolve().parents[2]
BIN, OUT = Path(sys.argv[1]).resolve(), Path(sys.argv[2]) / "midi"
LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
faults, seen = [], {"files": 0, "notes": 0, "graces": 0, "left out": 0, "left": 0, "turns": 0, "clicks": 0}

# A book of the hard cases: pick-up, ties over barlines and into a repeat, endings, graces, triplets, a change of tempo.
HARD = {
    "pick-up": "M:3/4\nL:1/8\nQ:1/4=96\nK:D\n|: F2 | A2 d2 f2 | e3 d c2 | d4- d2- | d4 :|\n",
    "endings": "M:4/4\nL:1/4\nQ:1/4=100\nK:G\n|: G A B c |1 d2 B2- :|2 B2 G2 | (3ABc d2 |]\n",
    "graces": "M:6/8\nL:1/8\nQ:3/8=70\nK:G\nGAB {c}d2 B | {AB}A3- {c}A2 z | G6 |\n",
    "tempo": "M:2/4\nL:1/8\nQ:1/4=80\nK:D\nDEFG |[Q:1/4=120] A2 FA | d4 |\n",
}


def run(*arguments):
    done = subprocess.run([str(BIN), *map(str, arguments)], capture_output=True, text=True, timeout=60)
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, arguments))} ended with {done.returncode}\n{done.stderr}")
    return done.stdout


def write_hard_book(folder):
    (folder / "tunes").mkdir(parents=True, exist_ok=True)
    for name, music in HARD.items():
        text = {"title": name.title(), "id": name, "composer": "R. Quill", "rights": "CC0", "music": music, "practice": ["50%", "100%"]}
        (folder / f"tunes/{name}.yaml").write_text(yaml.safe_dump(text, sort_keys=False))
    book = {"book": 1, "id": "hard-cases", "title": "Hard cases", "author": "R. Quill", "date": "2026-01-01", "impression": 1,
            "language": "en-GB", "box": "dg-21-third", "chapters": [{"title": "All", "tunes": [f"tunes/{n}.yaml" for n in HARD]}]}
    (folder / "book.yaml").write_text(yaml.safe_dump(book, sort_keys=False))
    return folder / "book.yaml"


def brought(tune, folder):
    """The tune's ABC as `bring --json` understands it."""
    abc = folder / (tune["id"] + ".abc")
    abc.write_text(f"X:1\nT:{tune['title']}\n{tune['music']}")
    return json.loads(run("bring", abc, "--json"))[0]


def tones(track, at_zero=True):
    """[(start tick, end tick, key)], and the programs of a track."""
    at, down, found, programs = 0, {}, [], set()
    for message in track:
        at += message.time
        if message.type == "program_change":
            programs.add(message.program)
        if message.type == "note_on" and message.velocity > 0:
            if message.note in down:
                faults.append(f"{track.name}: key {message.note} is struck while it is down")
            down[message.note] = at
        elif message.type in ("note_on", "note_off"):
            found.append((down.pop(message.note), at, message.note))
    if down:
        faults.append(f"{track.name}: keys stay down: {down}")
    return sorted(found), programs


def expected_melody(tune, per_whole, left_out):
    """Heads in played order, ties joined: [(onset, end, key)] in ticks from the first bar; and graces as (before tick, key).

    `left_out` are the addresses of the graces that the plan says are not played, such as `1.4g1`.
    """
    bars = {bar["bar"]: bar for bar in tune["bars"]}
    at, heads, graces, open_ties, starts = Fraction(0), [], [], {}, []
    for label in tune["played_bars"]:
        bar = bars[label]
        starts.append((at, label))
        head_number, grace_number = 1, 0
        for event in bar["events"]:
            onset = at + Fraction(event["onset"]) - Fraction(bar["onset"])
            if event.get("grace"):
                grace_number += 1
                if f"{label}.{head_number}g{grace_number}" not in left_out:
                    graces += [(onset, key) for key in event["midi"]]
                    open_ties = {}
                continue
            head_number, grace_number = head_number + bool(event.get("midi")), 0
            end = onset + Fraction(event["duration"])
            now = {}
            for key in event.get("midi", []):
                if key in open_ties and open_ties[key][1] == onset:
                    head = open_ties[key]
                    head[1] = end
                else:
                    head = [onset, end, key]
                    heads.append(head)
                if event["tie"]:
                    now[key] = head
            open_ties = now
        at += Fraction(bar["length"])
    ticks = lambda time: round(time * per_whole)
    return ([(ticks(a), ticks(b), k) for a, b, k in heads], [(ticks(a), k) for a, k in graces],
            [(ticks(a), label) for a, label in starts], at)


def left_keys(kind, name):
    root = LETTERS[name[0].upper()] + {"#": 1, "b": -1}.get(name[1:2], 0)
    if kind == "bass":
        low = 36 + root % 12
        return [low, low + 12]
    third = 3 if name.endswith("m") else 4
    return [55 + (root + step - 55) % 12 for step in (0, third, 7)]


def check(name, file, tune, music, plan, step):
    fault = lambda text: faults.append(f"{name}: {text}")
    seen["files"] += 1
    conductor, melody, bass, chords, clicks = file.tracks
    if (file.type, [t.name for t in file.tracks[1:]]) != (1, ["Melody", "Bass", "Chords", "Metronome"]):
        fault(f"type {file.type}, tracks {[t.name for t in file.tracks]}")
    per_whole = 4 * file.ticks_per_beat
    silent = [c["message"] for c in plan["complaints"] if c["code"] == "grace-left-out"]
    left_out = {re.search(r"(\S+g\d+) does not sound", message).group(1) for message in silent}
    seen["left out"] += len(left_out)
    heads, graces, starts, _ = expected_melody(tune, per_whole, left_out)
    played, programs = tones(melody)
    if programs != {21}:
        fault(f"programs {programs}")

    # Where the tune begins: after the count-in, which the first bar's marker ends.
    at, markers, tempi = 0, [], []
    for message in conductor:
        at += message.time
        if message.type == "marker":
            markers.append((at, message.text))
        elif message.type == "set_tempo":
            tempi.append((at, message.tempo))
    begin = markers[0][0]
    said = [(at - begin, re.sub(r"bar (\S+?)(, time \d+)?$", r"\1", text)) for at, text in markers if text.startswith("bar ")]
    if said != starts:
        fault(f"bars marked {said[:6]}, played {starts[:6]}")

    # Heads stand exactly on their beats. A head before a grace note is shortened, by half at most.
    rest = [(start - begin, end - begin, key) for start, end, key in played]
    for start, end, key in heads:
        same = [tone for tone in rest if tone[0] == start and tone[2] == key and (tone[1] == end or tone[1] < end)]
        if not same:
            fault(f"key {key} at {start} to {end} is not played")
            continue
        rest.remove(same[0])
        cut = end - same[0][1]
        if cut > 0 and not (any(abs(before - end) <= 1 for before, _ in graces) and 2 * cut <= end - start + 1):
            fault(f"key {key} at {start} ends {cut} ticks early")
        seen["notes"] += 1
    for before, key in graces:
        near = [tone for tone in rest if tone[2] == key and tone[1] <= before and before - tone[0] <= per_whole / 4]
        if not near:
            fault(f"grace {key} before {before} is not played")
            continue
        rest.remove(near[-1])
        seen["graces"] += 1
    if rest:
        fault(f"{len(rest)} tones too many: {rest[:4]}")

    # Tempo: microseconds in a quarter at this step.
    beat, bpm = Fraction(tune["tempo"]["beat"]), tune["tempo"]["bpm"]
    micros = Fraction(60_000_000) / (bpm * beat * 4 * Fraction(step, 100))
    if tempi[0][0] != 0 or abs(tempi[0][1] - micros) > 1:
        fault(f"tempo {tempi[0]}, expected {float(micros)}")

    # The left hand, bar by bar as planned. A key that is struck again is let go first, so only starts are compared for those.
    plans = {bar["bar"]: bar for bar in plan["bars"]}
    for track, kind in ((bass, "bass"), (chords, "chord")):
        wanted = set()
        for onset, label in starts:
            for press in plans.get(label, {}).get("left", []):
                if press["kind"] == kind and not press["dropped"]:
                    start = onset + round(Fraction(press["onset"]) * per_whole)
                    wanted |= {(start, key) for key in left_keys(kind, press["name"])}
        found, programs = tones(track)
        found = {(start - begin, key) for start, _, key in found}
        if found != wanted:
            fault(f"{kind}: missing {sorted(wanted - found)[:4]}, too many {sorted(found - wanted)[:4]}")
        if found and programs != {21}:
            fault(f"{kind}: programs {programs}")
        seen["left"] += len(found)

    # Turns of the bellows, in played order.
    turns, before = 0, None
    for _, label in starts:
        for note in plans.get(label, {}).get("notes", []):
            turns += before is not None and note["direction"] != before
            before = note["direction"]
    marked = sum(text.startswith("turn to ") for _, text in markers)
    if marked != turns:
        fault(f"{marked} turns marked, {turns} planned")
    seen["turns"] += marked

    # The metronome: a count-in of at least three clicks, then clicks to the last beat, all of them on channel 10.
    beats, _ = tones(clicks)
    if {m.channel for m in clicks if m.type == "note_on"} != {9}:
        fault("clicks are not on channel 10")
    if sum(start < begin for start, *_ in beats) < 3 or beats[0][0] != 0:
        fault("the count-in is too short")
    if max(start for start, *_ in beats) < begin + starts[-1][0]:
        fault("the metronome stops before the last bar")
    full = [(at, label) for at, label in starts if label != "0" and not label.endswith("+")]
    strong = {start - begin for start, _, key in beats if key == 76}
    if not {at for at, _ in full} <= strong:
        fault("a bar begins without its strong click")
    seen["clicks"] += len(beats)


def check_book(path):
    book = yaml.safe_load(path.read_text())
    folder = OUT / book["id"]
    folder.mkdir(parents=True, exist_ok=True)
    run("practice", path, "-o", folder / "files")
    entries = [e["file"] if isinstance(e, dict) else e for c in book["chapters"] for e in c.get("tunes", [])]
    names = sorted(file.name for file in (folder / "files").glob("*.mid"))
    wanted, order = 0, []
    for number, entry in enumerate(entries, 1):
        source = path.parent / entry
        tune = yaml.safe_load(source.read_text())
        music = tune["music"]
        read = brought(tune, folder)
        plan = json.loads(run("plan", source, "--json", "--book", path))
        for step in tune["practice"]:
            step = int(str(step).rstrip("%"))
            name = f"{number:02}-{tune['id']}-{int(step):03}.mid"
            wanted += 1
            if name not in names:
                faults.append(f"{name} is not there")
                continue
            order.append(number)
            check(name, mido.MidiFile(folder / "files" / name), read, music, plan, step)
    if len(names) != wanted or [int(name.split("-")[0]) for name in names] != sorted(order):
        faults.append(f"{path}: {len(names)} files, {wanted} wanted, or they don't sort by lesson")


OUT.mkdir(parents=True, exist_ok=True)
for path in [*sorted((ROOT / "books").glob("*/book.yaml")), write_hard_book(OUT / "hard")]:
    check_book(path)
for line in faults[:40]:
    print(line)
print("practice files read back:", ", ".join(f"{count} {what}" for what, count in seen.items()))
FLOORS = {"graces": 6, "left out": 1, "notes": 2000, "left": 2000, "turns": 100, "clicks": 1000}
few = [f"only {seen[what]} {what}, at least {floor} are looked for" for what, floor in FLOORS.items() if seen[what] < floor]
if faults or few:
    sys.exit("; ".join([f"{len(faults)} faults", *few]))
