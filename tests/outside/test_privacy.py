"""What is said of the living stays in the draft: limits against published ones, and every file that a run leaves
behind."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint.settings import Settings
from tests.conftest import Ran, read_text

# Years for which states keep what they know of persons: censuses of the United States (72) and, from memory, of Canada
# (92), Australia (99), the United Kingdom and Ireland (100); civil registers in France (75). The laws behind them are
# 44 U.S.C. § 2108(b) and the Code du patrimoine, art. L213-2, from memory. A family book is to be no looser than a state.
CLOSED = {"United States": 72, "France": 75, "Canada": 92, "Australia": 99, "United Kingdom": 100, "Ireland": 100}
SECRETS = ("4 May 1957", "1957", "Alder", "0752", "kim.voll", "bankrupt", "stroke", "Buddhist")
BOOK = """\
# The Volls of Thorney

## 1. Rolf Voll

Rolf Voll was born in 1920 and died in 1999, and went on the trawlers at fifteen.

Children of Rolf Voll:

- 2 i. Kim Voll, born 4 May 1957.

## 2. Kim Voll

Kim was born at Hull on 4 May 1957. She lives at 12 Alder Way, Hull. You can ring her on 0161 496 0752, or write to \
kim.voll@example.org. Kim was declared bankrupt in 2011. She has had a stroke. Kim is a Buddhist.
"""


@pytest.mark.parametrize(("state", "years"), CLOSED.items())
def test_nobody_is_given_up_before_a_state_would(state: str, years: int) -> None:
    text = f"# Kim Voll\n\nKim Voll was born at Hull in {2026 - years}.\n"
    reading = read_text(text, settings=Settings(table={"living": {"today": "2026-06-01"}}), only=["living"])
    assert reading.every(), state


def test_what_a_run_leaves_behind_tells_nothing(folder: Path, run: Callable[..., Ran]) -> None:
    draft = folder / "volls.md"
    draft.write_text(BOOK, encoding="utf-8")
    ran = run("lint", draft)
    assert "Kim Voll" in ran.out
    left = [path for path in folder.rglob("*") if path.is_file() and path != draft]
    for path in left:
        data = path.read_bytes()
        assert not [secret for secret in SECRETS if secret.encode() in data], path.name


def test_a_finding_tells_it_only_where_it_quotes(folder: Path, run: Callable[..., Ran]) -> None:
    draft = folder / "volls.md"
    draft.write_text(BOOK, encoding="utf-8")
    reading = json.loads(run("lint", draft, "--format", "json", "--no-record", "--only", "living").out)
    found = [finding for section in reading["sections"] for finding in section["findings"]]
    assert len(found) == 7
    for finding in found:
        told = json.dumps({key: finding[key] for key in ("message", "fix", "details", "id")})
        assert not [secret for secret in SECRETS if secret in told]


def test_a_page_has_no_particular_in_its_title(folder: Path, run: Callable[..., Ran]) -> None:
    draft = folder / "volls.md"
    draft.write_text(BOOK, encoding="utf-8")
    run("lint", draft, "--no-record", "--write", "html:page.html")
    page = (folder / "page.html").read_text(encoding="utf-8")
    title = page[page.index("<title>") : page.index("</title>")]
    assert not [secret for secret in SECRETS if secret in title]
