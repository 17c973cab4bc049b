"""What a user is told when something can't go on: one line each, never a traceback."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum


class Exit(IntEnum):
    """Exit codes of every command, by contract."""

    CLEAN = 0
    FINDINGS = 1
    USAGE = 2
    UNREADABLE = 3
    RULE_CRASHED = 4


class Complaint(Exception):
    """A message for the user. ``str()`` is one line: what is wrong and what to do."""


class Unreadable(Complaint):
    """A draft that can't be read. ``path`` is as the user gave it; ``why`` says what is wrong and what to do."""

    def __init__(self, path: object, why: str) -> None:
        super().__init__(f"{path}: {why}")
        self.path = str(path)
        self.why = why


class Misuse(Complaint):
    """Wrong usage or wrong settings."""


def stopped(text: str) -> str:
    """A sentence with its full stop; one that ends in a stop, or quotes one at its end, gets no second."""
    return text if text.rstrip("”’\"')").endswith((".", "?", "!", "…")) else f"{text}."


def near(name: str, known: Iterable[str]) -> str:
    """' Did you mean ...?' with the nearest right name, or nothing."""
    import difflib

    match = difflib.get_close_matches(name, list(known), 1, 0.5)
    return f" Did you mean '{match[0]}'?" if match else ""
