"""Words that an author wrote to herself and that must not be printed.

The rule ``leftovers`` reports them; the rule ``living`` asks as well, because a reminder about a living person
betrays her even when it says nothing else. What they look like stands in ``unfinished.toml``.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

from storylint.study.quick import Quick

QUOTED = re.compile(r"“[^”]*(?:”|$)|\"[^\"]*(?:\"|$)|«[^»]*»|(?<!\w)‘[^’]*(?:’(?=\W|$))")
TO_READERS = re.compile(
    r"\b(?:you|your|readers?)\b|\band (?:he|she|they|it|nobody|somebody|everybody)\b", re.IGNORECASE
)
FEW = 16  # words; an order to oneself is short (proposed for this tool, no source)


def outside_quotations(text: str) -> str:
    """The text with one long word for each quotation, offsets kept: a record may have gaps of its own."""
    return QUOTED.sub(lambda match: "q" * len(match.group()), text)


@cache
def desk() -> tuple[Quick, Quick]:
    """The orders and the other signs of ``unfinished.toml``."""
    table = tomllib.loads((files("storylint.study") / "unfinished.toml").read_text(encoding="utf-8"))

    def any_of(patterns: Iterable[str]) -> Quick:
        return Quick(*map(whole, patterns), flags=re.IGNORECASE)

    def whole(pattern: str) -> str:
        for name, words in table["lists"].items():
            pattern = pattern.replace(f"<{name}>", f"(?:{'|'.join(words)})")
        return pattern

    return any_of(table["orders"]["patterns"]), any_of(table["signs"]["patterns"])


def is_reminder(text: str) -> bool:
    """True for a sentence by which the author reminds herself of something.

    >>> is_reminder("Ask Uncle Rhys about the photographs.")
    True
    >>> is_reminder("Ask anyone in Gerlan about the photographs and you will be given tea.")
    False
    """
    words = text.count(" ") + 1
    if words > 2 * FEW:
        return False
    plain = outside_quotations(text)
    orders, signs = desk()
    if not (signs.search(plain) or (words <= FEW and orders.search(plain))):
        return False
    return not TO_READERS.search(plain)
