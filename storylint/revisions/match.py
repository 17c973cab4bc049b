"""Who is who in two states of a book: persons are known again through renumbering, renaming and moves.

Three things tell: the name, the sentences, the number. Sentences are compared as prints (hashes), through an index, so
that the work grows with the book and not with its square.
"""

from __future__ import annotations

import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from storylint.revisions.passages import Passage, words_of

# Proposed for this tool, no source; tried on the books of the tests.
SAME_NAME = 0.9  # from this likeness on a name is the same, differently written
NEAR_NAME = 0.5  # a forename shared: a married name, a middle name left out
ENOUGH = 0.3  # share of sentences from which two sections tell the same life, whatever the names
SOME = 0.1  # the same, where the names are near
CROWD = 3  # a sentence that more sections share tells nothing of who is who
SHORT = 4  # sentences of fewer words are alike in any two sections
BUCKET = 40  # a word that more names share is the family's surname, and tells nothing either


@dataclass(frozen=True, slots=True)
class Trace:
    """What a section is known by. ``name`` is compared whole, ``words`` one by one (none where the name is secret);
    ``prints`` are hashes of its sentences, or a sample of them that was drawn by the same rule in both states."""

    name: str
    words: tuple[str, ...]
    number: str | None
    path: str
    prints: frozenset[str]
    person: bool = True


def trace(passage: Passage) -> Trace:
    """What a section is known by when its text is at hand: its sentences stand for themselves."""
    words = words_of(passage.name)
    prints = frozenset(" ".join(line.words) for line in passage.lines if len(line.words) >= SHORT)
    section = passage.section
    return Trace(" ".join(words), words, section.number, section.path, prints, section.person is not None)


@dataclass(frozen=True, slots=True)
class Likeness:
    """How alike two sections are: names and sentences from 0 to 1, and whether the number and the file are the same."""

    name: float
    content: float
    number: bool
    path: bool

    @property
    def rank(self) -> float:
        """The greater, the surer; only its order counts."""
        return self.name + 2 * self.content + 0.25 * self.number + 0.1 * self.path

    @property
    def holds(self) -> bool:
        """True where the two may be one person."""
        if self.name >= SAME_NAME or self.content >= ENOUGH:
            return True
        return self.name >= NEAR_NAME and (self.content >= SOME or (self.number and self.path))


def pair(old: Sequence[Trace], new: Sequence[Trace]) -> dict[int, int]:
    """Index in ``new`` → index in ``old`` of the same person, each used once, the surest pairs first."""
    shared = overlaps(old, new)
    ranked = []
    for before, after in candidates(old, new, shared):
        alike = likeness(old[before], new[after], shared[before, after])
        if alike.holds:
            ranked.append((-alike.rank, abs(before - after), before, after))
    found: dict[int, int] = {}
    taken: set[int] = set()
    for _, _, before, after in sorted(ranked):
        if before not in taken and after not in found:
            found[after] = before
            taken.add(before)
    return found


def overlaps(old: Sequence[Trace], new: Sequence[Trace]) -> Counter[tuple[int, int]]:
    """How many prints each old and new section share, for those that share any; common prints are left out."""
    before, after = holders(old), holders(new)
    count: Counter[tuple[int, int]] = Counter()
    for print_, owners in before.items():
        heirs = after.get(print_, ())
        if len(owners) <= CROWD and len(heirs) <= CROWD:
            count.update((owner, heir) for owner in owners for heir in heirs)
    return count


def holders(traces: Sequence[Trace]) -> dict[str, list[int]]:
    """Which sections hold each print."""
    found: dict[str, list[int]] = defaultdict(list)
    for index, trace in enumerate(traces):
        for print_ in trace.prints:
            found[print_].append(index)
    return found


def candidates(
    old: Sequence[Trace], new: Sequence[Trace], shared: Counter[tuple[int, int]]
) -> Iterator[tuple[int, int]]:
    """The pairs worth a look: of equal name, of a name with a telling word in common, or with sentences in common."""
    before, after = named(old), named(new)
    seen: set[tuple[int, int]] = set()
    for key, bearers in before.items():
        heirs = after.get(key, [])
        if len(bearers) <= BUCKET and len(heirs) <= BUCKET:
            seen.update((bearer, heir) for bearer in bearers for heir in heirs)
        elif key.startswith("="):  # a crowd of one name: the first with the first, the second with the second
            seen.update(zip(bearers, heirs, strict=False))
    return ((one, other) for one, other in sorted(seen | shared.keys()) if old[one].person == new[other].person)


def named(traces: Sequence[Trace]) -> dict[str, list[int]]:
    """Which sections bear each name, and each word of a name."""
    found: dict[str, list[int]] = defaultdict(list)
    for index, trace in enumerate(traces):
        for key in {f"={trace.name}", *trace.words}:
            found[key].append(index)
    return found


def likeness(old: Trace, new: Trace, shared: int) -> Likeness:
    """How alike two sections are."""
    content = 2 * shared / (len(old.prints) + len(new.prints)) if shared else 0.0
    number = old.number is not None and old.number == new.number
    return Likeness(name_likeness(old, new), content, number, old.path == new.path)


def name_likeness(old: Trace, new: Trace) -> float:
    """1 for the same name; 0.9 where one has a middle name more; 0.5 for the same forename; a little for the rest."""
    if old.name == new.name:
        return 1.0
    if not old.words or not new.words:
        return 0.0
    first, last = near(old.words[0], new.words[0]), near(old.words[-1], new.words[-1])
    if first and last and len(old.words) > 1 < len(new.words):
        return 0.9
    if first:
        return 0.5
    return 0.3 if set(old.words[:-1]) & set(new.words[:-1]) else 0.1 * last


@lru_cache(maxsize=5000)  # a family has few names, and each is held against each
def near(one: str, other: str) -> bool:
    """Two spellings of one name: Katherine and Catherine, Wm and William, Siân and Sian."""
    one, other = plain(one), plain(other)
    if one == other:
        return True
    import difflib

    short, long = sorted((one, other), key=len)
    if len(short) <= 3:
        return short[:1] == long[:1] and is_within(short, long)
    return difflib.SequenceMatcher(None, one, other).ratio() >= 0.8


def plain(word: str) -> str:
    """The word without its accents."""
    return (
        word
        if word.isascii()
        else "".join(c for c in unicodedata.normalize("NFD", word) if not unicodedata.combining(c))
    )


def is_within(short: str, long: str) -> bool:
    """True where the letters of the short word stand in the long one in the same order, as in an abbreviation."""
    letters = iter(long)
    return len(short) > 1 and all(letter in letters for letter in short)
