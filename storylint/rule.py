"""What a rule is: a card that explains it and a pure generator that applies it to one section.

A rule module in ``rules/`` holds ``CARD`` and ``check(section, book, options)``; it may hold ``check_book(book,
options)`` for faults that belong to no section. There is no base class and no registration: the engine finds the
modules by name.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

Options = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Option:
    """A setting of a rule in ``storylint.toml``: its name, default and meaning with unit and source."""

    name: str
    default: Any
    meaning: str


@dataclass(frozen=True, slots=True)
class Example:
    """A small draft in Markdown and the quotes that the rule must flag in it (none for a good example).

    ``today`` is an ISO date for rules that depend on it.
    """

    draft: str
    flags: tuple[str, ...] = ()
    says: str = ""  # why, in a few words, for the rulebook


@dataclass(frozen=True, slots=True)
class Card:
    """The rule's page of the rulebook. The module's docstring says why it matters to a reader."""

    name: str
    summary: str
    measured: str = ""  # how the score is computed; empty for a rule without a score
    scope: str = "section"  # "section", or "book" where a verdict depends on other sections too
    version: int = 1  # raised whenever a verdict can change, so that logs and caches know
    options: tuple[Option, ...] = ()
    bad: tuple[Example, ...] = ()
    good: tuple[Example, ...] = ()
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
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
