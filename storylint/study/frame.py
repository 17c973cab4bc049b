"""What of a section decides which events fit it: years, places, words and facets of the life.

The years are those of ``study.life``, held against the years that the family's own sentences name: a birth or a death
that these contradict was some other person's.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from storylint.study.events import begins, roots
from storylint.study.life import LIFESPAN, SPAN_MOST, life, years
from storylint.study.places import Run, of_family, places_of
from storylint.study.study import Book, StudiedSection
from storylint.study.words import WORK

OFTEN = 3  # sections that must use a word before it belongs to the book
LONGEST = 100  # years after the birth or first date up to which a year may still be the person's own
CHILDHOOD, USUAL = 16, 70  # a life told for fewer years than the first, with no death, is taken to last the second
AFTER_DEATH = 1  # a year of the family after the death may be the burial's or the probate's
HE, SHE = frozenset(("he", "his", "him")), frozenset(("she", "her", "hers"))


@dataclass(frozen=True, slots=True)
class Span:
    """Years of birth and death where they are known, and the first and last year of the told life."""

    birth: int | None
    death: int | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Frame:
    """``presence`` maps a region to the years there; ``regions`` are those of the section, ``family`` also those that
    the book names often; ``words`` are sorted, in small letters; ``roots`` the beginnings of the longer ones."""

    span: Span
    presence: dict[str, list[Run]]
    places: frozenset[str] = frozenset()
    words: Sequence[str] = ()
    book_words: Sequence[str] = ()
    facets: frozenset[str] = frozenset()
    regions: frozenset[str] = frozenset()
    family: frozenset[str] = frozenset()
    woman: bool = False
    roots: frozenset[str] = frozenset()


def frame_of(section: StudiedSection, book: Book) -> Frame:
    """The section's frame, worked out once."""
    name = f"frame {id(section)}"
    if name not in book.memo:
        book.memo[name] = make_frame(section, book)
    found = book.memo[name]
    assert isinstance(found, Frame)
    return found


def make_frame(section: StudiedSection, book: Book) -> Frame:
    """Gather what decides which events fit."""
    own = span(section, book)
    gazetteer = places_of(book)
    presence = gazetteer.presence(section, own.start, own.end)
    every = [word for sentence in section.sentences for word in sentence.lower]
    words = sorted(set(every))
    facets = {facet for facet, heads in facet_words().items() if any(begins(words, head) for head in heads)}
    facets |= {"work"} if any(WORK in sentence.tags for sentence in section.sentences) else set()
    facets |= {"move"} if len({region[:2] for region in presence}) > 1 else set()
    return Frame(
        own,
        presence,
        places=gazetteer.names(section),
        words=words,
        book_words=book_words(book),
        facets=frozenset(facets),
        regions=frozenset(presence),
        family=gazetteer.family(section),
        woman=sum(word in SHE for word in every) > sum(word in HE for word in every),
        roots=roots(" ".join(words)),
    )


def span(section: StudiedSection, book: Book) -> Span:
    """The years of the life; for a section without a year those of the whole book."""
    own, title = life(section, book), LIFESPAN.search(section.section.title)
    birth = int(title.group(1)) if title else own.birth
    death = int(title.group(2)) if title and title.group(2) else own.death
    told = [year for sentence in section.sentences if of_family(sentence, book.people) for year in years(sentence.text)]
    if birth is not None and sum(year < birth - 1 for year in told) > 1:
        birth = None
    if death is not None and (death == birth or sum(0 < year - death - AFTER_DEATH < SPAN_MOST for year in told) > 1):
        death = None
    if birth is None and death is None and not told:
        return Span(None, None, *years_of(book))
    start = birth if birth is not None else min([*told, *([death] if death is not None else [])])
    end = (
        death if death is not None else max((year for year in told if start <= year <= start + LONGEST), default=start)
    )
    if death is None and end < start + CHILDHOOD:
        end = start + USUAL
    return Span(birth, death, start, max(start, end))


def years_of(book: Book) -> tuple[int, int]:
    """First and last year of the whole book."""
    if "years" not in book.memo:
        told = [year for sentence in book.sentences for year in years(sentence.text)]
        book.memo["years"] = (min(told, default=0), max(told, default=0))
    found = book.memo["years"]
    assert isinstance(found, tuple)
    return found


def book_words(book: Book) -> list[str]:
    """The words that at least three sections use, and a tenth of them, sorted."""
    if "book words" not in book.memo:
        counts: Counter[str] = Counter()
        for section in book.sections:
            counts.update({word for sentence in section.sentences for word in sentence.lower})
        least = max(OFTEN, len(book.sections) // 10)
        book.memo["book words"] = sorted(word for word, count in counts.items() if count >= least)
    found = book.memo["book words"]
    assert isinstance(found, list)
    return found


@cache
def facet_words() -> dict[str, tuple[str, ...]]:
    """Facet of life → the beginnings of words that show it, from ``facets.toml``."""
    table = tomllib.loads((files("storylint.study") / "facets.toml").read_text(encoding="utf-8"))
    return {facet: tuple(words.split()) for facet, words in table["facets"].items()}
