"""Wording patterns: what is left of a sentence when its names, dates, numbers, kin and work are taken out, and which
sentences of a book share one.

Families are found in time linear in the sentences: each sentence is compared only with the few earlier wordings that share its rarest word pairs (the idea of an inverted index with bounded postings; Dice's coefficient of pairs:
L. R. Dice, Ecology 26 (1945): 297–302).
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from storylint.study.study import Sentence
from storylint.study.words import DATE, KIN, NAME, NUMBER, PRONOUN, STOP, WORK

SLOT = {NAME: "NAME", DATE: "DATE", NUMBER: "DATE", KIN: "KIN", WORK: "WORK", PRONOUN: "NAME"}
SLOTS = frozenset(SLOT.values())
GLUE = frozenset(("and", "of", "the", "a", "an", ",", "in", "'s", "’s", "at", "his", "her", "with"))
WEAK = GLUE | {"was", "were", "is", "on", "by", "to", "from", "for", "near", ":", ";"}
NUMERAL = re.compile(r"(?!I\b(?!\.))[IVXLC]+[.)]? ")
LABEL = re.compile(r"([A-Z][\w'’-]*(?: [a-z][\w'’-]*){0,2}):\s")  # 'Occupation: slate splitter, 1871.'
EVENTS = frozenset("born baptised baptized christened married wed died buried interred".split())
MOST_POSTINGS = 60  # a pair of words that stands in more wordings than this tells nothing
CANDIDATES = 6  # wordings compared in full
MOST_WORDS = 36  # a wording longer than this is only ever compared word for word
ALIKE = 0.55  # Dice's coefficient above which two skeletons are one pattern; set on the tuning half of tests/judgement
LEADER = 0.4  # the same between a skeleton and the first of its family

Pairs = Counter[tuple[str, str]]


def skeleton(sentence: Sentence) -> tuple[str, ...]:
    """The sentence's fixed words in order, with one token for each run of slots.

    'Ann Lunn was interred at Thorney in 1841.' → ('NAME', 'was', 'interred', 'at', 'NAME', 'in', 'DATE').
    """
    label = LABEL.match(sentence.text)
    out = [label[1].casefold() + ":"] if label else []
    begin = 1 if NUMERAL.match(sentence.text) else 0  # 'IV. JOSHUA, son of …'
    begin = sentence.lower.index(":") + 1 if label and ":" in sentence.lower else begin
    for word, tag in zip(sentence.lower[begin:], sentence.tags[begin:], strict=True):
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


def pairs(words: Sequence[str]) -> Pairs:
    """Neighbouring pairs of a skeleton, with its two ends."""
    padded = ("<", *words, ">")
    return Counter(pairwise(padded))


def alike(a: Pairs, b: Pairs) -> float:
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

    @property
    def typical(self) -> tuple[str, ...]:
        """Its commonest wording, the shortest of several."""
        return min(self.exact, key=lambda words: (-self.exact[words], len(words), words), default=self.leader)


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
    grouping = Grouping()
    return grouping.families, {words: grouping.add(words) for words in sorted(wordings)}


@dataclass(slots=True)
class Grouping:
    """Wordings seen so far: their pairs, their families, and in which of them each pair stands."""

    families: list[Family] = field(default_factory=list)
    leaders: list[Pairs] = field(default_factory=list)
    bags: list[Pairs] = field(default_factory=list)
    owners: list[int] = field(default_factory=list)
    labels: dict[str, int] = field(default_factory=dict)
    postings: dict[tuple[str, str], list[int]] = field(default_factory=lambda: defaultdict(list))

    def add(self, words: tuple[str, ...]) -> int:
        """Take one wording in; its family."""
        bag = pairs(words)
        if words[0].endswith(":"):  # one label, one pattern, whatever follows it
            family = self.labels.get(words[0])
            self.labels.setdefault(words[0], len(self.families))
        else:
            family = self.nearest(words, bag) if len(words) <= MOST_WORDS else None
        if family is None:
            family = len(self.families)
            self.families.append(Family(words))
            self.leaders.append(bag)
        for pair in bag:
            if len(self.postings[pair]) <= MOST_POSTINGS:
                self.postings[pair].append(len(self.bags))
        self.bags.append(bag)
        self.owners.append(family)
        return family

    def nearest(self, words: tuple[str, ...], bag: Pairs) -> int | None:
        """The family of the earlier wording that is most like this one, if that is like enough.

        Its leader must be like too, so that a family does not drift from link to link, and the two must have a word in
        common that says something: 'He died in 1722' and 'He was born in 1651' are alike in all else.
        """
        votes: Counter[int] = Counter()
        for pair in bag:
            found = self.postings.get(pair, ())
            if len(found) <= MOST_POSTINGS:
                votes.update(found)
        best, score = None, ALIKE
        for number, _ in votes.most_common(CANDIDATES):
            family, likeness = self.owners[number], alike(bag, self.bags[number])
            if likeness < score or alike(bag, self.leaders[family]) < LEADER:
                continue
            if kindred(words, self.families[family].leader):
                best, score = family, likeness
        return best


def kindred(words: Iterable[str], others: Iterable[str]) -> bool:
    """True when two skeletons share a fixed word that says something, or neither has one, and tell the same event first:
    'was born … died' is not the pattern of 'married … born'."""
    a, b = ([word for word in fixed(each) if word not in WEAK] for each in (words, others))
    first, second = (next((word for word in each if word in EVENTS), "") for each in (a, b))
    if first and second and first != second:
        return False
    return not set(a).isdisjoint(b) or not (a or b)
