"""What the program does on a terminal and what it leaves out elsewhere, seen through a pseudo-terminal of the system (pty):
a line of progress on anything over a second, colour unless NO_COLOR is set, neither of them in a pipe; --quiet and --verbose.

Sources: the NO_COLOR convention (no-color.org: set and not empty means no colour); ECMA-48 for the escape sequences."""

import os
import pathlib
import pty
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time

COLOUR = re.compile(rb"\x1b\[[0-9;]*m")
PROGRESS = re.compile(rb"\r\x1b\[K(reading|plans|engraving|text and pages|content and file|comparing and writing) \xe2\x80\xa6 [0-9]+ s")


def on_terminal(words, **extra):
    """Runs with standard output and error on a terminal; gives the exit status, all that was written, and the seconds."""
    leader, follower = pty.openpty()
    env = {key: value for key, value in os.environ.items() if key != "NO_COLOR"}
    env.update({"TERM": "xterm", **extra})
    began = time.monotonic()
    run = subprocess.Popen(words, stdin=follower, stdout=follower, stderr=follower, env=env, close_fds=True)
    os.close(follower)
    written = b""
    while True:
        ready, _, _ = select.select([leader], [], [], 120)
        assert ready, f"{words} says nothing for two minutes"
        try:
            piece = os.read(leader, 65536)
        except OSError:  # the follower is closed: the program has ended
            break
        if not piece:
            break
        written += piece
    status = run.wait()
    os.close(leader)
    return status, written, time.monotonic() - began


def shown(written):
    """What is left on the screen's last lines: a line that was erased leaves nothing."""
    lines = []
    for line in written.replace(b"\r\n", b"\n").split(b"\n"):
        lines.append(line.split(b"\x1b[K")[-1] if b"\x1b[K" in line else line)
    return b"\n".join(lines)


def large_book(binary, folder):
    """A book that takes the program more than two seconds on this machine: more and more tunes, ten a chapter, and from three
    thousand on, which is the most that a book may have, longer and longer ones."""
    tune = pathlib.Path("books/first-steps/tunes/two-gates.yaml").read_text(encoding="utf-8")
    (folder / "tunes").mkdir()
    count, times = 100, 1
    music = re.search(r"(?m)^music: \|\n(?:  .*\n|\n)*", tune).group()
    head, notes = re.match(r"(?s)(.*\n  K:[^\n]*\n)(.*)", music).groups()
    while True:
        for number in range(count):
            text = tune.replace("id: two-gates", f"id: tune-{number}").replace(music, head + notes * times)
            (folder / f"tunes/{number}.yaml").write_text(text, encoding="utf-8")
        chapters = []
        for first in range(0, count, 10):
            tunes = ", ".join(f"tunes/{number}.yaml" for number in range(first, min(first + 10, count)))
            chapters.append(f"  - {{title: Chapter {first // 10 + 1}, tunes: [{tunes}]}}")
        book = "book: 1\nid: large\ntitle: Large\ndate: 2026-09-01\nbox: dg-21-third\nchapters:\n" + "\n".join(chapters) + "\n"
        (folder / "book.yaml").write_text(book, encoding="utf-8")
        began = time.monotonic()
        subprocess.run([binary, "--quiet", "bind", str(folder / "book.yaml")], check=True)
        if time.monotonic() - began > 2.2:
            return str(folder / "book.yaml"), count
        assert times < 64, "three thousand tunes of two thousand bars are bound within two seconds"
        count, times = min(count * 2, 3000), times * 2 if count == 3000 else 1


def main(binary):
    binary = str(pathlib.Path(binary).resolve())
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        large = folder / "large"
        large.mkdir()
        book, count = large_book(binary, large)

        status, written, seconds = on_terminal([binary, "bind", book])
        assert status == 0, written
        assert PROGRESS.search(written), f"no progress in {seconds:.1f} s: {written[-400:]}"
        assert b"\xe2\x80\xa6 1 s" in written, "the line begins with the first second"
        assert b"\xe2\x80\xa6" not in shown(written), "the line is taken away again"
        for extra, why in (({"TERM": "dumb"}, "a terminal that can't erase"),):
            _, written, _ = on_terminal([binary, "bind", book], **extra)
            assert b"\r\x1b[K" not in written, why
        status, written, _ = on_terminal([binary, "--quiet", "bind", book])
        assert (status, written) == (0, b""), f"--quiet says {written[:200]}"
        piped = subprocess.run([binary, "bind", book], capture_output=True)
        assert piped.returncode == 0 and b"\x1b" not in piped.stderr + piped.stdout and b"\r" not in piped.stderr

        small = folder / "first-steps"
        shutil.copytree("books/first-steps", small)
        source = str(small / "book.yaml")
        status, written, seconds = on_terminal([binary, "bind", source])
        assert status == 0
        if seconds < 1:
            assert b"\x1b[K" not in written, "nothing is said of what is over within a second"
        for words in ([binary, "--verbose", "bind", source], [binary, "bind", "--verbose", source]):
            said = subprocess.run(words, capture_output=True, text=True)
            stages = [line.split("  ")[1].strip() for line in said.stderr.splitlines() if line.endswith(" ms")]
            wanted = ["reading", "plans", "engraving", "text and pages", "content and file", "comparing and writing", "together"]
            assert stages == wanted, said.stderr
            times = [float(line.split()[-2]) for line in said.stderr.splitlines() if line.endswith(" ms")]
            assert abs(sum(times[:-1]) - times[-1]) < 1, "the stages add up to their sum"

        wrong = small / "book.yaml"
        wrong.write_text(wrong.read_text(encoding="utf-8").replace("binding:", "bindng:"), encoding="utf-8")
        for words in ([binary, "bind", source], [binary, "check", source], [binary, "--quiet", "bind", source]):
            status, written, _ = on_terminal(words)
            assert status == 1 and COLOUR.search(written) and b"bindng" in written, written
            status, written, _ = on_terminal(words, NO_COLOR="1")
            assert status == 1 and not COLOUR.search(written) and b"did you mean" in written, written
            status, written, _ = on_terminal(words, NO_COLOR="")
            assert status == 1 and COLOUR.search(written), "an empty NO_COLOR is none"
            piped = subprocess.run(words, capture_output=True)
            assert piped.returncode == 1 and b"\x1b" not in piped.stderr + piped.stdout, words
        print(f"progress, colour, --quiet and --verbose as they should be; the large book has {count} tunes")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
