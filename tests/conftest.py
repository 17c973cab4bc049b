"""What several tests share: reading a text as a draft, running the command, a draft with every kind of fault."""

from __future__ import annotations

import hashlib
import os
import shutil
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple, NoReturn

import pytest

from storylint import engine
from storylint.cli import main
from storylint.draft import markdown
from storylint.findings import Reading
from storylint.settings import Settings

# A machine's entry, a teller's entry and a preface; nothing in it is true.
DRAFT = """\
# The Prydderchs of Gerlan

A preface that thanks everyone who opened a drawer.

## 1. Owen¹ Prydderch

Owen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire. He was the son of William Prydderch and Jane \
Roberts. Owen was living at Tregarth in 1871 as a slate splitter. Owen was living at Gerlan in 1881 as a rockman. \
Owen was living at Carneddi in 1891 as a quarry labourer. He died on 9 July 1899.

Children of Owen Prydderch and Ellen Thomas:

- i. William Prydderch, born 8 June 1867.
- + 2 ii. Jane Prydderch, born 1 March 1870.

## 2. Jane² Prydderch (Owen¹)

Jane counted the steps to the slate wharf and never told anyone why.[^1] She kept the count in the back of her hymn \
book, beside the price of flour.[^2] When the quarry closed its gates in November 1900 she took in sewing from the \
hotels at Bangor, and walked there and back with the bundle on her head.[^3]

[^1]: Jane Prydderch, hymn book, family copy, held by the author.
[^2]: The same book, last leaf.
[^3]: *North Wales Chronicle*, 1 December 1900, p. 5.
"""


# The full run must skip nothing: there a program that is missing is a failure.
FULL = os.environ.get("STORYLINT_CI_FULL") == "1"


def program(*names: str) -> str:
    """The path of the first of these programs that is there; without one the test is skipped, or fails in a full run."""
    found = next(filter(None, map(shutil.which, names)), None)
    return found or missing(f"the program {names[0]} is not installed")


def missing(what: str) -> NoReturn:
    """Skip the test, or fail it in a full run."""
    if FULL:
        pytest.fail(f"{what}, and STORYLINT_CI_FULL is set", pytrace=False)
    pytest.skip(what)


@pytest.fixture(autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or fills the cache of whoever runs the tests."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))


class Ran(NamedTuple):
    """What a command gave."""

    code: int
    out: str
    err: str


def read_text(text: str, path: str = "book.md", settings: Settings | None = None, **wanted: object) -> Reading:
    """The reading of a Markdown text."""
    data = textwrap.dedent(text).encode()
    draft = markdown.read(path, data, hashlib.sha256(data).hexdigest())
    return engine.reading_of([draft], engine.Run(settings or Settings(), **wanted))  # type: ignore[arg-type]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def book(folder: Path) -> Path:
    """A draft in the folder."""
    path = folder / "book.md"
    path.write_text(DRAFT, encoding="utf-8")
    return path


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ran]:
    """Runs the command as the shell would."""

    def ran(*argv: str) -> Ran:
        capsys.readouterr()
        try:
            code = main([str(arg) for arg in argv])
        except SystemExit as done:
            code = int(done.code or 0)
        return Ran(code, *capsys.readouterr())

    return ran
