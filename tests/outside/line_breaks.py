"""Line breaking against the Unicode Consortium's own test file, LineBreakTest.txt of Unicode 15.0 (package unicode-data).

Writes the file's samples to target/line-break-samples.txt, has `cargo test --test it line_breaks` break them with the very
function that text is set with, and compares every place. Fails at the first version that is not 15.0, if fewer than 7,000
samples were compared, or if a sample differs that is not named in line_breaks_known.txt (or one named there no longer differs).

    python tests/outside/line_breaks.py [LineBreakTest.txt]
"""

import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
FILE = "/usr/share/unicode/auxiliary/LineBreakTest.txt"
BREAK, NONE = "\u00f7", "\u00d7"


def samples(path):
    """Code points in hexadecimal, and before how many of them a line may begin."""
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# LineBreakTest-15.0"), "another version of the test file"
    for line in text.splitlines():
        parts = line.split("#")[0].split()
        if parts:
            codes, marks = parts[1::2], parts[0::2]
            yield codes, [n for n, mark in enumerate(marks) if mark == BREAK and n > 0]


def main():
    path = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else FILE)
    # Lone surrogates are no characters of a text.
    wanted = [(codes, places) for codes, places in samples(path) if not any(0xD800 <= int(c, 16) < 0xE000 for c in codes)]
    target = ROOT / "target"
    target.mkdir(exist_ok=True)
    (target / "line-break-samples.txt").write_text("".join(" ".join(codes) + "\n" for codes, _ in wanted))
    (target / "line-breaks.tsv").unlink(missing_ok=True)
    cargo = os.environ.get("CARGO", "cargo")
    subprocess.run([cargo, "test", "--quiet", "--test", "it", "line_breaks"], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    found = [line.split("\t") for line in (target / "line-breaks.tsv").read_text().splitlines()]
    assert len(found) == len(wanted) > 7000, f"{len(found)} of {len(wanted)} samples"
    # Each sample that the library behind the text setter breaks otherwise: numbers after a stop, full-width brackets.
    known = set((ROOT / "tests" / "outside" / "line_breaks_known.txt").read_text().splitlines())
    wrong = 0
    for (codes, places), (sample, given) in zip(wanted, found):
        assert sample == " ".join(codes)
        if ([int(n) for n in given.split()] != places) != (sample in known):
            wrong += 1
            print(f"  {sample}: {given}, the standard says {places}")
    if wrong:
        sys.exit(f"{wrong} of {len(wanted)} samples differ")
    print(f"  {len(wanted)} samples broken: as the standard has them, but for those listed as known")


main()
