"""A reading cut into what two states of a book are compared by: each section with its sentences, headings and notes.

Made from the reading alone. Words are compared without capitals, punctuation and generation digits, so that a sentence
that was moved, renumbered or given another kind of quotation mark is the same sentence.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from storylint.draft.model import Block, Kind, Note
from storylint.findings import DraftReading, Reading, SectionReading
from storylint.study import sentences as boundaries
from storylint.study.people import LABEL

SILENT = frozenset({Kind.NOTES, Kind.PICTURE})  # neither told nor a heading
TOLD = frozenset({Kind.PARAGRAPH, Kind.QUOTATION})  # cut into sentences; every other block is one line
RAISED = str.maketrans("", "", "¹²³⁰⁴⁵⁶⁷⁸⁹")  # generation digits, which change when a line of descent does
NO_LABEL = re.compile(r"\d+|\d{4}\.|[A-Z]+\.")  # what looks like one: the day of a date, a year, an initial
WORD = re.compile(r"[^\W_]+")


@dataclass(frozen=True, slots=True)
class Line:
    """A sentence, or an entry of a list. ``words`` are what is compared; ``marked``: a citation mark answers for it;
    ``child``: it stands in a list of children."""

    text: str
    words: tuple[str, ...]
    block: int
    start: int
    marked: bool = False
    child: bool = False


@dataclass(frozen=True, slots=True)
class Passage:
    """A section with its lines in reading order, its headings, and the notes that its marks call, each once."""

    section: SectionReading
    lines: tuple[Line, ...]
    headings: tuple[str, ...]
    notes: tuple[Note, ...]

    @property
    def name(self) -> str:
        """The person, or the title of what has none."""
        return self.section.person or self.section.title


def words_of(text: str) -> tuple[str, ...]:
    """The words of a text as they are compared."""
    return tuple(WORD.findall(text.translate(RAISED).casefold()))


def passages(reading: Reading) -> list[Passage]:
    """All sections of a reading, in reading order."""
    drafts = {draft.path: draft for draft in reading.drafts}
    # A block's index counts empty paragraphs, too; its place among the blocks is looked up.
    indexes = {draft.path: [block.index for block in draft.blocks] for draft in reading.drafts}
    ends = {path: len(found) for path, found in indexes.items()}
    found: list[Passage] = []
    for section in sorted(reading.sections, key=lambda s: -s.block):  # a section runs to where the next one begins
        draft, at = drafts[section.path], bisect_left(indexes[section.path], section.block)
        found.append(passage(section, draft, draft.blocks[at : ends[section.path]]))
        ends[section.path] = at
    order = {id(section): number for number, section in enumerate(reading.sections)}
    return sorted(found, key=lambda passage: order[id(passage.section)])


def passage(section: SectionReading, draft: DraftReading, blocks: Iterable[Block]) -> Passage:
    """One section's blocks, cut."""
    lines: list[Line] = []
    headings: list[str] = []
    called: dict[int, None] = {}
    children = frozenset(section.children)
    for block in blocks:
        called |= dict.fromkeys(mark.note for mark in block.marks if mark.note is not None)
        if block.kind is Kind.HEADING:
            headings.append(block.text)
        elif block.kind not in SILENT:
            lines += cut(block, block.index in children)
    notes = tuple(draft.notes[note] for note in called if note < len(draft.notes))
    return Passage(section, tuple(lines), tuple(headings), notes)


def cut(block: Block, child: bool = False) -> Iterator[Line]:
    """A block's lines; ``child`` where it stands in a list of children."""
    body, end = body_of(block.text), len(block.text)
    spans = boundaries.split(block.text) if block.kind in TOLD else [(body, end)]
    spans = [(max(start, body), stop) for start, stop in spans if stop > body]
    closing = bool(block.marks) and bool(spans) and block.marks[-1].at > spans[-1][0]
    for number, (start, end) in enumerate(spans):
        until = spans[number + 1][0] if number + 1 < len(spans) else len(block.text) + 1
        words = words_of(block.text[start:end])
        if words:
            marked = closing or any(start < mark.at < until for mark in block.marks)
            yield Line(block.text[start:end], words, block.index, start, marked, child)


def body_of(text: str) -> int:
    """Where the text of a list's entry begins behind its number and numeral, which may stand in a paragraph, too."""
    label = LABEL.match(text)
    if not label or label.end() == len(text) or NO_LABEL.fullmatch(label.group().strip()):
        return 0
    return label.end()
