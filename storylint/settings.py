"""The author's settings: ``storylint.toml``, the nearest one wins whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from storylint.rule import Card, Options


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of one run. ``table`` is the file as read; ``path`` where it stands, None for the defaults."""

    grade: float = 9.0  # the reader's grade the author aims at
    home: tuple[str, ...] = ()  # places the family lived in, for sections that name none
    goal: float = 85.0  # the overall score at which the author calls a person done
    off: frozenset[str] = frozenset()
    table: dict[str, Any] = field(default_factory=dict)
    path: str | None = None

    def is_on(self, rule: str) -> bool:
        """True unless the author has turned the rule off."""
        return rule not in self.off

    def options(self, card: Card) -> Options:
        """The rule's options: the author's values over the defaults of the card."""
        return {option.name: option.default for option in card.options} | self.table.get(card.name, {})
