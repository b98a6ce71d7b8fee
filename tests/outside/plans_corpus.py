"""Plans more than 500 old tunes on two boxes and checks every note of every plan against the published layouts.

The tunes are those of abc_corpus.py, chosen evenly through all of its collections: the same ones at each run. Each is
brought into a tune file and planned with `plan --json`. What each button gives is worked out here, apart from the program,
from the rule that encyclopaedias and box pages state for a two-row: the push of a row repeats its tonic triad, the pull the
other four notes of its key, both from the start button on; the lowest button of the D/G chart pulls the fifth. The D/G and
B/C charts that a published free reference prints agree with it button for button. The left hand is the same reference's
chart with B major, as two other published pages have it. Reach of the hand: common practice, no source.

Checked of every tune: each written note and grace is in the plan, or a complaint names it; each press gives its pitch on
its button in its direction; one direction at each moment; no finger on two buttons; every finger in reach of the place of
the hand, to half a button more in the other row and in grips; while the hand stays in its place each button of the row
named keeps its finger, one of the other row to one finger; a tie keeps button and direction, or a complaint names its
note; what the left hand presses sounds in the direction of the note over it; the bellows stay inside their window on every pass, or a complaint says that they run
out; and a tenth inside it at either end, or a complaint says that they come close.

    python plans_corpus.py [--command target/release/boxwright] [--tunes 560]

Exit status 0 if all of it holds for all tunes and at least 500 of them were planned on each box, 1 if not. A tune whose
text is damaged (a bar of the wrong length) is refused with the reason and not counted.
"""

import argparse
import collections
import fractions
import glob
import json
import multiprocessing
import os
import re
import subprocess
import sys
import tempfile

import abc_corpus

Fraction = fractions.Fraction
LETTERS = dict(C=0, D=2, E=4, F=5, G=7, A=9, B=11)
# What tells of a note that is not planned.
REPORTS = {"not-on-box", "not-together", "too-many-notes", "grace-left-out"}


def row(tonic, start, count, fifth):
    """Button -> (push, pull) as MIDI keys, by the rule."""
    out = {}
    for button in range(1, count + 1):
        i = button - start
        push = tonic + 12 * (i // 3) + [0, 4, 7][i % 3]
        pull = tonic + 12 * (i // 4) + [2, 5, 9, 11][i % 4]
        out[button] = (push, pull - 2 if fifth and button == 1 else pull)
    return out


def left(pairs):
    """(row, button) -> (push, pull) as printed: each pair is a chord button and a bass button beside it."""
    out = {}
    for nth, (push, pull) in enumerate(pairs):
        side, first = ("outer", "inner")[nth // 2], nth % 2 * 2 + 1
        out[side, first] = (push.lower(), pull.lower())
        out[side, first + 1] = (push.rstrip("m"), pull.rstrip("m"))
    return out


BOXES = {
    "dg-21-third": {
        "outer": row(62, 3, 11, True),
        "inner": row(67, 3, 10, True),
        "left": left([("D", "A"), ("G", "D"), ("B", "Em"), ("C", "C")]),
    },
    "bc-21": {"outer": row(59, 3, 11, False), "inner": row(60, 3, 10, False), "left": None},
}


def midi(name):
    letter, signs, octave = re.fullmatch(r"([A-G])([#b]*)(-?\d+)", name).groups()
    return (int(octave) + 1) * 12 + LETTERS[letter] + signs.count("#") - signs.count("b")


def written(tune):
    """Address -> (MIDI keys, onset in the bar, length, whether tied on), in order; graces as 3.2g1."""
    out = {}
    for bar in tune["bars"]:
        head, graces = 0, []
        for event in bar["events"]:
            keys = tuple(sorted(set(event.get("midi", ()))))
            if event.get("grace"):
                graces.append(keys)
            elif keys:
                head += 1
                address = f"{bar['bar']}.{head}"
                for nth, grace in enumerate(graces):
                    out[f"{address}g{nth + 1}"] = (grace, None, None, False)
                onset = Fraction(event["onset"]) - Fraction(bar["onset"])
                out[address] = (keys, onset, Fraction(event["duration"]), event.get("tie", False))
                graces = []
            else:
                graces = []
    return out


def planned(plan):
    """Address -> the plan's note."""
    out = {}
    for bar in plan["bars"]:
        for note in bar["notes"]:
            grace = f"g{note['grace']}" if note.get("grace") else ""
            out[f"{bar['bar']}.{note['note']}{grace}"] = note
    return out


def hand(box, note):
    """Faults of the hand: fingers on two buttons, fingers out of reach of the place."""
    stagger = {"outer": 0.0, "inner": 0.5}
    place = note["place"]["button"] + stagger[note["place"]["row"]]
    fingers = [press["finger"] for press in note["presses"]]
    if len(set(fingers)) != len(fingers):
        yield "one finger on two buttons"
    for press in note["presses"]:
        off = press["button"] + stagger[press["row"]] - place - (press["finger"] - 1)
        # A place is named by the button under the index finger (`src/fingering/names.rs`): in the other row, and in a grip of
        # several buttons, the hand may lie half a button beside it.
        lean = 0.5 if press["row"] != note["place"]["row"] or len(note["presses"]) > 1 else 0.0
        outwards = press["finger"] == 1 and -1 - lean <= off < 0 or press["finger"] == 4 and 0 < off <= 1 + lean
        if abs(off) > 0.5 + lean and not outwards:
            yield f"finger {press['finger']} is {off} buttons off its place"


def kept(notes):
    """Faults of buttons that change their finger while the hand stays in its place."""
    place, fingers = None, {}
    for address, note in notes.items():
        if note["place"] != place:
            place, fingers = note["place"], {}
        for press in note["presses"]:
            button = press["row"], press["button"]
            # In the other row a leaning hand gives a button to either of two fingers.
            lean = int(press["row"] != place["row"])
            if abs(fingers.setdefault(button, press["finger"]) - press["finger"]) > lean:
                yield f"{address}: {button} changes its finger and the hand does not move"


def check(job):
    """The figures and the faults of one tune on one box."""
    command, box, folder, name, text = job
    figures, faults = collections.Counter(), []
    layout = BOXES[box]
    path = os.path.join(folder, "tune.abc")
    os.makedirs(folder)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    run = lambda *arguments: subprocess.run([command, *arguments], capture_output=True, text=True, check=False)
    tunes = json.loads(run("bring", "--json", path).stdout)
    made = run("bring", "--quiet", path, "-o", folder)
    files = glob.glob(os.path.join(folder, "*.yaml"))
    if len(tunes) != 1 or len(files) != 1:
        return name, figures, [f"brought {len(tunes)} tunes and {len(files)} files: {made.stderr[:200]}"]
    done = run("plan", files[0], "--box", box, "--json")
    if done.returncode not in (0, 1) or not done.stdout.startswith("{"):
        # A tune whose text is damaged is refused with the reason.
        complaints = [c for c in json.loads(done.stdout or "[]") if c["severity"] == "error"]
        if not complaints:
            return name, figures, [f"no plan and no complaint, status {done.returncode}: {done.stderr[:200]}"]
        figures["refused with a complaint"] += 1
        return name, figures, faults
    plan = json.loads(done.stdout)
    figures["planned"] += 1
    reported = {
        address
        for complaint in plan["complaints"]
        if complaint["code"] in REPORTS
        for address in re.findall(r"\d+\+?\.\d+(?:g\d+)?", complaint["message"])
    }
    codes = {complaint["code"] for complaint in plan["complaints"]}

    def of_code(*names):
        return "\n".join(complaint["message"] for complaint in plan["complaints"] if complaint["code"] in names)

    unsounded = set(re.findall(r"\b(?:bar|note) (\d+\+?)", of_code("chord-missing", "left-hand-cannot-sound")))
    notes, heads = planned(plan), written(tunes[0])
    # Of a pitch that is missing often the first notes are named, and the others counted: they are those of the same key.
    for complaint in plan["complaints"]:
        if complaint["code"] == "not-on-box" and re.search(r" and \d+ more\)", complaint["message"]):
            named = re.findall(r"\d+\+?\.\d+(?:g\d+)?", complaint["message"])
            missing = set.intersection(*(set(heads[address][0]) for address in named if address in heads))
            reported |= {address for address, (keys, *_) in heads.items() if missing & set(keys)}
    faults += [f"{address} is planned but not written" for address in notes.keys() - heads.keys()]
    faults += kept(notes)
    previous = None
    for address, (keys, onset, length, tied) in heads.items():
        note = notes.get(address)
        if note is None or not note["presses"]:
            figures["notes reported missing"] += 1
            if address not in reported:
                faults.append(f"{address} {keys} is neither planned nor reported")
            previous = None if onset is not None else previous
            continue
        figures["notes planned"] += 1
        way = 0 if note["direction"] == "push" else 1
        gives = sorted(layout[press["row"]][press["button"]][way] for press in note["presses"])
        named = sorted(midi(press["pitch"]) for press in note["presses"])
        if tuple(gives) != keys or gives != named:
            faults.append(f"{address}: {keys} written, buttons give {gives}, called {named}")
        faults += [f"{address}: {fault}" for fault in hand(layout, note)]
        if onset is None:
            head = notes.get(address.split("g")[0])
            if head and head["direction"] != note["direction"]:
                faults.append(f"{address} goes the other way than its note")
            continue
        if previous and previous[1]:
            for key in set(previous[2]) & set(keys):
                figures["ties"] += 1
                of = lambda which: next(p for p in which["presses"] if midi(p["pitch"]) == key)
                one, two = of(previous[0]), of(note)
                same = [one[part] == two[part] for part in ("row", "button", "finger")]
                if not (all(same) and previous[0]["direction"] == note["direction"] and two["sound"] == "tie"):
                    if f"the tie into note {address} " not in of_code("tie-cannot-hold"):
                        faults.append(f"the tie into {address} does not hold")
        previous = (note, tied, keys)
    if layout["left"]:
        for bar in plan["bars"]:
            for press in bar["left"]:
                if press["dropped"]:
                    figures["left-hand presses left out"] += 1
                    if bar["bar"] not in unsounded:
                        faults.append(f"bar {bar['bar']}: {press['name']} is left out and nobody says so")
                    continue
                figures["left-hand presses"] += 1
                names = layout["left"][press["row"], press["button"]]
                at = Fraction(press["onset"])
                over = [
                    note["direction"]
                    for note in bar["notes"]
                    if not note.get("grace") and Fraction(note["onset"]) <= at < Fraction(note["onset"]) + Fraction(note["duration"])
                ]
                may = [names[0 if way == "push" else 1] for way in over] or list(names)
                if press["name"] not in may or len(set(over)) > 1:
                    faults.append(f"bar {bar['bar']}: {press['name']} does not sound on the {over}")
    runs_out = "bellows-run-out" in codes
    figures["tunes whose bellows run out, reported"] += runs_out
    figures["tunes with air points"] += bool(plan["bellows"]["air"])
    opened = [opening for note in notes.values() for opening in note["bellows"]]
    opened += [one[end] for one in plan["bellows"]["passes"] for end in ("most_open", "least_open")]
    if opened and not runs_out and not (0 <= min(opened) and max(opened) <= 1):
        faults.append(f"the bellows go from {min(opened)} to {max(opened)}")
    close = "bellows-close" in codes
    figures["tunes within a tenth of an end, reported"] += close
    sounding = [opening for note in notes.values() for opening in note["bellows"]]
    if sounding and not runs_out and not close and not (0.09 <= min(sounding) and max(sounding) <= 0.91):
        faults.append(f"the bellows go from {min(sounding)} to {max(sounding)}, and nobody says that they come close to an end")
    return name, figures, faults


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--command", default="target/release/boxwright")
    arguments.add_argument("--tunes", type=int, default=560)
    arguments.add_argument("--jobs", type=int, default=2)
    arguments.add_argument("--show", type=int, default=10)
    options = arguments.parse_args()
    texts = []
    for collection in abc_corpus.COLLECTIONS:
        pattern = os.path.join(abc_corpus.CORPUS, collection, "**", "*.abc")
        for path in sorted(glob.glob(pattern, recursive=True)):
            for text in abc_corpus.tunes_of(abc_corpus.read_text(path)):
                first = text[2:].split("\n")[0].strip()
                texts.append((f"{os.path.relpath(path, abc_corpus.CORPUS)} X:{first}", text))
    chosen = [texts[nth * len(texts) // options.tunes] for nth in range(options.tunes)]
    bad, fewest = 0, len(chosen)
    with tempfile.TemporaryDirectory() as folder, multiprocessing.Pool(options.jobs) as pool:
        for box in BOXES:
            jobs = [
                (options.command, box, os.path.join(folder, box, str(nth)), name, text)
                for nth, (name, text) in enumerate(chosen)
            ]
            figures, faulty = collections.Counter(), []
            for name, counts, faults in pool.imap(check, jobs, chunksize=10):
                figures += counts
                faulty += [f"{name}: {fault}" for fault in faults]
            print(f"{box}: {len(chosen)} of {len(texts)} tunes, " + ", ".join(f"{n} {what}" for what, n in sorted(figures.items())))
            print(f"  {len(faulty)} faults")
            for fault in faulty[: options.show]:
                print(f"    {fault}")
            bad += len(faulty)
            fewest = min(fewest, figures["planned"])
    return 0 if not bad and fewest >= min(500, options.tunes * 500 // 560) else 1


if __name__ == "__main__":
    sys.exit(main())
