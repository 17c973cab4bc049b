"""Deleted text that stands in the body of an .odt, between two marks (OpenDocument 1.3, part 3, 5.5.7 and 5.5.8).

A package holds deleted text apart from the body; a flat file (.fodt) leaves it where it was, and says in an empty
``text:deletion`` that what stands between the marks is deleted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from storylint.draft.odt_styles import TABLE, TEXT

if TYPE_CHECKING:
    from lxml.etree import _Element

TRACKED, START, END = TEXT + "tracked-changes", TEXT + "change-start", TEXT + "change-end"
_ID, _XML_ID = TEXT + "change-id", "{http://www.w3.org/XML/1998/namespace}id"
_PARAGRAPHS = frozenset({TEXT + "p", TEXT + "h"})
# What paragraphs may stand in and still flow on from one to the next.
_CARRIERS = frozenset(TEXT + tag for tag in ("list", "list-item", "list-header", "numbered-paragraph", "section"))
_GRID = frozenset(TABLE + tag for tag in ("table-row", "table-cell", "covered-table-cell", "table-column"))
# What is left of a paragraph of which nothing is to be seen.
_UNSEEN = frozenset(
    TEXT + tag
    for tag in (
        "span", "change", "change-start", "change-end", "bookmark", "bookmark-start", "bookmark-end", "soft-page-break",
    )
)  # fmt: skip


class Deletions:
    """Takes deleted text out of the elements of a body while they stream by.

    An element in which a deletion is open is held back until the one in which it ends has come; a deletion that never
    ends is none.
    """

    def __init__(self) -> None:
        self._ids: set[str] = set()
        self._held: list[_Element] = []
        self._open: set[str] = set()
        self._paired: set[str] = set()

    def learn(self, tracked: _Element) -> None:
        """Take in which changes are deletions, from a ``text:tracked-changes``."""
        for region in tracked:
            if region.find(TEXT + "deletion") is not None:
                self._ids.update(name for key in (_XML_ID, TEXT + "id") if (name := region.get(key)))

    @property
    def holding(self) -> bool:
        """Whether the latest element is still needed."""
        return bool(self._held)

    def passed(self, element: _Element) -> Sequence[_Element]:
        """The elements that can be read now that this one has come."""
        self._held.append(element)
        for mark in element.iter(START, END) if self._ids else ():
            name = mark.get(_ID, "")
            if mark.tag == START and name in self._ids:
                self._open.add(name)
            elif name in self._open:
                self._open.remove(name)
                self._paired.add(name)
        return () if self._open else self.rest()

    def rest(self) -> Sequence[_Element]:
        """What is held back, without what is deleted in it."""
        held, paired = self._held, self._paired
        self._held, self._open, self._paired = [], set(), set()
        return list(_Cut(paired).accepted(held)) if paired else held


class _Cut:
    """One run of elements at whose ends no deletion is open."""

    def __init__(self, deletions: set[str]) -> None:
        self._deletions = deletions
        self._open: set[str] = set()
        self._closings = 0
        self._begun: dict[_Element, int] = {}  # what begins in deleted text, and how many deletions had ended by then
        self._gone: list[_Element] = []
        self._torn: _Element | None = None  # the paragraph whose end is deleted
        self._joints: list[tuple[_Element, _Element]] = []

    def accepted(self, elements: Sequence[_Element]) -> Iterator[_Element]:
        """The elements without deleted text; a paragraph whose end is deleted goes on with the next."""
        from lxml import etree

        for top in elements:
            for event, element in etree.iterwalk(top, events=("start", "end")):
                if event == "start":
                    self._enter(element)
                else:
                    self._leave(element)
        dropped = {*self._gone, *self._joined()}
        for element in dropped.difference(elements):
            if (parent := element.getparent()) is not None:
                parent.remove(element)
        yield from (element for element in elements if element not in dropped)

    def _enter(self, element: _Element) -> None:
        if self._open:
            self._begun[element] = self._closings
            element.text = None
        name = element.get(_ID)
        if element.tag == START and name in self._deletions:
            self._open.add(name)
        elif element.tag == END and name in self._open:
            self._open.remove(name)
            self._closings += not self._open
            if not self._open and next(element.iterancestors(*_PARAGRAPHS), None) is None:
                self._torn = None  # it ends between two paragraphs

    def _leave(self, element: _Element) -> None:
        if self._open and self._begun.get(element) == self._closings:
            if element.tag not in _GRID:  # a table that stays keeps its rows and cells
                self._gone.append(element)
        elif element.tag in _PARAGRAPHS:
            self._close(element)
        if self._open:
            element.tail = None

    def _close(self, paragraph: _Element) -> None:
        """The end of a paragraph of which something stays."""
        torn, self._torn = self._torn, None
        if paragraph in self._begun and torn is not None and _flow(torn) is _flow(paragraph):
            self._joints.append((torn, paragraph))
        else:
            torn = paragraph
        if self._open:
            self._torn = torn

    def _joined(self) -> Iterator[_Element]:
        """Joins what is to be joined; gives the paragraphs that are no more.

        As in a word processor, the first gives its style, unless nothing is left of it (seen in LibreOffice 7.4).
        """
        stands: dict[_Element, _Element] = {}
        full: set[_Element] = set()
        for first, second in self._joints:
            whole = stands.get(first, first)
            if whole not in full and _is_bare(whole):
                stands[first] = second
                yield whole
            else:
                full.add(whole)
                _append(whole, second)
                yield second


def _flow(paragraph: _Element) -> _Element | None:
    """What a paragraph stands in, lists and sections aside."""
    return next((outer for outer in paragraph.iterancestors() if outer.tag not in _CARRIERS), None)


def _is_bare(paragraph: _Element) -> bool:
    return all(element.tag in _UNSEEN for element in paragraph.iterdescendants()) and not any(
        words.strip() for words in paragraph.itertext() if isinstance(words, str)
    )


def _append(first: _Element, second: _Element) -> None:
    """Move what is in the second paragraph to the end of the first."""
    last = next(first.iterchildren(reversed=True), None)
    if last is None:
        first.text = (first.text or "") + (second.text or "")
    else:
        last.tail = (last.tail or "") + (second.text or "")
    first.extend(list(second))
