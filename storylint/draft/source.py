"""What the two plain-text readers share: the decoded file, its lines, and clean text that knows where it came from."""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from storylint.complaints import Unreadable
from storylint.draft.model import Block, Kind, Mark
from storylint.draft.plain import ACCENTED, composed
from storylint.draft.typed import superscript

_MARKED = (  # longest first: a UTF-32 mark begins like a UTF-16 one
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_HEAD = 4096  # bytes
_NEWLINE = re.compile(r"\r\n|\r|\n")
# Control characters, soft hyphen, zero-width characters, marks of writing direction: nothing is seen of them.
_INVISIBLE = "\x01-\x08\x0e-\x1b\x7f\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff"
_ALL_INVISIBLE = re.compile(f"[{_INVISIBLE}]+")
_HYPHENS = str.maketrans({"\N{HYPHEN}": "-", "\N{NON-BREAKING HYPHEN}": "-"})
_UNEVEN = re.compile(rf"\s{{2,}}|[^\S ]|[{_INVISIBLE}]+|{ACCENTED.pattern}")

SAVE_AS = "open it in the program that wrote it and save it as plain text with the encoding UTF-8"


def decode(path: str, data: bytes) -> tuple[str, tuple[str, ...]]:
    """The text of a file and remarks for the user: by byte-order mark, else by what can only be UTF-16, else UTF-8, else
    Windows-1252.

    Raises Unreadable for what is no text.
    """
    codec = next((codec for mark, codec in _MARKED if data.startswith(mark)), "") or _unmarked(data)
    remarks: tuple[str, ...] = ()
    try:
        text = data.decode(codec)
    except UnicodeDecodeError:
        if codec != "utf-8":
            why = f"begins as {codec.upper()} text but breaks off inside a character; {SAVE_AS}"
            raise Unreadable(path, why) from None
        text, remarks = _decode_anyhow(data)
    if "\0" in text:
        raise Unreadable(path, f"is not plain text (it holds zero bytes); {SAVE_AS}")
    return text, remarks


def _unmarked(data: bytes) -> str:
    """The encoding of a file without a mark: of UTF-16 in a Western language nearly every second byte is zero."""
    head = data[:_HEAD]
    for codec, zeros in (("utf-16-le", head[1::2]), ("utf-16-be", head[::2])):
        if zeros.count(0) > 0.8 * len(zeros) and head.count(0) - zeros.count(0) <= 0.01 * len(head):
            return codec
    return "utf-8"


def _decode_anyhow(data: bytes) -> tuple[str, tuple[str, ...]]:
    """A file that is not clean UTF-8: UTF-8 with a few spoilt places, or else as the machine wrote that it is from."""
    text = data.decode("utf-8", errors="replace")
    spoilt = text.count("\ufffd")
    if sum(map(len, re.findall(r"[^\x00-\x7f\ufffd]+", text))) > spoilt:
        line = text.count("\n", 0, text.index("\ufffd")) + 1
        return text, (f"{spoilt} characters can't be read (the first on line {line}) and stand as \ufffd",)
    texts = {name: data.decode(codec, errors="replace") for name, codec in _OLD.items()}
    name = min(texts, key=lambda name: odd_signs(texts[name]))  # the first of equals
    return texts[name], (f"not UTF-8, so read as {name}; if accents look wrong, save the file with the encoding UTF-8",)


# How texts were written before UTF-8, the commonest first.
_OLD = {"Windows-1252": "cp1252", "Mac Roman": "mac_roman", "DOS code page 850": "cp850"}
_AT_HOME = frozenset("\xa0£¢€§©®°±²³·¹¼½¾–—…•«»‹›¡¿×÷‘’†‡")  # signs of prose that may stand anywhere


def odd_signs(text: str) -> int:
    """How many characters beyond ASCII stand where no writer would put them: a capital after a small letter, opening
    quotation marks inside a word, signs of other trades."""
    return sum(_is_odd(text[at - 1 : at], text[at], text[at + 1 : at + 3]) for at in _beyond_ascii(text))


def _beyond_ascii(text: str) -> Iterator[int]:
    return (match.start() for match in re.finditer(r"[^\x00-\x7f]", text))


def _is_odd(before: str, sign: str, after: str) -> bool:
    if sign.isalpha() and sign < "\u0180" and sign not in "ªºµ":
        return sign.isupper() and (before.islower() or (after[:1].isupper() and after[1:].islower()))
    if sign in "“”„":
        return before.isalpha() and after[:1].isalpha()
    return sign not in _AT_HOME


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the source without its end; ``start`` is its offset, ``number`` counts from 1."""

    text: str
    start: int
    number: int


# A word broken at the end of a line, and its other half; in a quotation there may be signs before that.
_BROKEN = re.compile(r"(?<![^\W\d_])([^\W\d_]{2,})-(?:\r\n|\r|\n)[\s>]{0,40}([^\W\d_]{2,})")


def lines_of(source: str) -> list[Line]:
    """The lines of ``source``, whatever ends them; a last empty line is left out.

    The hyphen of a word that is broken at the end of a line becomes a soft one, which nobody sees, where the source has
    the word unbroken elsewhere, and not with a hyphen: Gran-ville, but no well-known.
    """
    broken = [match for match in _BROKEN.finditer(source) if match[2][0].islower()]
    if broken:
        written = set(re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", source))
        joined = [
            match for match in broken if match[1] + match[2] in written and f"{match[1]}-{match[2]}" not in written
        ]
        pieces = pairwise([0, *(edge for match in joined for edge in (match.end(1), match.end(1) + 1)), len(source)])
        source = "\N{SOFT HYPHEN}".join(source[start:end] for start, end in list(pieces)[::2])
    lines = []
    at = 0
    for number, end in enumerate(_NEWLINE.finditer(source), 1):
        lines.append(Line(source[at : end.start()], at, number))
        at = end.end()
    if at < len(source):
        lines.append(Line(source[at:], at, len(lines) + 1))
    return lines


@dataclass(frozen=True, slots=True)
class Edit:
    """Something in ``text[start:end]`` that a reader does not see as it stands.

    It goes, and leaves ``put`` in its place, or a mark (``calls``: what the mark calls), or it opens (+1) or closes
    (-1) italic or bold type.
    """

    start: int
    end: int
    put: str = ""
    calls: str = ""
    italic: int = 0
    bold: int = 0


_RAISED_BEFORE = re.compile(r"[0-9]\]?</sup>$", re.IGNORECASE)


def unwrapped(match: re.Match[str], group: str | int) -> list[Edit]:
    """Edits that take away what stands round ``group``, the raised part of ``match``; its digits become raised ones.

    A tag right behind another begins a number of its own: "<sup>1</sup><sup>2</sup>" is 1 and 2, and not 12.
    """
    start, end = match.span(group)
    raised = superscript(match[group])
    return [
        Edit(
            match.start(),
            start,
            put="," if _RAISED_BEFORE.search(match.string[max(match.start() - 8, 0) : match.start()]) else "",
        ),
        *([Edit(start, end, put=raised)] if raised != match[group] else []),
        Edit(end, match.end()),
    ]


@dataclass(slots=True)
class CleanText:
    """Clean text in the making: single spaces, and for every run of characters where it stands in the source."""

    pieces: list[str] = field(default_factory=list)
    length: int = 0
    line: int = 0  # on which the text begins
    segments: list[tuple[int, int]] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    italic: list[tuple[int, int]] = field(default_factory=list)
    bold: list[tuple[int, int]] = field(default_factory=list)
    _gap: str = ""
    _opened: dict[str, list[int]] = field(default_factory=lambda: {"italic": [], "bold": []})

    @property
    def text(self) -> str:
        text = "".join(self.pieces)
        return text if text.isascii() else text.translate(_HYPHENS)

    def gap(self, separator: str = " ") -> None:
        """White space before whatever comes next; none at the beginning and the end."""
        if self.length:
            self._gap = max(self._gap, separator, key=("", " ", "\t").index)

    def add(self, piece: str, origin: int) -> None:
        """``piece`` as it stands in the source at ``origin``."""
        # As nearly always; what is unseen counts as unprintable.
        if piece.isprintable() and "  " not in piece and (piece.isascii() or not ACCENTED.search(piece)):
            self._add_even(piece, origin)
            return
        at = 0
        for uneven in _UNEVEN.finditer(piece):
            self._add_even(piece[at : uneven.start()], origin + at)
            at = uneven.end()
            if uneven[0].isspace():
                self.gap()
            elif uneven[0][0].isalpha():
                self._write(composed(uneven[0]), origin + uneven.start())
                self.segments.append((self.length, origin + at))
        self._add_even(piece[at:], origin + at)

    def _add_even(self, run: str, origin: int) -> None:
        if run[:1] == " ":
            self.gap()
            run, origin = run[1:], origin + 1
        if run[-1:] == " ":
            if len(run) > 1:
                self._write(run[:-1], origin)
            self.gap()
        elif run:
            self._write(run, origin)

    def _write(self, run: str, origin: int) -> None:
        if self._gap:
            run, origin, self._gap = self._gap + run, origin - 1, ""
        if not self.segments or origin - self.length != self.segments[-1][1] - self.segments[-1][0]:
            self.segments.append((self.length, origin))
        self.pieces.append(run)
        self.length += len(run)

    def put(self, instead: str, origin: int) -> None:
        """``instead`` stands for something else in the source at ``origin``."""
        if instead.isspace():
            self.gap()
        elif instead := _ALL_INVISIBLE.sub("", instead):
            self._write(instead, origin)

    def turn(self, style: str, by: int) -> None:
        """Open (+1) or close (-1) a span of ``style``."""
        opened = self._opened[style]
        if by > 0:
            opened.append(self.length + len(self._gap))
        elif opened and (start := opened.pop()) < self.length and not opened:
            (self.italic if style == "italic" else self.bold).append((start, self.length))

    def apply(self, edit: Edit, origin: int) -> None:
        """Do what ``edit`` says; it begins at ``origin`` in the source."""
        if edit.put:
            self.put(edit.put, origin)
        if edit.calls:
            self.marks.append(Mark(self.length, edit.calls, live=True))
        if edit.italic:
            self.turn("italic", edit.italic)
        if edit.bold:
            self.turn("bold", edit.bold)

    def block(self, kind: Kind, line: int, level: int = 0, label: str = "", origin: int = 0) -> Block:
        """A block of this text; it gets its place in the draft later.

        ``line`` and ``origin`` are where it stands if it is empty.
        """
        segments = tuple(self.segments) or ((0, origin),)
        spans = tuple(self.italic), tuple(self.bold)
        return Block(0, kind, self.text, self.line or line, level, label, tuple(self.marks), segments, *spans)


def assemble(lines: Iterable[Line], edits: Sequence[Edit] = (), into: CleanText | None = None) -> CleanText:
    """The clean text of ``lines`` after ``edits``, whose offsets count in ``"\\n".join(line.text …)``, rising.

    An edit inside another is passed over. It is added to ``into`` if given. A line that ends in a hyphen or dash joins
    the next without a space.
    """
    clean = CleanText() if into is None else into
    turn = at = base = 0
    runs_on = False
    for line in lines:
        stop = base + len(line.text)
        if runs_on:  # the second half of a word may be set in, or stand on a new page
            at = max(at, base + len(line.text) - len(line.text.lstrip()))
        while turn < len(edits) and edits[turn].start <= stop:
            edit = edits[turn]
            turn += 1
            if edit.start < at:
                continue
            clean.add(line.text[max(at - base, 0) : edit.start - base], line.start + max(at - base, 0))
            clean.apply(edit, line.start + edit.start - base)
            at = edit.end
        if at < stop:
            clean.add(line.text[max(at - base, 0) :], line.start + max(at - base, 0))
            at = stop
        if clean.length and not clean.line:
            clean.line = line.number
        base = stop + 1
        runs_on = _runs_on(line.text)
        if not runs_on:
            clean.gap()
    return clean


def _runs_on(text: str) -> bool:
    """Whether a line ends inside a word or a dash ("school-", "history--", "history—")."""
    return text[-1:] in ("-", "—", "\N{SOFT HYPHEN}") and len(text) > 1 and not text[-2].isspace()


def without_start(block: Block, length: int, label: str) -> Block:
    """``block`` without the first ``length`` characters of its text, which become its label."""
    later = [(start - length, origin) for start, origin in block.segments if start > length]
    return replace(
        block,
        text=block.text[length:],
        label=label,
        marks=tuple(replace(mark, at=max(mark.at - length, 0)) for mark in block.marks),
        segments=((0, block.source_offset(length)), *later),
        italic=_moved(block.italic, length),
        bold=_moved(block.bold, length),
    )


def _moved(spans: Iterable[tuple[int, int]], by: int) -> tuple[tuple[int, int], ...]:
    return tuple((max(start - by, 0), end - by) for start, end in spans if end > by)
