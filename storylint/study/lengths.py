"""Lengths of time that a sentence states, with the two moments they lie between: 'ten years after his marriage', 'a
widow since 1876, which is twenty-five years', 'from 1850 to 1862, twelve years'.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from storylint.study.ages import NUMBER
from storylint.study.dates import When, find
from storylint.study.dateshapes import number
from storylint.study.items import Item
from storylint.study.telling import Event, Telling

Moment = When | tuple[object, str]  # a date, or (person, event)
Resolve = Callable[[Item], object | None]

LENGTH = re.compile(
    r"\b(?:(?P<soft>about|nearly|almost|over|some|more\sthan|less\sthan|barely|scarcely|around|well\sover"
    r"|not\squite)\s)?"
    rf"(?P<count>{NUMBER})(?:\s(?:and\sa\shalf|full|whole|long|more))?\s(?P<unit>year|month|week|day)s?\b"
    r"(?!\s(?:old|of\sage|later|ago|earlier|afterwards?|his|her|older|younger)|-)",
    re.IGNORECASE,
)
LATER = re.compile(
    rf"\b(?P<count>{NUMBER})\s(?P<unit>year|month|week|day)s?\s(?:later|afterwards?),?\s"
    r"(?:that\sis,?\s)?(?:in|on)?\s?$",
    re.IGNORECASE,
)
LATER_AFTER = re.compile(
    rf",?\s(?P<count>{NUMBER})\s(?P<unit>year|month|week|day)s?\s(?:later|afterwards?)\b(?!\sthan\b)", re.IGNORECASE
)
DAYS = {"year": 365.2425, "month": 30.44, "week": 7.0, "day": 1.0}
JUBILEES = {"golden": 50, "silver": 25, "diamond": 60, "ruby": 40, "pearl": 30}
SUMS_UP = re.compile(r"(?:which|that|this|it)\s(?:is|was|makes?|made|comes\sto|came\sto|amounts\sto)\s$", re.IGNORECASE)
AFTER_SPAN = re.compile(
    r",?\s?(?:(?:a|the)\s(?:matter|period|space|term|stretch|total)\sof\s|or\s|that\sis,?\s|in\sall\s|for\s|fully\s)?",
    re.IGNORECASE,
)
OUTLIVED = re.compile(r"\b(?:surviv|outliv)(?:ed|ing)\s(?P<whom>[\w\s]{2,24}?)\sby\s$", re.IGNORECASE)
WIDOWED = re.compile(r"\bwidow(?:er|hood)?\s(?:for|of)\s(?:(?:her|his|the)\slast\s|more\sthan\s)?$", re.IGNORECASE)
VITAL = frozenset("birth baptism marriage death burial arrival enlist discharge citizen".split())


@dataclass(frozen=True, slots=True)
class Length:
    """A stated length: ``text`` as written, ``low`` and ``high`` in days, from one moment to the other."""

    text: str
    low: float
    high: float
    first: Moment
    last: Moment


def lengths(telling: Telling, resolve: Resolve, lead: object | None) -> Iterator[Length]:
    """All lengths of a sentence whose two ends can be told. ``resolve`` finds an item's person."""
    low = telling.sentence.text.lower()
    for match in LENGTH.finditer(telling.sentence.text) if any(unit in low for unit in DAYS) else ():
        ends = (
            _counted_from(telling, match, resolve)
            or _summed_up(telling, match)
            or _of_span(telling, match)
            or _outlived(telling, match, resolve, lead)
            or _of_marriage(telling, match, resolve)
            or _until(telling, match)
            or _since_then(telling, match)
        )
        if ends is not None:
            yield _length(match, *ends)
    if "later" in low or "afterward" in low:
        yield from _later(telling)
    for event in telling.events:
        if event.name == "jubilee" and event.when is not None and lead is not None:
            years = next((value for word, value in JUBILEES.items() if word in event.item.low), None)
            if years:
                yield Length(
                    event.item.text, (years - 1) * 365.25, (years + 1) * 365.25, (lead, "marriage"), event.when
                )


def _length(match: re.Match[str], first: Moment, last: Moment) -> Length:
    """The days that the words allow: a unit either way, more where they are soft."""
    count, unit = number(match["count"]) or 0, DAYS[match["unit"].lower()]
    give = max(1.0, 0.1 * count) * (2.5 if match["soft"] or (unit < 366 and match["unit"].lower() == "month") else 1.05)
    return Length(match.group(), max(0.0, (count - give) * unit - 1), (count + give) * unit + 1, first, last)


def _counted_from(telling: Telling, match: re.Match[str], resolve: Resolve) -> tuple[Moment, Moment] | None:
    """'ten years after his marriage', 'three weeks before she died'."""
    text = telling.sentence.text
    way = re.match(r"\s(after|before)\s", text[match.end() :])
    if not way:
        return None
    start = match.end() + way.end()
    to = _moment(telling, start, resolve)
    at = _own_date(telling, match.start(), start)
    if to is None or at is None or to is at:
        return None
    return (to, at) if way.group(1) == "after" else (at, to)


def _moment(telling: Telling, start: int, resolve: Resolve) -> Moment | None:
    """What stands after 'after': a date, an event noun with its owner, a person who died, or what somebody did."""
    ahead = [item for item in telling.items if item.start >= start and item.start < start + 40]
    if ahead and ahead[0].kind == "date" and ahead[0].when is not None and ahead[0].when.closed:
        return ahead[0].when
    for event in telling.events:
        if (
            event.item.start < start
            or event.item.start > start + 40
            or event.name not in VITAL
            or event.when is not None
            or not event.subjects
        ):
            continue
        if event.name == "marriage" and any(e.name == "marriage" and e.when is not None for e in telling.events):
            return None  # 'in 1775, five months after the wedding, and married again in 1777'
        person = resolve(event.subjects[0])
        return (person, event.name) if person is not None else None
    stop = next((item for item in ahead if item.kind in ("bound", "verb")), None)
    who = next(
        (item for item in ahead if item.kind in ("kin", "name") and (stop is None or item.start < stop.start)), None
    )
    died = any(event.name in ("death", "burial") and event.when is not None for event in telling.events)
    if who is not None and died:
        person = resolve(who)
        return (person, "death") if person is not None else None
    return None


def _own_date(telling: Telling, start: int, after: int) -> When | None:
    """The date that the length is counted to: the last one before it, else the first one beyond the moment it names."""
    before = [when for when in telling.whens if when.end <= start and when.closed]
    if before:
        return before[-1]
    beyond = [when for when in telling.whens if when.start > after and when.closed]
    return beyond[0] if len(beyond) == 1 else None


def _summed_up(telling: Telling, match: re.Match[str]) -> tuple[Moment, Moment] | None:
    """'When she died, in 1930, she had lived alone since 1888, which is forty-two years'."""
    text = telling.sentence.text
    since = next(
        (
            when
            for when in telling.whens
            if when.qualifier == "from" and when.form != "span" and when.end <= match.start()
        ),
        None,
    )
    others = [
        when
        for when in telling.whens
        if when is not since and when.closed and when.form != "span" and when.end <= match.start()
    ]
    if since is None or len(others) != 1 or not SUMS_UP.search(text[: match.start()]):
        return None
    return (since, others[0]) if (since.earliest or 0) <= (others[0].earliest or 0) else None


def _of_span(telling: Telling, match: re.Match[str]) -> tuple[Moment, Moment] | None:
    """'from 1850 to 1862, twelve years'; 'for twelve years, from 1850 to 1862'."""
    text = telling.sentence.text
    for when in telling.whens:
        if when.form != "span" or when.last is None or when.fault:
            continue
        follows = (
            when.end <= match.start()
            and AFTER_SPAN.fullmatch(text[when.end : match.start()])
            and not re.match(r"\s(?:of|after|before)\b", text[match.end() :])
        )
        leads = (
            match.end() <= when.start
            and re.fullmatch(r",?\s(?:in\sall,?\s)?", text[match.end() : when.start])
            and re.search(r"\b(?:[Ff]or|[Dd]uring)\s(?:the\s)?$", text[: match.start()])
        )
        if follows or leads:
            return first_of(when), when.last
    return None


def first_of(span: When) -> When:
    """The first date of a span by itself; any other date as it is."""
    if span.last is None:
        return span
    found = find(str(span.year)) if span.year and not span.day and not span.month else []
    return (
        found[0]
        if found
        else When(
            span.start, span.end, span.words, "day", span.year, span.month, span.day, span.earliest, span.earliest
        )
    )


def _outlived(
    telling: Telling, match: re.Match[str], resolve: Resolve, lead: object | None
) -> tuple[Moment, Moment] | None:
    """'having survived him by twelve years', 'a widow for twenty-two years'."""
    text = telling.sentence.text[: match.start()]
    outlived = OUTLIVED.search(text)
    if not (outlived or WIDOWED.search(text)):
        return None
    before = [item for item in telling.items if item.person and outlived and item.end <= outlived.start()]
    who = before[-1] if before else _subject(telling)
    person = resolve(who) if who is not None else lead
    spouses = getattr(person, "spouses", [])
    if person is None or len(spouses) != 1:
        return None
    return (spouses[0], "death"), (person, "death")


def _until(telling: Telling, match: re.Match[str]) -> tuple[Moment, Moment] | None:
    """'crossed in 1934 and stayed there for seventeen years, until 1951'."""
    text = telling.sentence.text
    last = next(
        (when for when in telling.whens if when.qualifier == "to" and when.closed and when.start > match.end()), None
    )
    firsts = [when for when in telling.whens if when.end <= match.start() and when.closed and when.form != "span"]
    if last is None or not firsts or not re.search(r"\bfor\s(?:the\s)?$", text[: match.start()]):
        return None
    return (firsts[-1], last) if re.fullmatch(r",?\s", text[match.end() : last.start]) else None


def _since_then(telling: Telling, match: re.Match[str]) -> tuple[Moment, Moment] | None:
    """'had the shop from 1911 and closed it, after forty-two years, in 1937'."""
    text = telling.sentence.text
    first = [when for when in telling.whens if when.end <= match.start() and when.closed and when.form != "span"]
    last = next((when for when in telling.whens if when.start >= match.end() and when.closed), None)
    if last is None or len(first) != 1 or first[0].qualifier != "from" or last.form == "span":
        return None
    beside = re.fullmatch(r",?\s(?:in\s|on\s)?", text[match.end() : last.start])
    return (first[0], last) if beside and re.search(r"\bafter\s$", text[: match.start()]) else None


def _of_marriage(telling: Telling, match: re.Match[str], resolve: Resolve) -> tuple[Moment, Moment] | None:
    """'He died on 3 August 1864, after twenty-six years of marriage'."""
    text = telling.sentence.text
    at = [when for when in telling.whens if when.closed]
    who = _subject(telling)
    if (
        len(at) != 1
        or who is None
        or not (
            re.match(r"\sof\s(?:marriage|married life|wedded life)\b|\smarried\b", text[match.end() :])
            or (
                re.search(r"\b(?:been|were|was)\smarried\s(?:for\s)?$", text[: match.start()])
                and not re.match(r"\s(?:after|before|when)\b", text[match.end() :])
            )
        )
    ):
        return None
    couple = next((item for item in telling.items if item.low == "they"), None)
    person = resolve(couple if couple is not None else who)
    return ((person, "marriage"), at[0]) if person is not None else None


def _subject(telling: Telling) -> Item | None:
    """The first person of whom the sentence says something."""
    said: Iterator[Event] = (
        event for event in telling.events if event.subjects and event.how in ("said", "same", "apposed")
    )
    first = next(said, None)
    return first.subjects[0] if first is not None else None


def _later(telling: Telling) -> Iterator[Length]:
    """'went in 1820 and came home eleven years later, in 1831'."""
    text = telling.sentence.text
    whens = [when for when in telling.whens if when.given and when.closed and when.form != "span"]
    for first, last in itertools.pairwise(whens):
        match = LATER.search(text[first.end : last.start]) or LATER_AFTER.match(text[last.end :])
        if match:
            count, unit = number(match["count"]) or 0, DAYS[match["unit"].lower()]
            give = max(1.0, 0.1 * count) * 1.05
            yield Length(
                match.group().strip(", ").removesuffix(" in").removesuffix(" on").rstrip(","),
                max(0.0, (count - give) * unit - 1),
                (count + give) * unit + 1,
                first,
                last,
            )
