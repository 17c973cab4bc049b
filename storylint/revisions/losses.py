"""What OLD had and NEW has no longer: dated facts with their sentences, citation notes, sources, marks.

A date counts as kept where NEW has it with the same person: the same day anywhere in her text, notes or headings; the
same year only in a sentence that has something else in common with the old one, because a year comes often. Words can
say a date without figures ("twelve days later"), and that can't be seen here: so a loss is a place to look, no verdict.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from storylint.draft.model import Note
from storylint.findings import Reading
from storylint.revisions.fates import Fates, line
from storylint.revisions.passages import Line, Passage, words_of
from storylint.study.dates import MONTHS, When, find

# Proposed for this tool, no source; tried on the demonstration book.
SAME_NOTE = 0.6  # share of a note, by weight of words, from which another note has what it cites
SAME_SOURCE = 0.7  # share of a note's own words, numbers left out, from which its source is still named elsewhere
LEAST = 0.1  # weight of a word that every note has
RARE = 4  # letters from which a word says something of what a sentence is about
COMMON = frozenset(
    """about after also and are been before born both but came died down each ever from given have here into last left
    like long made more most much over said same some such than that their them then there these they this those told
    until upon very went were what when where which while with year years""".split()
) | {month.lower() for month in MONTHS}
EVENTS = (
    frozenset("born birth birthday".split()),
    frozenset("baptised baptized baptism christened christening font".split()),
    frozenset("married marriage wed wedding wife husband bride matrimony".split()),
    frozenset("died death dead deceased killed drowned life".split()),
    frozenset("buried burial grave funeral interred remains churchyard cemetery".split()),
    frozenset("census enumerator enumerated household".split()),
)


@dataclass(frozen=True, slots=True)
class Fact:
    """A date of OLD that NEW lacks: as it was written, its sentence, and what is ``left`` of it ("" for nothing, else
    the less exact date)."""

    date: str
    sentence: str
    left: str = ""


@dataclass(frozen=True, slots=True)
class Days:
    """The dates told of a person in NEW: days, months told without a day, years with the sentences they are in."""

    days: frozenset[tuple[int, int, int]]
    months: frozenset[tuple[int, int]]
    years: Mapping[int, Sequence[tuple[str, ...]]]


def dates_of(text: str, before: When | None = None) -> list[When]:
    """The dates with a year in a text; behind a range its last date."""
    return [part for when in find(text, before) for part in (when, when.last) if part is not None and part.year]


def days_of(texts: Iterable[str]) -> Days:
    """All dates of several texts; one without its year leans on the date before it."""
    days: set[tuple[int, int, int]] = set()
    months: set[tuple[int, int]] = set()
    years: dict[int, list[tuple[str, ...]]] = defaultdict(list)
    before: When | None = None
    for text in texts:
        words: tuple[str, ...] = ()
        for when in dates_of(text, before):
            assert when.year is not None
            words = words or words_of(text)
            years[when.year].append(words)
            if when.month and when.day:
                days.add((when.year, when.month, when.day))
            elif when.form == "month" and when.month:
                months.add((when.year, when.month))
            before = when
    return Days(frozenset(days), frozenset(months), years)


def lost_facts(lines: Iterable[Line], now: Days, names: frozenset[str]) -> Iterator[Fact]:
    """The dates of these old sentences that are no longer told; ``names`` are words that link nothing."""
    for each in lines:
        told: When | None = None  # the range that was lost with its beginning
        for when in dates_of(each.text):
            if not when.given or when.form in ("decade", "century") or is_kept(when, each.words, now, names):
                continue
            if told is None or when is not told.last:
                yield Fact(when.words, each.text, rest_of(when, each.words, now, names))
            told = when


def is_kept(when: When, words: Sequence[str], now: Days, names: frozenset[str]) -> bool:
    """True where the date is told as exactly as before."""
    assert when.year is not None
    if when.form == "day" and when.month and when.day:
        return (when.year, when.month, when.day) in now.days
    if when.form == "month" and when.month:
        return (when.year, when.month) in now.months | {(year, month) for year, month, _ in now.days}
    return has_year(when.year, words, now, names)


def rest_of(when: When, words: Sequence[str], now: Days, names: frozenset[str]) -> str:
    """What is left of the date."""
    assert when.year is not None
    if when.form == "day" and when.month and (when.year, when.month) in now.months:
        return f"{MONTHS[when.month - 1]} {when.year}"
    return str(when.year) if when.form in ("day", "month") and has_year(when.year, words, now, names) else ""


def has_year(year: int, words: Sequence[str], now: Days, names: frozenset[str]) -> bool:
    """True where NEW has the year in a sentence about the same event, or with a telling word in common."""
    about = telling(words, names)
    return any(about & telling(other, names) or same_event(words, other) for other in now.years.get(year, ()))


def telling(words: Iterable[str], names: frozenset[str]) -> set[str]:
    """The beginnings of the words that say what a sentence is about, so that 'splitter' and 'splitting' are one."""
    there = (word for word in words if len(word) >= RARE and word.isalpha())
    return {word[:5] for word in there if word not in COMMON and word not in names}


def same_event(one: Iterable[str], other: Iterable[str]) -> bool:
    """True where both tell of a birth, a marriage, a burial."""
    first, second = set(one), set(other)
    return any(event & first and event & second for event in EVENTS)


# -------------------------------------------------------------------------------------------------------------- notes


class Shelf:
    """The notes of NEW, to look an old one up. A word weighs the more, the fewer notes of both books have it: what
    tells one certificate from the next is the name and the number in it."""

    def __init__(self, old: Iterable[str], new: Iterable[str]) -> None:
        self.notes = [frozenset(words_of(text)) for text in dict.fromkeys(new)]
        self.as_they_were = frozenset(self.notes)
        every = [*self.notes, *(frozenset(words_of(text)) for text in dict.fromkeys(old))]
        seen = Counter(word for words in every for word in words)
        self.weights = {word: max(LEAST, math.log(len(every) / count)) for word, count in seen.items()}
        self.holders: dict[str, list[int]] = defaultdict(list)
        for at, words in enumerate(self.notes):
            for word in words:
                self.holders[word].append(at)

    def near(self, words: frozenset[str]) -> Iterator[frozenset[str]]:
        """Notes that share the rarer words of this one."""
        rare = sorted((word for word in words if word in self.holders), key=lambda word: -self.weights[word])[:4]
        return (self.notes[at] for at in sorted({at for word in rare for at in self.holders[word][:50]}))

    def weight(self, words: Iterable[str]) -> float:
        """What the words weigh together."""
        return sum(self.weights.get(word, LEAST) for word in words)

    def has_note(self, text: str) -> bool:
        """True where a note has most of this one and of its numbers; it may have more, as where two were joined."""
        words = frozenset(words_of(text))
        if words in self.as_they_were:
            return True
        numbers = {word for word in words if word.isdigit()}
        enough = SAME_NOTE * self.weight(words)
        return any(
            self.weight(words & other) >= enough and (not numbers or 2 * len(numbers & other) > len(numbers))
            for other in self.near(words)
        )

    def has_source(self, text: str) -> bool:
        """True where a note still names the source, whatever page or number it gives."""
        words = frozenset(word for word in words_of(text) if word.isalpha() and len(word) > 2)
        enough = SAME_SOURCE * self.weight(words)
        return not words or any(self.weight(words & other) >= enough for other in self.near(words))


def shelf_of(old: Reading, new: Reading) -> Shelf:
    """The notes of both books."""
    before, after = ((note.text for draft in book.drafts for note in draft.notes) for book in (old, new))
    return Shelf(before, after)


def lost_notes(notes: Iterable[Note], shelf: Shelf) -> list[Note]:
    """Those that NEW has neither so nor nearly so. A note that only points to another ("Ibid.") is no loss."""
    return [note for note in notes if not is_pointer(note.text) and not shelf.has_note(note.text)]


def is_pointer(text: str) -> bool:
    """True for Ibid. and its like."""
    words = [word for word in words_of(text) if not word.isdigit()]
    return len(words) < 3 or words[0] in ("ibid", "ibidem", "idem")


# -------------------------------------------------------------------------------------------------------------- marks


def lost_marks(at: int, old: Sequence[Passage], new: Sequence[Passage], found: Fates) -> list[Line]:
    """Sentences that stand word for word and for which a mark answered, but answers no longer."""
    pairs = ((each, found.verbatim.get((at, number))) for number, each in enumerate(old[at].lines))
    return [each for each, heir in pairs if heir and each.marked and not line(new, heir).marked]
