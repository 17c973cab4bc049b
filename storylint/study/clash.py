"""Two statements that can't both be true: what a clash is, how far two dates are apart, and how that is said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from storylint.findings import Level
from storylint.rule import Options
from storylint.study.calendars import GREGORIAN, date_of, day_number
from storylint.study.dates import When
from storylint.study.persons import Person, Said

YEAR = 365.2425


NAMES = {
    event: f"the {noun}"
    for event, noun in {
        "enlist": "enlistment",
        "citizen": "naturalisation",
        "registration": "registration of the birth",
        **{word: word for word in "birth baptism marriage death burial obituary probate inquest will".split()},
        **{word: word for word in "discharge arrival census".split()},
    }.items()
} | {"act": "what is told of that time"}


@dataclass(slots=True)
class Clash:
    """Two statements that can't both be true, or one that can't be by itself. ``wrong`` is shown first."""

    level: Level
    problem: str
    message: str
    why: str
    wrong: Said
    right: Said | None = None
    days: float = 0.0  # by how much they miss each other
    parent: Person | None = None  # the parent, where ``wrong`` is a child's date and ``right`` the parent's
    turned: bool = False  # the right one turned out to be the wrong one


def sentence_of(person: Person, why: str) -> str:
    """'Ann Lunn: the baptism is dated ...'"""
    return f"{why}." if why.startswith(person.called) else f"{person.called}: {why}."


def shown(when: When | None) -> str:
    """A date as it is written, with the year where that stands elsewhere."""
    if when is None:
        return ""
    return (
        when.words if when.given or when.year is None or str(when.year) in when.words else f"{when.words} ({when.year})"
    )


def gap(days: float) -> str:
    """A number of days as a reader would say it."""
    days = abs(round(days))
    if days < 60:
        return f"{days} day{'s' if days != 1 else ''}"
    if days < 730:
        return f"{round(days / 30.44)} months"
    return f"{int(days / YEAR + 0.01)} years"


def before(a: When, b: When) -> int:
    """By how many days at least ``a`` is before ``b``; 0 where that isn't certain."""
    if a.latest is None or b.earliest is None:
        return 0
    give = max(a.slack, b.slack) if a.stated != b.stated else 0
    return max(0, b.earliest - a.latest - give)


def span(start: When, end: When) -> tuple[float, float] | None:
    """Fewest and most years from one date to another."""
    if start.earliest is None or start.latest is None or end.earliest is None or end.latest is None:
        return None
    give = (max(start.slack, end.slack) if start.stated != end.stated else 0) / YEAR
    return (end.earliest - start.latest) / YEAR - give, (end.latest - start.earliest) / YEAR + give


def whole(years: float) -> int:
    """Completed years, with a day's grace for the calendar's unequal years."""
    return int(years + 1.5 / YEAR)


def year_of(number: int) -> int:
    """The year of a day number."""
    return date_of(number)[0]


def first_year(said: Said) -> int:
    """The first year of a statement's date; of an open one the last."""
    assert said.when is not None
    day = said.when.earliest if said.when.earliest is not None else said.when.latest
    return year_of(day) if day is not None else 0


def last_year(said: Said) -> int:
    """The last year of a statement's date; of an open one the first."""
    assert said.when is not None
    day = said.when.latest if said.when.latest is not None else said.when.earliest
    return year_of(day) if day is not None else 9999


def today(options: Options) -> int:
    """The day on which the draft is read."""
    now = date.fromisoformat(options["today"]) if options.get("today") else date.today()
    return day_number(now.year, now.month, now.day, GREGORIAN)


def born(person: Person) -> list[Said]:
    """What the draft says of a birth."""
    return person.of("birth")


def in_the_world(person: Person) -> list[Said]:
    """What tells when a person was born at the latest: the births, or the baptisms where no birth is dated."""
    return born(person) or person.of("baptism")
