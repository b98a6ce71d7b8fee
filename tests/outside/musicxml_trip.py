"""Reads the corpus's scores, writes them as tune files, reads those again, and compares: nothing a tune has may change on the way.

The scores are those of the general toolkit's own corpus (MusicXML, plain and packed), read from the installed package and never
copied. `bring FILE -o FOLDER` writes a tune file with the music as ABC 2.1; its music is read again by `bring FILE --json`.
Compared is all that the JSON says of a tune but its complaints and the number and title that ABC wants: key, metre, tempo, bars
with events, signs, lyrics, barlines, endings, slurs, the played order.

    python musicxml_trip.py [--command target/release/boxwright] [--only ""] [--show 5] [--jobs 2]

Exit status 0 if every score comes back the same, 1 if not.
"""

import argparse
import glob
import json
import multiprocessing
import os
import re
import subprocess
import sys
import tempfile

from abc_trip import CORPUS, first_difference, music


def parted(slurs):
    """Slurs with the ends of those that cross given in order: ABC 2.1 (4.11) nests slurs and has no names for them, so that of two
    that cross the first to end is read as the second to begin. Where they begin and end is compared all the same."""
    order = lambda address: tuple(int(part) if part.isdigit() else part for part in re.split(r"(\d+)", address))
    pairs = [(order(slur["from"]), order(slur["to"])) for slur in slurs]
    crossed = {
        n
        for n, (a, b) in enumerate(pairs)
        for m, (c, d) in enumerate(pairs)
        if n != m and (a < c < b < d or c < a < d < b)
    }
    kept = [slur for n, slur in enumerate(slurs) if n not in crossed]
    begin = sorted((slurs[n]["from"], slurs[n]["dotted"]) for n in crossed)
    return kept, begin, sorted((slurs[n]["to"], slurs[n]["dotted"]) for n in crossed)


def same_slurs(one, other):
    """Whether two tunes have the same slurs, as far as ABC can tell them apart."""
    kept, begin, end = parted(one)
    left = list(other)
    for slur in kept:
        if slur not in left:
            return False
        left.remove(slur)
    return begin == sorted((s["from"], s["dotted"]) for s in left) and end == sorted((s["to"], s["dotted"]) for s in left)


def trip(job):
    """What is wrong with a score's way there and back, in words; nothing if it is the same."""
    command, path = job

    def bring(*words):
        return subprocess.run([command, "bring", *words], capture_output=True, text=True, check=False).stdout

    with tempfile.TemporaryDirectory() as folder:
        before = json.loads(bring(path, "--json") or "[]")
        names = [line for line in bring(path, "-o", folder).splitlines() if line.endswith(".yaml")]
        if len(before) != 1 or len(names) != 1:
            return f"{len(before)} tunes, {len(names)} files"
        again = os.path.join(folder, "again.abc")
        with open(again, "w", encoding="utf-8") as file:
            file.write(music(names[0]))
        after = json.loads(bring(again, "--json") or "[]")
    if len(after) != 1:
        return f"{len(after)} tunes read again"
    for tune in (before[0], after[0]):
        for key in ("complaints", "number", "title"):
            tune.pop(key, None)
    slurs = [tune.pop("slurs", []) for tune in (before[0], after[0])]
    if not same_slurs(*slurs):
        return f"slurs: {[s for s in slurs[0] if s not in slurs[1]][:5]} / {[s for s in slurs[1] if s not in slurs[0]][:5]}"
    return "" if before == after else first_difference(before[0], after[0])


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--command", default="target/release/boxwright")
    arguments.add_argument("--only", default="")
    arguments.add_argument("--show", type=int, default=5)
    arguments.add_argument("--jobs", type=int, default=2)
    options = arguments.parse_args()
    paths = []
    for kind in ("xml", "mxl", "musicxml"):
        paths += glob.glob(os.path.join(CORPUS, "**", f"*.{kind}"), recursive=True)
    paths = [path for path in sorted(paths) if options.only in path]
    with multiprocessing.Pool(options.jobs) as pool:
        results = pool.map(trip, [(options.command, path) for path in paths], chunksize=5)
    bad = [f"{os.path.relpath(path, CORPUS)}: {why}" for path, why in zip(paths, results) if why]
    print(f"{len(paths)} scores, {len(bad)} come back different")
    for line in bad[: options.show]:
        print(f"    {line}")
    # The pinned toolkit brings 654.
    if not options.only and len(paths) < 650:
        print("too few scores were found: the toolkit's corpus is not whole")
        return 1
    return 1 if bad or not paths else 0


if __name__ == "__main__":
    sys.exit(main())
