"""The typist's page: margins, columns and which lines of a plain-text file run on into the next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from storylint.draft.source import Line

LONG_LINE = 130  # no right margin is set wider; a longer line is a paragraph of its own
SET_IN = 2  # columns from which text counts as set in from the margin
_NARROWEST = 45  # nobody sets a page of prose narrower
_TAB = 4
_RAGGED = 0.8  # a ragged right margin: a line that reaches this share of the width was full
_OPENING_SHARE = 0.3
_OPENING_SIGNS = frozenset("\"“'‘_*")
_COLUMN = re.compile(r"(?<=\S)(?: *\t\s*|(?<![.?!:]) {3,}| {5,})(?=\S)|(?<=\S) *\|\s*(?=\S)")


def indent(line: Line) -> int:
    """Columns of white space before the text."""
    text = line.text
    if not text[:1].isspace():
        return 0
    return len(text[: len(text) - len(text.lstrip())].expandtabs(_TAB))


def right(line: Line) -> int:
    """The column in which the line ends."""
    return indent(line) + len(line.text.strip())


@dataclass(frozen=True, slots=True)
class Page:
    """A page as measured from its lines.

    ``margin`` is the column in which most text begins, ``openings`` those in which paragraphs open (a set-in first
    line), ``width`` the right margin, 0 where lines are not broken.
    """

    margin: int
    openings: frozenset[int]
    width: int

    @classmethod
    def of(cls, lines: Sequence[Line]) -> Page:
        """The page that these lines, all of a file, are set on."""
        spans = [(indent(line), line.text.strip()) for line in lines]
        letters: Counter[int] = Counter()
        for column, text in spans:
            letters[column] += len(text)
        margin = max(letters, key=lambda column: letters[column], default=0)
        return cls(margin, _openings(spans, margin), _width(spans))

    def sets_in(self, lines: Sequence[Line]) -> bool:
        """Whether these lines all stand in from the margin, as a quotation does."""
        if len(lines) == 1 and indent(lines[0]) in self.openings:
            return False
        return min(map(indent, lines)) >= self.margin + SET_IN

    def centres(self, line: Line) -> bool:
        """Whether the line stands in the middle of the page."""
        start, end = indent(line), right(line)
        if not self.width:  # lines are not broken, and nothing tells the middle
            return start >= 8 and start not in self.openings and end - start < _NARROWEST
        return start >= 8 and abs(start + end - self.width) <= 10

    def is_full(self, line: Line, after: Line) -> bool:
        """Whether ``line`` ends where it does because the next word would not fit."""
        return self.width > 0 and _reaches(right(line), after, self.width)

    def flows(self, group: Sequence[Line]) -> bool:
        """Whether the group is running text: nearly all its lines but the last are full.

        A quotation may be set narrower than the page; verse and addresses are narrower still.
        """
        ends = [right(line) for line in group]
        widest = max(ends)
        if not self.width or widest < 0.6 * self.width or widest > LONG_LINE:
            return False
        width = min(widest, self.width)
        full = sum(_reaches(end, after, width) for end, after in zip(ends, group[1:], strict=False))
        return full >= 0.75 * (len(group) - 1)


def _reaches(end: int, after: Line, width: int) -> bool:
    """Whether a line that ends in column ``end`` had no room for the first word of the next."""
    return end + 1 + len(after.text.split(maxsplit=1)[0]) > _RAGGED * width


def _openings(spans: Sequence[tuple[int, str]], margin: int) -> frozenset[int]:
    """The columns in which a good share of the paragraphs open: those that go on at the margin or are one long line.

    ``spans`` are the column and the text of each line.
    """
    opened: Counter[int] = Counter()
    for before, (column, text), after in zip([(0, ""), *spans], spans, [*spans[1:], (0, "")], strict=False):
        goes_on = bool(after[1]) and after[0] == margin
        if not (goes_on or len(text) > LONG_LINE) or not (text[:1].isupper() or text[:1] in _OPENING_SIGNS):
            continue
        if not before[1] or len(text) > LONG_LINE or column > margin == before[0]:
            opened[column] += 1
    return frozenset(column for column, count in opened.items() if count >= _OPENING_SHARE * opened.total())


def _width(spans: Sequence[tuple[int, str]]) -> int:
    """The right margin: where nine tenths of the lines end that have one below."""
    ends = sorted(column + len(text) for (column, text), (_, after) in pairwise(spans) if text and after)
    ends = [end for end in ends if end <= LONG_LINE]
    width = ends[int(0.9 * (len(ends) - 1))] if ends else 0
    return width if width >= _NARROWEST else 0


def columns(line: Line) -> int:
    """How many columns of a table the line is set in."""
    text = line.text.strip()
    if "   " not in text and "\t" not in text and "|" not in text:
        return 1
    return len(_COLUMN.findall(text)) + 1


def is_table(group: Sequence[Line]) -> bool:
    """Whether the lines stand in columns: two or more of them, and most of the group."""
    set_in_columns = sum(columns(line) > 1 for line in group)
    if all(line.text.lstrip().startswith("|") for line in group):
        return True
    return set_in_columns >= 2 and set_in_columns >= 0.6 * len(group)


def cells(line: Line) -> list[tuple[int, int]]:
    """(start, end) in ``line.text`` of the cells of a table's row."""
    text = line.text
    first = len(text) - len(text.lstrip(" \t|"))
    last = len(text.rstrip(" \t|"))
    edges = [first]
    for gap in _COLUMN.finditer(text, first, last):
        edges += [gap.start(), gap.end()]
    edges.append(max(last, first))
    return list(zip(edges[::2], edges[1::2], strict=True))
