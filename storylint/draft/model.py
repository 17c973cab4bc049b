"""The draft as every rule sees it: blocks of clean text, notes and marks. One model for all formats."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum


class Kind(StrEnum):
    """What a block is in the printed book."""

    HEADING = "heading"
    PARAGRAPH = "paragraph"
    ITEM = "item"  # an entry of an ordinary list
    CHILD = "child"  # an entry of a person's list of children; set when the draft is split into sections
    TABLE = "table"
    PICTURE = "picture"
    CAPTION = "caption"
    QUOTATION = "quotation"  # a displayed quotation or document
    NOTES = "notes"  # a line of a typed list of notes at the end of a chapter or book; never prose


PROSE = frozenset({Kind.PARAGRAPH})


@dataclass(frozen=True, slots=True)
class Mark:
    """A citation mark. It is not part of the block's text: it stands before ``text[at]``.

    ``live`` is False for typed digits that open no real note. ``note`` is the index in ``Draft.notes``
    of the note it calls, or None where the draft has none.
    """

    at: int
    number: str
    live: bool
    note: int | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """A footnote, an endnote or an entry of a typed list of notes; ``kind`` says which.

    ``number`` is what the reader sees. ``line`` and ``block`` are where it is written, where that is in the
    body (a typed list); both None for notes that live in a part of their own.
    """

    number: str
    text: str
    kind: str  # "footnote" | "endnote" | "typed"
    live: bool
    line: int | None = None
    block: int | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """One paragraph of the draft.

    ``text`` is what a reader reads: no marks, no markup, no soft hyphens, white space single.
    ``label`` is a list item's printed number ("3.", "iv.", "+ 5 iv."). ``level`` is a heading's depth
    from 1 (0 for other blocks). ``segments`` map ``text`` to the source: pairs (start in text, start in
    source), rising in both; between two starts the offsets run in step. The source of .txt and .md is the
    whole decoded file; of .docx and .odt the paragraph's own raw text (see ``storylint.draft.docx``).
    ``italic`` and ``bold`` are spans of ``text``.
    """

    index: int
    kind: Kind
    text: str
    line: int | None = None
    level: int = 0
    label: str = ""
    marks: tuple[Mark, ...] = ()
    segments: tuple[tuple[int, int], ...] = ((0, 0),)
    italic: tuple[tuple[int, int], ...] = ()
    bold: tuple[tuple[int, int], ...] = ()
    style: str = ""

    def source_offset(self, offset: int) -> int:
        """Where the character ``text[offset]`` stands in the source."""
        at = max(bisect_right(self.segments, offset, key=lambda pair: pair[0]) - 1, 0)
        start, origin = self.segments[at]
        return origin + offset - start

    @property
    def words(self) -> int:
        """Number of words, split at white space."""
        return len(self.text.split())


@dataclass(frozen=True, slots=True)
class Draft:
    """One file, read. ``line_starts`` (text formats only) are the source offsets at which lines begin."""

    path: str
    format: str  # "docx" | "odt" | "txt" | "md"
    sha256: str
    blocks: tuple[Block, ...]
    notes: tuple[Note, ...] = ()
    line_starts: tuple[int, ...] = ()
    remarks: tuple[str, ...] = ()  # what the reader had to leave out or guess, one line each, for the user
    secret: bytes = field(default=b"", repr=False, compare=False)  # of the file's bytes: see ``storylint.cache``

    def line_of(self, block: Block, offset: int) -> int | None:
        """The 1-based line of the source on which ``block.text[offset]`` stands; None for docx and odt."""
        if not self.line_starts:
            return None
        return bisect_right(self.line_starts, block.source_offset(offset))

    @property
    def words(self) -> int:
        """Words of the body: everything but typed note lists and the descriptions of pictures, which aren't printed."""
        return sum(block.words for block in self.blocks if block.kind not in (Kind.NOTES, Kind.PICTURE))


@dataclass(slots=True)
class Section:
    """A run of blocks about one person, or front matter, back matter or a chapter without a person.

    ``person`` is the name as a reader would say it: no generation digits, lineage or numbers. ``lineage``
    is the printed line of descent, nearest ancestor first. ``entry`` is the block that opens the section
    (heading or first paragraph), ``body`` the rest in reading order; where the entry is a whole paragraph
    that opens with the name (a Register paragraph), it stands in ``body`` too.
    """

    id: str
    draft: Draft
    title: str
    entry: Block | None
    body: list[Block] = field(default_factory=list)
    person: str | None = None
    number: str | None = None
    generation: int | None = None
    lineage: tuple[str, ...] = ()

    def of_kind(self, *kinds: Kind) -> Iterator[Block]:
        """The body blocks of these kinds, in order."""
        return (block for block in self.body if block.kind in kinds)
