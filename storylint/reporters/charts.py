"""The page's charts: the book as a shelf, its persons by score and reading ease, its revisions as a line.

They are built as element trees, so that no text of a draft can become markup, and carry classes instead of colours, so
that the page's style sheet can draw them light, dark and in print. Four libraries were measured on 120 persons first
(pygal, leather, drawsvg, svg.py): the two that make charts bake colours or a style sheet and a script into each
picture, which the page's security policy forbids, and name nothing to a screen reader; the two that draw leave
quotation marks in attributes, or all text, unescaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median
from xml.etree.ElementTree import Element, SubElement, tostring

WIDTH = 1000.0  # units of every drawing; the page scales them
THIN = 26.0  # the least width of a spine and height of a row: a target of 24 CSS pixels (WCAG 2.2, 2.5.8) and a gap
TALL = 130.0  # a spine of score 100
BOARD = 24.0  # under a row of spines, with the persons' numbers
PLAIN_ENGLISH = (60.0, 70.0)  # R. Flesch, 'The Art of Readable Writing', 1949: the band he called plain English


@dataclass(frozen=True, slots=True)
class Spine:
    """A section as the charts draw it. ``ease`` is Flesch reading ease, ``state`` one of the glance's or empty."""

    link: str
    name: str
    number: str
    words: int
    score: float | None
    ease: float | None
    state: str

    @property
    def told(self) -> str:
        """The spine in words."""
        score = f"{int(self.score)} of 100, {self.state}" if self.score is not None else "nothing to score"
        return f"{self.name}: {self.words:,} words, {score}"


@dataclass(frozen=True, slots=True)
class Point:
    """One revision: its date as the reader writes it, overall score and reading ease of the book; ``anew`` where the
    rules had changed since the one before, so that the scores can't be compared across."""

    date: str
    score: float | None
    ease: float | None
    anew: bool = False


def shelf(spines: Sequence[Spine], goal: float) -> str:
    """The book in reading order: as wide as long, as tall as its score, with the author's goal as a dashed line."""
    if not spines:
        return ""
    rows = rowed(spines)
    svg = drawing("shelf", "group", "The sections as books on a shelf", len(rows) * (TALL + BOARD + 12))
    for at, row in enumerate(rows):
        board = at * (TALL + BOARD + 12) + TALL + 8
        add(svg, "line", "board", x1=0, x2=WIDTH, y1=board, y2=board)
        for spine, left, wide in row:
            tall = TALL * max(0.06, (spine.score or 0.0) / 100)
            link = linked(svg, spine)
            add(link, "rect", f"spine {slug(spine.state)}", x=left, y=board - tall, width=wide - 2, height=tall, rx=2)
            if spine.number and len(spine.number) * 8 < wide:
                add(svg, "text", "number", spine.number, x=left + wide / 2 - 1, y=board + 17)
        height = board - TALL * goal / 100
        add(svg, "line", "goal", x1=0, x2=WIDTH, y1=height, y2=height)
    return text_of(svg)


def rowed(spines: Sequence[Spine]) -> list[list[tuple[Spine, float, float]]]:
    """(spine, left, width) row by row: the middle section is two thin ones wide, or less if that saves a row."""
    return min((list(laid(spines, wide * THIN)) for wide in (2.0, 1.7, 1.4)), key=len)


def laid(spines: Sequence[Spine], middle: float) -> Iterator[list[tuple[Spine, float, float]]]:
    """Rows in which the middle section is so wide, and a long one at most half a shelf.

    A section with nothing to score (a list of names, a chapter of notes) is thin, however long.
    """
    unit = middle / max(1.0, median([spine.words for spine in spines if spine.score is not None] or [1.0]))
    row: list[tuple[Spine, float, float]] = []
    left = 0.0
    for spine in spines:
        wide = min(max(THIN, spine.words * unit), WIDTH / 2) if spine.score is not None else THIN
        if row and left + wide > WIDTH:
            yield row
            row, left = [], 0.0
        row.append((spine, left, wide))
        left += wide
    yield row


def persons(spines: Sequence[Spine], goal: float) -> str:
    """One row a person: the overall score as a bar, reading ease as a diamond on the same scale."""
    if not spines:
        return ""
    foot = 34 + THIN * len(spines)
    svg = drawing("persons", "group", "Score and reading ease by person", foot + 6)
    add(svg, "rect", "band", x=on_scale(PLAIN_ENGLISH[0]), y=28, width=6 * (PLAIN_ENGLISH[1] - 60), height=foot - 28)
    for value in range(0, 101, 20):
        x = on_scale(value)
        add(svg, "line", "grid", x1=x, x2=x, y1=28, y2=foot)
        add(svg, "text", "tick", str(value), x=x, y=18)
    for at, spine in enumerate(spines):
        middle = 34 + THIN * (at + 0.5)
        link = linked(svg, spine, f"; reading ease {int(spine.ease)}" if spine.ease is not None else "")
        add(link, "rect", "row", x=0, y=middle - THIN / 2 + 1, width=WIDTH, height=THIN - 2)
        add(svg, "text", "name", cut(spine.name, 32), x=290, y=middle + 5)
        if spine.score is not None:
            wide = 6 * spine.score
            add(link, "rect", f"spine {slug(spine.state)}", x=on_scale(0), y=middle - 8, width=wide, height=16)
            add(svg, "text", "value", str(int(spine.score)), x=WIDTH - 85, y=middle + 5)
        if spine.ease is not None:
            diamond(link, on_scale(min(100.0, max(0.0, spine.ease))), middle)
    x = on_scale(goal)
    add(svg, "line", "goal", x1=x, x2=x, y1=24, y2=foot)
    return text_of(svg)


def trend(points: Sequence[Point]) -> str:
    """Score and reading ease over the recorded revisions, oldest first; nothing to draw before there are two."""
    if len(points) < 2:
        return ""
    first, last = points[0], points[-1]
    told = f"From {first.date} to {last.date}: {moved('overall score', first.score, last.score)}, "
    told += f"{moved('reading ease', first.ease, last.ease)}"
    svg = drawing("trend", "img", told, 300)
    for value in range(0, 101, 25):
        y = 250 - 2.3 * value
        add(svg, "line", "grid", x1=60, x2=WIDTH - 20, y1=y, y2=y)
        add(svg, "text", "value", str(value), x=50, y=y + 5)
    step = (WIDTH - 140) / (len(points) - 1)
    across = [80 + step * at for at in range(len(points))]
    for x, point in list(zip(across, points, strict=True))[:: max(1, -(-len(points) // 8))]:
        add(svg, "text", "tick", point.date, x=x, y=280)
    for x, point in zip(across, points, strict=True):
        if point.anew:
            add(svg, "line", "anew", x1=x - step / 2, x2=x - step / 2, y1=14, y2=250)
    line(svg, "score", [(x, p.score) for x, p in zip(across, points, strict=True)])
    line(svg, "ease", [(x, p.ease) for x, p in zip(across, points, strict=True)])
    return text_of(svg)


def small(scores: Sequence[float | None], goal: float) -> str:
    """A person's scores as a small line, oldest first; the figures stand beside it, so screen readers pass it over."""
    svg = Element("svg", {"class": "small-line", "viewBox": "0 0 100 24", "aria-hidden": "true"})
    there = [score for score in scores if score is not None]
    step = 96 / max(1, len(there) - 1)
    spots = [(2 + step * at, 22 - 0.2 * score) for at, score in enumerate(there)]
    add(svg, "line", "goal", x1=0, x2=100, y1=22 - 0.2 * goal, y2=22 - 0.2 * goal)
    add(svg, "polyline", "line score", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in spots))
    for x, y in spots[-1:]:
        add(svg, "circle", "disc", cx=x, cy=y, r=2.5)
    return text_of(svg)


def line(svg: Element, name: str, values: Iterable[tuple[float, float | None]]) -> None:
    """A line through the values there are, each with its sign: a disc for the score, a diamond for reading ease."""
    spots = [(x, 250 - 2.3 * min(100.0, max(0.0, value))) for x, value in values if value is not None]
    add(svg, "polyline", f"line {name}", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in spots))
    for x, y in spots:
        if name == "ease":
            diamond(svg, x, y)
        else:
            add(svg, "circle", "disc", cx=x, cy=y, r=6)


def moved(what: str, old: float | None, new: float | None) -> str:
    """'overall score from 41 to 58'."""
    return f"{what} not known" if old is None or new is None else f"{what} from {int(old)} to {int(new)}"


@cache
def meter(score: float | None, goal: float, state: str) -> str:
    """A score as a small bar; the number stands beside it, so it is hidden from screen readers."""
    svg = Element(
        "svg", {"class": "meter", "viewBox": "0 0 100 10", "aria-hidden": "true", "preserveAspectRatio": "none"}
    )
    add(svg, "rect", "empty", x=0, y=0, width=100, height=10)
    if score:
        add(svg, "rect", f"spine {slug(state)}", x=0, y=0, width=score, height=10)
    add(svg, "line", "goal", x1=goal, x2=goal, y1=0, y2=10)
    return text_of(svg)


# ------------------------------------------------------------------------------------------------------ small things


def drawing(name: str, role: str, told: str, height: float) -> Element:
    """An empty drawing that a screen reader calls ``told``."""
    box = f"0 0 {WIDTH:g} {height:g}"
    return Element("svg", {"class": f"chart {name}", "viewBox": box, "role": role, "aria-label": told})


def add(parent: Element, tag: str, name: str, text: str | None = None, **numbers: float | str) -> Element:
    """A shape of class ``name``; lengths to a tenth of a unit."""
    values = {key: value if isinstance(value, str) else f"{round(value, 1):g}" for key, value in numbers.items()}
    element = SubElement(parent, tag, {"class": name} | values)
    if text is not None:  # what is drawn as letters is told by the links and labels too
        element.text = text
        element.set("aria-hidden", "true")
    return element


def linked(svg: Element, spine: Spine, more: str = "") -> Element:
    """A link to the person, told in full to screen readers and to a pointer that waits."""
    link = SubElement(svg, "a", {"href": f"#{spine.link}", "aria-label": spine.told + more})
    SubElement(link, "title").text = spine.told + more
    return link


def diamond(parent: Element, x: float, y: float) -> None:
    """The sign of reading ease."""
    add(parent, "path", "diamond", d=f"M{x:.1f} {y - 7:.1f}l7 7l-7 7l-7-7z")


def on_scale(value: float) -> float:
    """Where a value from 0 to 100 stands from the left in the persons' chart."""
    return 300 + 6 * value


def cut(text: str, most: int) -> str:
    """At most so many characters."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def slug(state: str) -> str:
    """A state as a class of the style sheet."""
    return state.replace(" ", "-") or "none"


def text_of(svg: Element) -> str:
    """The drawing as text for an HTML page."""
    return tostring(svg, encoding="unicode", short_empty_elements=True)
