"""Two states of a book side by side, as plain data: who became whom, what still stands, what was lost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from storylint.draft.model import Kind, Note
from storylint.findings import Reading
from storylint.revisions import losses, people, shelf
from storylint.revisions.fates import PART, Fates, counterparts, fates, flows, line, size
from storylint.revisions.losses import Fact
from storylint.revisions.passages import Line, Passage, passages, words_of
from storylint.revisions.people import Named


@dataclass(slots=True)
class Change:
    """One section of OLD, NEW or both. ``parts`` are the other NEW sections that hold its sentences, ``guests`` the other
    OLD ones whose sentences it holds.

    ``status``: "kept" (in both), "joined" (OLD only; its text is in ``parts``), "lost" (OLD only), "split" (NEW only;
    ``origin`` says from whom) or "new". ``moves``: those of renumbered, renamed, moved to another file, that hold.
    ``verbatim`` of ``sentences`` old sentences stand word for word, somewhere in NEW.
    """

    old: Passage | None
    new: Passage | None
    status: str
    moves: tuple[str, ...] = ()
    parts: tuple[Passage, ...] = ()
    guests: tuple[Passage, ...] = ()
    origin: Passage | None = None
    sentences: int = 0
    verbatim: int = 0
    rewritten: list[tuple[Line, Line]] = field(default_factory=list)
    added: list[Line] = field(default_factory=list)
    dropped: list[Line] = field(default_factory=list)
    people: list[Named] = field(default_factory=list)
    facts: list[Fact] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    marks: list[Line] = field(default_factory=list)

    @property
    def passage(self) -> Passage:
        """The section as it is now, or as it was."""
        passage = self.new or self.old
        assert passage is not None
        return passage

    @property
    def is_person(self) -> bool:
        """True for a person's section."""
        return self.passage.section.person is not None

    @property
    def has_losses(self) -> bool:
        """True where something of OLD is no longer in NEW."""
        return bool(self.people or self.facts or self.notes or self.marks or (self.status == "lost" and self.is_person))


@dataclass(frozen=True, slots=True)
class Comparison:
    """The two readings, a change for every section of NEW in order and for those of OLD that have none, the notes that
    no section calls and NEW lacks, and the notes and entries of lists of sources whose very source NEW no longer names."""

    old: Reading
    new: Reading
    changes: tuple[Change, ...]
    loose_notes: tuple[Note, ...]
    sources: tuple[Note, ...]


def compare(old: Reading, new: Reading) -> Comparison:
    """All that changed from OLD to NEW."""
    before, after = passages(old), passages(new)
    back = counterparts(before, after)
    partner = {one: other for other, one in back.items()}
    found = fates(before, after, partner)
    flow = flows(found, before)
    names = files_of(old), files_of(new)
    changes = [change_of(at, each, before, after, back, found, flow, names) for at, each in enumerate(after)]
    ends = [end_of(at, before, after, flow) for at in range(len(before)) if at not in partner]
    pictures = frozenset(words_of(each.text) for d in new.drafts for each in d.blocks if each.kind is Kind.PICTURE)
    memory = losses.Memory(people.roll_of(before), people.roll_of(after), lists=lists_of(new), described=pictures)
    notes = shelf.shelf_of(old, new, memory.old, memory.new)
    lists = lists_of(old)
    by_old = {id(change.old): change for change in (*changes, *ends) if change.old}
    for at, passage in enumerate(before):
        homes = {partner[at]} if at in partner else set()
        weigh(by_old[id(passage)], at, before, after, found, homes, memory, lists[passage.section.path])
        at_home = {frozenset(words_of(note.text)) for home in homes for note in after[home].notes}
        by_old[id(passage)].notes = shelf.lost_notes(passage.notes, notes, at_home)
    called = {note for passage in before for note in passage.notes}
    loose = [note for draft in old.drafts for note in draft.notes if note not in called]
    every_note = {frozenset(words_of(note.text)) for draft in new.drafts for note in draft.notes}
    loose = shelf.lost_notes(loose, notes, every_note)
    every = dict.fromkeys([*(note for change in by_old.values() for note in change.notes), *loose])
    every |= dict.fromkeys(shelf.listed_in(old))
    sources = [note for note in every if not notes.has_source(note.text)]
    return Comparison(old, new, tuple(changes + ends), tuple(loose), tuple(sources))


def lists_of(reading: Reading) -> dict[str, frozenset[int]]:
    """The blocks of each file's lists of sources."""
    return {draft.path: shelf.source_blocks(draft) for draft in reading.drafts}


def change_of(
    at: int,
    passage: Passage,
    before: Sequence[Passage],
    after: Sequence[Passage],
    back: Mapping[int, int],
    found: Fates,
    flow: Counter[tuple[int, int]],
    names: tuple[frozenset[str], frozenset[str]],
) -> Change:
    """What a section of NEW is: kept, split off from another, or new."""
    added = [passage.lines[number] for (where, number) in sorted(found.added) if where == at]
    if at in back:
        old = before[back[at]]
        others = heirs(back[at], after, flow, without=at)
        guests = origins(at, before, flow, without=back[at])
        return Change(old, passage, "kept", moves(old, passage, *names), others, guests, added=added)
    words, origin = max(((flow[one, at], one) for one, other in flow if other == at), default=(0, 0))
    if words >= PART * size(passage):
        guests = origins(at, before, flow, without=origin)
        return Change(None, passage, "split", guests=guests, origin=before[origin], added=added)
    return Change(None, passage, "new", guests=origins(at, before, flow), added=added)


def end_of(at: int, before: Sequence[Passage], after: Sequence[Passage], flow: Counter[tuple[int, int]]) -> Change:
    """What became of a section of OLD that has no counterpart."""
    parts = heirs(at, after, flow)
    kept = sum(words for (one, _), words in flow.items() if one == at)
    joined = bool(before[at].lines) and kept >= PART * size(before[at])
    return Change(before[at], None, "joined" if joined else "lost", parts=parts if joined else ())


def heirs(at: int, after: Sequence[Passage], flow: Counter[tuple[int, int]], without: int = -1) -> tuple[Passage, ...]:
    """The NEW sections that hold sentences of an OLD one, the largest share first."""
    ranked = sorted(((-words, other) for (one, other), words in flow.items() if one == at and other != without))
    return tuple(after[other] for _, other in ranked)


def origins(
    at: int, before: Sequence[Passage], flow: Counter[tuple[int, int]], without: int = -1
) -> tuple[Passage, ...]:
    """The OLD sections whose sentences a NEW one holds, the largest share first."""
    ranked = sorted(((-words, one) for (one, other), words in flow.items() if other == at and one != without))
    return tuple(before[one] for _, one in ranked)


def moves(old: Passage, new: Passage, before: frozenset[str], after: frozenset[str]) -> tuple[str, ...]:
    """What of a section's address changed; ``before`` and ``after`` are the files of the books. Nobody moves by a file's
    being called otherwise, and so nobody where each book is one file."""
    one, other = file_name(old.section.path), file_name(new.section.path)
    told = {
        "renumbered": old.section.number != new.section.number,
        "renamed": words_of(old.name) != words_of(new.name),
        "moved to another file": one != other and (one in after or other in before),
    }
    return tuple(word for word, holds in told.items() if holds)


def files_of(reading: Reading) -> frozenset[str]:
    """The names of a book's files."""
    return frozenset(file_name(draft.path) for draft in reading.drafts)


def file_name(path: str) -> str:
    """The file's own name, of a path on the disk or in a commit."""
    return path.replace("\\", "/").rsplit("/", 1)[-1].rsplit(":", 1)[-1]


def weigh(
    change: Change,
    at: int,
    before: Sequence[Passage],
    after: Sequence[Passage],
    found: Fates,
    homes: set[int],
    memory: losses.Memory,
    sources: frozenset[int],
) -> None:
    """Count what of an OLD section still stands and find what was lost; ``homes`` are the passages of NEW that tell of
    its person, to which those are added into which its sentences went. The blocks of lists of ``sources`` tell of
    nobody."""
    passage = before[at]
    gone: dict[Line, str] = {}  # with what each was rewritten to
    for number, each in enumerate(passage.lines):
        same, other = found.verbatim.get((at, number)), found.rewritten.get((at, number))
        homes |= {spot[0] for spot in (same, other) if spot}
        if other:
            change.rewritten.append((each, line(after, other)))
        elif not same:
            change.dropped.append(each)
        if not same and each.block not in sources:
            gone[each] = line(after, other).text if other else ""
    change.sentences = len(passage.lines)
    change.verbatim = sum((at, number) in found.verbatim for number in range(len(passage.lines)))
    change.marks = losses.lost_marks(at, before, after, found)
    if gone:
        change.people = people.lost_people(at, gone, memory.old, memory.new, homes)
        entries = {each.line for each in change.people if each.entry}  # told with the person
        left = {each: heir for each, heir in gone.items() if each not in entries}
        change.facts = losses.lost_facts(left, at, homes, memory)
