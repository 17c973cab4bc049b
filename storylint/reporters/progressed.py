"""The history of a book as one page to look at: its line, its persons then and now, the pace.

``page.progress.html`` is the template, in the frame and the look of the other pages (see ``html``); what it says in
words is what the terminal says (see ``storylint.revisions.chart``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from storylint.reporters import charts
from storylint.reporters.glance import change
from storylint.reporters.html import filled

if TYPE_CHECKING:
    from storylint.revisions.history import History
    from storylint.revisions.teller import Person


def render(told: History, names: Mapping[str, str]) -> str:
    """The page as one text; ``names``: hash → name, for those whose names the log keeps secret."""
    from markupsafe import Markup

    from storylint.revisions import chart

    def line(person: Person) -> Markup:
        """A person's score over her revisions."""
        return Markup(charts.small([point.overall for point in person.points], told.goal))

    points = [charts.Point(chart.day(m.when), m.overall, m.ease, bool(m.rules)) for m in told.moments]
    return filled(
        "page.progress.html",
        told=told,
        first=told.moments[0],
        last=told.moments[-1],
        people=sorted((person for person in told.persons if not person.gone), key=chart.by_score),
        called=lambda person: chart.called(person, names),
        remarks=list(chart.remarks(told, names)),
        key=chart.key(told),
        held_back=chart.held_back(told),
        pace=chart.pace_told(told.pace, told.goal),
        trend=Markup(charts.trend(points)),
        day=chart.day,
        change=change,
        line=line,
    )
