"""A comparison as one page to look at, made from the very data that ``compare --format json`` prints.

``page.compare.html`` is the template, in the frame and the look of the other page (see ``html``).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import pairwise
from typing import Any

from storylint.reporters import charts
from storylint.reporters.glance import RULES, change
from storylint.reporters.html import filled

TOKEN = re.compile(r"\w+|\s+|[^\w\s]")
SHORT = 3  # letters and digits up to which words in common are no common ground
BECAME = {"kept": "in both", "split": "split off", "new": "new", "joined": "joined to others", "lost": "lost"}
SIDES = ("old", "new")
RATES = {"flesch_reading_ease": "reading ease", "flesch_kincaid_grade": "school grade"}


def render(data: dict[str, Any], told: str, next_step: str) -> str:
    """The page as one text: ``data`` as ``side_by_side.as_data`` gives them, what was lost and what to do in words."""
    from markupsafe import Markup

    sides = [Side(number, section, data["sections"]) for number, section in enumerate(data["sections"])]
    listed = [side for side in sides if side.data["listed"]]
    for one, other in pairwise(listed):
        one.after, other.before = other.id, one.id
    return filled(
        "page.compare.html",
        data=data,
        told=told,
        next_step=next_step,
        listed=listed,
        ranked=sorted(listed, key=lambda side: side.data["rank"]),
        losers=sorted(
            (side for side in listed if side.losses),
            key=lambda side: (not side.is_gone, not side.data["lost"]["people"]),
        ),
        became=BECAME,
        marked=marked,
        change=change,
        meter=lambda score: Markup(charts.meter(score, data["goal"], "done" if score >= data["goal"] else "untouched")),
    )


class Side:
    """A section as it was and as it is."""

    def __init__(self, number: int, data: dict[str, Any], every: Sequence[dict[str, Any]]) -> None:
        self.id, self.data, self.before, self.after = f"s{number}", data, "", ""
        self.old, self.new = data["old"], data["new"]
        self.status = data["status"]
        self.names = {side: {each[side]["id"]: label(each, side) for each in every if each[side]} for side in SIDES}

    @property
    def label(self) -> str:
        """The name with its number, as the book has it now or had it."""
        return label(self.data, "new" if self.new else "old")

    @property
    def is_gone(self) -> bool:
        """True for a person whose whole section was lost."""
        return self.status == "lost" and bool(self.data["person"])

    @property
    def losses(self) -> int:
        """How many people, dates, notes and marks went; the person of the section counts as one more."""
        return sum(map(len, self.data["lost"].values())) + self.is_gone

    @property
    def facts(self) -> list[list[dict[str, Any]]]:
        """The lost dates, those of one sentence together."""
        alike: dict[str, list[dict[str, Any]]] = {}
        for fact in self.data["lost"]["facts"]:
            alike.setdefault(fact["sentence"], []).append(fact)
        return list(alike.values())

    @property
    def kinds(self) -> list[str]:
        """What the list can be filtered by."""
        there = {"lost": self.losses, "rewritten": self.data["rewritten"], "new": self.data["added"]}
        return [kind for kind, holds in there.items() if holds]

    @property
    def told(self) -> str:
        """What became of it, where it is not simply still there."""
        data = self.data
        if self.status in ("joined", "lost"):
            return f"joined to {self.named('new', data['parts'])}" if data["parts"] else ""
        was = f" (was {label(data, 'old')})" if self.old and label(data, "old") != self.label else ""
        said = [", ".join(data["changes"]) + was] * bool(data["changes"])
        if data["origin"]:
            said.append(f"split off from {self.named('old', [data['origin']])}")
        if data["parts"]:
            said.append(f"some of its sentences are now with {self.named('new', data['parts'])}")
        if data["taken_from"]:
            said.append(f"it holds sentences of {self.named('old', data['taken_from'])}")
        return "; ".join(said)

    def named(self, side: str, ids: Sequence[str]) -> str:
        """Sections by name."""
        return ", ".join(self.names[side].get(each, each) for each in ids)

    @property
    def scores(self) -> tuple[float | None, float | None]:
        """The overall score then and now."""
        return tuple(side["scores"]["overall"] if side else None for side in (self.old, self.new))  # type: ignore[return-value]

    @property
    def gain(self) -> float | None:
        """By how much it rose."""
        before, after = self.scores
        return None if before is None or after is None else after - before

    @property
    def rows(self) -> Iterator[tuple[str, Any, Any, str]]:
        """(what, then, now, how it is written) of all figures."""
        old, new = self.old or {}, self.new or {}
        for rule in ("overall", *RULES):
            yield rule, old.get("scores", {}).get(rule), new.get("scores", {}).get(rule), "score"
        for formula, what in RATES.items():
            was, now = ((side.get("readability") or {}).get(formula) for side in (old, new))
            yield what, was, now, "rate"
        for what in ("words", "notes", "findings"):
            yield what, old.get(what), new.get(what), "count"


def label(section: dict[str, Any], side: str) -> str:
    """A name with its number."""
    own = section[side]
    if not own["person"]:
        return str(own["title"] or "Untitled")
    return f"{own['number']} {own['person']}" if own["number"] else str(own["person"])


@dataclass(frozen=True, slots=True)
class Piece:
    """Words that stand in both sentences, or in one alone."""

    text: str
    own: bool


def marked(old: str, new: str) -> tuple[list[Piece], list[Piece]]:
    """Two sentences in pieces. A short word alone in common between words that differ is no common ground."""
    one, other = TOKEN.findall(old), TOKEN.findall(new)
    blocks = SequenceMatcher(None, one, other, autojunk=False).get_matching_blocks()
    ends = (len(one), len(other))
    common = [
        (a, b, n)
        for a, b, n in blocks
        if sum(map(str.isalnum, "".join(one[a : a + n]))) > SHORT or (a + n, b + n) == ends
    ]
    return pieces(one, [(a, n) for a, _, n in common]), pieces(other, [(b, n) for _, b, n in common])


def pieces(words: Sequence[str], common: Sequence[tuple[int, int]]) -> list[Piece]:
    """The words, cut where what is common begins and ends."""
    found: list[Piece] = []
    at = 0
    for start, size in (*common, (len(words), 0)):
        found += [Piece("".join(words[at:start]), True), Piece("".join(words[start : start + size]), False)]
        at = start + size
    return [piece for piece in found if piece.text]
