"""Kills the recording at random moments and looks at what is left: ``python -m tests.revisions.kills 500``.

Two children record one revision after another into one file, each line as long as that of a very large book, and say so
when they are done with one. Each is ended with the signal that no process can catch. Then every line that one of them
said was written must be there, every line of before must be as it was, and the file must be readable and take the next.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from storylint.revisions import journal

CHILD = """
import sys
from pathlib import Path
from storylint.revisions import journal
path, name = Path(sys.argv[1]), sys.argv[2]
text = "slate " * int(sys.argv[3])
print("ready", flush=True)
number = 0
while True:
    journal.append(path, lambda: {"by": name, "number": number, "text": text})
    print(number, flush=True)
    number += 1
"""
LONGEST = 0.03  # seconds from the first word of a child to its end; a line takes a tenth of that


class Toll(NamedTuple):
    """What became of the lines: said to be written, found, found missing, cut off by a kill."""

    kills: int
    said: int
    found: int
    missing: int
    cut: int


def kill_often(path: Path, kills: int, seed: int, words: int = 300_000) -> Toll:
    """Record and be killed so many times. Raises AssertionError when a line that stood is not as it was."""
    chance = random.Random(seed)
    said: set[tuple[str, int]] = set()
    before = b""
    for kill in range(0, kills, 2):
        children = [start(path, f"{kill} {name}", words) for name in "ab"]
        for name, child in zip("ab", children, strict=True):
            said |= {(f"{kill} {name}", number) for number in kill_soon(child, chance)}
        now = path.read_bytes() if path.exists() else b""
        assert now.startswith(before), f"kill {kill}: what stood in the file was changed"
        before = now
    entries, cut = journal.read(path)
    found = {(entry["by"], entry["number"]) for entry in entries}
    assert journal.append(path, lambda: {"by": "the end", "number": 0})
    assert next(iter(journal.backwards(path)))["by"] == "the end"
    return Toll(kills, len(said), len(found), len(said - found), cut)


def start(path: Path, name: str, words: int) -> subprocess.Popen[bytes]:
    """A child that is about to write its first line."""
    command = [sys.executable, "-c", CHILD, str(path), name, str(words)]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert child.stdout is not None
    assert child.stdout.readline() == b"ready\n"
    return child


def kill_soon(child: subprocess.Popen[bytes], chance: random.Random) -> list[int]:
    """Kill a child at some moment, and give the numbers of the lines it said it wrote."""
    with child:
        assert child.stdout is not None
        time.sleep(chance.uniform(0, LONGEST))
        child.kill()
        return [int(line) for line in child.stdout.read().splitlines(keepends=True) if line.endswith(b"\n")]


def main(kills: int, seed: int = 1, a_file: int = 20) -> None:
    """Kill and count, with a new file now and then so that the disk holds it all."""
    with tempfile.TemporaryDirectory() as folder:
        rounds = range(0, kills, a_file)
        tolls = [kill_often(Path(folder, f"{at}.jsonl"), min(a_file, kills - at), seed + at) for at in rounds]
    total = Toll(*(sum(column) for column in zip(*tolls, strict=True)))
    print(*(f"{name}: {value}" for name, value in total._asdict().items()), sep="\n")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:] or ["500"]))
