"""Words that an author wrote to herself and that must not be printed.

The rule ``leftovers`` reports them; the rule ``living`` asks as well, because a reminder about a living person
betrays her even when it says nothing else. What they look like stands in ``unfinished.toml``.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache, lru_cache
from importlib.resources import files

from storylint.study.quick import Quick

# Each kind begins with its sign, so that a text without one is passed over at once.
QUOTED = re.compile(r"“[^”]*(?:”|$)|\"[^\"]*(?:\"|$)|«[^»]*»|‘(?<!\w‘)[^’]*(?:’(?=\W|$))")
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
    pieces = {name: f"(?:{'|'.join(words)})" for name, words in table["lists"].items()}
    orders, signs = (
        Quick(*table[part]["patterns"], flags=re.IGNORECASE, pieces=pieces) for part in ("orders", "signs")
    )
    return orders, signs


@lru_cache(maxsize=2000)  # rule after rule asks this of the same sentences
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
