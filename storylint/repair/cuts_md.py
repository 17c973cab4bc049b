"""Cutting words from Markdown without breaking the markup around and across them.

The draft is read once more by its own reader, which tells here where each piece of markup stands and which two belong
together. Of a pair that a cut takes in whole nothing stays; of one that it takes in by half the other half stays with
its words, and its mate goes back beside them.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, TypeVar

from storylint.draft.markdown import _Definition, _join_notes, _Reader, _take_definitions, _take_front_matter
from storylint.draft.source import Edit, Line, decode, lines_of
from storylint.draft.txt import with_captions
from storylint.repair.cuts import NOTE, Cut, Plan
from storylint.repair.cuts_md_hidden import hidden
from storylint.repair.notes_md import _applied, _encoded, printed

if TYPE_CHECKING:
    from storylint.draft.inline import Inline
    from storylint.draft.model import Note

Change = tuple[int, int, str]
Thing = TypeVar("Thing")
FRAGILE = ("<", ">", "^")
BLANK = re.compile(r"\s+")
LOOSE = re.compile(r"[*_`\\]")
TAG = re.compile(r"<(/?)([A-Za-z]\w*)")


@dataclass(slots=True, eq=False)
class Sign:
    """A piece of markup in ``source[start:end]``.

    ``mate`` is the other one of a pair; ``put`` what a reader sees in its place. ``stays`` is true of what outlives a
    cut: marks of notes, and pictures, whose description is ``inside``.
    """

    start: int
    end: int
    text: str
    put: str = ""
    stays: bool = False
    inside: tuple[int, int] | None = None
    mate: Sign | None = None

    @property
    def opens(self) -> bool:
        """Whether it is the first of a pair."""
        return self.mate is not None and self.mate.start >= self.end

    @property
    def closes(self) -> bool:
        """Whether it is the second of a pair."""
        return self.mate is not None and not self.opens


class Markup(_Reader):
    """The markup of a whole file: ``signs`` rising, none inside another; ``texts`` (start, end) of what was searched for
    it; ``definitions`` of the live notes, in their order; ``settings`` the lines of settings at the start."""

    def __init__(self, source: str) -> None:
        lines = lines_of(source)
        body = [line.text for line in lines]
        self.settings = lines[1 : _take_front_matter(body)]
        definitions = _take_definitions(lines, body)
        super().__init__(lines, body)
        self.source = source
        self.definitions: list[_Definition] = []
        self.texts: list[tuple[int, int]] = []
        found: list[Sign] = []
        self._found = found
        blocks = [replace(block, index=index) for index, block in enumerate(with_captions(self.blocks()))]
        _join_notes(blocks, [*self.inline_notes, *definitions], self)
        self.signs = list(_outermost(found, lambda sign: (sign.start, sign.end)))
        self.starts = [sign.start for sign in self.signs]
        self.texts = list(_outermost(self.texts, lambda text: text))

    def note(self, definition: _Definition, number: str) -> Note:
        """As the reader reads it; where it stands is kept."""
        self.definitions.append(definition)
        return super().note(definition, number)

    def _scan(self, lines: Sequence[Line]) -> Inline:
        found = super()._scan(lines)
        place = _Places(lines)
        self.texts.append((lines[0].start, lines[-1].start + len(lines[-1].text)))
        pictures = {(each.start, each.end): each for each in found.pictures}
        signs = []
        for edit in found.edits:
            sign = Sign(place(edit.start), place.end(edit.end), "", edit.put, bool(edit.calls))
            sign.text = self.source[sign.start : sign.end]
            if picture := pictures.get((edit.start, edit.end)):
                sign.stays, sign.inside = True, (place(picture.first), place.end(picture.last))
            signs.append((edit, sign))
        _pair(signs)
        self._found += [sign for _, sign in signs]
        return found

    def between(self, start: int, end: int) -> list[Sign]:
        """The signs that begin between two places."""
        return self.signs[bisect_left(self.starts, start) : bisect_left(self.starts, end)]

    def around(self, at: int) -> tuple[int, int] | None:
        """The text to which a place belongs; None where there is no markup, in a listing."""
        found = bisect_right(self.texts, (at, len(self.source) + 1)) - 1
        return self.texts[found] if found >= 0 and at <= self.texts[found][1] else None

    def whole(self, start: int, end: int) -> tuple[int, int]:
        """A stretch of the source, widened to all of what stands for its first and last character ("&amp;", "\\!")."""
        for sign in self.between(start - 40, start + 1):
            if (start < sign.end and sign.put) or (sign.end == start and sign.text == "\\"):
                start = sign.start
        for sign in self.between(end - 40, end):
            if sign.put and end < sign.end:
                end = sign.end
        return start, end


def _outermost(found: Iterable[Thing], extent: Callable[[Thing], tuple[int, int]]) -> Iterator[Thing]:
    """In order, without those inside another: a picture's description is read by itself too."""
    stop = -1
    for each in sorted(found, key=lambda each: (extent(each)[0], -extent(each)[1])):
        if extent(each)[0] >= stop:
            stop = extent(each)[1]
            yield each


class _Places:
    """From offsets in lines that were joined to places in the source."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self.lines = lines
        self.starts = list(accumulate((len(line.text) + 1 for line in lines), initial=0))[:-1]

    def __call__(self, at: int) -> int:
        line = bisect_right(self.starts, at) - 1
        return self.lines[line].start + at - self.starts[line]

    def end(self, at: int) -> int:
        return self(at - 1) + 1 if at else self(0)


def _pair(signs: Iterable[tuple[Edit, Sign]]) -> None:
    """Find the mates: links, emphasis, code, addresses in angles, tags and raised figures."""
    open_ones: dict[str, list[Sign]] = {}
    for edit, sign in signs:
        if sign.stays or sign.put.strip() or sign.text in ("\\", "") or sign.text.startswith("<!--"):
            continue
        name, side = _kind(edit, sign.text)
        waiting = open_ones.setdefault(name, [])
        if side < 0 or (not side and waiting):
            if waiting:
                sign.mate = waiting.pop()
                sign.mate.mate = sign
        else:
            waiting.append(sign)


def _kind(edit: Edit, text: str) -> tuple[str, int]:
    """What a sign pairs with, and whether it opens (1), closes (-1) or either (0)."""
    if tag := TAG.match(text):
        return tag[2].lower(), -1 if tag[1] else 1
    if edit.italic or edit.bold:
        return text, edit.italic or edit.bold
    if text[0] in "[]":
        return "[", 1 if text == "[" else -1
    return ("<", 1 if text == "<" else -1) if text in "<>" else (text, 0)


# --------------------------------------------------------------------------------------------------------------- the cuts


def cut_markdown(data: bytes, made: Plan, plain: Collection[int] = ()) -> bytes:
    """The source with the cuts and without what is not read on the page; marks inside a cut stay behind it.

    Of the blocks ``plain`` (indexes) no paired markup stays at all.
    """
    source, _ = decode(made.draft.path, data)
    markup = Markup(source)
    emptied = dict.fromkeys(_note_places(markup, made), NOTE)
    beside = sorted(hidden(markup, made))
    changes = _Cutter(markup, emptied, plain, beside).changes(made.to_write)
    changes |= {(start, end, words) for (start, end), words in emptied.items()}
    changes.update(beside)
    return _encoded(_applied(source, list(_apart(changes))), data)


def _note_places(markup: Markup, made: Plan) -> Iterator[tuple[int, int]]:
    """Where the words of the live notes stand that are emptied."""
    for index in made.notes:
        if made.draft.notes[index].live:
            lines = [line for paragraph in markup.definitions[index].paragraphs for line in paragraph]
            full = [line for line in lines if line.text.strip()] or lines[:1]
            start = full[0].start + len(full[0].text) - len(full[0].text.lstrip())
            yield start, full[-1].start + len(full[-1].text.rstrip())


def _apart(changes: Iterable[Change]) -> Iterator[Change]:
    """The changes in order, without those inside another; what is put in stands before what goes."""
    stop = 0
    for change in sorted(changes, key=lambda each: (each[0], each[1] > each[0], -each[1], each[2])):
        if change[0] >= stop:
            stop = change[1]
            yield change


class _Cutter:
    """Turns cuts of what is read into changes of the source."""

    def __init__(
        self, markup: Markup, emptied: dict[tuple[int, int], str], plain: Collection[int], beside: Sequence[Change]
    ) -> None:
        self.markup, self.source, self.emptied, self.plain, self.beside = markup, markup.source, emptied, plain, beside
        self.put_back: dict[Sign, int] = {}  # where a half of a pair goes whose other half stays

    def changes(self, cuts: Sequence[Cut]) -> set[Change]:
        """The changes, apart from each other."""
        found = {change for cut in cuts for change in self._of(cut)}
        for early, late in pairwise(cuts):
            if early.block is late.block and not early.block.text[early.end : late.start].strip():
                self._forget_between(early, late)
        found |= {(mate.start, mate.end, "") for mate in self._forget_fragile()}
        back: dict[int, str] = {}
        for sign, at in sorted(self.put_back.items(), key=lambda pair: pair[0].start):
            back[at] = back.get(at, "") + self._left_of(sign)
        return found | {(at, at, text) for at, text in back.items()}

    def _forget_between(self, early: Cut, late: Cut) -> None:
        """Of two cuts side by side no pair stays that held what both of them took."""
        edges = [self._extent(cut) for cut in (early, late)]
        for sign in self.markup.between(*edges[0]):
            if sign.mate in self.put_back and sign in self.put_back and edges[1][0] <= sign.mate.start < edges[1][1]:
                del self.put_back[sign], self.put_back[sign.mate]

    def _forget_fragile(self) -> Iterator[Sign]:
        """Pairs that can't live on by half, an address in angles and signs that would run together with others, go
        whole; gives the halves outside the cuts."""
        for sign, at in list(self.put_back.items()):
            beside = self.source[at : at + 1] if sign.opens else self.source[at - 1 : at]
            if sign in self.put_back and sign.mate and (sign.text in FRAGILE or beside == sign.text[0]):
                del self.put_back[sign]
                if self.put_back.pop(sign.mate, None) is None:
                    yield sign.mate

    def _extent(self, cut: Cut) -> tuple[int, int]:
        """Where the words of a cut stand; a space with which they begin stands before all markup of the first."""
        words = cut.block.text[cut.start : cut.end]
        first, last = cut.end - len(words.lstrip()) if words.strip() else cut.start, max(cut.end - 1, cut.start)
        return self.markup.whole(cut.block.source_offset(first), cut.block.source_offset(last) + 1)

    def _space_before(self, left: int, start: int) -> Iterator[Change]:
        """White space, in which there may be markup."""
        for blank in BLANK.finditer(self.source, left, start):
            if not any(sign.end > blank.start() for sign in self.markup.between(left, blank.start())):
                yield *blank.span(), ""

    def _of(self, cut: Cut) -> Iterator[Change]:
        start, end = self._extent(cut)
        left, right = self._seen_beside(cut, start, end)
        near = self.markup.between(left, right)
        inside = [sign for sign in near if start <= sign.start < end]
        gone = {half for sign in near for half in _taken_whole(sign, set(near), start, end)}
        if cut.block.index in self.plain:
            text = self.markup.around(start) or (start, end)
            gone = {sign for sign in self.markup.between(*text) if sign.mate}
            yield from self._literal(*text)
        yield from ((sign.start, sign.end, "") for sign in gone if sign not in inside)
        kept = [sign for sign in near if sign.mate and sign not in gone]
        before = max([left, *(sign.end for sign in kept if sign.closes and sign.end <= start)])
        escapes = [sign for sign in near if sign.text == "\\" and sign.end == right]
        behind = min([right, *(sign.start for sign in kept + escapes if sign.start >= end and not sign.closes)])
        for sign in inside:
            if sign.mate and sign not in gone:
                self.put_back[sign] = behind if sign.opens else before
        spaced = cut.block.text[cut.start : cut.start + 1].isspace()
        if spaced and not cut.words[0].isspace():
            yield from self._space_before(left, start)
        words = (cut.words.lstrip() if spaced else cut.words) + self._typed_marks(cut)
        words += "".join(self._kept(sign) for sign in inside if sign.stays)
        yield start, end, self._safe(words, start, end)

    def _literal(self, start: int, end: int) -> Iterator[Change]:
        """Backslashes before what might be taken for markup, once the markup is gone."""
        for sign in LOOSE.finditer(self.source, start, end):
            before = self.markup.between(sign.start() - 1, sign.start() + 1)
            if not any(each.start <= sign.start() < each.end or each.text == "\\" for each in before):
                yield sign.start(), sign.start(), "\\"

    def _seen_beside(self, cut: Cut, start: int, end: int) -> tuple[int, int]:
        """Where the last letter before a cut ends, and the first behind it begins."""
        text = self.markup.around(start)
        if text is None:
            return start, end
        before, behind = cut.block.text[: cut.start].rstrip(), cut.block.text[cut.end :].lstrip()
        left, right = min(text[0], start), max(text[1], end)
        if before:
            left = cut.block.source_offset(len(before) - 1)
            left = max([left + 1, *(sign.end for sign in self.markup.between(left, left + 1) if sign.put)])
        if behind:
            right = cut.block.source_offset(len(cut.block.text) - len(behind))
        return min(left, start), max(right, end)

    def _kept(self, sign: Sign) -> str:
        """A mark or a picture out of a cut."""
        for (first, last), words in self.emptied.items():
            if sign.start < first and last < sign.end:
                return self.source[sign.start : first] + words + self.source[last : sign.end]
        return self._left_of(sign)

    def _left_of(self, sign: Sign) -> str:
        """A sign without what of it is not read and must not go out."""
        text = sign.text
        first, last = bisect_left(self.beside, (sign.start,)), bisect_left(self.beside, (sign.end,))
        for start, end, words in reversed(self.beside[first:last]):
            text = text[: start - sign.start] + words + text[end - sign.start :]
        return text

    def _typed_marks(self, cut: Cut) -> str:
        """The typed digits inside a cut; without them others that count up with them might not look like marks."""
        block, found = cut.block, []
        at_end = any(mark.at == cut.end and not mark.live for mark in block.marks)
        for at in dict.fromkeys(mark.at for mark in block.marks if not mark.live and cut.start < mark.at < cut.end):
            start, end = block.source_offset(at - 1) + 1, block.source_offset(at) + 1
            start = max([start, *(sign.end for sign in self.markup.between(start, end) if sign.text[0] == "]")])
            digits = printed(self.source, start, end)
            found += [self.source[slice(*digits)].strip()] if digits else []
        return ",".join(found) + "," * (at_end and bool(found))

    def _safe(self, words: str, start: int, end: int) -> str:
        """The words so that their brackets are no link and no note of their own."""
        after = self.source[end : end + 2]
        opens = not self.source[self.source.rfind("\n", 0, start) + 1 : start].strip(" \t>*_")
        risky = (after[:1] in ("(", "[") and after != "[^") or self.source[start - 1 : start] == "^"
        risky = risky or (opens and after[:1] == ":")
        if not risky or self.markup.around(start) is None or self._in_code(start):
            return words
        return words.replace("[", "\\[", 1).replace("]", "\\]", 1) if words.lstrip()[:1] == "[" else words

    def _in_code(self, at: int) -> bool:
        text = self.markup.around(at) or (at, at)
        return any(sign.text[:1] == "`" and sign.mate and sign.opens and sign.mate.start >= at
                   for sign in self.markup.between(text[0], at))  # fmt: skip


def _taken_whole(sign: Sign, near: set[Sign], start: int, end: int) -> tuple[Sign, ...]:
    """A pair with nothing that is read between its halves but what the cut takes."""
    mate = sign.mate
    return (sign, mate) if mate in near and mate and sign.start < end and mate.end > start else ()
