"""What OLD had and NEW has no longer: dated facts with their sentences, and marks.

A date counts as kept where NEW has it with the same person: the same day anywhere in her text, notes or headings; the
same year only in a sentence that has something else in common with the old one, because a year comes often. Words can
say a date without figures ("twelve days later"), and that can't be seen here: so a loss is a place to look, no verdict.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from storylint.revisions.fates import Fates, line
from storylint.revisions.passages import WORD, Line, Passage, words_of
from storylint.revisions.people import Named, Roll, Words, names_in, whole_name
from storylint.study.dates import MONTHS, When, find
from storylint.study.lexicon import CUES
from storylint.study.persons import alike

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
class Told:
    """A date as a text of NEW has it; ``note``: the text is a note's."""

    when: When
    text: str
    words: tuple[str, ...]
    note: bool = False


@dataclass(frozen=True, slots=True)
class Days:
    """The dates told of a person in NEW: days, months told without a day, years with all their dates."""

    days: frozenset[tuple[int, int, int]]
    months: frozenset[tuple[int, int]]
    years: Mapping[int, Sequence[Told]]


@dataclass(slots=True)
class Memory:
    """Where in NEW the dates of OLD are looked for; every passage's are read once."""

    old: Roll
    new: Roll
    read: dict[int, Days] = field(default_factory=dict)
    listed: dict[int, Days] = field(default_factory=dict)  # the entries of lists of children, by id

    def days(self, at: int) -> Days:
        """The dates of a passage of NEW."""
        if at not in self.read:
            passage = self.new.book[at]
            told = [*passage.headings, *(each.text for each in passage.lines)]
            self.read[at] = days_of(told, [note.text for note in passage.notes])
        return self.read[at]

    def days_of_entry(self, entry: Named) -> Days:
        """The dates of a child's entry."""
        if id(entry) not in self.listed:
            self.listed[id(entry)] = days_of([entry.line.text])
        return self.listed[id(entry)]

    def places(self, at: int, line: Line, homes: Iterable[int]) -> list[Days]:
        """Where the dates of a sentence of OLD may stand: in its person's own sections, in those of others whom it
        names, and where these are listed as children."""
        found = dict.fromkeys(homes)
        entries: dict[int, Named] = {}
        for full in self.named(at, line):
            for other in self.new.sections[full[0]]:
                if alike(full, self.new.person(other)):
                    found[other] = None
            for entry in self.new.children[full[0]]:
                if alike(full, whole_name(entry, self.new)):
                    entries[id(entry)] = entry
        return [*map(self.days, found), *map(self.days_of_entry, entries.values())]

    def named(self, at: int, line: Line) -> Iterator[Words]:
        """The whole names of a sentence: the person's of its passage, and those that stand in it."""
        own = self.old.person(at)
        names = [own] if own else []
        names += [whole_name(each, self.old) for each in self.old.entries[at] if each.line is line]
        names += names_in(line.text)
        return (name for name in names if len(name) > 1)


def dates_of(text: str, before: When | None = None) -> list[When]:
    """The dates with a year in a text; behind a range its last date."""
    return [part for when in find(text, before) for part in (when, when.last) if part is not None and part.year]


def days_of(texts: Iterable[str], notes: Iterable[str] = ()) -> Days:
    """All dates of several texts and of their notes; one without its year leans on the date before it."""
    days: set[tuple[int, int, int]] = set()
    months: set[tuple[int, int]] = set()
    years: dict[int, list[Told]] = defaultdict(list)
    before: When | None = None
    for text, note in (*((text, False) for text in texts), *((text, True) for text in notes)):
        words: tuple[str, ...] = ()
        for when in dates_of(text, before):
            assert when.year is not None
            words = words or words_of(text)
            years[when.year].append(Told(when, text, words, note))
            if when.month and when.day:
                days.add((when.year, when.month, when.day))
            elif when.form == "month" and when.month:
                months.add((when.year, when.month))
            before = when
    return Days(frozenset(days), frozenset(months), years)


def lost_facts(lines: Iterable[Line], at: int, homes: Iterable[int], memory: Memory) -> list[Fact]:
    """The dates of these sentences of passage ``at`` of OLD that are no longer told, each once; ``homes`` are the
    passages of NEW into which it went."""
    names = frozenset(words_of(memory.old.book[at].name))  # words that link nothing
    found: dict[Fact, None] = {}
    for each in lines:
        dates = [when for when in dates_of(each.text) if when.given and when.form not in ("decade", "century")]
        now = memory.places(at, each, homes) if dates else []
        told: When | None = None  # the range that was lost with its beginning
        for when in dates:
            if any(is_kept(when, each.words, days, names) for days in now):
                continue
            if told is None or when is not told.last:
                found[Fact(when.words, each.text, rest_of(when, each.text, now))] = None
            told = when
    return list(found)


def is_kept(when: When, words: Sequence[str], now: Days, names: frozenset[str]) -> bool:
    """True where the date is told as exactly as before."""
    assert when.year is not None
    if when.form == "day" and when.month and when.day:
        return (when.year, when.month, when.day) in now.days
    if when.form == "month" and when.month:
        month = (when.year, when.month)
        return month in now.months or any(
            (each.when.year, each.when.month) == month for each in now.years.get(when.year, ())
        )
    return has_year(when.year, words, now, names)


def rest_of(when: When, text: str, now: Iterable[Days]) -> str:
    """What is left of a date: its month or its year where NEW tells the same event so, and not in a note, whose years
    are those of a register or of another record."""
    assert when.year is not None
    if when.form not in ("day", "month"):
        return ""
    told = [each for days in now for each in days.years.get(when.year, ()) if not each.note and not each.when.day]
    left = {each.when.month if each.when.form == "month" else None for each in told if is_of(when, text, each)}
    if when.form == "day" and when.month in left and when.month:
        return f"{MONTHS[when.month - 1]} {when.year}"
    return str(when.year) if None in left else ""


def is_of(when: When, text: str, other: Told) -> bool:
    """True where two dates are of one event; of what the trade has no word for, where they share a word that tells."""
    one, two = event_of(text, when), event_of(other.text, other.when)
    if one or two:
        return one == two
    plain = (telling(word.casefold() for word in WORD.findall(each) if word.islower()) for each in (text, other.text))
    return not next(plain).isdisjoint(next(plain))


def event_of(text: str, when: When) -> str:
    """The event to which a date belongs: the last one told before it, or else the first after it; "" for none."""
    cues = [(match.start(), (match.lastgroup or "")[2:]) for match in CUES.finditer(text)]
    before = [event for start, event in cues if start < when.start]
    return before[-1] if before else cues[0][1] if cues else ""


def has_year(year: int, words: Sequence[str], now: Days, names: frozenset[str]) -> bool:
    """True where NEW has the year in a sentence about the same event, or with a telling word in common."""
    about = telling(words, names)
    there = (each.words for each in now.years.get(year, ()))
    return any(about & telling(other, names) or same_event(words, other) for other in there)


def telling(words: Iterable[str], names: frozenset[str] = frozenset()) -> set[str]:
    """The beginnings of the words that say what a sentence is about, so that 'splitter' and 'splitting' are one."""
    there = (word for word in words if len(word) >= RARE and word.isalpha())
    return {word[:5] for word in there if word not in COMMON and word not in names}


def same_event(one: Iterable[str], other: Iterable[str]) -> bool:
    """True where both tell of a birth, a marriage, a burial."""
    first, second = set(one), set(other)
    return any(event & first and event & second for event in EVENTS)


# -------------------------------------------------------------------------------------------------------------- marks


def lost_marks(at: int, old: Sequence[Passage], new: Sequence[Passage], found: Fates) -> list[Line]:
    """Sentences that stand word for word and for which a mark answered, but answers no longer."""
    pairs = ((each, found.verbatim.get((at, number))) for number, each in enumerate(old[at].lines))
    return [each for each, heir in pairs if heir and each.marked and not line(new, heir).marked]
