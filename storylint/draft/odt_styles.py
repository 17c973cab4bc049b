"""What styles and list styles make of the paragraphs, runs and lists of an .odt (OASIS OpenDocument 1.3, part 3)."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from storylint.draft import style_names
from storylint.draft.list_numbers import LONGEST_LABEL, letters, roman, symbol
from storylint.draft.raw import PLAIN, Look

if TYPE_CHECKING:
    from lxml.etree import _Element

_OASIS = "{urn:oasis:names:tc:opendocument:xmlns:%s:1.0}"
OFFICE, TEXT, STYLE, TABLE, DRAW = (_OASIS % name for name in ("office", "text", "style", "table", "drawing"))
FO, SVG = (_OASIS % f"{name}-compatible" for name in ("xsl-fo", "svg"))
_LONGEST_CHAIN = 20  # styles based on styles; deeper only in files that run in a circle
_INDENTED = 1.27  # centimetres: half an inch on both sides sets a quotation apart; common practice, no source
_LENGTH = re.compile(r"(-?\d{1,6}(?:\.\d{1,6})?)(cm|mm|in|pt|pc|px)")
_CENTIMETRES = {"cm": 1.0, "mm": 0.1, "in": 2.54, "pt": 2.54 / 72, "pc": 2.54 / 6, "px": 2.54 / 96}
_LEVELS = 10
# The text of a number, of OpenDocument 1.4 (from memory) and of LibreOffice before it: "%1%.%2%)" gives 3.1).
_PATTERNS = (
    STYLE + "num-list-format",
    "{urn:org:documentfoundation:names:experimental:office:xmlns:loext:1.0}num-list-format",
)
_PLACE = re.compile(r"%(\d{1,2})%([^%]*)")


@dataclass(slots=True)
class _Style:
    """One style as written: None where it leaves a property to its parent."""

    name: str
    parent: str
    list_style: str | None
    outline: int | None
    hidden: bool | None = None
    raised: bool | None = None
    italic: bool | None = None
    bold: bool | None = None
    left: float | None = None
    right: float | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """What a paragraph is by its style: role, heading depth (0: none), and the list style it asks for (None: none)."""

    name: str = ""
    heading: int = 0
    caption: bool = False
    quotation: bool = False
    contents: bool = False
    list_style: str | None = None
    look: Look = PLAIN


@dataclass(slots=True)
class Level:
    """How one level of a list style prints its numbers."""

    form: str = ""
    pattern: str = ""  # what is printed, with %1% where the number of level 1 stands
    start: int = 1
    bullet: bool = False

    def number(self, count: int) -> str:
        return _FORMS.get(self.form, str)(count) if self.form and count else "0" if self.form else ""


_FORMS: dict[str, Callable[[int], str]] = {
    "i": roman,
    "I": lambda count: roman(count).upper(),
    "a": lambda count: _columns(count),
    "A": lambda count: _columns(count).upper(),
    "a sync": letters,
    "A sync": lambda count: letters(count).upper(),
    "01, 02, 03, ...": lambda count: f"{count:02d}",
    "001, 002, 003, ...": lambda count: f"{count:03d}",
    "*, †, ‡, §, **, ††, ...": symbol,
}


class Styles:
    """All styles of an .odt. Add the parts as they come: ``styles.xml`` first, then the automatic styles."""

    def __init__(self) -> None:
        self._styles: dict[tuple[str, str], _Style] = {}
        self._lists: dict[str, list[Level]] = {}
        self._places: dict[str, Place] = {}
        self._looks: dict[tuple[str, Look], Look] = {}
        self.outline: list[Level] = []

    def add(self, element: _Element) -> None:
        """Take in the styles in an ``office:styles`` or ``office:automatic-styles``."""
        for child in element:
            if child.tag == STYLE + "style":
                self._add_style(child)
            elif child.tag == TEXT + "list-style":
                self._lists[child.get(STYLE + "name", "")] = _levels(child)
            elif child.tag == TEXT + "outline-style":
                self.outline = _levels(child)

    def _add_style(self, element: _Element) -> None:
        style = _Style(
            (element.get(STYLE + "display-name") or element.get(STYLE + "name") or "").replace("_20_", " "),
            element.get(STYLE + "parent-style-name", ""),
            element.get(STYLE + "list-style-name"),
            whole(element.get(STYLE + "default-outline-level")),
        )
        for properties in element:
            _read_properties(style, properties)
        self._styles[element.get(STYLE + "family", ""), element.get(STYLE + "name", "")] = style

    def _chain(self, family: str, name: str) -> Iterator[_Style]:
        for _ in range(_LONGEST_CHAIN):
            style = self._styles.get((family, name))
            if style is None:
                return
            yield style
            name = style.parent

    def place(self, name: str) -> Place:
        """What a paragraph style makes of its paragraphs."""
        if name not in self._places:
            self._places[name] = self._read_place(name)
        return self._places[name]

    def _read_place(self, name: str) -> Place:
        chain = list(self._chain("paragraph", name))
        names = [style.name for style in chain] or [name.replace("_20_", " ")]
        # An automatic style (P1) stands for its parent with a few changes of its own.
        told = names[1] if len(names) > 1 and re.fullmatch(r"P\d+", names[0]) else names[0]
        indents = [
            next((getattr(style, side) for style in chain if getattr(style, side) is not None), 0.0)
            for side in ("left", "right")
        ]
        return Place(
            told,
            next((style.outline for style in chain if style.outline is not None), style_names.heading_level(told)),
            any(map(style_names.is_caption, names)),
            any(map(style_names.is_quotation, names)) or min(indents) >= _INDENTED,
            style_names.is_contents(told),
            next((style.list_style for style in chain if style.list_style is not None), None),
            _look_of(chain, PLAIN),
        )

    def look(self, name: str, under: Look) -> Look:
        """How a text style changes the look of what it is laid over."""
        key = (name, under)
        if key not in self._looks:
            self._looks[key] = _look_of(list(self._chain("text", name)), under)
        return self._looks[key]

    def list_levels(self, name: str) -> list[Level]:
        """The levels of a list style; none if there is no such style."""
        return self._lists.get(name, [])


def _look_of(chain: Sequence[_Style], look: Look) -> Look:
    for style in reversed(chain):
        look = Look(
            look.hidden if style.hidden is None else style.hidden,
            look.raised if style.raised is None else style.raised,
            look.italic if style.italic is None else style.italic,
            look.bold if style.bold is None else style.bold,
        )
    return look


def _read_properties(style: _Style, properties: _Element) -> None:
    if properties.tag == STYLE + "text-properties":
        if slant := properties.get(FO + "font-style"):
            style.italic = slant in ("italic", "oblique")
        if weight := properties.get(FO + "font-weight"):
            style.bold = weight == "bold" or (whole(weight) or 0) >= 600
        if position := properties.get(STYLE + "text-position"):
            style.raised = position.startswith("super") or (_percent(position) > 0)
        if display := properties.get(TEXT + "display"):
            style.hidden = display == "none"
    elif properties.tag == STYLE + "paragraph-properties":
        margin = properties.get(FO + "margin")
        style.left = _centimetres(properties.get(FO + "margin-left") or margin)
        style.right = _centimetres(properties.get(FO + "margin-right") or margin)


def _levels(element: _Element) -> list[Level]:
    levels: list[Level] = []
    for child in element:
        depth = whole(child.get(TEXT + "level")) or 0
        if not 1 <= depth <= _LEVELS:
            continue
        levels += [Level() for _ in range(depth - len(levels))]
        form, start = child.get(STYLE + "num-format", ""), whole(child.get(TEXT + "start-value"))
        levels[depth - 1] = Level(
            f"{form} sync" if form in ("a", "A") and child.get(STYLE + "num-letter-sync") == "true" else form,
            _pattern(child, depth)[:LONGEST_LABEL],
            1 if start is None else start,
            bullet=child.tag in (TEXT + "list-level-style-bullet", TEXT + "list-level-style-image"),
        )
    return levels


def _pattern(level: _Element, depth: int) -> str:
    for key in _PATTERNS:
        if (pattern := level.get(key)) is not None:
            return pattern
    shown = min(whole(level.get(TEXT + "display-levels")) or 1, depth)
    numbers = ".".join(f"%{at}%" for at in range(depth - shown + 1, depth + 1))
    return level.get(STYLE + "num-prefix", "") + numbers + level.get(STYLE + "num-suffix", "")


def printed(counts: Sequence[int | None], depth: int, levels: Sequence[Level]) -> str:
    """What is printed before a list entry at ``depth`` (from 0); ``counts`` are the numbers reached on each level.

    A list without a style gets bullets, as word processors give it. What is printed where a level has no number of its
    own, or the number 0, is what LibreOffice 7.4 prints.
    """
    if depth >= len(levels):
        return "" if levels else "•"
    level = levels[depth]
    if level.bullet:
        return "•"

    def put(place: re.Match[str]) -> str:
        at = int(place[1]) - 1
        if not 0 <= at <= depth:
            return place[0]
        shown, count = levels[at], counts[at]
        if not shown.form and not shown.bullet and place.end() < len(level.pattern):
            return ""  # what parts it from the next number is not printed either
        return shown.number(shown.start if count is None else count) + place[2]

    return _PLACE.sub(put, level.pattern).strip()[:LONGEST_LABEL]


def _columns(number: int) -> str:
    """1 gives a, 26 z, 27 aa, 28 ab: as spreadsheets count, and OpenDocument where letters are not "in sync"."""
    text = ""
    while number > 0:
        number, letter = divmod(number - 1, 26)
        text = chr(ord("a") + letter) + text
    return text


def whole(text: str | None) -> int | None:
    """A whole number as files hold it; None where it is none or longer than nine digits."""
    return int(text) if text and re.fullmatch(r"\d{1,9}", text) else None


def _percent(position: str) -> int:
    match = re.match(r"(-?\d{1,4})", position)
    return int(match[1]) if match else 0


def _centimetres(length: str | None) -> float | None:
    match = _LENGTH.fullmatch(length or "")
    return float(match[1]) * _CENTIMETRES[match[2]] if match else None
