"""The draft's own people: which names belong to the family.

They are read where a family history names people for certain: person entries, lines of descent, lists of children, and
after the words of marriage and parentage, there also in a memoir that has no person's entries.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from storylint.draft.model import Kind, Section

NAME_WORD = r"(?:[A-ZÀ-ÖØ-Þ][\w'’-]*|[a-z]{1,3}['’][A-Z]\w+)"
PARTICLE = r"(?:van|von|de|der|den|du|la|le|ap|ab|verch|ferch|af|av|ter|ten|zu|y|di|da|dos)"
NAME_RUN = re.compile(rf"{NAME_WORD}(?:\s+(?:{PARTICLE}\s+){{0,2}}{NAME_WORD}){{0,4}}")
KIN_CUE = re.compile(
    rf"\b(?:married|wed|wife|husband|widow|mother|father|son|daughter|brother|sister|child|bride|parents|children|m\.)"
    rf"(?:\s*,|\s+of|\s+to|\s+was|\s+were|\s+named)?\s+({NAME_RUN.pattern}(?:,?\s+and\s+{NAME_RUN.pattern})?)"
)
LABEL = re.compile(
    r"^\s*\+?\s*(?:\d{1,4}(?:\.\d{1,3}){1,12}\.?\s+|(?:\d{1,4}\.?\s+)?(?:[ivxl]{1,7}\.|\d{1,4}\.|[a-z]\.|[-–•*])?\s*)",
    re.IGNORECASE,
)
DIGITS = re.compile(r"[\d¹²³⁰-⁹^]+")
NO_NAME = frozenset(
    """Mr Mrs Miss Ms Dr Rev Sir Lady Captain Capt Colonel Unknown The Of And He She They January February March April May
    June July August September October November December Monday Tuesday Wednesday Thursday Friday Saturday Sunday
    Church Chapel Street County Parish Castle Hill North South East West New Saint St Census Christmas Easter""".split()
)


@dataclass(slots=True)
class People:
    """Forenames and surnames of the draft's family, as they are written; ``full`` are whole names."""

    forenames: set[str] = field(default_factory=set)
    surnames: set[str] = field(default_factory=set)
    full: set[str] = field(default_factory=set)

    def add(self, name: str) -> None:
        """Take in one name as a reader says it."""
        words = [word for word in DIGITS.sub("", name).replace(",", " ").split() if word[:1].isupper()]
        words = [word.strip(".'’\"()") for word in words]
        words = [word.title() if word.isupper() and len(word) > 2 else word for word in words if word not in NO_NAME]
        if not words:
            return
        self.full.add(" ".join(words))
        self.forenames.update(word for word in words[:-1] if len(word) > 1)
        (self.surnames if len(words) > 1 else self.forenames).add(words[-1])

    def __contains__(self, word: str) -> bool:
        if not word[:1].isupper():  # as most words; see ``add``
            return False
        plain = word.removesuffix("'s").removesuffix("’s")
        if plain.isupper() and len(plain) > 2:
            plain = plain.title()
        return plain in self.forenames or plain in self.surnames


def gather(sections: Iterable[Section]) -> People:
    """All names of the family that these sections give for certain."""
    people = People()
    for section in sections:
        if section.person:
            people.add(section.person)
        for ancestor in section.lineage:
            people.add(ancestor)
        for block in section.body:
            if block.kind is Kind.CHILD:
                match = NAME_RUN.match(LABEL.sub("", block.text, count=1))
                if match:
                    people.add(match.group(0))
            if block.kind in (Kind.PARAGRAPH, Kind.CHILD):
                for match in KIN_CUE.finditer(block.text):
                    for name in re.split(r",?\s+and\s+", match.group(1)):
                        people.add(name)
    people.forenames -= NO_NAME
    people.surnames -= NO_NAME
    return people
