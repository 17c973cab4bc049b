"""The apparatus of a draft: its marks in reading order, its notes, and which answers which.

Marks and notes come from the reader, joined. Here they are laid out as a reader of the printed book meets them: mark by
mark, list by list, with the run of numbers to which each mark belongs.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby, pairwise

from storylint.draft.model import Block, Draft, Kind, Mark, Note
from storylint.findings import Place
from storylint.rule import place, words_at
from storylint.study.study import Book, Sentence, StudiedSection


@dataclass(frozen=True, slots=True)
class Call:
    """One mark where it stands. ``run`` names the sequence of numbers that it is part of."""

    block: Block
    mark: Mark
    run: tuple[str, int] = ("", 0)


@dataclass
class Apparatus:
    """Marks and notes of one draft.

    ``calls`` are in reading order. ``lists`` are the typed lists of notes as ranges of ``draft.notes``. ``by_note`` has
    for each index in ``draft.notes`` its calls; ``lines`` are those on which live notes are written (Markdown), rising;
    ``written`` the blocks of typed notes by their index.
    """

    draft: Draft
    calls: list[Call]
    lists: list[range]
    by_note: dict[int, list[Call]] = field(default_factory=dict)
    lines: list[int] = field(default_factory=list)
    written: dict[int, Block] = field(default_factory=dict)

    @cached_property
    def typed(self) -> list[Call]:
        """The calls that are typed digits."""
        return [call for call in self.calls if not call.mark.live]

    @cached_property
    def restarts(self) -> list[Call]:
        """The marks with which typed numbers begin again although no heading stands before them."""
        headed = [block.index for block in self.draft.blocks if block.kind is Kind.HEADING]
        return [
            late
            for early, late in pairwise(self.typed)
            if early.run != late.run
            and bisect_left(headed, early.block.index) == bisect_left(headed, late.block.index + 1)
        ]

    def note_of(self, call: Call) -> Note | None:
        """The note that answers a mark."""
        return None if call.mark.note is None else self.draft.notes[call.mark.note]

    def before(self, index: int) -> int | None:
        """The note that stands in print right before this one: in its list, or among those of its kind as called."""
        note = self.draft.notes[index]
        if not note.live:
            return index - 1 if any(index in listed and index > listed.start for listed in self.lists) else None
        earlier = range(index - 1, -1, -1)
        return next(
            (at for at in earlier if self.draft.notes[at].live and self.draft.notes[at].kind == note.kind), None
        )

    def list_of(self, index: int) -> int:
        """Which typed list a note stands in; -1 for a live note."""
        return next((number for number, listed in enumerate(self.lists) if index in listed), -1)


def apparatus_of(book: Book) -> list[Apparatus]:
    """That of each draft of the book, in order, worked out once."""

    def work_out() -> list[Apparatus]:
        drafts = {id(section.section.draft): section.section.draft for section in book.sections}
        return [lay_out(draft) for draft in drafts.values()]

    return book.once("apparatus", work_out)


def calls_in(section: StudiedSection, book: Book) -> tuple[Apparatus, list[Call]]:
    """The apparatus of the section's draft, and the marks that stand in the section, in order."""

    def work_out() -> dict[int, tuple[Apparatus, dict[int, list[Call]]]]:
        return {id(apparatus.draft): (apparatus, _by_block(apparatus)) for apparatus in apparatus_of(book)}

    own = section.section
    apparatus, by_block = book.once("calls", work_out)[id(own.draft)]
    indexes = dict.fromkeys(block.index for block in [own.entry, *own.body] if block is not None and block.marks)
    return apparatus, [call for index in indexes for call in by_block.get(index, ())]


def _by_block(apparatus: Apparatus) -> dict[int, list[Call]]:
    by_block: dict[int, list[Call]] = defaultdict(list)
    for call in apparatus.calls:
        by_block[call.block.index].append(call)
    return by_block


class Places:
    """Finds the sentences in which the marks of one section stand."""

    def __init__(self, section: StudiedSection) -> None:
        self._section = section
        self._sentences: dict[tuple[int, Mark], Sentence] = {}
        quoted = (sentence for paragraph in section.quoted for sentence in paragraph)
        for sentence in (*section.sentences, *section.children, *quoted):
            for mark in sentence.marks:
                self._sentences.setdefault((sentence.block.index, mark), sentence)

    def of(self, call: Call) -> Place:
        """The sentence of a mark; outside of prose its whole block."""
        own = self._section.section
        sentence = self._sentences.get((call.block.index, call.mark))
        return place(own, sentence) if sentence else words_at(own, call.block, 0, len(call.block.text))


def lay_out(draft: Draft) -> Apparatus:
    """The apparatus of one draft. Marks in notes and in lists of notes call nothing."""
    lists = _lists(draft)
    marks = [(block, mark) for block in draft.blocks if block.kind is not Kind.NOTES for mark in block.marks]
    calls = [
        Call(*pair, run) for pair, run in zip(marks, _runs(draft, [mark for _, mark in marks], lists), strict=True)
    ]
    by_note: dict[int, list[Call]] = defaultdict(list)
    for call in calls:
        if call.mark.note is not None:
            by_note[call.mark.note].append(call)
    lines = sorted(note.line for note in draft.notes if note.live and note.line is not None)
    written = {block.index: block for block in draft.blocks if block.kind is Kind.NOTES}
    return Apparatus(draft, calls, lists, dict(by_note), lines, written)


def _lists(draft: Draft) -> list[range]:
    """Typed notes in a row make a list; a new one begins with the number 1, or where something else stands between."""
    written = {block.index for block in draft.blocks if block.kind is Kind.NOTES}
    lists: list[range] = []
    for index, note in enumerate(draft.notes):
        if note.live:
            continue
        before = draft.notes[index - 1] if lists and lists[-1].stop == index else None
        if before is not None and not _begins_anew(before, note) and _adjoin(before, note, written):
            lists[-1] = range(lists[-1].start, index + 1)
        else:
            lists.append(range(index, index + 1))
    return lists


def _begins_anew(before: Note, note: Note) -> bool:
    return note.number == "1" and before.number != "1"


def _adjoin(before: Note, note: Note, written: set[int]) -> bool:
    if before.block is None or note.block is None:
        return before.block is note.block
    return all(block in written for block in range(before.block + 1, note.block))


def _runs(draft: Draft, marks: Sequence[Mark], lists: Sequence[range]) -> list[tuple[str, int]]:
    """For each mark the sequence its number belongs to.

    A typed mark counts with the list that answers it (with its neighbours where none does). Live marks count by kind,
    and anew where a new note takes up 1 again. Where a draft has both, the typed ones stand among the live.
    """
    of_note = {index: number for number, listed in enumerate(lists) for index in listed}
    live = next((draft.notes[mark.note].kind for mark in marks if mark.live and mark.note is not None), "")
    anew: dict[str, int] = defaultdict(int)
    seen: set[int] = set()
    last = 0
    runs = []
    for mark in marks:
        if not mark.live:
            last = of_note.get(mark.note, last) if mark.note is not None else last
            runs.append((live, anew[live]) if live else ("typed", last))
            continue
        kind = draft.notes[mark.note].kind if mark.note is not None else live
        if (
            mark.number == "1"
            and mark.note is not None
            and mark.note not in seen
            and any(draft.notes[at].kind == kind for at in seen)
        ):
            anew[kind] += 1
        if mark.note is not None:
            seen.add(mark.note)
        runs.append((kind, anew[kind]))
    return runs


def astray(numbers: Sequence[int]) -> list[int]:
    """The fewest positions whose removal leaves ``numbers`` rising or level: what is not in a longest non-decreasing
    subsequence, found by patience sorting in O(n log n) (M. L. Fredman, Discrete Mathematics 11, 1975, from memory).

    Where either of two may go, the one that falls back is named: it is sorted from the end.

    >>> astray([1, 2, 7, 3, 4]), astray([8, 2, 9])
    ([2], [1])
    """
    ends: list[tuple[int, int]] = []  # for each length, from the end: the largest first number negated, its position
    after: list[int] = []
    for turn, number in enumerate(reversed(numbers)):
        length = bisect_left(ends, (1 - number, -1))
        after.append(ends[length - 1][1] if length else -1)
        ends[length : length + 1] = [(-number, turn)]
    kept = set()
    turn = ends[-1][1] if ends else -1
    while turn >= 0:
        kept.add(len(numbers) - 1 - turn)
        turn = after[turn]
    return [at for at in range(len(numbers)) if at not in kept]


def doubled(apparatus: Apparatus) -> list[list[int]]:
    """Notes of one list that bear the same number, as indexes; of live notes those that share a label."""
    notes = apparatus.draft.notes
    groups: dict[tuple[int, str, str], list[int]] = defaultdict(list)
    for index, note in enumerate(notes):
        if not note.live:
            groups[apparatus.list_of(index), note.kind, note.number].append(index)
    found = [group for group in groups.values() if len(group) > 1]
    live = [index for index, note in enumerate(notes) if note.live]
    for _, run in groupby(live, key=lambda index: (notes[index].kind, notes[index].number)):
        same = list(run)
        if len(same) > 1 and not any(index in apparatus.by_note for index in same[1:]):
            found.append(same)
    return found


def called_once(calls: Iterable[Call]) -> list[Call]:
    """The first call of each note, in order."""
    return list({call.mark.note: call for call in reversed(list(calls))}.values())[::-1]
