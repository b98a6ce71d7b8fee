"""Reads the corpus's tunes, writes them as tune files, reads those again, and compares: nothing a tune has may change on the way.

The tunes are those of abc_corpus.py, read from the installed package and never copied. `bring FILE -o FOLDER` writes tune files
with the music as ABC; their music is read again by `bring FILE --json`. Compared is all that the JSON says of a tune but its
complaints: key, metre, tempo, bars with events, lyrics, barlines, endings, the played order.

    python abc_trip.py [--command target/release/boxwright] [--only ""] [--show 5]

Exit status 0 if every tune comes back the same, 1 if not. The time that reading alone took is printed, not judged.
"""

import argparse
import glob
import json
import os
import re
import resource
import subprocess
import sys
import tempfile

import music21

CORPUS = os.path.join(os.path.dirname(music21.__file__), "corpus")
COLLECTIONS = ["oneills1850", "ryansMammoth", "airdsAirs", "miscFolk"]


def music(path):
    """The ABC of a tune file."""
    text = open(path, encoding="utf-8").read()
    block = re.search(r"(?m)^music: \|\n((?:  .*\n|\n)*)", text).group(1)
    return re.sub(r"(?m)^  ", "", block)


def first_difference(one, other):
    """Where two tunes differ, in words."""
    for key in one:
        if key == "bars":
            for a, b in zip(one["bars"], other["bars"]):
                if a != b:
                    events = next((f"{e} / {f}" for e, f in zip(a["events"], b["events"]) if e != f), "")
                    rest = [f"{k}: {a[k]} / {b[k]}" for k in a if k != "events" and a[k] != b[k]]
                    return f"bar {a['bar']}: {'; '.join(rest)} {events}"
        if one[key] != other.get(key):
            return f"{key}: {str(one[key])[:150]} / {str(other.get(key))[:150]}"
    return "nothing"


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--command", default="target/release/boxwright")
    arguments.add_argument("--only", default="")
    arguments.add_argument("--show", type=int, default=5)
    options = arguments.parse_args()
    files = [f for name in COLLECTIONS for f in sorted(glob.glob(os.path.join(CORPUS, name, "**", "*.abc"), recursive=True))]
    files = [f for f in files if options.only in f]
    tunes, bad, whole = 0, [], []

    def bring(*words):
        return subprocess.run([options.command, "bring", *words], capture_output=True, text=True, check=False).stdout

    with tempfile.TemporaryDirectory() as folder:
        for nth, path in enumerate(files):
            before = json.loads(bring(path, "--json"))
            out = os.path.join(folder, str(nth))
            names = [line for line in bring(path, "-o", out).splitlines() if line.endswith(".yaml")]
            again = os.path.join(folder, "again.abc")
            with open(again, "w", encoding="utf-8") as file:
                file.write("\n".join(music(name) + "\n" for name in names))
            after = json.loads(bring(again, "--json"))
            name = os.path.relpath(path, CORPUS)
            if not len(before) == len(names) == len(after):
                bad.append(f"{name}: {len(before)} tunes, {len(names)} files, {len(after)} read again")
                continue
            for one, other in zip(before, after):
                tunes += 1
                for tune in (one, other):
                    del tune["complaints"]
                if one != other:
                    bad.append(f"{name} X:{one['number']}: {first_difference(one, other)}")
            whole.append(open(path, "rb").read())
        print(f"{tunes} tunes, {len(bad)} come back different")
        for line in bad[: options.show]:
            print(f"    {line}")
        # All tunes in one text, read on the one thread that the reader uses; reading time is the command's own.
        every = os.path.join(folder, "every.abc")
        with open(every, "wb") as file:
            file.write(b"\n\n".join(whole))
        start = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        bring(every, "--json")
        print(f"all of them read and shown in {resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - start:.2f} s of processor time")
    # The pinned toolkit brings 4433.
    if not options.only and tunes < 4400:
        print("too few tunes were read: the toolkit's corpus is not whole")
        return 1
    return 1 if bad or not tunes else 0


if __name__ == "__main__":
    sys.exit(main())
