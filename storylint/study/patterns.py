"""Wording patterns: what is left of a sentence when its names, dates, numbers, kin and work are taken out, and which
sentences of a book share one.

Families are found in time linear in the sentences: each sentence is compared only with the few earlier wordings that share its rarest word pairs (the idea of an inverted index with bounded postings; Dice's coefficient of pairs:
L. R. Dice, Ecology 26 (1945): 297–302).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from storylint.study.study import Sentence
from storylint.study.words import DATE, KIN, NAME, NUMBER, PRONOUN, STOP, WORK

SLOT = {NAME: "NAME", DATE: "DATE", NUMBER: "DATE", KIN: "KIN", WORK: "WORK", PRONOUN: "NAME"}
SLOTS = frozenset(SLOT.values())
GLUE = frozenset(("and", "of", "the", "a", "an", ",", "in", "'s", "’s", "at", "his", "her", "with"))
MOST_POSTINGS = 60  # a pair of words that stands in more wordings than this tells nothing
CANDIDATES = 6  # wordings compared in full
MOST_WORDS = 36  # a wording longer than this is only ever compared word for word
ALIKE = 0.55  # Dice's coefficient above which two skeletons are one pattern; set on the tuning half of tests/judgement


def skeleton(sentence: Sentence) -> tuple[str, ...]:
    """The sentence's fixed words in order, with one token for each run of slots.

    'Ann Lunn was interred at Thorney in 1841.' → ('NAME', 'was', 'interred', 'at', 'NAME', 'in', 'DATE').
    """
    out: list[str] = []
    for word, tag in zip(sentence.lower, sentence.tags, strict=True):
        slot = SLOT.get(tag)
        if slot:
            merge_slot(out, slot)
        elif tag != STOP:
            out.append(word)
    return tuple(out)


def merge_slot(out: list[str], slot: str) -> None:
    """Add a slot; a list or chain of slots of one kind ('Thomas, Ellen and Elijah') counts once."""
    back = len(out) - 1
    while back >= 0 and out[back] in GLUE and len(out) - back <= 2:
        back -= 1
    if back >= 0 and out[back] == slot and (back == len(out) - 1 or slot != "DATE"):
        del out[back + 1 :]
    else:
        out.append(slot)


def pairs(words: Sequence[str]) -> Counter[tuple[str, str]]:
    """Neighbouring pairs of a skeleton, with its two ends."""
    padded = ("<", *words, ">")
    return Counter(pairwise(padded))


def alike(a: Counter[tuple[str, str]], b: Counter[tuple[str, str]]) -> float:
    """Dice's coefficient of two bags of pairs: 0 nothing in common, 1 the same."""
    total = a.total() + b.total()
    return 2 * (a & b).total() / total if total else 0.0


@dataclass(slots=True)
class Family:
    """Sentences of one wording pattern; ``leader`` is its first skeleton, ``exact`` counts each of its wordings."""

    leader: tuple[str, ...]
    members: list[int] = field(default_factory=list)
    exact: Counter[tuple[str, ...]] = field(default_factory=Counter)

    def __len__(self) -> int:
        return len(self.members)


@dataclass(slots=True)
class Patterns:
    """The families of a book; ``of`` gives a sentence's family by its index."""

    families: list[Family]
    of: list[int | None]
    skeletons: list[tuple[str, ...]]

    def returns(self, index: int) -> int:
        """How many other sentences of the book share this one's pattern."""
        family = self.of[index]
        return 0 if family is None else len(self.families[family]) - 1


def fixed(words: Iterable[str]) -> list[str]:
    """The words of a skeleton that are no slots."""
    return [word for word in words if word not in SLOTS]


def find(sentences: Sequence[Sentence]) -> Patterns:
    """Group sentences by pattern.

    Wordings are taken in alphabetical order, so that the order of files and sections changes nothing.
    """
    skeletons = [skeleton(sentence) for sentence in sentences]
    families, family_of = group({words for words in skeletons if len(words) > 1 and fixed(words)})
    of: list[int | None] = []
    for index, words in enumerate(skeletons):
        number = family_of.get(words)
        of.append(number)
        if number is not None:
            families[number].members.append(index)
            families[number].exact[words] += 1
    return Patterns(families, of, skeletons)


def group(wordings: Iterable[tuple[str, ...]]) -> tuple[list[Family], dict[tuple[str, ...], int]]:
    """Families of wordings; each wording joins the family of the earlier one that it is most like, if like enough."""
    families: list[Family] = []
    family_of: dict[tuple[str, ...], int] = {}
    bags: list[Counter[tuple[str, str]]] = []
    owners: list[int] = []
    postings: dict[tuple[str, str], list[int]] = defaultdict(list)
    for words in sorted(wordings):
        bag = pairs(words)
        like = nearest(bag, bags, postings) if len(words) <= MOST_WORDS else None
        family = len(families) if like is None else owners[like]
        if like is None:
            families.append(Family(words))
        for pair in bag:
            if len(postings[pair]) <= MOST_POSTINGS:
                postings[pair].append(len(bags))
        bags.append(bag)
        owners.append(family)
        family_of[words] = family
    return families, family_of


def nearest(
    bag: Counter[tuple[str, str]], bags: list[Counter[tuple[str, str]]], postings: dict[tuple[str, str], list[int]]
) -> int | None:
    """The earlier wording that is most like this one, if it is like enough."""
    votes: Counter[int] = Counter()
    for pair in bag:
        found = postings.get(pair, ())
        if len(found) <= MOST_POSTINGS:
            votes.update(found)
    best, score = None, ALIKE
    for family, _ in votes.most_common(CANDIDATES):
        likeness = alike(bag, bags[family])
        if likeness >= score:
            best, score = family, likeness
    return best
