"""Cutting the runs of a .docx paragraph at a character, and finding the raw text that a reader saw in them."""

from __future__ import annotations

import copy
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from storylint.draft.docx_styles import Styles, W
from storylint.draft.docx_walk import IN_RAW, Piece, Unit
from storylint.repair.docx_package import element, text_element

if TYPE_CHECKING:
    from lxml.etree import _Element


class Stretch(NamedTuple):
    """A piece of a unit's raw text and where it begins there."""

    at: int
    piece: Piece

    def meets(self, start: int, end: int) -> bool:
        """Whether any of it lies between the two places."""
        return self.at < end and start < self.at + len(self.piece.text)

    def before(self, at: int) -> Stretch:
        """What is left of it once the text from this place on is gone."""
        return self._replace(piece=self.piece._replace(text=self.piece.text[: max(at - self.at, 0)]))


def stretches(unit: Unit, styles: Styles) -> list[Stretch]:
    """The pieces that make the raw text of a unit."""
    found, at = [], 0
    for between, pieces in unit.pieces(styles):
        at += len(between)
        for piece in pieces:
            if piece.kind in IN_RAW:
                found.append(Stretch(at, piece))
                at += len(piece.text)
    return found


def meeting(found: Sequence[Stretch], start: int, end: int) -> range:
    """Which of the stretches of a unit may have any text between the two places."""
    first = bisect_right(found, start, key=lambda stretch: stretch.at)
    return range(max(first - 1, 0), bisect_left(found, end, key=lambda stretch: stretch.at))


def raw_between(found: Sequence[Stretch], start: int, end: int) -> str:
    """The raw text from ``start`` to ``end``; what stands between two paragraphs of a unit is a space."""
    shown = [" "] * (end - start)
    for at, piece in found:
        for place in range(max(start, at), min(end, at + len(piece.text))):
            shown[place - start] = piece.text[place - at]
    return "".join(shown)


def cut_out(stretch: Stretch, start: int, end: int) -> _Element:
    """Part the run of a stretch so that its raw text from ``start`` to ``end`` has a run of its own; gives that run."""
    piece = stretch.piece
    first, last = max(start - stretch.at, 0), min(end - stretch.at, len(piece.text))
    if last < len(piece.text):
        _part(piece.run, piece.part, last)
    elif next(piece.part.itersiblings(), None) is not None:
        _part_after(piece.run, piece.part)
    alone = not first and all(child.tag == W + "rPr" for child in piece.part.itersiblings(preceding=True))
    return piece.run if alone else _part(piece.run, piece.part, first)


def _part(run: _Element, part: _Element, at: int) -> _Element:
    """Part a run before ``text[at]`` of one of its parts; gives the new run behind it."""
    fresh = _like(run)
    later = list(part.itersiblings())
    if at:
        words = part.text or ""
        if words[at:]:
            fresh.append(text_element(words[at:]))
        part.text = words[:at]
        part.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    else:
        fresh.append(part)
    fresh.extend(later)
    run.addnext(fresh)
    return fresh


def _part_after(run: _Element, part: _Element) -> None:
    """Part a run behind one of its parts."""
    fresh = _like(run)
    fresh.extend(list(part.itersiblings()))
    run.addnext(fresh)


def _like(run: _Element) -> _Element:
    """An empty run in the same look."""
    fresh = element("r")
    properties = run.find(W + "rPr")
    if properties is not None:
        fresh.append(copy.deepcopy(properties))
    return fresh


def raised_like(run: _Element, words: str) -> _Element:
    """Words in the look of a run, raised."""
    fresh = _like(run)
    properties = fresh.find(W + "rPr")
    if properties is None:
        properties = element("rPr")
        fresh.insert(0, properties)
    if properties.find(W + "vertAlign") is None:
        properties.append(element("vertAlign", val="superscript"))
    fresh.append(text_element(words))
    return fresh


def remove(child: _Element) -> None:
    """Take an element out of its parent."""
    parent = child.getparent()
    if parent is not None:
        parent.remove(child)
