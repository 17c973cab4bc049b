"""The sources of a book: which notes cite the same one, who is told from it, and which notes may answer an uncited
claim.

All notes are gone through once, in the order of print. A shortened note goes to the source whose full form has all its
telling words; "ibid." to the source of the note before.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from storylint.draft.model import Note
from storylint.findings import Source
from storylint.study import dates
from storylint.study.apparatus import Apparatus, apparatus_of
from storylint.study.cited import (
    QUESTIONS,
    Citation,
    citations_in,
    has_page,
    is_unpaged,
    kinds_meant,
    names_in,
    singular,
)
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.words import NAME, PRONOUN

# A word that so many sources share says nothing about which of them is meant; it bounds the work as well.
_COMMON = 60


@dataclass(slots=True, eq=False)
class Known:
    """A source as all its citations together tell of it. ``core`` and ``head`` as in ``Citation``; ``full`` is the
    citation that answers most questions, ``at`` the place of that note among ``Notes.cited``."""

    place: int
    core: set[str]
    head: set[str]
    first: str
    full: Citation
    at: int
    answers: set[str] = field(default_factory=set)
    times: int = 0
    sections: dict[str, None] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class Cited:
    """One note with what it cites.

    ``sources`` has one entry a citation: None for a pointer that leads nowhere. ``short`` is True where a citation
    gives less than an earlier note gave of the same source, ``misfit`` says why an "ibid." can't mean the note before,
    ``twin`` is the earlier note with the very same words. ``at`` is its place among all notes of the book.
    """

    apparatus: Apparatus
    index: int
    at: int
    note: Note
    citations: tuple[Citation, ...]
    sources: list[Known | None] = field(default_factory=list)
    short: list[bool] = field(default_factory=list)
    misfit: str = ""
    twin: Note | None = None


@dataclass(slots=True)
class Notes:
    """All notes of a book in the order of print; ``of`` finds one by its draft's apparatus and its index."""

    cited: list[Cited]
    known: list[Known]
    of: dict[tuple[int, int], Cited]


def notes_of(book: Book) -> Notes:
    """The notes of the book and their sources, worked out once."""
    return book.once("notes", lambda: _Reading().read(apparatus_of(book), _sections_by_block(book)))


def cited_in(apparatus: Apparatus) -> dict[int, Cited]:
    """The notes of one draft by their index in ``Draft.notes``."""
    return {one.index: one for one in _Reading().read([apparatus], {}).cited}


def _sections_by_block(book: Book) -> dict[tuple[int, int], str]:
    """The id of the section in which each block with marks stands; "" for sections without a person."""
    return {
        (id(section.section.draft), block.index): section.section.id if section.section.person else ""
        for section in book.sections
        for block in [*([section.section.entry] if section.section.entry else []), *section.section.body]
        if block.marks
    }


def _words(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


class _Reading:
    """Goes through the notes in the order of print and gathers the sources."""

    def __init__(self) -> None:
        self.known: list[Known] = []
        self.by_word: dict[str, list[int]] = defaultdict(list)
        self.by_text: dict[str, Note] = {}
        self.by_number: dict[tuple[int, str], Cited] = {}  # the latest note of each number, draft by draft

    def read(self, drafts: Iterable[Apparatus], sections: dict[tuple[int, int], str]) -> Notes:
        cited: list[Cited] = []
        of: dict[tuple[int, int], Cited] = {}
        for apparatus in drafts:
            for index, note in enumerate(apparatus.draft.notes):
                one = Cited(apparatus, index, len(cited), note, citations_in(note.text))
                self._resolve(one, of)
                twin = self.by_text.setdefault(_words(note.text), note)
                one.twin = None if twin is note else twin
                self._count(one, sections)
                of[id(apparatus), index] = self.by_number[id(apparatus), note.number] = one
                cited.append(one)
        return Notes(cited, self.known, of)

    def _count(self, one: Cited, sections: dict[tuple[int, int], str]) -> None:
        calls = one.apparatus.by_note.get(one.index, [])
        for source in {id(source): source for source in one.sources if source}.values():
            source.times += len(calls)
            for call in calls:
                if section := sections.get((id(one.apparatus.draft), call.block.index)):
                    source.sections[section] = None

    def _resolve(self, one: Cited, of: dict[tuple[int, int], Cited]) -> None:
        for number, citation in enumerate(one.citations):
            source: Known | None
            if citation.points == "ibid":
                source = self._before(one, number, of)
                short = True
            elif citation.points:
                source = self._pointed(one, citation)
                short = True
            else:
                source, short = self._find_or_add(citation, one.at)
            one.sources.append(source)
            one.short.append(short)

    # --- pointers -----------------------------------------------------------------------------------------------

    def _before(self, one: Cited, number: int, of: dict[tuple[int, int], Cited]) -> Known | None:
        """The source that an "ibid." means: the one before it in its note, else that of the note before."""
        if number:
            return one.sources[number - 1]
        before = one.apparatus.before(one.index)
        earlier = of.get((id(one.apparatus), before)) if before is not None else None
        kinds = kinds_meant(one.note.text)
        meant = _meant(kinds, earlier.sources) if earlier else []
        one.misfit = _misfit(one, earlier, meant) or self._other_kind(kinds, earlier, meant)
        return earlier.sources[meant[0] if meant else -1] if earlier and earlier.sources else None

    def _other_kind(self, kinds: frozenset[str], earlier: Cited | None, meant: Sequence[int]) -> str:
        """Why a pointer that names a kind of record can't mean the note before: that has none, and an older note has."""
        there = frozenset(word for at in meant if earlier for word in _core(earlier.sources[at]))
        lacking = [word for word in sorted(kinds - there) if self.by_word[word] or self.by_word[f"{word}s"]]
        return f"it names a {lacking[0]}, and the note before it has none" if lacking else ""

    def _pointed(self, one: Cited, citation: Citation) -> Known | None:
        """The source of "cited above" or "note 12"."""
        if citation.to:
            target = self.by_number.get((id(one.apparatus), citation.to))
            fits: Iterable[Known | None] = target.sources if target else ()
        else:
            places = {place for word in citation.core for place in self.by_word[word][-_COMMON:]}
            fits = (self.known[place] for place in sorted(places, reverse=True))
            if (found := self._find(citation)) is not None:
                return found
        return next((known for known in fits if known and _shares(citation, known)), None)

    # --- sources ------------------------------------------------------------------------------------------------

    def _find_or_add(self, citation: Citation, at: int) -> tuple[Known | None, bool]:
        if not citation.core:
            return None, False
        source = self._find(citation)
        if source is None:
            source = Known(len(self.known), set(), set(), citation.core[0], citation, at)
            self.known.append(source)
            self._learn(source, citation)
            return source, False
        short = len(citation.answers) < len(source.full.answers)
        if len(citation.answers) > len(source.full.answers):
            source.full, source.at = citation, at
        self._learn(source, citation)
        return source, short

    def _learn(self, source: Known, citation: Citation) -> None:
        for word in citation.core:
            if word not in source.core:
                self.by_word[word].append(source.place)
        source.core.update(citation.core)
        source.head.update(citation.core[: citation.head])
        source.answers |= citation.answers

    def _find(self, citation: Citation) -> Known | None:
        """The earlier source whose telling words hold all of these, or are held by them, with the same opening."""
        core = set(citation.core)
        bare = len(core) == 1 and citation.answers.isdisjoint(("when", "where is")) and not citation.points
        if bare:  # "Ledger, fol. 14." is the one ledger of the notes before; "Certificate." could be any
            only = self.by_word[citation.core[0]]
            return self.known[only[0]] if len(only) == 1 and "where in" in citation.answers else None
        if not core:
            return None
        rarest = min(citation.core, key=lambda word: len(self.by_word[word]) or _COMMON)
        places = [place for word in {rarest, citation.core[0]} for place in self.by_word[word][-_COMMON:]]
        fits = [self.known[place] for place in sorted(set(places)) if _same(citation, core, self.known[place])]
        return min(fits, key=lambda known: len(core ^ known.core)) if fits else None


def _same(citation: Citation, core: set[str], known: Known) -> bool:
    if core == known.core:
        return citation.core[0] == known.first
    if core <= known.core:
        return citation.core[0] in known.head
    return known.core <= core and len(known.core) > 1 and known.first in citation.core[: citation.head]


def _shares(citation: Citation, known: Known) -> bool:
    """Whether a pointer's own words, if it has any, can mean this source: three in four of them are the source's."""
    return 4 * len(known.core & set(citation.core)) >= 3 * len(citation.core)


def _core(source: Known | None) -> frozenset[str]:
    """The words that say which source is meant, in the singular."""
    return singular(source.core) if source else frozenset()


def _meant(kinds: frozenset[str], sources: Sequence[Known | None]) -> list[int]:
    """Which sources a pointer that names a kind of record can mean: those with all of its words, or else with some."""
    found = [_core(source) for source in sources]
    whole = [at for at, core in enumerate(found) if kinds and kinds <= core]
    return whole or [at for at, core in enumerate(found) if kinds & core]


def _misfit(one: Cited, earlier: Cited | None, meant: Sequence[int]) -> str:
    """Why an "ibid." that opens a note can't stand where it stands, or "". ``meant`` are the citations of the note before
    that are of the kind it names ("the same manifest").

    "Ibid." refers to the single work in the note immediately before, and not to a note that cites several (Chicago
    Manual of Style, 17th ed., §14.34).
    """
    if earlier is None:
        return "no note stands before it"
    if not earlier.citations:
        return "the note before it names no source"
    if len(meant) != 1 and len({id(source) for source in earlier.sources}) > 1:
        return f"the note before it cites {len(earlier.citations)} sources"
    last = earlier.citations[meant[0] if meant else -1]
    if has_page(one.citations[0].text) and is_unpaged(last):
        return "it gives a page, and the source of the note before it has none"
    if _gap(earlier.note, one.note):
        return "the note that stood before it is gone from the list"
    if _moved(one, earlier):
        return "it was written after another note than the one that now stands before it"
    return ""


def _gap(before: Note, note: Note) -> bool:
    """Whether a number is missing between two notes of a typed list."""
    both = not note.live and before.number.isdecimal() and note.number.isdecimal()
    return both and int(note.number) > int(before.number) + 1


def _moved(one: Cited, earlier: Cited) -> bool:
    """Whether live notes that are written in one place (Markdown) stand there in another order than in print."""
    if not one.note.live or one.note.line is None or earlier.note.line is None:
        return False
    written = one.apparatus.lines
    at = bisect_left(written, one.note.line)
    return at > 0 and written[at - 1] != earlier.note.line


# --- the table of sources -----------------------------------------------------------------------------------------


def table(book: Book) -> tuple[Source, ...]:
    """The sources of the book, the most cited first."""
    rows = [_row(known) for known in notes_of(book).known if known.times]
    return tuple(sorted(rows, key=lambda row: -row.times))


def _row(known: Known) -> Source:
    return Source(
        title=known.full.title,
        kind=known.full.kind,
        times=known.times,
        sections=tuple(known.sections),
        missing=tuple(question for question in QUESTIONS if question not in known.answers),
        weak=known.full.weak,
    )


# --- notes that may answer a claim --------------------------------------------------------------------------------

_MOST_OFFERS = 3
_LONGEST_OFFER = 160  # characters
# A note that no mark calls has lost its sentence: it is the first to try. Points beside the logarithms of rarity.
_LOST = 3.0
_SAME_DAY, _SAME_YEAR = 6.0, 1.5


@dataclass(slots=True)
class _Index:
    """The names and dates of all notes, save the common ones: for each the notes that have it, and how much it tells."""

    texts: list[str]
    lost: list[bool]
    of_word: dict[str, list[int]]
    tells: dict[str, float] = field(default_factory=dict)

    def weight(self, word: str) -> float:
        """How much a word tells: its rarity among the notes; days and years tell more than names."""
        if word not in self.tells:
            rarity = math.log2(1 + len(self.texts) / len(self.of_word[word])) / 2
            self.tells[word] = rarity + (_SAME_DAY if _is_day(word) else _SAME_YEAR if word.isdigit() else 0.0)
        return self.tells[word]


@dataclass(frozen=True, slots=True)
class Offer:
    """A note that may answer a claim; ``sure`` where it has the claim's very day, or has lost its own sentence."""

    text: str
    sure: bool


def offers(book: Book, section: StudiedSection, sentence: Sentence) -> list[Offer]:
    """Notes of the book that name the person, date or place of an uncited sentence, best first, at most three.

    A note is offered if it has the day of the sentence, or its year with a name, or two of its names; where the
    sentence says he or she, the section's person is one of them.
    """
    index = book.once("offers", lambda: _index_of(book))
    if not index.of_word:
        return []
    own, meant = _clues(section, sentence)
    words = sorted((own | meant) & index.of_word.keys())
    if not words or (len(words) == 1 and not _is_day(words[0])):  # as most have
        return []
    clues = {word: index.of_word[word] for word in words}
    days = {at for word, notes in clues.items() if _is_day(word) for at in notes}
    fit = (days | _named(clues)) & {at for word, notes in clues.items() if word in own for at in notes}
    score = dict.fromkeys(fit, 0.0)
    for word, notes in clues.items() if fit else ():
        for at in fit.intersection(notes):
            score[at] += index.weight(word)
    best = sorted(fit, key=lambda at: (-score[at] - _LOST * index.lost[at], at))[:_MOST_OFFERS]
    return [Offer(index.texts[at], index.lost[at] or at in days) for at in best]


def _named(clues: dict[str, list[int]]) -> set[int]:
    """The notes that have two names of these clues, or one with a year."""
    names: set[int] = set()
    years: set[int] = set()
    two: set[int] = set()
    for word, notes in clues.items():
        if word.isdigit():
            years.update(notes)
        elif not _is_day(word):
            two |= names.intersection(notes)
            names.update(notes)
    return two | (names & years)


def _is_day(word: str) -> bool:
    return word[0].isdigit() and word.count("-") == 2


def _clues(section: StudiedSection, sentence: Sentence) -> tuple[set[str], set[str]]:
    """The names, places, days and years of a sentence, and the name that its he or she stands for."""
    tagged = zip(sentence.tokens, sentence.tags, strict=True)
    names = {word.lower().removesuffix("'s").removesuffix("’s") for word, tag in tagged if tag == NAME}
    person = section.section.person if PRONOUN in sentence.tags else None
    return names | set(_days(sentence.text)), set((person or "").lower().split())


_FOUR_FIGURES = re.compile(r"\d\d\d\d")


def _days(text: str) -> Iterator[str]:
    if not _FOUR_FIGURES.search(text) and "century" not in text:
        return  # no date has a year of its own, and there is none before on which it could lean
    for when in dates.find(text):
        if when.year:
            yield str(when.year)
            if when.month and when.day:
                yield f"{when.year}-{when.month}-{when.day}"


def _index_of(book: Book) -> _Index:
    index = _Index([], [], defaultdict(list))
    several = len(apparatus_of(book)) > 1
    for one in notes_of(book).cited:
        if one.citations and not all(citation.weak or citation.points for citation in one.citations):
            words = {name.lower() for name in names_in(one.note.text)} | set(_days(one.note.text))
            for word in words:
                index.of_word[word].append(len(index.texts))
            index.texts.append(_shown(one, several))
            index.lost.append(one.index not in one.apparatus.by_note)
    index.of_word = {word: notes for word, notes in index.of_word.items() if len(notes) <= _COMMON}
    return index


def _shown(one: Cited, several: bool) -> str:
    text = re.sub(r"\s+", " ", one.note.text)
    text = text if len(text) <= _LONGEST_OFFER else text[: _LONGEST_OFFER - 1].rsplit(" ", 1)[0] + "…"
    file = f" of {Path(one.apparatus.draft.path).name}" if several else ""
    return f"note {one.note.number}{file}: {text}"
