"""Findings, scores and the reading: plain data, from which every output is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from storylint.draft.model import Block, Note


class Level(StrEnum):
    """Severity, as SARIF 2.1.0 §3.27.10 names it; the order is from light to grave."""

    NOTE = "note"
    WARNING = "warning"
    ERROR = "error"

    @property
    def rank(self) -> int:
        """0 for a note, 2 for an error."""
        return ("note", "warning", "error").index(self.value)


class Place(NamedTuple):
    """Words of the draft. ``start`` and ``end`` are offsets in the block's clean text; ``block`` its index."""

    path: str
    block: int
    line: int | None
    start: int
    end: int
    quote: str


NO_DETAILS: Mapping[str, Any] = {}


class Finding(NamedTuple):
    """One thing to mend. ``gain`` is in points of the section's overall score. ``details`` is JSON-ready."""

    rule: str
    level: Level
    message: str
    fix: str
    places: tuple[Place, ...]
    details: Mapping[str, Any] = NO_DETAILS
    mends: float = 0.0  # how much of the rule's share it would mend, in the share's unit; not printed
    gain: float = 0.0
    id: str = ""


class Reason(NamedTuple):
    """One unit that a score counts (a sentence, a claim, a paragraph): where, how much, clean or not, and why."""

    block: int
    start: int
    end: int
    weight: float
    clean: bool
    why: str


@dataclass(frozen=True, slots=True)
class Share:
    """A score before it is a number: ``clean`` of ``whole``, with the units it is made of. The score is
    100 · clean / whole, or None where ``whole`` is 0."""

    clean: float
    whole: float
    unit: str  # "words", "claims", "passages"
    reasons: tuple[Reason, ...] = ()

    @property
    def score(self) -> float | None:
        """From 0 to 100; None where there is nothing to score."""
        return None if self.whole <= 0 else 100.0 * min(1.0, max(0.0, self.clean / self.whole))


@dataclass(frozen=True, slots=True)
class SectionReading:
    """One section, read: facts about it, scores from 0 to 100 (None: nothing to score), findings."""

    id: str
    path: str
    line: int | None
    block: int
    title: str
    person: str | None
    number: str | None
    generation: int | None
    words: int
    scores: dict[str, float | None]
    shares: dict[str, Share]  # rule → the two numbers a score is made of, with their reasons
    readability: dict[str, Any] | None
    findings: tuple[Finding, ...]
    may_live: bool = True  # the person may be living, for all the draft says: see ``storylint.study.alive``
    last: int | None = None  # the block that ends it
    children: tuple[int, ...] = ()  # the blocks of its lists of children


@dataclass(frozen=True, slots=True)
class DraftReading:
    """One file of the book, as it was read; ``blocks`` and ``notes`` are its text, for outputs that show it."""

    path: str
    format: str
    words: int
    sha256: str
    remarks: tuple[str, ...] = ()
    blocks: tuple[Block, ...] = ()
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """One source of the book: how often marks call it, and the ids of the persons' sections told from it.

    ``kind`` is "original", "derivative", "authored" or "" where the notes don't tell; ``missing`` are those of the five
    questions (who, what, when, where in, where is) that no note answers; ``weak`` why no claim should rest on it alone.
    """

    title: str
    kind: str
    times: int
    sections: tuple[str, ...]
    missing: tuple[str, ...]
    weak: str


@dataclass(frozen=True, slots=True)
class Stet:
    """A finding that the author lets stand. ``quotes`` are the words it was about, ``draft`` the file's name from the
    folder of ``stet.toml``, ``since`` an ISO date. ``now``, of a lapsed one: the id of the finding about the changed
    sentence, if there is one. Of one that stands: its finding's ``path`` and ``level``."""

    id: str
    rule: str
    why: str
    quotes: tuple[str, ...]
    person: str | None = None
    draft: str = ""
    since: str = ""
    now: str = ""
    path: str = ""
    level: Level | None = None


@dataclass(frozen=True, slots=True)
class Fall:
    """A section whose overall score is lower than it was. ``rules``: rule → score then and now, of those that fell."""

    section: str
    person: str | None
    before: float
    after: float
    rules: dict[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Worse:
    """What is worse than in an older state of the draft: sections that fell, ids of findings that were not there.

    ``gone`` counts the findings that were and are no longer; ``unknown`` are drafts that the older state does not have,
    of which nothing counts; of the ``unread`` the older state can't be read.
    """

    than: str
    fell: tuple[Fall, ...]
    new: tuple[str, ...]
    gone: int
    unknown: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """The result of one run over one book."""

    drafts: tuple[DraftReading, ...]
    sections: tuple[SectionReading, ...]
    findings: tuple[Finding, ...]  # those that belong to no section
    unreadable: tuple[tuple[str, str], ...] = ()  # (path, why)
    crashes: tuple[str, ...] = ()  # one line a rule that failed
    grade: float = 9.0  # the reader's grade the author aims at
    goal: float = 85.0  # the overall score at which the author calls a person done
    sources: tuple[Source, ...] = ()
    standing: tuple[Stet, ...] = ()  # findings left out because the author lets them stand
    lapsed: tuple[Stet, ...] = ()  # those that stand no longer: their sentence changed
    worse: Worse | None = None  # than what the draft was compared with, if it was
    rules: dict[str, int] = field(default_factory=dict)  # those that judged, with their versions

    def every(self) -> list[tuple[SectionReading | None, Finding]]:
        """All findings with their sections, in reading order."""
        own = [(section, finding) for section in self.sections for finding in section.findings]
        return own + [(None, finding) for finding in self.findings]
