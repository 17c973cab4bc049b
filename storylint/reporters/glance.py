"""The book at a glance: what every output says of a reading as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from storylint.findings import Finding, Level, Reading, SectionReading, Stet
from storylint.rule import rule_names

NEAR = 15.0  # points below the author's goal that still count as nearly done; proposed for this tool, no source
UNTOUCHED = 40.0  # overall score below which a section reads as the tree program left it; proposed here, no source
RULES = ("boilerplate", "templates", "unsourced", "context", "unbroken")  # the scores in the order of every screen
STATES = ("done", "nearly done", "under way", "untouched")


@dataclass(frozen=True, slots=True)
class Glance:
    """Figures of a whole book. ``overall``, ``ease`` (Flesch reading ease) and ``grade`` (Flesch–Kincaid) are means
    over the scored sections, weighed by their words."""

    words: int
    persons: int
    sections: int
    overall: float | None
    ease: float | None
    grade: float | None
    levels: dict[str, int]
    states: dict[str, int]


def glance(reading: Reading) -> Glance:
    """Count the book."""
    counted = scored(reading)
    levels = Counter(finding.level.value for _, finding in reading.every())
    states = Counter(state(section, reading.goal) for section in counted)
    return Glance(
        words=sum(draft.words for draft in reading.drafts),
        persons=len(persons(reading)),
        sections=len(reading.sections),
        overall=mean((section.scores["overall"], section.words) for section in counted),
        ease=mean((readability(section, "flesch_reading_ease"), section.words) for section in counted),
        grade=mean((readability(section, "flesch_kincaid_grade"), section.words) for section in counted),
        levels={level.value: levels[level.value] for level in reversed(Level)},
        states={name: states[name] for name in STATES},
    )


def persons(reading: Reading) -> list[SectionReading]:
    """The sections about a person."""
    return [section for section in reading.sections if section.person]


def scored(reading: Reading) -> list[SectionReading]:
    """The sections that make the book's figures: the persons', or all where no person was recognised."""
    return [section for section in persons(reading) or reading.sections if section.scores["overall"] is not None]


def worst_first(sections: Iterable[SectionReading]) -> list[SectionReading]:
    """Sections by overall score, lowest first and the longer of two equals first; those with nothing to score last."""
    return sorted(sections, key=lambda s: (s.scores["overall"] is None, s.scores["overall"] or 0.0, -s.words))


def mean(pairs: Iterable[tuple[float | None, int]]) -> float | None:
    """The mean of the numbers there are, weighed by words, to one decimal place."""
    there = [(number, words) for number, words in pairs if number is not None and words]
    return round(sum(n * w for n, w in there) / sum(w for _, w in there), 1) if there else None


def readability(section: SectionReading, formula: str) -> float | None:
    """What the formula gives for the section, where its prose is long enough to measure."""
    value = (section.readability or {}).get(formula)
    return float(value) if isinstance(value, int | float) else None


FEW = 20  # claims; a draft of fewer has hardly begun (proposed for this tool, no source)
UNNOTED = (
    "No mark calls a note anywhere in this book. If your family tree still holds the sources, let your program write it "
    "out once more with its notes before you revise: to bring them back claim by claim takes far longer."
)


def unnoted(reading: Reading) -> bool:
    """True for a book that was written out without its sources: it has claims and neither marks nor notes."""
    called = any(draft.notes or any(block.marks for block in draft.blocks) for draft in reading.drafts)
    shares = [share for section in reading.sections if (share := section.shares.get("unsourced"))]
    claims, sourced = sum(share.whole for share in shares), sum(share.clean for share in shares)
    return not called and claims >= FEW and sourced < claims / 10


def asked(reading: Reading) -> str:
    """The rules that looked at the book, where others were left out; empty where all did."""
    return "" if set(rule_names()) <= reading.rules.keys() else ", ".join(reading.rules) or "none"


def state(section: SectionReading, goal: float) -> str:
    """How far the author is with this section, in one of ``STATES``; empty where there is nothing to score."""
    overall = section.scores["overall"]
    if overall is None:
        return ""
    if any(finding.level is Level.ERROR for finding in section.findings):
        return "untouched" if overall < UNTOUCHED else "under way"
    if overall >= goal:
        return "done"
    if overall >= goal - NEAR:
        return "nearly done"
    return "untouched" if overall < UNTOUCHED else "under way"


def lapsed(stet: Stet) -> str:
    """A stet whose sentence is no longer the one it was about."""
    words = " ".join(stet.quotes[0].split()[:8]) if stet.quotes else ""
    again = f"; let {stet.now} stand if it still may" if stet.now else ""
    return f"stet {stet.id} ({stet.rule}, “{words} …”) has lapsed, because its sentence changed{again}"


def change(before: float | None, now: float | None) -> str:
    """'+12', '-3' or '=' between two figures as they are shown, without decimals; '·' where there are not two."""
    if before is None or now is None:
        return "·"
    return f"{int(now) - int(before):+d}" if int(now) != int(before) else "="


def count(n: int, what: str) -> str:
    """'1 person', '2 persons'."""
    return f"{n:,} {what}" if n == 1 else f"{n:,} {what}s"


@dataclass(frozen=True)
class Fix:
    """Findings of one section that one piece of advice answers: the same rule, level, fix and pattern."""

    section: SectionReading | None
    findings: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The finding that speaks for all."""
        return self.findings[0]

    @property
    def times(self) -> int:
        """How often it holds: at each place; but of two dates that can't both be true the places are the two halves."""
        if self.first.rule == "dates":
            return len(self.findings)
        return sum(len(finding.places) for finding in self.findings)

    @cached_property
    def gain(self) -> float:
        """Points of the section's overall score that all of them give together."""
        return round(sum(finding.gain for finding in self.findings), 1)

    @property
    def private(self) -> bool:
        """True for what may harm somebody who is living: no other error is as grave."""
        return self.first.rule == "living"

    @property
    def lift(self) -> float:
        """What it gives to the book: its gain by the words of its section."""
        return self.gain * self.section.words if self.section else 0.0


def fixes(section: SectionReading | None, findings: Iterable[Finding]) -> list[Fix]:
    """The findings of a section (or of none), like with like, gravest and most rewarding first.

    A family of sentences stays by itself, whatever advice it shares with others.
    """
    groups: dict[tuple[str, Level, str, object], list[Finding]] = {}
    for finding in findings:
        key = (finding.rule, finding.level, finding.fix, finding.details.get("pattern"))
        groups.setdefault(key, []).append(finding)
    made = [Fix(section, tuple(group)) for group in groups.values()]
    return sorted(made, key=lambda fix: (-fix.first.level.rank, not fix.private, -fix.gain))


def all_fixes(reading: Reading) -> list[Fix]:
    """The fixes of the book, those of no section first."""
    every = fixes(None, reading.findings)
    return every + [fix for section in reading.sections for fix in fixes(section, section.findings)]


def best_fixes(reading: Reading, most: int = 5) -> list[Fix]:
    """The fixes of the book that are the best."""
    return best_of(all_fixes(reading), most)


def best_of(every: Iterable[Fix], most: int = 5) -> list[Fix]:
    """The fixes that lift the whole book most, errors first and of these what may harm the living; no notes."""
    grave = [fix for fix in every if fix.first.level is not Level.NOTE]
    return sorted(grave, key=lambda fix: (-fix.first.level.rank, not fix.private, -fix.lift))[:most]
