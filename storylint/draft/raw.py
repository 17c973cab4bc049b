"""A paragraph while it is read: pieces come in, a block comes out. The same for .docx and .odt."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from storylint.draft import typed
from storylint.draft.model import Block, Kind, Mark
from storylint.draft.plain import GONE, Plain

_LONGEST_NUMBER = 60  # characters of a raised "1, 2, 5–9"
_RAISED_NUMBER = re.compile(r"[\d\s,;\[\]()–-]*\d[\d\s,;\[\]()–-]*")
_BETWEEN_MARKS = re.compile(r"[\s,;–-]{1,3}")
# A caption begins with what it counts; a text that mentions a figure does so further on, and a number that counts
# people stands without a word.
_CAPTION_START = re.compile(
    r"(?:fig(?:ure)?|table|plate|photo(?:graph)?|picture|illustration|image|map|chart)", re.IGNORECASE
)
_CAPTION_WORD_ENDS = 40  # characters


class Look(NamedTuple):
    """How a run of text looks, as far as reading needs it."""

    hidden: bool = False
    raised: bool = False
    italic: bool = False
    bold: bool = False


PLAIN = Look()


class Call(NamedTuple):
    """A live mark on its way: where it stands in the raw text, and what it calls.

    ``kind`` is "footnote", "endnote" or "again" (a cross-reference that repeats the mark of a note); ``text`` the
    mark as it is seen in the draft, where the draft holds it; ``name`` the id of the note.
    """

    at: int
    kind: str
    text: str
    name: str


class Raw:
    """The raw text of one block, piece by piece, and what is to be seen of it.

    What is seen is as long as the raw text: digits in raised type become raised characters, and what is part of the
    raw text and not of the reader's (the mark that a cross-reference repeats) is blanked out.
    """

    def __init__(self, has_marks: bool = True) -> None:
        """``has_marks`` is False for the text of a note, in which all that is read is words."""
        self._has_marks = has_marks
        self.calls: list[Call] = []
        self.pictures: list[str] = []
        self.caption = False
        self._shown: list[str] = []
        self._length = 0
        self._italic: list[tuple[int, int]] = []
        self._bold: list[tuple[int, int]] = []
        self._parting = False  # whether the last piece may part two live marks

    def add(self, kind: str, text: str, look: Look, name: str = "") -> None:
        """The next piece. ``kind``: "text", "count" (a number that counts figures or tables; ``name`` says which),
        "again", "footnote", "endnote" or "picture" (``text`` is its description)."""
        if kind == "again" and not (self._has_marks and text.strip()):
            kind = "text"
        if kind in ("footnote", "endnote", "again") and self._parting:
            self._shown[-1] = GONE * len(self._shown[-1])  # a raised comma between two marks
        self._parting = False
        if kind == "picture":
            self.pictures.append(" ".join(text.split()))
        elif kind in ("footnote", "endnote"):
            self.calls.append(Call(self._length, kind, text.strip(), name))
        elif kind == "again":
            self.calls.append(Call(self._length, kind, text.strip(), name))
            self.show(GONE * len(text))
        else:
            self._add_text(kind, text, look, name)

    def show(self, text: str) -> None:
        """Text as it is."""
        self._shown.append(text)
        self._length += len(text)

    def _add_text(self, kind: str, text: str, look: Look, name: str) -> None:
        if kind == "count" and not self.caption:
            self.caption = self._begins_caption(name)
        if look.raised and len(text) < _LONGEST_NUMBER and _RAISED_NUMBER.fullmatch(text):
            text = typed.superscript(text)
        elif look.raised and self.calls and self.calls[-1].at == self._length:
            self._parting = bool(_BETWEEN_MARKS.fullmatch(text))
        start = self._length
        self.show(text)
        if look.italic:
            self._italic.append((start, self._length))
        if look.bold:
            self._bold.append((start, self._length))

    def _begins_caption(self, counted: str) -> bool:
        if self._length > _CAPTION_WORD_ENDS:
            return False
        before = "".join(self._shown).strip(" .:\N{NO-BREAK SPACE}")
        return bool(before) and (before.lower() == counted.lower() or bool(_CAPTION_START.fullmatch(before)))

    @property
    def length(self) -> int:
        """How much raw text there is so far."""
        return self._length

    @property
    def text(self) -> str:
        """The clean text."""
        return Plain("".join(self._shown)).text

    def block(
        self,
        index: int,
        kind: Kind,
        mark: Callable[[int, Call], Mark],
        level: int = 0,
        label: str = "",
        style: str = "",
    ) -> Block | None:
        """The block, with ``mark`` called for each mark's place in the clean text; None if nothing is seen."""
        plain = Plain("".join(self._shown))
        marks = tuple(mark(plain.at(call.at), call) for call in self.calls)
        if not plain.text.strip() and not marks:
            return None
        return Block(
            index,
            kind,
            plain.text,
            level=level,
            label=label,
            marks=marks,
            segments=plain.segments,
            italic=plain.spans(self._italic),
            bold=plain.spans(self._bold),
            style=style,
        )
