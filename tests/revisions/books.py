"""Small books for the tests: persons as Markdown, and lines of a log as if a run had written them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

START = datetime(2026, 3, 2, 9, tzinfo=UTC)
KEY = "0" * 32

# One life a name, each sentence with a mark of its own; nothing in them is true.
LIVES = {
    "Hugh Gethin": (
        "Hugh was let down the face on a rope at fourteen and never told his mother how far it was.[^1] He lost "
        "two fingers to a slate saw in the spring of 1881 and learned to write again with the others.[^2] He died "
        "at Gerlan on 4 May 1911, with the window open so that he could hear the chapel.[^3]"
    ),
    "Gwen Gethin": (
        "Gwen kept the toll book at the weighbridge because she was the only one the carters could not talk "
        "round.[^1] In June 1894 she found the error that had cost the quarry forty tons a year.[^2] She was "
        "buried at Coetmor on 9 November 1932.[^3]"
    ),
    "Idwal Gethin": (
        "Idwal sailed from Liverpool in April 1902 with his father's chisel sewn into his coat.[^1] He split "
        "slate at Granville until the dust told on him, and then he minded the engine.[^2] He died in Granville "
        "on 1 March 1948, the last man in the street who swore in Welsh.[^3]"
    ),
    "Catherine Lloyd": (
        "Catherine sold her hens to pay the choir's fare to London and went with it as a second alto.[^1] She "
        "wrote home from the Strand on 3 July 1901 that the buses were redder than sin.[^2] She died at Bangor on "
        "6 July 1931.[^3]"
    ),
    "Robert Gethin": (
        "Robert had the bargain at the top of the incline that nobody else wanted, and made it pay.[^1] When the "
        "gates were shut in November 1900 he went to the coal at Aberdare and sent back every second Saturday "
        "what he had not spent.[^2] He died at Ebenezer on 22 March 1916.[^3]"
    ),
}


def chapter(names: Iterable[str], lives: Mapping[str, str] = LIVES, title: str = "The Gethins", first: int = 1) -> str:
    """A chapter in Markdown, its persons numbered from ``first``, each with three notes of her own."""
    parts = [f"# {title}\n"]
    notes: list[str] = []
    for number, name in enumerate(names, first):
        text = lives[name]
        for mark in (1, 2, 3):
            if f"[^{mark}]" in text:
                notes.append(f"[^{number}{mark}]: {name}, papers kept at Gerlan, bundle {mark}, seen in 2019.")
                text = text.replace(f"[^{mark}]", f"[^{number}{mark}]")
        parts.append(f"## {number}. {name}\n\n{text}\n")
    return "\n".join([*parts, *notes]) + "\n"


def prints(*sentences: str) -> list[str]:
    """Hashes as a log has them."""
    return sorted(hashlib.sha256(sentence.encode()).hexdigest()[:8] for sentence in sentences)


def person(name: str, overall: float | None = 50.0, told: Iterable[str] = (), **other: Any) -> dict[str, Any]:
    """A person's part of a line. ``told``: what she is known by besides her name."""
    return {
        "name": name,
        "number": None,
        "draft": 0,
        "words": 200,
        "notes": 3,
        "scores": {"overall": overall, "boilerplate": overall},
        "ease": 60.0,
        "grade": 9.0,
        "findings": {"error": 0, "warning": 2, "note": 1},
        "prints": prints(*(told or (f"{name} {n}" for n in range(6)))),
    } | other


def revision(day: float, *persons: dict[str, Any], files: Iterable[str] = ("book.md",), **other: Any) -> dict[str, Any]:
    """A line of the log, so many days after ``START``; its content differs from that of every other."""
    when = (START + timedelta(days=day)).isoformat()
    drafts = [
        {
            "path": path,
            "sha256": hashlib.sha256(f"{path} {day} {persons}".encode()).hexdigest(),
            "words": sum(each["words"] for each in persons if each["draft"] == at),
            "notes": 3,
            "findings": {"error": 0, "warning": 2, "note": 1},
        }
        for at, path in enumerate(files)
    ]
    return {
        "schema": 1,
        "when": when,
        "storylint": "0",
        "rules": {"boilerplate": 1},
        "settings": "a",
        "partial": False,
        "whole": False,
        "commit": None,
        "goal": 85.0,
        "key": KEY,
        "drafts": drafts,
        "persons": list(persons),
    } | other
