"""From a paragraph's raw text to what a reader reads, with the way back."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterable

CELL = "\x1f"  # stands between the cells of a table row in raw text; XML can't hold it, so no draft has one
GONE = "\N{ZERO WIDTH SPACE}"  # what is written over characters that are not part of the text

# Soft hyphen, zero-width characters and marks of writing direction: nothing of them is seen in print.
_UNSEEN = "\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff"
# Gaps that are more or other than one space between words: several characters, another one, or at the text's ends.
_GAP = re.compile(rf"[\s{_UNSEEN}](?:[\s{_UNSEEN}]+|(?<! )|(?<=\A )|\Z)")
# A letter with its accents behind it, as some programs write it; a reader sees one letter, and so does Unicode's form NFC.
ACCENTED = re.compile("[^\\W\\d_][\u0300-\u036f]+")
_GAP_OR_ACCENT = re.compile(f"{_GAP.pattern}|{ACCENTED.pattern}")
_HYPHENS = str.maketrans({"\N{HYPHEN}": "-", "\N{NON-BREAKING HYPHEN}": "-"})


class Plain:
    """The clean text of a raw one: white space single, unseen characters gone, accents in their letters, cells parted by
    tabs.

    ``segments`` map clean to raw as ``Block.segments`` do; ``at`` maps a raw position to the clean one.
    """

    __slots__ = ("_changes", "_starts", "segments", "text")

    def __init__(self, raw: str) -> None:
        self._changes: list[tuple[int, int, int, int]] = []  # raw start, raw end, clean start, clean length
        self.segments: tuple[tuple[int, int], ...] = ((0, 0),)
        self.text = raw.translate(_HYPHENS)
        self._tidy(self.text)
        self._starts = [change[0] for change in self._changes]

    def _tidy(self, raw: str) -> None:
        pieces: list[str] = []
        segments = {0: 0}
        done = length = 0
        is_accented = not raw.isascii() and ACCENTED.search(raw)
        for match in (_GAP_OR_ACCENT if is_accented else _GAP).finditer(raw):
            start, end = match.span()
            shown = _shown(match[0], start == 0 or end == len(raw))
            if len(shown) == 1 == end - start and shown == raw[start]:
                continue
            pieces += (raw[done:start], shown)
            clean = length + start - done
            done, length = end, clean + len(shown)
            self._changes.append((start, end, clean, len(shown)))
            if len(shown) != end - start:
                segments[length] = end
        pieces.append(raw[done:])
        self.text = "".join(pieces)
        self.segments = tuple(segments.items())

    def at(self, raw: int) -> int:
        """Where the raw position stands in the clean text; inside a shortened gap, where the gap begins."""
        change = bisect_right(self._starts, raw) - 1
        if change < 0:
            return raw
        start, end, clean, length = self._changes[change]
        return clean + length + raw - end if raw >= end else clean + min(raw - start, 0)

    def spans(self, raw: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
        """Raw spans, rising, as clean ones: joined where they touch, without white space at their ends."""
        joined: list[tuple[int, int]] = []
        for start, end in raw:
            start, end = self._trimmed(self.at(start), self.at(end))
            if start >= end:
                continue
            if joined and not self.text[joined[-1][1] : start].strip():
                joined[-1] = (joined[-1][0], end)
            else:
                joined.append((start, end))
        return tuple(joined)

    def _trimmed(self, start: int, end: int) -> tuple[int, int]:
        while start < end and self.text[start].isspace():
            start += 1
        while end > start and self.text[end - 1].isspace():
            end -= 1
        return start, end


def composed(text: str) -> str:
    """The text with each accent in its letter."""
    return unicodedata.normalize("NFC", text)


def _shown(gap: str, edge: bool) -> str:
    """What is seen of a run of white space and unseen characters, or of a letter and its accents; ``edge`` where the text
    begins or ends."""
    if gap[0].isalpha():
        return composed(gap)
    if CELL in gap:
        return "\t" * gap.count(CELL)
    seen = any(character.isspace() for character in gap)
    return " " if seen and not edge else ""
