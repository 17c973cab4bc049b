"""No change may make a rule worse unseen: today's figures are held to the snapshot (python -m tests.judgement snapshot)."""

from __future__ import annotations

import json

import pytest

from tests.judgement.labelled import load_all
from tests.judgement.measure import PARTS, RULES, SNAPSHOT, figures

ROOM = 0.002  # what a rounding of the third place may cost


@pytest.fixture(scope="module")
def today() -> dict[str, dict[str, list[float]]]:
    """The figures now."""
    return figures()


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("rule", RULES)
def test_no_rule_is_worse_than_the_snapshot(rule: str, part: str, today: dict[str, dict[str, list[float]]]) -> None:
    kept = json.loads(SNAPSHOT.read_text(encoding="utf-8"))[part][rule]
    assert today[part][rule][2] >= kept[2] - ROOM, f"{rule} on {part}: F1 {today[part][rule][2]}, was {kept[2]}"


def test_the_labelled_drafts_are_many_and_hold_together() -> None:
    drafts = [draft for part in PARTS for draft in load_all(part)]
    sentences = [each for draft in drafts for each in draft.sentences if not each.child]
    assert len(sentences) >= 600
    assert len({draft.name for draft in drafts}) >= 8
    assert all("C" in each.labels or "B" in each.labels for each in sentences if "U" in each.labels)
