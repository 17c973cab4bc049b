"""What styles and list numbering make of the paragraphs and runs of a .docx (ISO/IEC 29500-1, 17.7 and 17.9)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from storylint.draft import style_names
from storylint.draft.list_numbers import LONGEST_LABEL, formatted
from storylint.draft.raw import Look

if TYPE_CHECKING:
    from lxml.etree import _Element

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_VAL = W + "val"
_LONGEST_CHAIN = 20  # styles based on styles; deeper only in files that run in a circle
_LEVELS = 9
# The built-in styles of note marks, as word processors name them: what is set in one is a mark, raised or not.
_FOR_MARKS = frozenset({"footnotereference", "endnotereference"})
_INDENTED = 720  # twentieths of a point: half an inch on both sides sets a quotation apart; common practice, no source


@dataclass(slots=True)
class Place:
    """What a paragraph is by its style and its own settings: heading depth, list, indents, role."""

    name: str = ""
    heading: int = 0
    list_id: str = "0"
    list_level: int = 0
    left: int = 0
    right: int = 0
    caption: bool = False
    quotation: bool = False
    contents: bool = False

    @property
    def listed(self) -> bool:
        return self.list_id not in ("", "0")

    @property
    def set_apart(self) -> bool:
        """Whether it is set as a displayed quotation, by style or by indents on both sides."""
        return self.quotation or (min(self.left, self.right) >= _INDENTED and not self.listed)


@dataclass(slots=True)
class _Style:
    name: str
    based_on: str
    element: _Element


class Styles:
    """The styles part. All answers are cached by style."""

    def __init__(self, root: _Element | None) -> None:
        self._styles: dict[str, _Style] = {}
        self.default = ""
        self._places: dict[str, Place] = {}
        self._looks: dict[tuple[str, str], Look] = {}
        for element in root.iter(W + "style") if root is not None else ():
            self._add(element)

    def _add(self, element: _Element) -> None:
        style_id = element.get(W + "styleId", "")
        self._styles[style_id] = _Style(value(element, "name"), value(element, "basedOn"), element)
        if element.get(W + "type") == "paragraph" and is_on(element.get(W + "default", "0")):
            self.default = style_id

    def chain(self, style_id: str) -> Iterator[_Style]:
        """The style and those it is based on, nearest first."""
        for _ in range(_LONGEST_CHAIN):
            style = self._styles.get(style_id)
            if style is None:
                return
            yield style
            style_id = style.based_on

    def place(self, style_id: str) -> Place:
        """What the style alone makes of a paragraph."""
        style_id = style_id or self.default
        if style_id not in self._places:
            self._places[style_id] = self._read_place(style_id)
        return self._places[style_id]

    def _read_place(self, style_id: str) -> Place:
        chain = list(self.chain(style_id))
        names = [style.name for style in chain] or [style_id]
        place = Place(name=names[0])
        for style in reversed(chain):
            apply(place, style.element.find(W + "pPr"))
        place.heading = place.heading or _named_level(names, chain)
        place.caption = any(map(style_names.is_caption, names))
        place.quotation = any(map(style_names.is_quotation, names))
        place.contents = style_names.is_contents(names[0])
        return place

    def look(self, paragraph_style: str, run_style: str) -> Look:
        """How the two styles alone make a run look."""
        key = (paragraph_style or self.default, run_style)
        if key not in self._looks:
            look = Look()
            for style_id in key:
                for style in reversed(list(self.chain(style_id))):
                    look = changed(look, style.element.find(W + "rPr"))
            self._looks[key] = look._replace(raised=look.raised or self._is_for_marks(run_style))
        return self._looks[key]

    def _is_for_marks(self, run_style: str) -> bool:
        names = [style.name for style in self.chain(run_style)] or [run_style]
        return any(name.replace(" ", "").lower() in _FOR_MARKS for name in names)


def _named_level(names: list[str], chain: list[_Style]) -> int:
    """The heading level that the nearest telling name gives, unless a style says that it is body text (level 10)."""
    for style in chain:
        outline = style.element.find(f"{W}pPr/{W}outlineLvl")
        if outline is not None and not style_names.heading_level(style.name):
            return 0
    return next(filter(None, map(style_names.heading_level, names)), 0)


def apply(place: Place, properties: _Element | None) -> None:
    """Lay a paragraph's own properties (``w:pPr``) over ``place``."""
    for element in properties if properties is not None else ():
        tag = element.tag
        if tag == W + "outlineLvl":
            level = number(element.get(_VAL), _LEVELS)
            place.heading = level + 1 if 0 <= level < _LEVELS else 0
        elif tag == W + "numPr":
            place.list_id = value(element, "numId") or place.list_id
            place.list_level = min(max(number(value(element, "ilvl"), place.list_level), 0), _LEVELS - 1)
        elif tag == W + "ind":
            place.left = number(element.get(W + "left") or element.get(W + "start"), place.left)
            place.right = number(element.get(W + "right") or element.get(W + "end"), place.right)


def changed(look: Look, properties: _Element | None) -> Look:
    """``look`` under a run's own properties (``w:rPr``)."""
    for element in properties if properties is not None else ():
        tag = element.tag
        if tag == W + "vanish":
            look = look._replace(hidden=is_on(element.get(_VAL, "1")))
        elif tag == W + "vertAlign":
            look = look._replace(raised=element.get(_VAL) == "superscript")
        elif tag == W + "position":
            look = look._replace(raised=look.raised or number(element.get(_VAL), 0) > 0)
        elif tag == W + "i":
            look = look._replace(italic=is_on(element.get(_VAL, "1")))
        elif tag == W + "b":
            look = look._replace(bold=is_on(element.get(_VAL, "1")))
    return look


def is_on(setting: str) -> bool:
    """An on-off setting of any age: 1, true and on are on."""
    return setting in ("1", "true", "on")


def value(element: _Element, name: str) -> str:
    """The value of a child setting, "" if there is none."""
    child = element.find(W + name)
    return (child.get(_VAL) or "") if child is not None else ""


def number(text: str | None, default: int) -> int:
    """A whole number as files hold it, cut to nine digits; ``default`` where it is none."""
    try:
        return int(float((text or "")[:9]))
    except (ValueError, OverflowError):
        return default


@dataclass(slots=True)
class _Level:
    start: int = 1
    form: str = "decimal"
    text: str = ""
    restart: int | None = None  # the level whose use starts this one anew; None: any higher one
    legal: bool = False  # digits only, whatever the higher levels use
    style: str = ""


@dataclass(slots=True)
class _Num:
    abstract: str
    starts: dict[int, int] = field(default_factory=dict)
    levels: dict[int, _Level] = field(default_factory=dict)


class Numbering:
    """The numbering part: gives each list paragraph, in reading order, the number that is printed before it."""

    def __init__(self, root: _Element | None, styles: Styles) -> None:
        self._styles = styles
        self._abstracts: dict[str, dict[int, _Level]] = {}
        self._links: dict[str, str] = {}
        self._nums: dict[str, _Num] = {}
        self._counts: dict[str, list[int | None]] = {}
        self._started: set[tuple[str, int]] = set()
        if root is not None:
            for element in root.iterchildren(W + "abstractNum"):
                self._add_abstract(element)
            for element in root.iterchildren(W + "num"):
                self._nums[element.get(W + "numId", "")] = _num(element)

    def _add_abstract(self, element: _Element) -> None:
        abstract = element.get(W + "abstractNumId", "")
        self._abstracts[abstract] = dict(_level(level) for level in element.iterchildren(W + "lvl"))
        if link := value(element, "numStyleLink"):
            self._links[abstract] = link

    def label(self, list_id: str, level: int, style: str) -> str:
        """Count one paragraph of this list in, and give its printed number; "" for a list that isn't there."""
        num = self._nums.get(list_id)
        if num is None:
            return ""
        levels = self._levels(num)
        level = next((at for at, form in levels.items() if form.style and form.style == style), level)
        counts = self._count(num, list_id, level, levels)
        return _printed(counts, level, levels)

    def _levels(self, num: _Num) -> dict[int, _Level]:
        abstract = num.abstract
        for _ in range(_LONGEST_CHAIN):
            link = self._links.get(abstract)
            linked = self._nums.get(self._styles.place(link).list_id) if link else None
            if linked is None:
                break
            abstract = linked.abstract
        levels = self._abstracts.get(abstract, {})
        return levels | num.levels if num.levels else levels

    def _count(self, num: _Num, list_id: str, level: int, levels: dict[int, _Level]) -> list[int | None]:
        counts = self._counts.setdefault(num.abstract, [None] * _LEVELS)
        if level in num.starts and (list_id, level) not in self._started:
            counts[level] = None
        self._started.add((list_id, level))
        start = num.starts.get(level, levels.get(level, _Level()).start)
        count = counts[level]
        counts[level] = start if count is None else count + 1
        for higher in range(level):
            if counts[higher] is None:
                counts[higher] = levels.get(higher, _Level()).start
        for deeper in range(level + 1, _LEVELS):
            restart = levels.get(deeper, _Level()).restart
            if restart is None or level < restart:
                counts[deeper] = None
        return counts


def _num(element: _Element) -> _Num:
    num = _Num(value(element, "abstractNumId"))
    for override in element.iterchildren(W + "lvlOverride"):
        level = number(override.get(W + "ilvl"), 0)
        if start := value(override, "startOverride"):
            num.starts[level] = number(start, 1)
        own = override.find(W + "lvl")
        if own is not None:
            num.levels[level] = _level(own)[1]
    return num


def _level(element: _Element) -> tuple[int, _Level]:
    restart = value(element, "lvlRestart")
    form = _Level(
        start=number(value(element, "start"), 0),
        form=value(element, "numFmt") or "decimal",
        text=value(element, "lvlText")[:LONGEST_LABEL],
        restart=number(restart, 0) if restart else None,
        legal=element.find(W + "isLgl") is not None,
        style=value(element, "pStyle"),
    )
    return number(element.get(W + "ilvl"), 0), form


def _printed(counts: list[int | None], level: int, levels: dict[int, _Level]) -> str:
    form = levels.get(level)
    if form is None:
        return ""
    if form.form == "bullet":
        return "•"
    text = form.text
    for at in range(level + 1):
        if f"%{at + 1}" in text:
            shape = "decimal" if form.legal else levels.get(at, _Level()).form
            text = text.replace(f"%{at + 1}", formatted(counts[at] or 0, shape))
    return text.strip()[:LONGEST_LABEL]
