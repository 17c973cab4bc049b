"""The years of a person's life as her own section and her parents' list of children give them.

This is the rough frame that context and headings need; what the draft says of each date exactly is ``study.facts``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from storylint.study.study import Book, Sentence, StudiedSection

# What may not stand before is looked at last: a search that knows the first character goes several times faster.
# A year behind a stop or a stroke is one where a day and a month stand before it, as in 10.3.1848.
YEAR = re.compile(
    r"(1[5-9]\d\d|20[0-4]\d)(?:(?<![\d/.,]\d{4})|(?<=\d[./]\d[./]\d{4})|(?<=\d[./]\d\d[./]\d{4}))(?![\d]|,\d)"
)
BIRTH = frozenset("born b b. birth birthday baptised baptized baptism christened christening bp bapt date".split())
DEATH = frozenset("died death d d. buried burial interred passed life's end-of-life".split())
AGED = re.compile(r"\b(?:aged|at the age of|age)\s+(?:about\s+)?(\d{1,3})\b|\b(\d{1,2}) years (?:old|of age)\b")
LIFESPAN = re.compile(
    r"\(\s*(?:b\.?\s*|c\.?\s*|ca\.?\s*|about\s+)?(1[5-9]\d\d|20[0-2]\d)\s*[-–—]\s*(?:d\.?\s*|c\.?\s*|ca\.?\s*)?(1[5-9]\d\d|20[0-2]\d)?\s*\)"
)
SPAN_MOST = 122  # the longest verified human life: 122 years 164 days (Jeanne Calment, 1875–1997), from memory


@dataclass(frozen=True, slots=True)
class Life:
    """Years of birth and death where the draft gives them, and the first and last year its section names."""

    birth: int | None
    death: int | None
    first: int | None
    last: int | None

    @property
    def start(self) -> int | None:
        """The year from which the life is told."""
        return self.birth if self.birth is not None else self.first

    @property
    def end(self) -> int | None:
        """The year to which the life is told."""
        if self.death is not None:
            return self.death
        return self.last if self.last is not None else self.birth

    def age(self, year: int) -> int | None:
        """Age in that year, give or take one; None where the birth is not known."""
        return None if self.birth is None else year - self.birth


def years(text: str) -> list[int]:
    """The four-figure years in a text, in order."""
    return [int(year) for year in YEAR.findall(text)]


def life(section: StudiedSection, book: Book) -> Life:
    """The person's years, worked out once a section."""
    key = f"life {id(section)}"
    return book.once(key, lambda: work_out(section, child_lines(book)))


def child_lines(book: Book) -> dict[str, str]:
    """What the lists of children say of those who have a section: by number, and by whole name."""
    return book.once("child lines", lambda: read_child_lines(book))


def read_child_lines(book: Book) -> dict[str, str]:
    """The same, worked out."""
    lines: dict[str, str] = {}
    for section in book.sections:
        for child in section.children:
            number = re.match(r"\+?\s*(\d+)", child.block.label)
            if number:
                lines.setdefault(number.group(1), child.text)
            name = re.match(r"[^,;\d(]+", child.text)
            if name:
                lines.setdefault(name.group(0).strip(), child.text)
    return lines


def work_out(section: StudiedSection, lines: dict[str, str]) -> Life:
    """Birth from a lifespan in the title, a birth sentence, an age, or the parents' list; death likewise."""
    own = section.section
    title = LIFESPAN.search(own.title)
    birth = int(title.group(1)) if title else None
    death = int(title.group(2)) if title and title.group(2) else None
    every: list[int] = []
    for sentence in section.sentences:
        found = years(sentence.text)
        every += found
        if not found:
            continue
        if birth is None and about(sentence, BIRTH, own.person):
            birth = near(sentence, BIRTH, found)
        elif birth is None and (age := AGED.search(sentence.text)) and own.person:
            birth = found[0] - int(age.group(1) or age.group(2))
        if about(sentence, DEATH, own.person):
            death = near(sentence, DEATH, found)
    line = lines.get(own.number or "") or lines.get(own.person or "")
    if line and own.person and (own.person.split()[0] in line):
        birth = birth if birth is not None else next(iter(years(line)), None)
    every = [year for year in every if birth is None or birth - 5 <= year <= birth + SPAN_MOST]
    return Life(
        birth,
        death if birth is None or death is None or birth <= death <= birth + SPAN_MOST else None,
        min(every, default=None),
        max(every, default=None),
    )


def about(sentence: Sentence, cues: frozenset[str], person: str | None) -> bool:
    """True when the sentence has a cue and seems to say it of the section's person: early in it, no other named first."""
    if cues.isdisjoint(sentence.lower):
        return False
    forename = person.split()[0] if person else ""
    head = sentence.tokens[:6]
    return (
        forename in sentence.tokens
        or not any(tag == "N" for tag in sentence.tags[: len(head)])
        or sentence.tags[:1] == "p"
    )


def near(sentence: Sentence, cues: frozenset[str], found: list[int]) -> int:
    """Of the years in the sentence the one nearest to the cue."""
    at = next(pos for word, pos in zip(sentence.lower, sentence.at, strict=True) if word in cues)
    positions = [(abs(match.start() - at), int(match.group(1))) for match in YEAR.finditer(sentence.text)]
    return min(positions)[1] if positions else found[0]
