"""What copies of one long paragraph cost that a word processor has cut into a run a word: as much again for as much text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

from storylint.draft.docx import Styles, Unit
from storylint.repair.docx_comments import Marker
from tests.conftest import Ran
from tests.effort import calls
from tests.readers import small_files as small

Run = Callable[..., Ran]
SETTINGS = '[living]\ntoday = "2026-05-01"\n'
FORENAMES = ("Gwen", "Mair", "Nesta", "Olwen", "Enid", "Beti", "Megan", "Lowri")


def words(text: str) -> str:
    """A run a word."""
    return "".join(small.r(word + " ") for word in text.split())


def living(count: int) -> bytes:
    """A paragraph of people who may be living."""
    told = (
        f"{FORENAMES[at % 8]} Prydderch was born on {at % 28 + 1} May {1950 + at % 60} and lives at Poultney."
        for at in range(count)
    )
    return small.docx(small.p(small.r("Gwen Prydderch"), style="Heading1") + small.p(words(" ".join(told))))


def typed(count: int) -> bytes:
    """A paragraph of typed marks, and their list."""
    told = "".join(
        words("Owen split slate at Granville that year.") + small.raised(str(at)) + small.r(" ")
        for at in range(1, count)
    )
    entries = [small.p(small.r(f"{at}. Printed card, p. {at}.")) for at in range(1, count)]
    heads = [small.p(small.r(title), style="Heading1") for title in ("Owen Prydderch", "Notes")]
    return small.docx(heads[0] + small.p(told) + heads[1] + "".join(entries))


@pytest.mark.parametrize(
    ("command", "made"), [("redact", living), ("relink", typed)]
)  # fmt: skip
def test_a_paragraph_four_times_as_long_costs_four_times_as_much(
    folder: Path, run: Run, command: str, made: Callable[[int], bytes]
) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    for count in (40, 160):
        (folder / f"book{count}.docx").write_bytes(made(count))

    def copied(count: int) -> int:
        code: list[int] = []
        cost = calls(lambda: code.append(run(command, f"book{count}.docx", "-o", f"copy{count}.docx", "--force").code))
        assert code == [0]
        return cost

    copied(40)  # imports
    assert copied(160) < 8 * copied(40)  # what ran before has warmed some of it; all with all would be sixteenfold


def test_a_comment_on_every_word_costs_as_much_in_a_long_paragraph() -> None:
    def commented(count: int) -> int:
        paragraph = etree.fromstring(f'<w:body xmlns:w="{small.W}">{small.p(words("slate " * count))}</w:body>')[0]
        marker = Marker(Unit(0, (("", paragraph),)), Styles(None))
        cost = calls(lambda: marker.set([(at, at * 6, at * 6 + 5) for at in range(count)]))
        assert len(list(paragraph.iter(f"{{{small.W}}}commentReference"))) == count
        return cost

    assert commented(400) < 4.8 * commented(100)
