"""What of a section decides which events fit it: years, places, words and facets of the life.

The years are those that the draft states (``study.facts``). Where it states none they are those of ``study.life``, held
against the years that the family's own sentences name: a birth or a death that these contradict was some other
person's."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from storylint.study.ages import AGE, age_of
from storylint.study.events import Heads, roots
from storylint.study.facts import facts_of
from storylint.study.life import LIFESPAN, life, years
from storylint.study.places import Run, of_family, places_of
from storylint.study.study import Book, StudiedSection
from storylint.study.words import WORK

OFTEN = 3  # sections that must use a word before it belongs to the book
LONGEST = 100  # years after the birth or first date up to which a year may still be the person's own
CHILDHOOD, USUAL = 16, 70  # a life told for fewer years than the first is taken to have lasted the second
AFTER_DEATH = 1  # a year of the family after the death may be the burial's or the probate's
MORE_THAN_A_GUESS = 0.5  # from so sure on, that somebody was in a region in a year; ours, no source
HE, SHE = frozenset(("he", "his", "him")), frozenset(("she", "her", "hers"))


@dataclass(frozen=True, slots=True)
class Span:
    """Years of birth and death where they are known, and the first and last year of the told life. ``dead`` is True
    where the draft says so in as many words; a death that was only made out does not count."""

    birth: int | None
    death: int | None
    start: int
    end: int
    dead: bool = False


@dataclass(frozen=True, slots=True)
class Frame:
    """``presence`` maps a region to the years there; ``places`` a place's name to its regions; ``regions`` are those of
    the section, ``native`` those of the birth, ``family`` also those that the book names often, each with its country;
    ``words`` are in small letters; ``roots`` the beginnings of the longer ones. Of ``presence`` counts what is at least so
    sure: more than a guess, where the section gives more than guesses."""

    span: Span
    presence: dict[str, list[Run]]
    places: Mapping[str, Set[str]] = field(default_factory=dict)
    words: Collection[str] = ()
    facets: frozenset[str] = frozenset()
    regions: frozenset[str] = frozenset()
    family: frozenset[str] = frozenset()
    native: frozenset[str] = frozenset()
    woman: bool = False
    roots: frozenset[str] = frozenset()
    least: float = 0.0


def frame_of(section: StudiedSection, book: Book) -> Frame:
    """The section's frame, worked out once."""
    name = f"frame {id(section)}"
    return book.once(name, lambda: make_frame(section, book))


def make_frame(section: StudiedSection, book: Book) -> Frame:
    """Gather what decides which events fit."""
    own = span(section, book)
    gazetteer = places_of(book)
    presence = gazetteer.presence(section, own.start, own.end)
    every = [word for sentence in section.sentences for word in sentence.lower]
    written = set().union(*(sentence.tokens for sentence in section.sentences))
    words = set(every) - {word.lower() for word in written if word in book.people}
    begun = facet_heads().of(words)
    facets = {facet for facet, heads in facet_words().items() if not begun.isdisjoint(heads)}
    facets |= {"work"} if any(WORK in sentence.tags for sentence in section.sentences) else set()
    facets |= {"move"} if len({region[:2] for region in presence}) > 1 else set()
    return Frame(
        own,
        presence,
        places=gazetteer.names(section),
        words=words,
        facets=frozenset(facets),
        regions=frozenset(presence),
        native=frozenset(gazetteer.regions_of(section, own.birth)),
        family=frozenset(part for region in gazetteer.family(section) for part in (region, region[:2])),
        woman=sum(map(SHE.__contains__, every)) > sum(map(HE.__contains__, every)),
        roots=roots(" ".join(words)),
        least=min(MORE_THAN_A_GUESS, max((run.sure for runs in presence.values() for run in runs), default=0.0)),
    )


def span(section: StudiedSection, book: Book) -> Span:
    """The years of the life: what a heading or a sentence says of birth and death, else what ``study.life`` makes out;
    for a section without a year those of the person before."""
    title, own = LIFESPAN.search(section.section.title), life(section, book)
    dated = ((sentence, years(sentence.text)) for sentence in section.sentences)
    told = [year for sentence, found in dated if found and of_family(sentence, book.people) for year in found]
    birth = int(title.group(1)) if title else opening_year(section, "born") or said(section, book, "birth", "baptism")
    death = int(title.group(2)) if title and title.group(2) else said(section, book, "death", "burial")
    death = death if death is not None else opening_year(section, "died")
    dead = death is not None
    if birth is None and death is not None:
        birth = born_by_age(section, death)
    if birth is None and own.birth is not None and sum(year < own.birth - 1 for year in told) < 2:
        birth = own.birth
    if death is None and own.death not in (None, birth) and sum(own.death + AFTER_DEATH < year for year in told) < 2:
        death = own.death
    if birth is None and death is None and not told:
        return years_near(section, book)
    start = birth if birth is not None else first_of(told, death)
    within = [year for year in told if start <= year <= start + LONGEST]
    end = death if death is not None else max(within, default=start)
    if death is None and end < start + CHILDHOOD:
        end = max(end, min(start + USUAL, last_year(book)))
    elif birth is None and end < start + CHILDHOOD:
        start = end - USUAL
    return Span(birth, death, start, max(start, end), dead)


DIED_AGED = re.compile(r"(?:^|^[Hh]e |^[Ss]he |[;,] (?:and )?)[Dd]ied\b[^;]{0,120}(?:; aged[^;]{0,40})?")
OF_ANOTHER = re.compile(r"\b(?:married|m\.|wife|husband|widow|who|whose|she|he|where)\b|[.;] ?[A-Z][a-z]{2,} [A-Z]")


def opening_year(section: StudiedSection, verb: str) -> int | None:
    """The year of the birth or the death where the entry opens with it and leaves out the name: 'A housewright, born in
    Boston, in 1745, died in 1806', nobody else being named before."""
    first = next(section.sentences, None)
    if first is None or section.section.person is None:
        return None
    match = re.search(rf"\b{verb}\b[^;:]{{0,80}}", first.text, re.IGNORECASE)
    if match is None or OF_ANOTHER.search(first.text, 0, match.start()):
        return None
    return next(iter(years(match.group(0))), None)


def born_by_age(section: StudiedSection, death: int) -> int | None:
    """The year of birth from the age at death, where the sentence that gives the year of death begins with it: 'He died
    here in January, 1797, at the age of forty-five'."""
    for sentence in section.sentences:
        match = DIED_AGED.search(sentence.text) if str(death) in sentence.text else None
        age = age_of(aged) if match and (aged := AGE.search(match.group(0))) else None
        if age is not None and age[2].years is not None:
            return death - age[2].years
    return None


def last_year(book: Book) -> int:
    """The latest year but two that the prose of the book's persons names: nobody's life is told beyond it. The last
    two may be slips of the pen."""

    def work_out() -> int:
        persons = (each for each in book.sections if each.section.person)
        every = sorted(year for each in persons for s in each.sentences for year in years(s.text))
        return every[-3:][0] if every else 0

    return book.once("last year", work_out)


def said(section: StudiedSection, book: Book, *events: str) -> int | None:
    """The year that the section gives for certain for the first of these events of its person."""
    person = facts_of(book).person(section)
    dates = [said.when for event in events for said in (person.of(event) if person else ())]
    return next((when.year for when in dates if when is not None and when.year is not None), None)


def first_of(told: Sequence[int], death: int | None) -> int:
    """The first year of a life of unknown birth: of the hundred years before the death, or of those with most dates."""
    if death is not None:
        return min([death, *(year for year in told if death - LONGEST <= year <= death)])
    ranked = sorted(told)
    return max(ranked, key=lambda first: bisect_right(ranked, first + LONGEST) - bisect_left(ranked, first))


def years_near(section: StudiedSection, book: Book) -> Span:
    """The years of the nearest person before who has some, for want of a better guess; else those of the whole book."""
    before = dated_before(book)[id(section)]
    if before is not None:
        near = span(before, book)
        return Span(None, None, near.start, near.end)
    return book.once("all years", lambda: all_years(book))


def all_years(book: Book) -> Span:
    """From the first to the last year that the book's prose names."""
    told = [year for sentence in book.sentences for year in years(sentence.text)]
    return Span(None, None, min(told, default=0), max(told, default=0))


def dated_before(book: Book) -> dict[int, StudiedSection | None]:
    """Section, by its id in memory → the nearest person's section before it with a year; worked out once a book."""

    def work_out() -> dict[int, StudiedSection | None]:
        last: StudiedSection | None = None
        before: dict[int, StudiedSection | None] = {}
        for each in book.sections:
            before[id(each)] = last
            last = each if each.section.person and dated(each) else last
        return before

    return book.once("dated before", work_out)


def dated(section: StudiedSection) -> bool:
    """True when the section's prose has a year."""
    return any(years(sentence.text) for sentence in section.sentences)


def book_words(book: Book) -> list[str]:
    """The words that at least three sections use, and a tenth of them."""
    counts: Counter[str] = Counter()
    for section in book.sections:
        counts.update(set().union(*(sentence.lower for sentence in section.sentences)))
    least = max(OFTEN, len(book.sections) // 10)
    return [word for word, count in counts.items() if count >= least]


@cache
def facet_words() -> dict[str, tuple[str, ...]]:
    """Facet of life → the beginnings of words that show it, from ``facets.toml``."""
    table = tomllib.loads((files("storylint.study") / "facets.toml").read_text(encoding="utf-8"))
    return {facet: tuple(words.split()) for facet, words in table["facets"].items()}


@cache
def facet_heads() -> Heads:
    """The beginnings of words for all facets."""
    return Heads(head for heads in facet_words().values() for head in heads)
