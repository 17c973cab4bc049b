"""Patterns that look before they search.

Most sentences have nothing of what a rule looks for, and a regular expression takes long to find that out. Every
pattern here knows letters without which it can't fit ('born in' or 'died in'); it is tried only where these stand, which
is seen many times faster. The letters are taken from the pattern itself, so that the matches stay the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from importlib import import_module
from types import SimpleNamespace
from typing import Any

MOST = 200  # letter groups of one pattern; of more it is not asked
SPELT = 48  # spellings of one piece of a pattern that are followed up
# Words that stand in nearly every sentence: to look for them saves nothing.
COMMON = frozenset(
    "a an and are as at be been by for from had has he her him his in is it of on or she that the to was were with".split()
)

Groups = frozenset[str]
May = Mapping[object, Sequence[int]]  # by each pattern that may fit in a text, which of its parts


class Quick:
    """One or more patterns as one: what fits first in the text, and of what fits at one place the earlier pattern.

    It gives the matches of ``re.compile("p|q|r")``, save that a match knows only the groups of its own part. The letters
    are compared folded to small ones; of those whose case Unicode folds in no plain way (the Turkish i without its dot)
    a pattern that tells no case apart may be missed.
    """

    __slots__ = ("flags", "parts")

    def __init__(self, *patterns: str, flags: int = 0) -> None:
        self.flags = flags
        self.parts = [part for pattern in patterns for part in split(pattern)]
        for number, part in enumerate(self.parts):
            learn(self, number, needed(part, flags))

    def search(self, text: str, may: May | None = None) -> re.Match[str] | None:
        """The first match; ``may`` is what ``may_fit`` gives for the text, where that is at hand."""
        if may is None:
            may = may_fit(text)
        best: re.Match[str] | None = None
        for number in may.get(self, ()):
            found = compiled(self.parts[number], self.flags).search(text)
            if found and (best is None or found.start() < best.start()):
                best = found
        return best


# ---------------------------------------------------------------------------------------------------- which are there

NEEDING: dict[str, list[tuple[object, int]]] = {}  # by each group of letters, the patterns that need it, and the part
# Groups of letters by one of their three-letter pieces; those that are shorter, by themselves.
BY_PIECE: dict[str, set[str]] = {}
SHORT: set[str] = set()
RARE = " etaoinshrdlucmfwypvbgkqjxz"  # letters of English from the commonest on; whatever is not there is rarer


SPACE = re.compile(r"\s")


def learn(pattern: object, number: int, groups: Iterable[str]) -> None:
    """Let the groups that a part of a pattern needs be looked for in every text."""
    for letters in groups:
        NEEDING.setdefault(letters, []).append((pattern, number))
        pieces = [letters[at : at + 3] for at in range(len(letters) - 2)]
        if pieces:
            BY_PIECE.setdefault(max(pieces, key=rarity), set()).add(letters)
        else:
            SHORT.add(letters)
    may_fit.cache_clear()


def rarity(piece: str) -> int:
    """How seldom these letters stand together, by how seldom each of them stands."""
    return sum(RARE.find(char) % 99 for char in piece)


@lru_cache(maxsize=5000)
def may_fit(text: str) -> May:
    """The patterns whose letters stand in the text, folded, and which of their parts, in order. Rule after rule asks
    this of the same sentences."""
    folded = text.casefold()
    if not folded.isprintable():  # then there may be white space other than the plain space, as which all is sought
        folded = SPACE.sub(" ", folded)
    found: dict[object, set[int]] = {}
    for piece in BY_PIECE.keys() & {folded[at : at + 3] for at in range(len(folded) - 2)}:
        for letters in BY_PIECE[piece]:
            if letters in folded:
                for pattern, number in NEEDING[letters]:
                    found.setdefault(pattern, set()).add(number)
    for letters in SHORT:
        if letters in folded:
            for pattern, number in NEEDING[letters]:
                found.setdefault(pattern, set()).add(number)
    return {pattern: sorted(numbers) for pattern, numbers in found.items()}


@cache
def compiled(pattern: str, flags: int) -> re.Pattern[str]:
    """Compiled when it is first tried, which most patterns never are."""
    return re.compile(pattern, flags)


def split(pattern: str) -> list[str]:
    """A pattern's alternatives: what stands between the '|' outside all brackets.

    A pattern that begins with flags or refers back to what it found stays whole.
    """
    if re.match(r"\(\?[aiLmsux]+\)", pattern) or re.search(r"\\[1-9]|\(\?P=|\(\?\(", pattern):
        return [pattern]
    parts, depth, start, in_class = [], 0, 0, False
    for match in re.finditer(r"\\.|\[\^?\]?|\]|[()|]", pattern, re.DOTALL):
        token = match.group()
        if in_class:
            in_class = token != "]"
        elif token[0] == "[":
            in_class = True
        elif token == "(":
            depth += 1
        elif token == ")":
            depth -= 1
        elif token == "|" and not depth:
            parts.append(pattern[start : match.start()])
            start = match.end()
    return [*parts, pattern[start:]]


@cache
def needed(pattern: str, flags: int = 0) -> Groups:
    """Groups of letters, folded to small ones, one of which stands in whatever the pattern fits; "" if none is known.

    >>> sorted(needed(r"\\b(?:born|died) (?:in|at)\\b"))
    ['born at', 'born in', 'died at', 'died in']
    """
    try:
        # Not public: with a Python that has it no longer all is searched, and slower.
        tree = import_module("re._parser").parse(pattern, flags)
    except (ImportError, AttributeError):
        return NOTHING
    return groups_in(tree) or NOTHING


NOTHING: Groups = frozenset([""])
Item = tuple[Any, Any]  # what a pattern is parsed to: a kind, whose name is in capitals, and what belongs to it


def groups_in(sequence: Iterable[Item]) -> Groups | None:
    """The best groups of a parsed sequence: of all that must stand in it the most telling; None without any."""
    best: Groups | None = None
    run = NOTHING
    for item in worded(sequence):
        spelt = spelling(item)
        if spelt is not None and len(run) * len(spelt) <= SPELT:
            run = joined(run, spelt)
            continue
        best = better(better(best, run), inner(item))
        run = NOTHING if spelt is None else spelt
    return better(best, run)


WORD = SimpleNamespace(name="WORD")


def worded(sequence: Iterable[Item]) -> Iterator[Item]:
    """The items of a parsed sequence, letters that follow each other as one: most patterns are hardly anything else."""
    word = ""
    for item in sequence:
        if item[0].name == "LITERAL":
            word += folded(item[1])
            continue
        if word:
            yield WORD, word
            word = ""
        yield item
    if word:
        yield WORD, word


@cache
def folded(code: int) -> str:
    """A character as it is looked for."""
    return " " if chr(code).isspace() else chr(code).casefold()


def joined(run: Groups, spelt: Groups) -> Groups:
    """Each of the one followed by each of the other."""
    return frozenset([a + b for a in run for b in spelt])


def spelling(item: Item) -> Groups | None:
    """All that the item can stand for, if it is spelt out and little; a mere condition on the place stands for nothing."""
    kind, value = item[0].name, item[1]
    if kind == "WORD":
        return frozenset([value])
    if kind in ("AT", "ASSERT", "ASSERT_NOT"):
        return NOTHING
    if kind == "SUBPATTERN":
        return spelt_out(value[-1])
    if kind == "BRANCH":
        each = [spelt_out(part) for part in value[1]]
        return frozenset().union(*each) if None not in each else None  # type: ignore[arg-type]
    if kind in ("MAX_REPEAT", "MIN_REPEAT") and value[:2] == (0, 1):
        once = spelt_out(value[2])
        return once | NOTHING if once is not None else None
    if kind == "IN":
        return members(value)
    return None


def members(listed: Iterable[Item]) -> Groups | None:
    """The characters of a class, if it lists them; white space stands for itself."""
    found = set()
    for item, value in listed:
        if item.name == "LITERAL":
            found.add(folded(value))
        elif item.name == "CATEGORY" and value.name == "CATEGORY_SPACE":
            found.add(" ")
        else:
            return None
    return frozenset(found)


def spelt_out(sequence: Iterable[Item]) -> Groups | None:
    """The spellings of a whole sequence."""
    run = NOTHING
    for item in worded(sequence):
        spelt = spelling(item)
        if spelt is None or len(run) * len(spelt) > SPELT:
            return None
        run = joined(run, spelt)
    return run


def inner(item: Item) -> Groups | None:
    """The groups that an item needs which is not spelt out."""
    kind, value = item[0].name, item[1]
    if kind == "SUBPATTERN":
        return groups_in(value[-1])
    if kind == "ATOMIC_GROUP":
        return groups_in(value)
    if kind in ("MAX_REPEAT", "MIN_REPEAT", "POSSESSIVE_REPEAT") and value[0] > 0:
        return groups_in(value[2])
    if kind == "BRANCH":
        return together([groups_in(part) for part in value[1]])
    return None


def together(each: Iterable[Groups | None]) -> Groups | None:
    """All groups of several alternatives, without those in which another stands; None where one needs none."""
    every: set[str] = set()
    for groups in each:
        if groups is None:
            return None
        every |= groups
    shortest: list[str] = []
    for letters in sorted(every, key=len):
        if not any(short in letters for short in shortest):
            shortest.append(letters)
    return frozenset(shortest) if len(shortest) <= MOST else None


def better(one: Groups | None, other: Groups | None) -> Groups | None:
    """Of two sets of groups the one that is seldomer found in a text; None if both are of no use."""
    return max((each for each in (one, other) if each and worth(each)[0]), key=worth, default=None)


@cache
def worth(groups: Groups) -> tuple[int, int]:
    """How telling the least telling group is, by its letters outside common words, and how few groups there are."""
    return min(sum([len(word) for word in letters.split() if word not in COMMON]) for letters in groups), -len(groups)
