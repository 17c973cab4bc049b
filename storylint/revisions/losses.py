"""What OLD had and NEW has no longer: dated facts with their sentences, and marks.

A date counts as kept where NEW's prose has it with the same person: the same day anywhere in her text or headings; the
same year only in a sentence that has something else in common with the old one, because a year comes often. A note
answers for what the prose says, and doesn't say it: nearly every date stands in its own certificate's note, too. Words
can say a date without figures ("twelve days later"), and that can't be seen here: so a loss is a place to look, no
verdict.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from storylint.draft.model import Note
from storylint.draft.names import forename, spoken
from storylint.revisions.fates import Fates, line
from storylint.revisions.passages import WORD, Line, Passage, words_of
from storylint.revisions.people import Named, Roll, Words, event_of, names_in, whole_name
from storylint.study.dates import MONTHS, When, find
from storylint.study.lexicon import OTHER_KIN, PARENT, SIBLING, SPOUSE
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


SHARED = frozenset({"marriage", "divorce", "census"})  # what happens to several, and is told with any of them
KIN = frozenset((*SPOUSE, *PARENT, *SIBLING, *OTHER_KIN, "parents", "son", "sons", "daughter", "daughters"))

Day = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Fact:
    """A date of OLD that NEW lacks: as it was written, its sentence, and what is ``left`` of it ("" for nothing, else
    the less exact date)."""

    date: str
    sentence: str
    left: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """A date as a text of NEW has it; ``note`` is the number of the note whose text it is, "" for prose."""

    when: When
    text: str
    words: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Days:
    """The dates told of a person in NEW: days, months told without a day, years with all their dates; and those of her
    notes by their years."""

    days: frozenset[Day]
    months: frozenset[tuple[int, int]]
    years: Mapping[int, Sequence[Told]]
    noted: Mapping[int, Sequence[Told]]


@dataclass
class Memory:
    """Where in NEW the dates of OLD are looked for; every passage's are read once."""

    old: Roll
    new: Roll
    read: dict[int, Days] = field(default_factory=dict)
    listed: dict[int, Days] = field(default_factory=dict)  # the entries of lists of children, by id
    lists: Mapping[str, frozenset[int]] = field(default_factory=dict)  # file of NEW → blocks of its lists of sources
    described: frozenset[Words] = frozenset()  # what NEW's pictures are described by, which some formats caption
    anywhere: dict[Day, list[Told]] = field(default_factory=dict)  # all days of NEW's prose, once they are asked for

    @cached_property
    def before(self) -> frozenset[Words]:
        """The sentences of OLD."""
        return frozenset(each.words for passage in self.old.book for each in passage.lines)

    def days(self, at: int) -> Days:
        """The dates of a passage of NEW."""
        if at not in self.read:
            passage = self.new.book[at]
            lists = self.lists.get(passage.section.path, frozenset())
            told = [*passage.headings, *(each.text for each in passage.lines if each.block not in lists)]
            self.read[at] = days_of(told, passage.notes)
        return self.read[at]

    def is_told_elsewhere(self, when: When, at: int, line: Line) -> bool:
        """True where any section of NEW tells the same event of the same day and names somebody or a place that the
        sentence names: his wedding, now told with his daughter. Of what happens to one alone a text that names only
        others tells nothing: a cousin may be born on the same day, and a twin is."""
        text = line.text
        event = event_of(text, when)
        if not (event and when.form == "day" and when.year and when.month and when.day):
            return False
        if not self.anywhere:
            every = (self.days(at) for at in range(len(self.new.book)))
            for told in (each for days in every for year in days.years.values() for each in year):
                if (day := day_of(told.when)) is not None:
                    self.anywhere.setdefault(day, []).append(told)
        named, own = capitals(text), {name[0] for name in self.named(at, line)}
        there = self.anywhere.get((when.year, when.month, when.day), ())
        same = (each for each in there if is_of(when, text, each) and named & capitals(each.text))
        return any(event in SHARED or not is_of_others(each.text, own) for each in same)

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


def day_of(when: When) -> Day | None:
    """A date's year, month and day; None for a less exact one."""
    return (when.year, when.month, when.day) if when.year and when.month and when.day else None


def days_of(texts: Iterable[str], notes: Iterable[Note] = ()) -> Days:
    """All dates of several texts and of their notes; one without its year leans on the date before it."""
    days: set[Day] = set()
    months: set[tuple[int, int]] = set()
    told = by_year((text, "") for text in texts)
    for when in (each.when for year in told.values() for each in year):
        if (day := day_of(when)) is not None:
            days.add(day)
        elif when.form == "month" and when.month and when.year:
            months.add((when.year, when.month))
    return Days(frozenset(days), frozenset(months), told, by_year((note.text, note.number) for note in notes))


def by_year(texts: Iterable[tuple[str, str]]) -> dict[int, list[Told]]:
    """The dates of several texts, given with the note's number, by their years."""
    years: dict[int, list[Told]] = defaultdict(list)
    before: When | None = None
    for text, note in texts:
        words: tuple[str, ...] = ()
        for when in dates_of(text, before):
            assert when.year is not None
            words = words or words_of(text)
            years[when.year].append(Told(when, text, words, note))
            before = when
    return years


def lost_facts(gone: Mapping[Line, str], at: int, homes: Iterable[int], memory: Memory) -> list[Fact]:
    """The dates of these sentences of passage ``at`` of OLD that are no longer told, each once; with each what it was
    rewritten to, "" for nothing. ``homes`` are the passages of NEW into which it went."""
    names = frozenset(words_of(memory.old.book[at].name))  # words that link nothing
    found: dict[Fact, None] = {}
    for each, heir in gone.items():
        if each.words in memory.described:
            continue
        dates = [when for when in dates_of(each.text) if when.given and when.form not in ("decade", "century")]
        now = memory.places(at, each, homes) if dates else []
        told: When | None = None  # the range that was lost with its beginning
        for when in dates:
            if slip := slip_of(when, each.text, heir):
                found[Fact(when.words, each.text, slip)] = None
                continue
            if any(is_kept(when, each, days, names, memory.before) for days in now) or memory.is_told_elsewhere(
                when, at, each
            ):
                continue
            if told is None or when is not told.last:
                left = rest_of(when, each.text, now) or noted(when, each, now, names)
                found[Fact(when.words, each.text, left)] = None
            told = when
    return list(found)


def slip_of(when: When, text: str, heir: str) -> str:
    """The date to which a rewritten sentence moved an event where one part of its day is another, or one figure of its
    year or two in another order, as a slip of the keys leaves it ('1815' for '1851'), whatever other sections tell; ""
    where it did not."""
    now = dates_of(heir) if heir else []
    if not now or not event_of(text, when) or address(when) in map(address, now):
        return ""
    before = {address(each) for each in dates_of(text)}
    fresh = (each for each in now if address(each) not in before and is_slip(address(when), address(each)))
    return next((each.words for each in fresh if event_of(heir, each) == event_of(text, when)), "")


def address(when: When) -> tuple[int | None, ...]:
    """A day's year, month and day, or a year alone; () for another date."""
    return day_of(when) or ((when.year,) if when.form == "year" else ())


def is_slip(one: Sequence[int | None], other: Sequence[int | None]) -> bool:
    """True for two days with two of their three parts in common, and for two years with the same figures or all but one."""
    if len(one) != len(other) or not one:
        return False
    if len(one) == 1:
        figures = str(one[0]), str(other[0])
        return sorted(figures[0]) == sorted(figures[1]) or sum(a != b for a, b in zip(*figures, strict=False)) == 1
    return sum(a == b for a, b in zip(one, other, strict=True)) == 2


def is_kept(when: When, of: Line, now: Days, names: frozenset[str], before: Collection[Words]) -> bool:
    """True where the date is told as exactly as before."""
    assert when.year is not None
    if when.form == "day" and when.month and when.day:
        return (when.year, when.month, when.day) in now.days
    if when.form == "month" and when.month:
        month = (when.year, when.month)
        return month in now.months or any(
            (each.when.year, each.when.month) == month for each in now.years.get(when.year, ())
        )
    return has_year(when, of, now.years.get(when.year, ()), names, before)


def noted(when: When, of: Line, now: Iterable[Days], names: frozenset[str]) -> str:
    """'in note 12' where a note of NEW still has the date; "" for none."""
    assert when.year is not None
    for each in (told for days in now for told in days.noted.get(when.year, ())):
        same = (each.when.month, each.when.day) == (when.month, when.day)
        if same and (when.form in ("day", "month") or has_year(when, of, [each], names, ())):
            return f"in note {each.note}"
    return ""


def rest_of(when: When, text: str, now: Iterable[Days]) -> str:
    """What is left of a date: its month or its year where NEW's prose tells the same event so."""
    assert when.year is not None
    if when.form not in ("day", "month"):
        return ""
    told = [each for days in now for each in days.years.get(when.year, ()) if not each.when.day]
    left = {each.when.month if each.when.form == "month" else None for each in told if is_of(when, text, each)}
    if when.form == "day" and when.month in left and when.month:
        return f"{MONTHS[when.month - 1]} {when.year}"
    return str(when.year) if None in left else ""


def is_of(when: When, text: str, other: Told) -> bool:
    """True where two dates are of one event; of what the trade has no word for, where they share a word that tells."""
    one, two = event_of(text, when), event_of(other.text, other.when)
    return one == two if one or two else share_a_word(text, other.text)


def share_a_word(one: str, other: str) -> bool:
    """True where two sentences share a word that tells and is no name."""
    plain = (telling(word.casefold() for word in WORD.findall(each) if word.islower()) for each in (one, other))
    return not next(plain).isdisjoint(next(plain))


def has_year(when: When, of: Line, told: Iterable[Told], names: frozenset[str], before: Collection[Words]) -> bool:
    """True where NEW has the year in a sentence about the same event, or with a telling word in common. A place in
    common is too little in a sentence that stood in OLD too: the census of the year of her wedding is not the wedding."""
    about = telling(of.words, names)
    likely = [each for each in told if about & telling(each.words, names) or same_event(of.words, each.words)]
    return any(
        each.words not in before or same_event(of.words, each.words) or is_like(when, of, each) for each in likely
    )


def is_like(when: When, of: Line, other: Told) -> bool:
    """True where two sentences with one year are about one event, or share a word that is no name."""
    return is_of(when, of.text, other) or share_a_word(of.text, other.text)


def is_of_others(text: str, own: Collection[str]) -> bool:
    """True for a text that names people, but nobody with these forenames, and tells of nobody's kin."""
    words = WORD.findall(text)
    named = {spoken(word) for word in words if word[0].isupper() and forename(word)}
    return bool(named) and named.isdisjoint(own) and KIN.isdisjoint(words)


def capitals(text: str) -> set[str]:
    """The names of persons and places in a sentence."""
    words = (word for word in WORD.findall(text) if word[0].isupper() and len(word) >= RARE)
    return {word for word in words if word.casefold() not in COMMON}


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
