"""Which notes of OLD, and which of its sources, NEW has no longer.

NEW names its sources in its notes, in lists of sources, and in brackets in the text; "Ibid." names the source of the
note before it.

A note is looked for twice: as a bag of words, since it may have been reworded anyhow; and citation by citation, by the
words that say which source is meant, since notes are joined to one, put in another order, and cited more exactly.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator

from storylint.draft.model import Kind, Note
from storylint.findings import DraftReading, Reading
from storylint.revisions.passages import words_of
from storylint.revisions.people import Roll
from storylint.study.cited import Citation, citations_in, is_remark, known_by, leans
from storylint.study.dates import MONTHS, find

# Proposed for this tool, no source; tried on the demonstration book.
SAME_NOTE = 0.6  # share of a note, by weight of words, from which another note has what it cites
SAME_SOURCE = 0.7  # share of a note's own words, numbers left out, from which its source is still named elsewhere
LEAST = 0.1  # weight of a word that every note has
SHORT = 3  # words below which a note tells of no source that could be known again elsewhere

# The heading of a list of sources.
SOURCES = re.compile(
    r"(?:\S+ ){0,4}(?:bibliography|sources|references|works|further reading|authorities)"
    r"(?: (?:cited|consulted|used|quoted|and (?:\S+ ?){1,3}))?[\s.:]*",
    re.IGNORECASE,
)
NUMBER = re.compile(r"\d+")
BRACKETS = re.compile(r"\(((?:[^()]|\([^()]{0,200}\)){6,600})\)")


class Shelf:
    """The notes of NEW, to look an old one up. ``listed`` are entries of its lists of sources that OLD's had, too: they
    still name a source, but are what no note has become. A word weighs the more, the fewer notes of both books have it: what
    tells one certificate from the next is the name and the number in it. ``people`` are the words of the names of both
    books' people: behind the source they say whose entry is meant."""

    def __init__(
        self,
        old: Iterable[str],
        new: Iterable[str],
        people: frozenset[str] = frozenset(),
        listed: Iterable[str] = (),
    ) -> None:
        old = list(map(settled, old))
        own = dict.fromkeys(map(settled, new))
        self.own = len(own)  # how many may be what became of a note
        self.texts = list(own | dict.fromkeys(map(settled, listed)))
        self.notes = [frozenset(words_of(text)) for text in self.texts]
        self.numbers = list(map(numbers_in, self.notes))
        self.unnoted: frozenset[frozenset[str]] = frozenset()  # of what stands in brackets or newly in a list
        self.cores: dict[int, frozenset[str]] = {}
        self.people = people
        self.as_they_were = frozenset(self.notes[: self.own])
        every = [*self.notes, *(frozenset(words_of(text)) for text in dict.fromkeys(old))]
        seen = Counter(word for words in every for word in words)
        self.weights = {word: max(LEAST, math.log(len(every) / count)) for word, count in seen.items()}
        self.holders: dict[str, list[int]] = defaultdict(list)
        for at, words in enumerate(self.notes):
            for word in words:
                self.holders[word].append(at)

    def near(self, words: Iterable[str]) -> Iterator[int]:
        """Notes that share the rarer of these words."""
        rare = sorted((word for word in words if word in self.holders), key=lambda word: (-self.weights[word], word))
        return iter(sorted({at for word in rare[:4] for at in self.holders[word][:50]}))

    def near_notes(self, words: Iterable[str], short: bool) -> Iterator[int]:
        """Those of them that may be what became of a note; any for one that is now ``short`` for an entry of a list."""
        return (at for at in self.near(words) if short or at < self.own)

    def weight(self, words: Iterable[str]) -> float:
        """What the words weigh together."""
        return sum(self.weights.get(word, LEAST) for word in words)

    def has_note(self, text: str, short: bool = False) -> bool:
        """True where a note has most of this one and of its numbers, or where each of its citations stands in one.
        ``short``: what is left of it where it stood is the short form of an entry."""
        text = settled(text)
        words = frozenset(words_of(text))
        if words in self.as_they_were:
            return True
        enough, numbers = SAME_NOTE * self.weight(words), numbers_in(words)
        for at in self.near_notes(words, short):
            if self.weight(words & self.notes[at]) >= enough and self.has_numbers(numbers, at):
                return True
        return all_of(text, lambda citation: self.has_citation(citation, short))

    def has_source(self, text: str) -> bool:
        """True where a note still names the source, whatever page or number it gives."""
        text = settled(text)
        words = frozenset(word for word in words_of(text) if word.isalpha() and len(word) > 2)
        enough = SAME_SOURCE * self.weight(words)
        if not words or any(self.weight(words & self.notes[at]) >= enough for at in self.near(words)):
            return True
        return all_of(text, lambda citation: any(self.cites(at, citation) for at in self.near(citation.core)))

    def has_citation(self, citation: Citation, short: bool) -> bool:
        """True where a note cites the same source with most of the numbers."""
        words = frozenset(words_of(citation.text))
        numbers = numbers_in(words)
        return any(self.has_numbers(numbers, at) and self.cites(at, citation) for at in self.near_notes(words, short))

    def has_numbers(self, numbers: set[str], at: int) -> bool:
        """True where a note of NEW has most of these numbers."""
        return not numbers or 2 * len(numbers & self.numbers[at]) > len(numbers)

    def cites(self, at: int, citation: Citation) -> bool:
        """True where a note of NEW names the source of a citation: most of its proper names and of its words for
        records, and the year of its census or the day of its letter."""
        core, (names, kinds, days) = self.core(at), known_by(citation)
        names -= self.people - set(citation.core[: citation.head])
        if not names or not days <= core or 2 * len(kinds & core) < len(kinds) + bool(kinds):
            return False
        return self.weight(names & core) >= SAME_SOURCE * self.weight(names)

    def core(self, at: int) -> frozenset[str]:
        """The words by which the sources of a note of NEW are known."""
        if at not in self.cores:
            cited = citations_in(self.texts[at])
            self.cores[at] = frozenset(word for citation in cited for word in citation.core)
        return self.cores[at]


def numbers_in(words: Iterable[str]) -> set[str]:
    """The numbers among the words, also those of a call number such as 'E421', 'f5' or '11b'."""
    return {number for word in words for number in NUMBER.findall(word)}


def all_of(text: str, holds: Callable[[Citation], bool]) -> bool:
    """True where something holds of each source that a note names, and it names one."""
    cited = [citation for citation in citations_in(text) if not citation.points]
    return bool(cited) and all(map(holds, cited))


def settled(text: str) -> str:
    """A note with its days in one form, so that '12 July 1901', 'the 12th of July in 1901' and '1901-07-12' are one."""
    for when in reversed(find(text)):
        sure = when.exact or when.weekday is not None  # a day that was another weekday is still meant
        if when.form == "day" and sure and when.given and when.month:
            text = f"{text[: when.start]}{when.day} {MONTHS[when.month - 1]} {when.year}{text[when.end :]}"
    return text


def shelf_of(old: Reading, new: Reading, *rolls: Roll) -> Shelf:
    """What both books name as sources; their people are on these rolls."""
    entries = [entry.text for entry in listed_in(old)]
    before = set(map(words_of, entries))
    listed = [entry.text for entry in listed_in(new)]
    unnoted = [text for draft in new.drafts for text in bracketed(draft)]
    unnoted += [text for text in listed if words_of(text) not in before]
    notes = [*(note.text for draft in old.drafts for note in draft.notes), *entries]
    now = [text for draft in new.drafts for text in resolved(draft.notes)]
    shelf = Shelf(notes, [*now, *unnoted], frozenset(word for roll in rolls for word in name_words(roll)), listed)
    shelf.unnoted = frozenset(frozenset(words_of(settled(text))) for text in unnoted)
    return shelf


def resolved(notes: Iterable[Note]) -> Iterator[str]:
    """The notes of a draft in order, each "Ibid." with the source it points to."""
    source = ""
    for note in notes:
        yield f"{source}, {note.text}" if source and leans(note.text) else note.text
        cited = citations_in(note.text)
        if cited and not cited[-1].points:
            source = cited[-1].text


def bracketed(draft: DraftReading) -> Iterator[str]:
    """What stands in brackets in the text and may be a source."""
    for block in draft.blocks:
        if "(" in block.text and block.kind not in (Kind.HEADING, Kind.NOTES, Kind.PICTURE):
            yield from (found for found in BRACKETS.findall(block.text) if len(words_of(found)) > 1)


def source_blocks(draft: DraftReading) -> frozenset[int]:
    """The blocks of a draft's lists of sources, by their index."""
    found: set[int] = set()
    level = 0  # of the heading that opened a list
    for block in draft.blocks:
        if block.kind is Kind.HEADING:
            if SOURCES.fullmatch(block.text):
                level = block.level
            elif block.level <= level:
                level = 0
        elif level and block.kind not in (Kind.NOTES, Kind.PICTURE, Kind.CAPTION):
            found.add(block.index)
    return frozenset(found)


def listed_in(reading: Reading) -> Iterator[Note]:
    """The entries of a book's lists of sources, each as a note under the word that says what it is."""
    for draft in reading.drafts:
        inside = source_blocks(draft)
        for block in (block for block in draft.blocks if block.index in inside and block.text):
            if not is_remark(block.text) or any(letter in '“‘"0123456789' for letter in block.text):
                yield Note("list of sources", block.text, "typed", False, block.line, block.index)


def name_words(roll: Roll) -> Iterator[str]:
    """The words of the names of everybody who has a section, is listed as a child or told of with vitals."""
    names = [roll.person(at) for people in roll.sections.values() for at in people]
    names += [each.name for people in (*roll.entries.values(), *roll.told.values()) for each in people]
    return (word.casefold() for name in names for word in name)


def lost_notes(notes: Iterable[Note], shelf: Shelf, at_home: Collection[frozenset[str]] = ()) -> list[Note]:
    """Those that NEW has neither so nor nearly so. A note that only points to another ("Ibid.") is no loss. One too
    short to be known again ("Family records.") has to stand ``at_home``, among the words of the notes of the sections
    into which its own went: elsewhere it answers for somebody else."""
    kept = (note for note in notes if not is_pointer(note.text))
    return [note for note in kept if not is_kept(note.text, shelf, at_home)]


def is_kept(text: str, shelf: Shelf, at_home: Collection[frozenset[str]]) -> bool:
    """True where NEW has the note."""
    words = frozenset(words_of(settled(text)))
    if is_short(text):
        return words in shelf.unnoted or any(words <= each for each in at_home)
    return shelf.has_note(text, any(each <= words for each in at_home if each))


def is_short(text: str) -> bool:
    """True for a note with hardly a word besides its numbers."""
    return sum(not word.isdigit() for word in words_of(text)) < SHORT


def is_pointer(text: str) -> bool:
    """True for Ibid. and its like, for a page alone, and for 'see above'."""
    if leans(text) or not any(word.isalpha() and len(word) > 2 for word in words_of(text)):
        return True
    cited = citations_in(text)
    return all(citation.points for citation in cited) and (bool(cited) or is_short(text))
