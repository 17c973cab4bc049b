"""Labelled drafts for the rules that judge single sentences, and the counting of hits and misses.

One unit a line, ``label | text``: no label means that nothing is wrong with it, and a ``p`` that either verdict is
right. Before the label may stand ``- `` (an entry of a list of children), ``# `` (a heading) or ``[^1]: `` (a note);
a blank line begins a new paragraph, and ``## 1. Name`` a section. ``@living`` names who may be living. The halves
``_tune`` may be looked at while a rule is written; ``_measure`` was written before the rules were and is only
measured on. All people are invented.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from storylint.findings import Finding
from storylint.settings import Settings
from tests.conftest import read_text

SETS = Path(__file__).parent / "sets"
LINE = re.compile(r"^(?P<form>- |# |\[\^\d+\]: )?\s*(?P<label>[A-Za-z]?)\s*\|\s?(?P<text>.*)$")
TODAY = "2026-11-01"  # the day on which the sets are right about who is of what age


@dataclass(slots=True)
class Labelled:
    """One set: its Markdown, its units with their labels, who may be living."""

    draft: str
    units: list[tuple[str, str]] = field(default_factory=list)
    living: list[str] = field(default_factory=list)


def load(name: str) -> Labelled:
    """Read ``sets/NAME.txt``."""
    lines: list[str] = []
    found = Labelled("")
    for line in (SETS / f"{name}.txt").read_text(encoding="utf-8").splitlines():
        unit = LINE.match(line)
        if line.startswith("@living"):
            found.living = [person.strip() for person in line.removeprefix("@living").split(",")]
        elif unit:
            found.units.append((unit["label"], bare(unit["text"])))
            form = unit["form"] or ""
            lines += [form + unit["text"]] if form in ("", "- ") else ["", form + unit["text"], ""]
        else:
            lines += ["", line, ""] if line.startswith("#") else [line]
    found.draft = "\n".join(lines)
    return found


def bare(text: str) -> str:
    """A sentence without its marks and Markdown."""
    return re.sub(r"\[\^\d+\]|(?<!_)\*", "", text).strip()


def words(text: str) -> str:
    """What two quotes of one sentence have in common."""
    return " ".join(re.findall(r"\w+|[^\w\s]", text))


@dataclass(slots=True)
class Score:
    """Hits, misses and false alarms, with the sentences behind the last two."""

    hits: int
    missed: list[str]
    false: list[str]

    @property
    def f1(self) -> float:
        """The harmonic mean of precision and recall."""
        return 2 * self.hits / (2 * self.hits + len(self.missed) + len(self.false))

    def __str__(self) -> str:
        wrong = [f"missed: {text}" for text in self.missed] + [f"false: {text}" for text in self.false]
        return "\n".join(
            [f"F1 {self.f1:.3f} (hits {self.hits}, missed {len(self.missed)}, false {len(self.false)})", *wrong]
        )


def findings(labelled: Labelled, rule: str) -> list[Finding]:
    """What the rule finds in the set on the sets' own day."""
    reading = read_text(
        labelled.draft, settings=Settings(table={rule: {"today": TODAY}} if rule == "living" else {}), only=[rule]
    )
    assert reading.crashes == ()
    return [finding for _, finding in reading.every() if finding.rule == rule]


def score(labelled: Labelled, rule: str, wanted: str) -> Score:
    """Each unit against what the rule quotes; ``wanted`` are the labels that it must flag."""
    quotes = {words(place.quote) for finding in findings(labelled, rule) for place in finding.places}
    given = [
        any(words(text) in quote or (len(quote) > 12 and quote in words(text)) for quote in quotes)
        for _, text in labelled.units
    ]
    units = [
        (label in wanted and bool(label), flagged, text)
        for (label, text), flagged in zip(labelled.units, given, strict=True)
        if label != "p"
    ]
    return Score(
        sum(want and flagged for want, flagged, _ in units),
        [text for want, flagged, text in units if want and not flagged],
        [text for want, flagged, text in units if flagged and not want],
    )
