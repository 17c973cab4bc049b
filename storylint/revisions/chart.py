"""The history on a terminal: the book in figures, a plot of its score, its persons, the pace.

Piped output and terminals without drawn characters get the same in plain letters.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from rich.console import Console
from rich.text import Text

from storylint.reporters.glance import change, count
from storylint.reporters.terminal import console_for, cut, indented, safe, whole
from storylint.revisions.history import History, Moment
from storylint.revisions.pace import Pace
from storylint.revisions.teller import Person

ROWS = 30  # persons shown unless the author asks for all
HEIGHT = 9  # rows of the plot
WIDEST = 96  # columns of the plot
BARS = "▁▂▃▄▅▆▇█"
SPARK = 8  # columns of a person's line


@dataclass(frozen=True, slots=True)
class Pen:
    """The characters of the drawing; ``bars`` is empty where there are none for small lines."""

    point: str
    line: str
    goal: str
    rules: str
    axis: str
    corner: str
    floor: str
    arrow: str
    dash: str
    bars: str


def pen(console: Console) -> Pen:
    """Drawn characters on a terminal that has them, plain ones elsewhere."""
    if console.is_terminal and (console.encoding or "").lower().startswith("utf"):
        return Pen("●", "─", "╌", "┊", "│", "└", "─", "→", "–", BARS)
    return Pen("*", "-", ".", ":", "|", "+", "-", "->", "to", "")


def show(told: History, names: Mapping[str, str], everyone: bool) -> None:
    """The history on standard output; ``names``: hash → name, for those whose names the log keeps secret."""
    console = console_for(sys.stdout)
    drawn = pen(console)
    for line in (*heading(told, drawn, console), *plot(told, drawn, console.width)):
        console.print(line)
    console.print()
    for line in board(told, drawn, names, everyone, console.width):
        console.print(line, no_wrap=True, crop=True)
    console.print(indented("", key(told), console, "dim"))
    console.print()
    console.print(indented("Pace  ", pace_told(told.pace, told.goal), console, "", " " * 6))
    for remark in remarks(told, names):
        console.print(indented("", remark, console, "dim"))


# ----------------------------------------------------------------------------------------------------------- the book


def heading(told: History, drawn: Pen, console: Console) -> Iterator[Text]:
    """The book then and now."""
    first, last = told.moments[0], told.moments[-1]
    span = day(first.when)
    if day(last.when) != span:
        span += f" {drawn.dash} {day(last.when)}"
    yield Text.assemble(("The book  ", "bold"), f"{count(len(told.moments), 'revision')}, {span}")
    here = f"{last.done} of {count(last.persons, 'person')} at your goal of {whole(told.goal)}{held_back(told)}"
    facts = [
        then_now("overall", [moment.overall for moment in told.moments], drawn, ""),
        then_now("reading ease", [moment.ease for moment in told.moments], drawn, ""),
        then_now("school grade", [moment.grade for moment in told.moments], drawn, ".1f"),
        then_now("words", [float(moment.words) for moment in told.moments], drawn, ",.0f"),
        then_now("citation notes", [float(moment.notes) for moment in told.moments], drawn, ",.0f"),
        *(
            then_now(f"{level}s", [float(moment.findings[level]) for moment in told.moments], drawn, ",.0f")
            for level in ("error", "warning", "note")
        ),
    ]
    for fact in (here, *facts):
        if fact:
            yield indented(" " * 10, fact, console)


def held_back(told: History) -> str:
    """How many more would be at the goal but for an error; empty where nobody is."""
    last = [person.last for person in told.persons if not person.gone]
    held = sum(
        point.overall is not None and point.overall >= told.goal and not point.is_done(told.goal) for point in last
    )
    return f"; {held} more {'has' if held == 1 else 'have'} its score, and an error" if held else ""


def then_now(what: str, values: Sequence[float | None], drawn: Pen, form: str) -> str:
    """'words 3,891 → 4,908', with a small line of all values where it can be drawn; empty where there are none.

    ``form`` is how the figures are written, "" for that of all scores.
    """
    there = [value for value in values if value is not None]
    if not there:
        return ""
    first, last = (format(value, form) if form else whole(value) for value in (there[0], there[-1]))
    both = f"{first} {drawn.arrow} {last}  {spark(there, drawn)}".rstrip()
    return f"{what:<15}" + (first if len(there) == 1 else both)


def spark(values: Sequence[float], drawn: Pen, columns: int = 24) -> str:
    """The values as bars from the lowest to the highest; the last ones where there are more than columns."""
    low, high = min(values), max(values)
    if not drawn.bars or low == high:
        return ""
    top = len(drawn.bars) - 1
    return "".join(drawn.bars[round((value - low) / (high - low) * top)] for value in sampled(values, columns))


def sampled(values: Sequence[float], columns: int) -> Sequence[float]:
    """At most so many of the values, evenly spread, with the first and the last."""
    if len(values) <= columns:
        return values
    return [values[round(at * (len(values) - 1) / (columns - 1))] for at in range(columns)]


# ----------------------------------------------------------------------------------------------------------- the plot


def plot(told: History, drawn: Pen, width: int) -> Iterator[Text]:
    """The overall score over time, the goal as a line across, changes of the rules as lines down."""
    scored = [moment for moment in told.moments if moment.overall is not None]
    if len(scored) < 2:
        return
    columns = min(WIDEST, max(20, width - 8))
    start, end = scored[0].when, scored[-1].when
    low = min(80.0, 10.0 * int(min(moment.overall or 0.0 for moment in scored) // 10))
    cells = [[" "] * columns for _ in range(HEIGHT)]
    level = row_of(told.goal, low)
    cells[level] = [drawn.goal] * columns
    for moment in told.moments:
        if moment.rules and start <= moment.when <= end:
            at = column_of(moment.when, start, end, columns)
            for row in cells:
                row[at] = drawn.rules
    draw(cells, scored, drawn, low, (start, end))
    yield Text()
    signs = f"  {drawn.goal} your goal{breaks_key(told, drawn)}"
    yield Text.assemble(("Overall score", "bold"), (signs, "dim"))
    for number, row in enumerate(cells):
        label = whole(100.0) if number == 0 else whole(told.goal) if number == level else ""
        label = whole(low) if number == HEIGHT - 1 and not label else label
        yield Text(f"{label:>5} {drawn.axis}{''.join(row)}".rstrip())
    yield Text(f"      {drawn.corner}{drawn.floor * columns}")
    left, right = (day(start), day(end)) if day(start) != day(end) else (hour(start), hour(end))
    yield Text(f"       {left}{right:>{columns - len(left)}}", "dim")
    for moment in told.moments:
        if moment.rules:
            yield Text(safe(f"       {drawn.rules} {day(moment.when)}: the rules changed ({moment.rules})"), "dim")


def breaks_key(told: History, drawn: Pen) -> str:
    """What a line down means, if there is one."""
    there = any(moment.rules for moment in told.moments)
    return f"  {drawn.rules} the rules changed: don't compare across it" if there else ""


def draw(
    cells: list[list[str]], scored: Sequence[Moment], drawn: Pen, low: float, span: tuple[datetime, datetime]
) -> None:
    """A point for each revision; between two the score stays what it was, until a change of the rules."""
    columns = len(cells[0])
    for number, moment in enumerate(scored):
        at, row = column_of(moment.when, *span, columns), row_of(moment.overall or 0.0, low)
        following = scored[number + 1] if number + 1 < len(scored) else None
        if following and not following.rules:
            for column in range(at + 1, column_of(following.when, *span, columns)):
                cells[row][column] = drawn.line
        cells[row][at] = drawn.point


def row_of(score: float, low: float) -> int:
    """The row of a score, from 0 at the top (100) to the last (``low``)."""
    return min(HEIGHT - 1, max(0, round((100.0 - score) / (100.0 - low) * (HEIGHT - 1))))


def column_of(when: datetime, start: datetime, end: datetime, columns: int) -> int:
    """The column of a time."""
    whole_span = (end - start).total_seconds() or 1.0
    return round((when - start).total_seconds() / whole_span * (columns - 1))


# -------------------------------------------------------------------------------------------------------- the persons


def board(told: History, drawn: Pen, names: Mapping[str, str], everyone: bool, width: int) -> Iterator[Text]:
    """One row a person of the book as it stands, lowest score first."""
    people = sorted((person for person in told.persons if not person.gone), key=by_score)
    shown = people if everyone else people[:ROWS]
    line = (SPARK + 1) * bool(drawn.bars)
    longest = max((len(called(person, names)) for person in shown), default=10)
    wide = max(10, min(longest, width - 52 - line))
    columns = f"{'first':>6}{'now':>5}{'change':>8}{'words':>8}{'ease':>6}{'notes':>7}{'E':>3}{'W':>4}{'N':>4}"
    yield Text(f"{'Lowest first':<{wide + line}}{columns}", "dim")
    for person in shown:
        yield row(person, told.goal, drawn, called(person, names), wide)
    if len(people) > len(shown):
        yield Text(f"… and {len(people) - len(shown)} more; --all shows everyone", "dim")


def key(told: History) -> str:
    """What the columns are."""
    text = f"100 is clean, your goal is {whole(told.goal)}. notes: citation notes; E errors, W warnings, N notes of storylint"
    if any(moment.rules for moment in told.moments):
        text += ". The rules changed on the way: part of a change may be theirs and not yours"
    return text


def by_score(person: Person) -> tuple[bool, float, int]:
    """The sorting key: overall score, the longer of two equals first; those without one last."""
    last = person.last
    return last.overall is None, last.overall or 0.0, -last.words


def row(person: Person, goal: float, drawn: Pen, name: str, wide: int) -> Text:
    """One person."""
    first, now = person.first, person.last
    line = Text(cut(name, wide))
    if drawn.bars:
        scores = [point.overall for point in person.points if point.overall is not None]
        line.append(f" {level_spark(scores, drawn):<{SPARK}}")
    line.append(f"{whole(first.overall):>6}")
    line.append(f"{whole(now.overall):>5}", "green" if now.is_done(goal) else "bold")
    line.append(f"{change(first.overall, now.overall):>8}{now.words:>8,}{whole(now.ease):>6}{now.notes:>7}")
    for level, cells in (("error", 3), ("warning", 4), ("note", 4)):
        line.append(f"{now.findings.get(level) or '·':>{cells}}")
    return line


def level_spark(scores: Sequence[float], drawn: Pen) -> str:
    """Scores as bars from 0 to 100, so that persons can be compared."""
    top = len(drawn.bars) - 1
    return "".join(drawn.bars[round(score / 100 * top)] for score in sampled(scores, SPARK))


def called(person: Person, names: Mapping[str, str]) -> str:
    """The person as the book prints her."""
    name = person.name or names.get(person.who) or f"(name kept private, {person.who[:4]})"
    number = person.points[-1].number
    return safe(f"{number} {name}" if number else name)


# ------------------------------------------------------------------------------------------------------------ the end


def pace_told(told: Pace, goal: float) -> str:
    """The pace in a sentence."""
    if told.a_week is None:
        return f"{told.why}." + (f" {count(told.left, 'person')} still to go." if told.left else "")
    span = f"{count(told.brought, 'person')} brought over the goal of {whole(goal)} in {told.days} days"
    span += f", {told.a_week:g} a week"
    if told.likely is None:
        return f"{span}; at that pace the {count(told.left, 'person')} left are more than a lifetime's work."
    left = "The last one" if told.left == 1 else f"The other {told.left}"
    if told.latest and told.latest < datetime.now(UTC):
        return f"{span}. {left} would have been there {ends(told)} at that pace; the last revision is older than that."
    return f"{span}. {left} will be there {ends(told)} at that pace, if what is left is no harder than what is done."


def ends(told: Pace) -> str:
    """The span in which the last person will be there."""
    first, last = month(told.earliest), month(told.latest)
    if first == last:
        return f"in {first}"
    return f"between {first} and {last}" if last else f"not before {first}"


def remarks(told: History, names: Mapping[str, str]) -> Iterator[str]:
    """What was let stand, who is gone, and what could not be read."""
    if told.persons:
        yield "'storylint lint' says what to do next, 'storylint compare' what changed between two revisions."
    stood = [(day(moment.when), moment.let_stand) for moment in told.moments if moment.let_stand]
    if stood:
        listed = ", ".join(
            f"{abs(number)} {'fewer' if number < 0 else 'more'} on {when}" for when, number in stood[-6:]
        )
        yield f"Findings that you let stand: {listed}. The scores rise and fall by that without a word written."
    gone = [person for person in told.persons if person.gone]
    if gone:
        listed = ", ".join(f"{called(person, names)} (last on {day(person.points[-1].when)})" for person in gone[:6])
        more = f" and {len(gone) - 6} more" if len(gone) > 6 else ""
        yield f"No longer in the book: {listed}{more}."
    if told.unread:
        yield f"{count(told.unread, 'line')} of {told.log} cut off or damaged and left out; all others are whole."
    yield from doubts(told)


def doubts(told: History) -> Iterator[str]:
    """What of the log is not known for sure."""
    if told.newer:
        were = "was" if told.newer == 1 else "were"
        yield f"{count(told.newer, 'revision')} {were} written by a newer storylint and left out; update this one."
    if told.mistimed:
        yield (
            f"{count(told.mistimed, 'revision')} with a time that goes back or is still to come, shown at that of the one "
            "before: a computer's clock was wrong, or two logs were joined."
        )


def day(when: datetime) -> str:
    """A day as a reader writes it."""
    local = when.astimezone()
    return f"{local.day} {local:%b %Y}"


def hour(when: datetime) -> str:
    """A time of the day."""
    return f"{when.astimezone():%H:%M}"


def month(when: datetime | None) -> str:
    """A month."""
    return f"{when.astimezone():%B %Y}" if when else ""
