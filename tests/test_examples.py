"""Every rule's own examples, read and judged as a draft would be: what the rulebook says is what the tool does."""

from __future__ import annotations

from typing import Any

import pytest

from storylint.findings import Level, Reading
from storylint.rule import Card, Example, rules
from storylint.settings import Settings
from tests.conftest import read_text

CARDS = [module.CARD for module in rules().values()]


def cases(kind: str) -> list[Any]:
    return [
        pytest.param(card, example, id=f"{card.name}-{kind}-{number}")
        for card in CARDS
        for number, example in enumerate(getattr(card, kind))
    ]


def judged(card: Card, example: Example) -> Reading:
    """The example as a book of one file; on the example's own day, for rules that ask what day it is."""
    table = {card.name: {"today": example.today}} if example.today else {}
    reading = read_text(example.draft, settings=Settings(table=table))
    assert reading.crashes == ()
    return reading


@pytest.mark.parametrize("card", CARDS, ids=[card.name for card in CARDS])
def test_every_rule_has_examples_of_both_kinds(card: Card) -> None:
    assert any(example.flags for example in card.bad)
    assert card.good
    assert not any(example.flags for example in card.good)
    assert card.summary
    assert card.sources


@pytest.mark.parametrize(("card", "example"), cases("bad"))
def test_a_bad_example_is_flagged_at_the_words_it_names(card: Card, example: Example) -> None:
    quotes = [place.quote for _, f in judged(card, example).every() if f.rule == card.name for place in f.places]
    assert quotes, "the rule says nothing"
    missed = [flag for flag in example.flags if not any(flag in quote for quote in quotes)]
    assert not missed, f"flagged are only {quotes}"


@pytest.mark.parametrize(("card", "example"), cases("good"))
def test_a_good_example_is_left_alone_by_its_rule_and_has_no_fault_in_any_other(card: Card, example: Example) -> None:
    every = [finding for _, finding in judged(card, example).every()]
    own = [finding for finding in every if finding.rule == card.name]
    assert not own, [(finding.message, finding.places[0].quote) for finding in own]
    grave = [finding for finding in every if finding.level is not Level.NOTE]
    assert not grave, [(finding.rule, finding.message, finding.places[0].quote) for finding in grave]
