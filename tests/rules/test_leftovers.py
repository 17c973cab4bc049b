"""The rule ``leftovers``: what it finds, where it looks, and what it leaves to the records."""

from __future__ import annotations

import pytest

from storylint.findings import Finding, Level
from tests.conftest import read_text
from tests.rules.labelled import load, score


def leftovers(text: str) -> list[Finding]:
    reading = read_text(text, only=["leftovers"])
    assert reading.crashes == ()
    return [finding for _, finding in reading.every()]


# The sets later1 and later2 were written after the rule: at first sight 0.78 and 0.58, later2 0.84 when later1 had been learnt from.
@pytest.mark.parametrize(("half", "least"), [("tune", 0.98), ("measure", 0.95), ("later1", 0.98), ("later2", 0.95)])
def test_it_agrees_with_the_labels(half: str, least: float) -> None:
    result = score(load(f"leftovers_{half}"), "leftovers", "Xx")
    assert result.f1 >= least, str(result)


def test_every_part_of_a_section_is_looked_at() -> None:
    found = leftovers(
        """\
        # [Title to come]

        ## 1. Owen Prydderch

        Owen split slate.[^1] He was born in .

        - i. Jane Prydderch, born 1867; married Unknown Hughes.

        ![the house](house.png)

        | year | wage |
        | --- | --- |
        | 1871 | ??? |

        [^1]: [find the source]
        """
    )
    quotes = {finding.places[0].quote for finding in found}
    assert {"[Title to come]", "He was born in .", "[find the source]"} <= quotes
    assert any("Unknown Hughes" in quote for quote in quotes)
    assert any("???" in quote for quote in quotes)


def test_a_displayed_document_keeps_its_gaps() -> None:
    assert leftovers("# Owen Prydderch\n\n> Item to my son [blank] the sum of £__ and the [torn].\n") == []


def test_a_note_called_twice_is_reported_once() -> None:
    found = leftovers("# Owen Prydderch\n\nOwen split slate.[^1] He sang bass.[^1]\n\n[^1]: Source needed.\n")
    assert [finding.places[0].quote for finding in found] == ["Source needed."]


def test_what_would_embarrass_is_an_error_and_style_is_a_note() -> None:
    found = leftovers("# Owen Prydderch\n\nHe came abt 1871. His ship was the [name].\n")
    assert {finding.details["problem"]: finding.level for finding in found} == {
        "raw qualifier": Level.NOTE,
        "placeholder": Level.ERROR,
    }


def test_one_finding_a_sentence_and_it_names_everything() -> None:
    (found,) = leftovers("# Owen Prydderch\n\nHe was born in , the son of Hugh and Jane Unknown.\n")
    assert found.level is Level.ERROR
    assert {found.details["problem"], *found.details["also"]} >= {"empty slot", "unknown as a name"}


@pytest.mark.parametrize(
    ("after", "flagged"),
    [("> Dear Jane, it is cold.", False), ("Jane kept hens.", True), ("", True), ("## 2. Jane Prydderch", True)],
)
def test_a_paragraph_that_breaks_off_unless_a_document_follows(after: str, flagged: bool) -> None:
    found = leftovers(f"# Owen Prydderch\n\nIn May he wrote to his sister that he had seen the\n\n{after}\n")
    assert bool(found) is flagged


@pytest.mark.parametrize(
    "line", ["Children of this marriage: Unknown", "Cause of death: N/A", "Occupation: Unknown.", "Buried:", "Died :"]
)
def test_a_label_with_nothing_behind_it_is_an_empty_slot(line: str) -> None:
    (found,) = leftovers(f"# Owen Prydderch\n\nHe split slate.\n\n{line}\n\nHe sang bass.\n")
    assert (found.level, found.details["problem"]) == (Level.ERROR, "empty slot")


@pytest.mark.parametrize(
    "line", ["The verdict was short: unknown causes.", "Born: 4 May 1850", "He had one word for it: home.", "Notes:"]
)
def test_a_label_with_something_behind_it_is_none(line: str) -> None:
    found = leftovers(f"# Owen Prydderch\n\nHe split slate.\n\n{line}\n\nHe sang bass.\n")
    assert [each for each in found if each.level is Level.ERROR] == []
