"""Which notes of OLD, and which of their sources, NEW has no longer.

A note is looked for twice: as a bag of words, since it may have been reworded anyhow; and citation by citation, by the
words that say which source is meant, since notes are joined to one, put in another order, and cited more exactly.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator

from storylint.draft.model import Note
from storylint.findings import Reading
from storylint.revisions.passages import words_of
from storylint.revisions.people import Roll
from storylint.study.cited import Citation, citations_in, known_by, leans

# Proposed for this tool, no source; tried on the demonstration book.
SAME_NOTE = 0.6  # share of a note, by weight of words, from which another note has what it cites
SAME_SOURCE = 0.7  # share of a note's own words, numbers left out, from which its source is still named elsewhere
LEAST = 0.1  # weight of a word that every note has


class Shelf:
    """The notes of NEW, to look an old one up. A word weighs the more, the fewer notes of both books have it: what
    tells one certificate from the next is the name and the number in it. ``people`` are the words of the names of both
    books' people: behind the source they say whose entry is meant."""

    def __init__(self, old: Iterable[str], new: Iterable[str], people: frozenset[str] = frozenset()) -> None:
        self.texts = list(dict.fromkeys(new))
        self.notes = [frozenset(words_of(text)) for text in self.texts]
        self.cores: dict[int, frozenset[str]] = {}
        self.people = people
        self.as_they_were = frozenset(self.notes)
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

    def weight(self, words: Iterable[str]) -> float:
        """What the words weigh together."""
        return sum(self.weights.get(word, LEAST) for word in words)

    def has_note(self, text: str) -> bool:
        """True where a note has most of this one and of its numbers, or where each of its citations stands in one."""
        words = frozenset(words_of(text))
        if words in self.as_they_were:
            return True
        enough = SAME_NOTE * self.weight(words)
        for at in self.near(words):
            if self.weight(words & self.notes[at]) >= enough and self.has_numbers(words, at):
                return True
        return all_of(text, self.has_citation)

    def has_source(self, text: str) -> bool:
        """True where a note still names the source, whatever page or number it gives."""
        words = frozenset(word for word in words_of(text) if word.isalpha() and len(word) > 2)
        enough = SAME_SOURCE * self.weight(words)
        if not words or any(self.weight(words & self.notes[at]) >= enough for at in self.near(words)):
            return True
        return all_of(text, lambda citation: any(self.cites(at, citation) for at in self.near(citation.core)))

    def has_citation(self, citation: Citation) -> bool:
        """True where a note cites the same source with most of the numbers."""
        words = frozenset(words_of(citation.text))
        return any(self.has_numbers(words, at) and self.cites(at, citation) for at in self.near(words))

    def has_numbers(self, words: frozenset[str], at: int) -> bool:
        """True where a note of NEW has most of the numbers among the words."""
        numbers = {word for word in words if word.isdigit()}
        return not numbers or 2 * len(numbers & self.notes[at]) > len(numbers)

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


def all_of(text: str, holds: Callable[[Citation], bool]) -> bool:
    """True where something holds of each source that a note names, and it names one."""
    cited = [citation for citation in citations_in(text) if not citation.points]
    return bool(cited) and all(map(holds, cited))


def shelf_of(old: Reading, new: Reading, *rolls: Roll) -> Shelf:
    """The notes of both books, whose people are on these rolls."""
    before, after = ((note.text for draft in book.drafts for note in draft.notes) for book in (old, new))
    return Shelf(before, after, frozenset(word for roll in rolls for word in name_words(roll)))


def name_words(roll: Roll) -> Iterator[str]:
    """The words of the names of everybody who has a section, is listed as a child or told of with vitals."""
    names = [roll.person(at) for people in roll.sections.values() for at in people]
    names += [each.name for people in (*roll.entries.values(), *roll.told.values()) for each in people]
    return (word.casefold() for name in names for word in name)


def lost_notes(notes: Iterable[Note], shelf: Shelf) -> list[Note]:
    """Those that NEW has neither so nor nearly so. A note that only points to another ("Ibid.") is no loss."""
    return [note for note in notes if not is_pointer(note.text) and not shelf.has_note(note.text)]


def is_pointer(text: str) -> bool:
    """True for Ibid. and its like."""
    words = [word for word in words_of(text) if not word.isdigit()]
    return len(words) < 3 or leans(text)
