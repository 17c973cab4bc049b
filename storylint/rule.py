"""What a rule is: a card that explains it and a pure generator that applies it to one section.

A rule module in ``rules/`` holds ``CARD`` and ``check(section, book, options)``; it may hold ``check_book(book,
options)`` for faults that belong to no section. There is no base class and no registration: the engine finds the
modules by name.
"""

from __future__ import annotations

import importlib
import pkgutil
from dataclasses import dataclass
from functools import cache
from types import ModuleType
from typing import TYPE_CHECKING, Any

from storylint.findings import Place, Reason

if TYPE_CHECKING:
    from storylint.draft.model import Block, Section
    from storylint.study.study import Sentence

Options = dict[str, Any]
RETIRED: dict[str, str] = {}  # rule names that were used once and never will be again → what replaced them


@dataclass(frozen=True, slots=True)
class Option:
    """A setting of a rule in ``storylint.toml``: its name, default and meaning with unit and source.

    ``choices``, where there are any, are the only values it takes.
    """

    name: str
    default: Any
    meaning: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Example:
    """A small draft in Markdown and the quotes that the rule must flag in it (none for a good example).

    ``today`` is an ISO date for a rule that depends on the day; it is given to the rule as its option of that name.
    """

    draft: str
    flags: tuple[str, ...] = ()
    says: str = ""  # why, in a few words, for the rulebook
    today: str = ""


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


def words_at(section: Section, block: Block, start: int, end: int) -> Place:
    """The place of ``block.text[start:end]``."""
    line = section.draft.line_of(block, start)
    return Place(section.draft.path, block.index, line, start, end, block.text[start:end])


def place(section: Section, sentence: Sentence) -> Place:
    """The place of a whole sentence; one for all rules, whose findings are most of what a long book takes in memory."""
    if sentence.place is None:
        sentence.place = words_at(section, sentence.block, sentence.start, sentence.end)
    return sentence.place


def reason(sentence: Sentence, weight: float, clean: bool, why: str) -> Reason:
    """A sentence as one unit of a score."""
    return Reason(sentence.block.index, sentence.start, sentence.end, weight, clean, why)


@cache
def rules() -> dict[str, ModuleType]:
    """All rule modules by name."""
    return {name: importlib.import_module(f"storylint.rules.{name}") for name in rule_names()}


def rule_names() -> list[str]:
    """The names of all rules, which are those of their modules, so that none of these has to be imported."""
    package = importlib.import_module("storylint.rules")
    return sorted(module.name for module in pkgutil.iter_modules(package.__path__))
