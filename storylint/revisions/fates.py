"""What became of each sentence of OLD: word for word in NEW, rewritten there, or gone; and what in NEW is new.

Equal sentences are found by their words, near-equal ones by the runs of three words they share, through indexes, so
that the work grows with the books and not with their product.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from storylint.revisions.match import pair, trace
from storylint.revisions.passages import Line, Passage

Spot = tuple[int, int]  # (passage, line)

# Proposed for this tool, no source; tried on the demonstration book.
REWRITTEN = 0.5  # share of words in common from which a sentence of the same person is the old one rewritten
ELSEWHERE = 0.8  # the same for a sentence of somebody else, where two lives may be told in like words
FOLDED = 0.6  # share of a sentence's own words from which it has become part of a longer one
RUN = 3  # words in a run
CROWD = 12  # a run that more sentences of one book share tells nothing of which became which
SHORT = 4  # sentences of fewer words are alike everywhere: they are looked for with the same person only
PART = 0.5  # share of a section's words that come from another's from which it was joined to it, or split off


@dataclass(slots=True)
class Fates:
    """OLD spot → NEW spot for sentences that stand word for word, and for those that were rewritten (several OLD ones
    may be folded into one, one may be cut into several); ``added`` are the spots of NEW that come from none."""

    verbatim: dict[Spot, Spot] = field(default_factory=dict)
    rewritten: dict[Spot, Spot] = field(default_factory=dict)
    added: set[Spot] = field(default_factory=set)

    def heir(self, spot: Spot) -> Spot | None:
        """Where the sentence is now, in whatever words."""
        return self.verbatim.get(spot) or self.rewritten.get(spot)


def counterparts(old: Sequence[Passage], new: Sequence[Passage]) -> dict[int, int]:
    """Index in NEW → index in OLD of the section of the same person: by name, number and whole sentences, or else because
    most of either is in the other. A forename that was corrected everywhere stands in every sentence of a life."""
    back = pair([trace(passage) for passage in old], [trace(passage) for passage in new])
    known = set(back.values())
    ones = [at for at in range(len(old)) if at not in known]
    others = [at for at in range(len(new)) if at not in back]
    before, after = [old[at] for at in ones], [new[at] for at in others]
    flow = flows(fates(before, after, {}), before) if ones and others else Counter[Spot]()
    heir, origin = best(flow, 0), best(flow, 1)
    for (one, other), words in flow.items():
        enough = words >= PART * max(size(before[one]), size(after[other]))
        alike = (before[one].section.person is None) == (after[other].section.person is None)
        if enough and alike and heir[one] == origin[other] == (one, other):
            back[others[other]] = ones[one]
    return back


def best(flow: Mapping[Spot, int], side: int) -> dict[int, Spot]:
    """For each section of one side the pair with the most words."""
    return {pair[side]: pair for pair in sorted(flow, key=lambda pair: (flow[pair], pair))}


def flows(found: Fates, before: Sequence[Passage]) -> Counter[tuple[int, int]]:
    """How many words of each OLD section are now in each NEW one, in the same or in other words."""
    flow: Counter[tuple[int, int]] = Counter()
    for one, other in (*found.verbatim.items(), *found.rewritten.items()):
        flow[one[0], other[0]] += len(line(before, one).words)
    return flow


def size(passage: Passage) -> int:
    """Words of a section's sentences."""
    return sum(len(each.words) for each in passage.lines) or 1


def fates(old: Sequence[Passage], new: Sequence[Passage], partner: Mapping[int, int]) -> Fates:
    """Compare all sentences; ``partner``: OLD passage → NEW passage of the same person."""
    found = Fates()
    standing(found, old, new, partner)
    kin = related(found, partner)
    near = Nearness(old, new, kin)
    before = [spot for spot in spots(old) if spot not in found.verbatim]
    taken = set(found.verbatim.values())
    after = [spot for spot in spots(new) if spot not in taken]
    scored = sorted(near.pairs(before, after), reverse=True)
    heirs: set[Spot] = set()
    for _, one, other in scored:
        if found.heir(one) is None and other not in heirs:
            same = line(old, one).words == line(new, other).words
            (found.verbatim if same else found.rewritten)[one] = other
            heirs.add(other)
    origins = set(found.rewritten)
    for one, other in near.folded():
        if found.heir(one) is None and other in heirs:
            found.rewritten[one] = other
    parts = {other for one, other in near.cut() if one in origins}
    found.added = set(after) - heirs - parts
    return found


def spots(book: Sequence[Passage]) -> Iterator[Spot]:
    """All sentences of a book."""
    return ((at, number) for at, passage in enumerate(book) for number in range(len(passage.lines)))


def line(book: Sequence[Passage], spot: Spot) -> Line:
    """The sentence at a spot."""
    return book[spot[0]].lines[spot[1]]


def standing(found: Fates, old: Sequence[Passage], new: Sequence[Passage], partner: Mapping[int, int]) -> None:
    """Sentences that stand word for word: with the same person first, then wherever they have been moved."""
    copies: dict[tuple[str, ...], dict[Spot, None]] = defaultdict(dict)
    own: dict[tuple[int, tuple[str, ...]], list[Spot]] = defaultdict(list)
    for spot in spots(new):
        words = line(new, spot).words
        copies[words][spot] = None
        own[spot[0], words].append(spot)
    left: list[Spot] = []
    for spot in spots(old):
        words = line(old, spot).words
        there = own.get((partner.get(spot[0], -1), words))
        if there:
            found.verbatim[spot] = there.pop(0)
            del copies[words][found.verbatim[spot]]
        elif len(words) >= SHORT:
            left.append(spot)
    for spot in left:
        elsewhere = copies[line(old, spot).words]
        if elsewhere:
            found.verbatim[spot] = next(iter(elsewhere))
            del elsewhere[found.verbatim[spot]]


def related(found: Fates, partner: Mapping[int, int]) -> dict[int, set[int]]:
    """OLD passage → the NEW passages that tell of the same person: her own, and those into which her sentences went."""
    kin: dict[int, set[int]] = defaultdict(set)
    for at, own in partner.items():
        kin[at].add(own)
    for one, other in found.verbatim.items():
        kin[one[0]].add(other[0])
    return kin


class Nearness:
    """Finds sentences that share runs of words, and says how alike they are."""

    def __init__(self, old: Sequence[Passage], new: Sequence[Passage], kin: Mapping[int, set[int]]) -> None:
        self.old, self.new, self.kin = old, new, kin
        self.seen: dict[tuple[Spot, Spot], tuple[float, float, float]] = {}

    def pairs(self, before: Iterable[Spot], after: Sequence[Spot]) -> Iterator[tuple[float, Spot, Spot]]:
        """Likely pairs of an old and a new sentence with their likeness; those too unlike are remembered."""
        runs = self.index(after)
        for one in before:
            shared = Counter(other for run in runs_of(line(self.old, one).words) for other in runs.get(run, ()))
            for other, _ in sorted(shared.items(), key=lambda pair: (-pair[1], pair[0]))[:8]:
                likeness, of_old, of_new = alike(line(self.old, one).words, line(self.new, other).words)
                near = other[0] in self.kin.get(one[0], ())
                self.seen[one, other] = (likeness, of_old if near else 0.0, of_new if near else 0.0)
                if likeness >= (REWRITTEN if near else ELSEWHERE) and (near or len(line(self.old, one).words) >= SHORT):
                    yield likeness + near, one, other

    def index(self, after: Sequence[Spot]) -> dict[tuple[str, ...], list[Spot]]:
        """Run of words → the new sentences that hold it; common runs are left out."""
        found: dict[tuple[str, ...], list[Spot]] = defaultdict(list)
        for spot in after:
            for run in runs_of(line(self.new, spot).words):
                found[run].append(spot)
        return {run: holders for run, holders in found.items() if len(holders) <= CROWD}

    def folded(self) -> list[tuple[Spot, Spot]]:
        """Old sentences most of whose words have become part of a new one, the surest first."""
        ranked = sorted(((of_old, one, other) for (one, other), (_, of_old, _) in self.seen.items()), reverse=True)
        return [(one, other) for of_old, one, other in ranked if of_old >= FOLDED]

    def cut(self) -> list[tuple[Spot, Spot]]:
        """New sentences most of whose words come from one old one."""
        return [(one, other) for (one, other), (_, _, of_new) in self.seen.items() if of_new >= FOLDED]


def runs_of(words: Sequence[str]) -> set[tuple[str, ...]]:
    """The runs of words in a sentence; a short one is a run itself."""
    return {tuple(words[at : at + RUN]) for at in range(max(1, len(words) - RUN + 1))}


def alike(old: Sequence[str], new: Sequence[str]) -> tuple[float, float, float]:
    """Words in common: of both sentences (Dice's coefficient), of the old one, of the new one; each from 0 to 1."""
    shared = (Counter(old) & Counter(new)).total()
    return 2 * shared / (len(old) + len(new)), shared / len(old), shared / len(new)
