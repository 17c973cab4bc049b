"""How fast the persons of a book reach the author's goal, and when the rest will be there; honest about few data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from storylint.reporters.glance import count
from storylint.revisions.teller import Person

# Pace is told from this many days and persons on; fewer say nothing. Proposed for this tool, no source.
DAYS, BROUGHT = 14, 3
RECENT = timedelta(weeks=12)  # what was done longer ago says little of the pace now; proposed, no source
FOREVER = 365 * 100  # days; an end further off is none


@dataclass(frozen=True, slots=True)
class Pace:
    """Persons brought over the goal a week, and when the rest will be there at that pace.

    ``brought`` persons in ``days`` days; ``left`` have not reached it. The count is known give or take its square root
    (the standard error of a count, after Poisson), so that the end is a span from ``earliest`` to ``latest``. They and
    ``a_week`` are None where ``why`` says why the pace can't be told.
    """

    brought: int
    days: int
    left: int
    a_week: float | None = None
    earliest: datetime | None = None
    likely: datetime | None = None
    latest: datetime | None = None
    why: str = ""


def pace(times: Sequence[datetime], breaks: Sequence[datetime], people: Sequence[Person], goal: float) -> Pace:
    """The pace lately: over the last weeks, and never across a break in the rules. ``people`` are those in the book."""
    if not times:
        return Pace(0, 0, 0, why="no revision has been recorded")
    now = times[-1]
    since = max([times[0], now - RECENT, *breaks])
    judged = max(breaks, default=times[0])  # what was recorded before can't be compared
    brought = sum(is_brought(person, goal, since, judged) for person in people)
    scored = [person for person in people if person.last.overall is not None]
    left = sum(not person.last.is_done(goal) for person in scored)
    days = (now - since).days
    why = unclear(brought, days, left, bool(breaks) and since == breaks[-1]) if scored else "nobody has a score yet"
    if why:
        return Pace(brought, days, left, why=why)
    give = math.sqrt(brought)
    early, likely, late = (ends(now, left * days / count) for count in (brought + give, brought, brought - give))
    return Pace(brought, days, left, round(7 * brought / days, 2), early, likely, late)


def unclear(brought: int, days: int, left: int, broken: bool) -> str:
    """Why no pace can be told; empty where one can."""
    if not left:
        return "everyone has reached the goal"
    if days < DAYS:
        of = "since the rules changed" if broken else "of history"
        return f"{count(days, 'day')} {of} {'is' if days == 1 else 'are'} too few to tell a pace; it takes {DAYS}"
    if brought < BROUGHT:
        return f"{brought} brought over the goal in {days} days are too few to tell a pace; it takes {BROUGHT}"
    return ""


def ends(now: datetime, days: float) -> datetime | None:
    """So many days from now; None where that is too far off to mean anything."""
    return now + timedelta(days=days) if days < FOREVER else None


def is_brought(person: Person, goal: float, since: datetime, judged: datetime) -> bool:
    """True when the person has reached the goal now and was below it at ``since``: when last seen until then, but after
    the last break of the rules (``judged``), or else when first seen after it."""
    scored = [point for point in person.points if point.overall is not None and point.when >= judged]
    if not scored or not scored[-1].is_done(goal):
        return False
    until = [point for point in scored if point.when <= since]
    return not (until[-1] if until else scored[0]).is_done(goal)
