"""Dates in prose, each as a range of days: what a family historian writes and what it can mean at the earliest and
the latest.

One compiled pattern goes over a text once (``study.dateshapes``); then years, calendars and spans are settled. What
is no date of any calendar is kept as it was found, with the reason. Whether a date fits a life is for
``study.clashes``.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from storylint.study.calendars import (
    ANYWHERE,
    BRITAIN,
    GREGORIAN,
    JULIAN,
    Where,
    date_of,
    day_number,
    days_in,
    easter,
    weekday_of,
)
from storylint.study.dateshapes import MONTHS as MONTHS
from storylint.study.dateshapes import SCAN, SEASONS, Raw, read
from storylint.study.dateshapes import WEEKDAYS as WEEKDAYS

# 'About' by a year: five years either side, the tolerance that open checkers publish for inexact dates; by a day or
# month: one year. Proposed for this tool.
ABOUT_YEARS = 5


class When(NamedTuple):
    """A date as it is written, and the days it can mean.

    ``start`` and ``end`` are offsets in the text, ``words`` what stands there, qualifier included. ``earliest`` and
    ``latest`` are Julian Day Numbers; None where that side is open, both None where nothing can be counted. ``form``:
    day, month, year, decade, century, season, part ("early in 1842") or span (from one date to another, ``last``
    being the other). ``qualifier``: "" or about, say, perhaps, before, by, after, between, from, to. ``calendar`` is
    the one the days were counted in; ``stated`` where the text names it; ``slack`` the days by which they would
    differ in another calendar that the place allows. ``fault`` says why it can't be a date ("" where it can),
    ``likely`` what was probably meant. ``given`` is False where the year was not written but taken from the date
    before it.
    """

    start: int
    end: int
    words: str
    form: str
    year: int | None = None
    month: int | None = None
    day: int | None = None
    earliest: int | None = None
    latest: int | None = None
    qualifier: str = ""
    calendar: str = ""
    stated: bool = False
    slack: int = 0
    weekday: int | None = None
    fault: str = ""
    likely: str = ""
    given: bool = True
    double: bool = False
    last: When | None = None

    @property
    def exact(self) -> bool:
        """True for one certain day."""
        return self.form == "day" and not self.fault and self.earliest is not None and self.earliest == self.latest

    @property
    def closed(self) -> bool:
        """True where both ends are known."""
        return self.earliest is not None and self.latest is not None


_QUALIFIER = re.compile(
    r"(?:^|[\s(,;–—-])(?P<words>"
    r"(?P<about>about|abt\.?|circa|ca\.?|c\.|around|near|nearly|towards?|approximately|approx\.?|roughly|or about)|"
    r"(?P<say>say|est\.?|estimated|cal\.?|calculated)|"
    r"(?P<perhaps>perhaps|probably|possibly|maybe|apparently|presumably)|"
    r"(?P<by>by|in or before|on or before|not later than|no later than|not after|at or before)|"
    r"(?P<before>before|bef\.?|prior to|previous to|until shortly before)|"
    r"(?P<to>until|till|up to|back to|down to|through)|"
    r"(?P<after>after|aft\.?|following|not before|no earlier than|later than|subsequent to)|"
    r"(?P<from>from|since|as from|beginning|starting)"
    r")(?:\s(?:in|on|at|of|the|the year|the month of|sometime in|early in|some time in|as|the end of))?(?:\sthe)?\s$",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"(?:between|betw?\.|btw\.?)\s(?:the\s)?$", re.IGNORECASE)
_FROM = re.compile(r"(?:from|since)\s(?:the\s)?$", re.IGNORECASE)
_JOINS = re.compile(
    r"\s?(?P<to>to|till|until|through|thru|up to|–|-|—)\s?(?:the\s|about\s)?|\s(?P<and>and)\s(?:the\s)?"
)
_STYLE_AFTER = re.compile(r",?\s?\(?(?P<style>[OoNn]\.\s?[Ss]\.|[OoNn](?:ld|ew) [Ss]tyle|[ON]S\b)\)?")
_QUALIFIER_REACH = 34
_WEEKDAY_AFTER = re.compile(
    rf",?\s\(?(?:(?:which|it)\swas\s)?a\s(?P<weekday>{'|'.join(WEEKDAYS)})\b"
)  # '4 July 1921, a Monday'


def find(text: str, before: When | None = None, where: Where = ANYWHERE) -> list[When]:
    """All dates of a text, in order.

    ``before`` is the date that a date without a year leans on (the last one of the sentences before); ``where`` the
    countries the passage names: Britain's calendar holds where it names none, and where it does, a date is faulty only
    if it is so in all of them.
    """
    raws = [raw for match in SCAN.finditer(text) if (raw := read(match, text)) is not None]
    found: list[When] = []
    earlier = before
    for index, raw in enumerate(raws):
        named = _WEEKDAY_AFTER.match(text, raw.end) if raw.given and raw.weekday is None and raw.form == "day" else None
        if named:
            raw.weekday = WEEKDAYS.index(named["weekday"])
        if not raw.given and index + 1 < len(raws):
            _borrow(raw, raws[index + 1], text)
        when = _settle(raw, text, before, where)
        if when is not None and before is earlier and before is not None:
            when = _either_month(raw, when, before, where)
        if when is None:
            continue
        found.append(when)
        if when.year is not None and not when.fault:
            before = when
    return [_qualified(when, text) for when in _joined(found, text)]


def _borrow(raw: Raw, after: Raw, text: str) -> None:
    """'from May to July 1862', '3 May and 4 June 1850': a date joined to the next takes its year."""
    if raw.shift is None and raw.form != "year" and after.year and _JOINS.fullmatch(text[raw.end : after.start]):
        raw.year, raw.given = after.year, True


def _settle(raw: Raw, text: str, before: When | None, where: Where) -> When | None:
    """The date with its year, calendar and days; None where it leans on a date that is not there."""
    if raw.fault:
        return None
    words = text[raw.start : raw.end]
    if raw.shift is not None:
        return _shifted(raw, words, before, where)
    if raw.year is not None and raw.year < 100:
        if before is None or before.year is None:
            return None
        raw.year += before.year - before.year % 100
    style = _STYLE_AFTER.match(text, raw.end)
    if style and not raw.style:
        raw.style, raw.end = style.group("style")[0].lower(), style.end()
    if raw.year is None:
        return _leaning(raw, words, before, where, text[raw.end : raw.end + 20])
    return _counted(raw, words, where)


_SAME_YEAR = re.compile(r",?\s(?:of|in)\s(?:the\ssame|that)\syear\b")
_FOLLOWING = re.compile(r",?\s(?:following|next|of the (?:following|next) year)\b")


def _leaning(raw: Raw, words: str, before: When | None, where: Where, after: str) -> When | None:
    """A day or month without a year: of the same year as the date before, or, where that is past, of that or the
    next.
    """
    if before is None or before.year is None or before.form in ("decade", "century", "span"):
        return _yearless(raw, words)
    raw.year = before.year
    when = _counted(raw, words, where)._replace(given=False)
    if when.fault == DROPPED:
        return None  # 'since 1752 she kept her birthday on 9 September'
    if (
        when.latest is not None
        and before.earliest is not None
        and when.latest < before.earliest
        and not _SAME_YEAR.match(after)
    ):
        raw.year += 1
        if _FOLLOWING.match(after):
            return _counted(raw, words, where)._replace(given=False)
        return when._replace(latest=_counted(raw, words, where).latest, form="part", weekday=None)
    return when


def _yearless(raw: Raw, words: str) -> When | None:
    """A day that leans on nothing: of use only to say that no year has it."""
    if raw.day is None or raw.month is None:
        return None
    fault = "" if 0 < raw.day <= days_in(2000, raw.month) else _no_such_day(2000, raw.month, raw.day)
    return When(raw.start, raw.end, words, "day", None, raw.month, raw.day, fault=fault, given=False)


def _shifted(raw: Raw, words: str, before: When | None, where: Where) -> When | None:
    """'on the 23rd', 'the same year', 'two days later', 'the following spring', counted from the date before."""
    if before is None or before.year is None or before.form in ("decade", "century") or raw.shift is None:
        return None
    if before.earliest is None or before.latest is None:
        return None
    unit, step = raw.shift
    if raw.day is not None:
        return _day_of_month(raw, words, before, step, where)
    plain = When(raw.start, raw.end, words, "part", before.year, calendar=before.calendar, given=False)
    if unit == "day":
        return plain._replace(earliest=before.earliest + step, latest=before.latest + step)
    if unit in _LENGTH:
        days, give = _LENGTH[unit]
        low, high = before.earliest + round(step * days) - give, before.latest + round(step * days) + give
        return plain._replace(
            earliest=low, latest=high, year=date_of(low)[0] if low == high else date_of((low + high) // 2)[0]
        )
    year = before.year + step
    into = unit == "winter" or (step == 1 and unit != "year")  # 'the next March' can be of this year or of the next
    low = min(before.earliest, day_number(year, 1, 1)) if into else day_number(year, 1, 1)
    return plain._replace(earliest=low, latest=day_number(year + into, 12, 31), year=year)


# Days of a unit that is counted from another date, and how far the count may be out: 'two years later' is loose.
_LENGTH: dict[str, tuple[float, int]] = {
    "days": (1, 1), "weeks": (7, 4), "months": (30.44, 31), "years": (365.25, 366), "week": (7, 7),
    "month": (30.44, 31),
}  # fmt: skip


def _day_of_month(raw: Raw, words: str, before: When, step: int, where: Where) -> When | None:
    """'on the 23rd': of the month of the date before, or of the next where that day is past."""
    if before.month is None or before.year is None or raw.day is None:
        return None
    month = before.month + step
    if step == 0 and before.day is not None and raw.day < before.day and "month" not in words:
        month += 1
    raw.year, raw.month = before.year + (month - 1) // 12, (month - 1) % 12 + 1
    return _counted(raw, words, where)._replace(given=False)


def _either_month(raw: Raw, when: When, before: When, where: Where) -> When:
    """A new sentence may go back: 'He died on 4 July. He had made his will on the 1st' is the 1st of either month."""
    late = before.day is not None and raw.day is not None and raw.day < before.day
    if raw.shift is None or raw.shift[1] or not late or when.month == before.month or before.month is None:
        return when
    raw.year, raw.month = before.year, before.month
    first = _counted(raw, when.words, where)
    return when._replace(earliest=first.earliest, form="part", day=None, month=None) if not first.fault else when


def _counted(raw: Raw, words: str, where: Where) -> When:
    """Day numbers, calendar and faults of a date whose year is known."""
    assert raw.year is not None
    if raw.feast is not None:
        raw.month, raw.day = _feast_day(raw.feast, raw.year)
    when = When(
        raw.start, raw.end, words, raw.form, raw.year, raw.month, raw.day,
        stated=bool(raw.style), weekday=raw.weekday, given=raw.given,
    )  # fmt: skip
    if raw.month is not None and raw.month > 12:
        return when._replace(fault=f"there is no month {raw.month}")
    if raw.tail is not None:
        when = _doubled(raw, when)
        if when.form == "span" or when.fault:
            return when
    calendars = _calendars(raw, when, where)
    if raw.form != "day":
        return _ranged(raw, when, calendars, where.southern)
    return _on_day(raw, when, calendars)


def _calendars(raw: Raw, when: When, where: Where) -> list[str]:
    """The calendars in which the date can be counted, the likeliest first; none for a day that was dropped."""
    if raw.style or when.double:
        return [GREGORIAN if raw.style == "n" else JULIAN]
    return where.calendars((when.year or 0, raw.month or 7, raw.day or 1))


def _feast_day(feast: tuple[int, int] | int, year: int) -> tuple[int, int]:
    """Month and day of a feast of the Western church in the calendar of Britain."""
    if isinstance(feast, tuple):
        return feast
    calendar = BRITAIN.calendar((year, 4, 1)) or GREGORIAN
    _, month, day = date_of(easter(year, calendar) + feast, calendar)
    return month, day


def _doubled(raw: Raw, when: When) -> When:
    """A double date (11 Feb 1731/2, the second year being ours), or a span of years."""
    assert raw.year is not None
    assert raw.tail is not None
    early = raw.month is not None and (raw.month < 3 or (raw.month == 3 and (raw.day or 1) <= 25))
    if raw.month is None or (raw.joint == "-" and not (early and raw.year < 1753)):
        return _span_of_years(raw, when)
    if raw.tail != raw.year + 1:
        return when._replace(
            fault=f"a double date names two years that follow each other, not {raw.year} and {raw.tail}"
        )
    if raw.year > 1751:
        return when._replace(
            fault=f"from 1752 the year began on 1 January, so that {when.words} names two years for one day"
        )
    if not early:
        return when._replace(fault="only dates from 1 January to 24 March were counted in two years")
    return when._replace(year=raw.tail, double=True)


def _span_of_years(raw: Raw, when: When) -> When:
    """1850-55: two ends; 1731/2 and 1731-2 without a month likewise, since either year may be meant."""
    assert raw.year is not None
    assert raw.tail is not None
    low, high = day_number(raw.year, raw.month or 1, 1), day_number(raw.tail, 12, 31)
    start = day_number(raw.tail, 1, 1)
    at = re.search(r"['’]?\d+$", when.words).start()  # type: ignore[union-attr]  # it ends with its second year
    last = When(
        raw.start + at, raw.end, when.words[at:], "year", raw.tail, earliest=start, latest=high, calendar=GREGORIAN
    )
    fault = BACKWARDS.format(raw.year, raw.tail) if raw.tail < raw.year else ""
    return when._replace(form="span", earliest=low, latest=max(low, high), last=last, fault=fault, calendar=GREGORIAN)


BACKWARDS = "the years run backwards: {} comes after {}"
DROPPED = "in Britain and its colonies 2 September 1752 was followed by the 14th"


def _on_day(raw: Raw, when: When, calendars: list[str]) -> When:
    """One day: does it exist, what is its number, does its weekday agree."""
    assert when.year is not None
    assert raw.month is not None
    assert raw.day is not None
    if not calendars:
        return when._replace(fault=DROPPED)
    year, month, day = when.year, raw.month, raw.day
    real = [calendar for calendar in calendars if 0 < day <= days_in(year, month, calendar)]
    if not real:
        return when._replace(fault=_no_such_day(year, month, day), calendar=calendars[0])
    numbers = [day_number(year, month, day, calendar) for calendar in real]
    latest = (
        max(numbers[0], day_number(year + 1, month, min(day, 28), JULIAN))
        if _either_year(raw, when, real[0])
        else numbers[0]
    )
    low, high = numbers[0], latest
    if raw.ambiguous:
        other = day_number(year, raw.ambiguous[1], raw.ambiguous[0], real[0])
        low, high = min(low, other), max(high, other)
    when = when._replace(earliest=low, latest=high, calendar=real[0], slack=max(numbers) - min(numbers))
    if raw.first and raw.first < day:
        return when._replace(form="span", day=raw.first, earliest=low - day + raw.first, last=when, qualifier="between")
    return _with_weekday(when, {*numbers, latest})


def _either_year(raw: Raw, when: When, calendar: str) -> bool:
    """True for 1 January to 24 March before 1752, when a plain year can be the old one or ours."""
    if when.double or calendar != JULIAN or when.year is None or when.year > 1751 or raw.month is None:
        return False
    return raw.month < 3 or (raw.month == 3 and (raw.day or 1) < 25)


def _no_such_day(year: int, month: int, day: int) -> str:
    """Why a day does not exist."""
    if (year, month, day) == (1712, 2, 30):
        return "there was a 30 February in Sweden in 1712 and nowhere else"
    if month == 2 and day == 29:
        return f"{year} was no leap year, and February had 28 days"
    return f"{MONTHS[month - 1]} has {days_in(year, month)} days"


def _with_weekday(when: When, numbers: set[int]) -> When:
    """Keep the weekday's fault if it is wrong in every calendar and year that the date can be of."""
    days = {weekday_of(n) for n in numbers}
    if when.weekday is None or when.weekday in days or when.earliest is None:
        return when
    right = WEEKDAYS[weekday_of(when.earliest)]
    near = min(
        (n for n in range(when.earliest - 6, when.earliest + 7) if weekday_of(n) == when.weekday),
        key=lambda n: abs(n - (when.earliest or 0)),
    )
    _, month, day = date_of(near, when.calendar)
    plain = f"{when.day} {MONTHS[(when.month or 1) - 1]} {when.year}"
    return when._replace(
        fault=f"{plain} was a {right}, not a {WEEKDAYS[when.weekday]}",
        likely=f"{WEEKDAYS[when.weekday]} {day} {MONTHS[month - 1]}",
    )


# First and last month and day of the northern seasons, wide enough for every way of reckoning them (proposed here).
_SEASON_DAYS = {"spring": (2, 1, 6, 30), "summer": (5, 15, 9, 30), "autumn": (8, 15, 12, 21)}
# The same for parts of a year (months) and of a month (days).
_PARTS_OF_YEAR = {
    "early": (1, 6),
    "beginning": (1, 4),
    "start": (1, 4),
    "first half": (1, 6),
    "mid": (3, 10),
    "middle": (3, 10),
}
_PARTS_OF_MONTH = {
    "early": (1, 20), "beginning": (1, 15), "start": (1, 15), "first half": (1, 16), "mid": (7, 24), "middle": (7, 24),
    "first week": (1, 9), "second week": (6, 16), "third week": (13, 23), "fourth week": (20, 31),
    "last week": (20, 31),
}  # fmt: skip


def _ranged(raw: Raw, when: When, calendars: list[str], southern: bool) -> When:
    """First and last day of a month, season, year, part of one, decade or century."""
    assert when.year is not None
    calendar = calendars[0] if calendars else JULIAN
    year, last = when.year, {"decade": 9, "century": 100}.get(raw.form, 0) + when.year
    low, high = (year, 1, 1), (last, 12, 31)
    if raw.month is not None:
        first, final = _PARTS_OF_MONTH.get(raw.part, (10, 31) if raw.part else (1, 31))
        low, high = (year, raw.month, first), (year, raw.month, min(final, days_in(year, raw.month, calendar)))
    elif raw.season in _SEASON_DAYS and not southern:
        a, b, c, d = _SEASON_DAYS[raw.season]
        low, high = (year, a, b), (year, c, d)
    elif raw.season:  # winter, and every season where it may be of the southern half of the world
        high = (year + 1, 3, 31)
    elif raw.part:
        first, final = _PARTS_OF_YEAR.get(raw.part, (7, 12))
        low, high = (year, first, 1), (year, final, days_in(year, final, calendar))
    latest = day_number(*high, calendar)
    if calendar == JULIAN and last < 1752 and (raw.month is None or _either_year(raw, when, calendar)):
        latest = day_number(high[0] + 1, 3, 24, JULIAN) if raw.month is None else latest + 365
    season = {"month": raw.month, "season": SEASONS.index(raw.season) + 21 if raw.season else None}.get(
        raw.form, raw.month
    )
    return when._replace(
        month=season,
        earliest=day_number(*low, calendar),
        latest=latest,
        calendar=calendar,
        slack=13 * (len(calendars) > 1),
    )


def _joined(found: list[When], text: str) -> list[When]:
    """Make one of two dates that are the ends of a span."""
    out: list[When] = []
    for when in found:
        joint = _JOINS.fullmatch(text[out[-1].end : when.start]) if out and out[-1].last is None else None
        before = text[max(0, out[-1].start - 14) : out[-1].start] if joint else ""
        between = _BETWEEN.search(before)
        if joint and when.last is None and (between or not joint.group("and")) and _can_join(out[-1], when):
            out[-1] = _span(out[-1], when, text, "between" if between else "from", between or _FROM.search(before))
        else:
            out.append(when)
    return out


def _can_join(first: When, last: When) -> bool:
    """Two ends of one kind, or nearly: a day and a month, a month and a year."""
    rank = {"day": 0, "part": 1, "month": 1, "season": 2, "year": 2, "decade": 3}
    return (
        first.form in rank
        and last.form in rank
        and abs(rank[first.form] - rank[last.form]) <= 1
        and not first.fault
        and not last.fault
    )


def _span(first: When, last: When, text: str, qualifier: str, opening: re.Match[str] | None) -> When:
    """From the first to the last; faulty where the last is certainly before the first."""
    start = first.start - (len(opening.group()) if opening else 0)
    backwards = first.earliest is not None and last.latest is not None and last.latest < first.earliest
    fault = BACKWARDS.format(first.words, last.words) if backwards and last.given else ""
    high = last.latest if not backwards else first.latest
    return first._replace(
        start=start,
        end=last.end,
        words=text[start : last.end],
        form="span",
        latest=high,
        qualifier=qualifier,
        last=last,
        fault=fault,
    )


def _qualified(when: When, text: str) -> When:
    """Widen a date by the word before it: about 1850, by 1677, before 3 May."""
    if when.form == "span" and when.qualifier:
        return when
    match = _QUALIFIER.search(text[max(0, when.start - _QUALIFIER_REACH) : when.start])
    if not match:
        return when
    name = next(
        group for group in ("about", "say", "perhaps", "by", "before", "to", "after", "from") if match.group(group)
    )
    start = when.start - (len(match.string) - match.start("words"))
    low, high = when.earliest, when.latest
    if low is not None and high is not None:
        low, high = _widened(low, high, name, 366 if when.form == "day" or when.month else 366 * ABOUT_YEARS)
    return when._replace(start=start, words=text[start : when.end], qualifier=name, earliest=low, latest=high)


def _widened(low: int, high: int, qualifier: str, give: int) -> tuple[int | None, int | None]:
    """The first and the last day that a date can mean after such a word; ``give`` are the days of 'about'."""
    if qualifier in ("from", "to"):
        return low, high
    if qualifier in ("before", "by"):
        return None, high
    return (low, None) if qualifier == "after" else (low - give, high + give)


def _edtf_plain(when: When) -> str:
    """The date itself, in the proleptic Gregorian calendar that ISO 8601 prescribes."""
    if when.form == "day" and when.year and when.month and when.day:
        number = day_number(when.year, when.month, when.day, when.calendar or GREGORIAN)
        return "{:04d}-{:02d}-{:02d}".format(*date_of(number))
    year = f"{when.year:04d}"
    if when.form in ("decade", "century"):
        return year[:3] + "X" if when.form == "decade" else f"{(when.year or 0) // 100:02d}XX"
    return f"{year}-{when.month:02d}" if when.month else year


def to_edtf(when: When) -> str:
    """The date after ISO 8601-2:2019 / EDTF (Library of Congress, 2019); empty for a faulty date."""
    if when.fault or when.year is None:
        return ""
    first = _edtf_plain(when if when.last is None else when._replace(form=_form_of(when), last=None))
    if when.last is not None:
        last = _edtf_plain(when.last)
        return f"[{first}..{last}]" if when.qualifier == "between" else f"{first}/{last}"
    shapes = {
        "about": "{}~",
        "say": "{}%",
        "perhaps": "{}?",
        "before": "[..{}]",
        "by": "[..{}]",
        "after": "[{}..]",
        "from": "{}/..",
        "to": "/{}",
    }
    return shapes.get(when.qualifier, "{}").format(first)


def _form_of(span: When) -> str:
    return "day" if span.day else "month" if span.month else "year"


def _gedcom_plain(when: When) -> str:
    parts = [MONTHS[when.month - 1][:3].upper() if when.month and when.month <= 12 else "", str(when.year)]
    if when.form == "day" and when.day:
        parts.insert(0, ("JULIAN " if when.calendar == JULIAN else "") + str(when.day))
    return " ".join(part for part in parts if part)


def to_gedcom(when: When) -> str:
    """The date after the FamilySearch GEDCOM 7.0 grammar of dates; empty for a faulty date.

    In 7.0 BEF and AFT include their date. A decade and a century become BET ... AND ...
    """
    if when.fault or when.year is None:
        return ""
    if when.form in ("decade", "century"):
        return f"BET {when.year} AND {when.year + (9 if when.form == 'decade' else 99)}"
    first = _gedcom_plain(when if when.last is None else when._replace(form=_form_of(when)))
    if when.last is not None:
        last = _gedcom_plain(when.last)
        return f"BET {first} AND {last}" if when.qualifier == "between" else f"FROM {first} TO {last}"
    words = {
        "about": "ABT",
        "say": "EST",
        "perhaps": "EST",
        "before": "BEF",
        "by": "BEF",
        "after": "AFT",
        "from": "FROM",
        "to": "TO",
    }
    return f"{words[when.qualifier]} {first}" if when.qualifier else first
