"""The calendar arithmetic against published libraries and published dates.

convertdate (P. Meeus's and others' algorithms), juliandate and dateutil's Easter are not used by the program itself.
"""

from __future__ import annotations

import datetime

import pytest

from storylint.study.calendars import (
    BRITAIN,
    COUNTRIES,
    FEASTS,
    GREGORIAN,
    JULIAN,
    Switch,
    age_on,
    date_of,
    day_number,
    days_in,
    easter,
    weekday_of,
    where,
    years_after,
)
from storylint.study.dates import find

convertdate = pytest.importorskip("convertdate")
juliandate = pytest.importorskip("juliandate")
dateutil_easter = pytest.importorskip("dateutil.easter")

DAYS = [
    (year, month, day) for year in range(1500, 2101, 7) for month, day in ((1, 1), (2, 28), (3, 1), (9, 13), (12, 31))
]


@pytest.mark.parametrize("calendar", [JULIAN, GREGORIAN])
def test_day_numbers_are_those_of_two_libraries(calendar: str) -> None:
    """A library counts from noon: our number is half a day more than its value at midnight."""
    other = convertdate.julian if calendar == JULIAN else convertdate.gregorian
    third = juliandate.from_julian if calendar == JULIAN else juliandate.from_gregorian
    for day in DAYS:
        number = day_number(*day, calendar)
        assert number == other.to_jd(*day) + 0.5 == third(*day) + 0.5
        assert date_of(number, calendar) == day
        assert date_of(number, GREGORIAN) == convertdate.gregorian.from_jd(number)


def test_months_and_weekdays_are_the_standard_library_s() -> None:
    for day in DAYS:
        assert weekday_of(day_number(*day)) == datetime.date(*day).weekday()
        end = datetime.date(day[0] + day[1] // 12, day[1] % 12 + 1, 1) - datetime.timedelta(1)
        assert days_in(day[0], day[1]) == end.day


def test_easter_is_that_of_another_library() -> None:
    for year in range(1583, 2100):
        day = dateutil_easter.easter(year, dateutil_easter.EASTER_WESTERN)
        assert date_of(easter(year)) == (day.year, day.month, day.day)
    for year in range(1326, 2100):
        day = dateutil_easter.easter(year, dateutil_easter.EASTER_JULIAN)
        assert date_of(easter(year, JULIAN), JULIAN) == (day.year, day.month, day.day)


@pytest.mark.parametrize(
    ("julian", "gregorian"),
    [
        ((1732, 2, 11), (1732, 2, 22)),  # George Washington's birthday; Library of Congress
        ((1752, 9, 2), (1752, 9, 13)),  # the last Julian day in Britain; 24 Geo. II c. 23
        ((1918, 1, 31), (1918, 2, 13)),  # the last Julian day in Russia; decree of 26 January 1918
        ((1700, 2, 28), (1700, 3, 10)),
        ((1700, 2, 29), (1700, 3, 11)),  # from here eleven days apart
        ((1900, 2, 29), (1900, 3, 13)),  # and from here thirteen
    ],
)
def test_known_pairs(julian: tuple[int, int, int], gregorian: tuple[int, int, int]) -> None:
    assert day_number(*julian, JULIAN) == day_number(*gregorian)


def test_weekday_goes_on_over_the_dropped_days() -> None:
    """2 September 1752 was a Wednesday and the 14th a Thursday (24 Geo. II c. 23 left the week alone)."""
    last, first = day_number(1752, 9, 2, JULIAN), day_number(1752, 9, 14)
    assert first == last + 1
    assert (weekday_of(last), weekday_of(first)) == (2, 3)


def test_dropped_days_belong_to_no_calendar() -> None:
    assert BRITAIN.calendar((1752, 9, 2)) == JULIAN
    assert BRITAIN.calendar((1752, 9, 8)) == ""
    assert BRITAIN.calendar((1752, 9, 14)) == GREGORIAN


@pytest.mark.parametrize(
    ("date", "place", "real"),
    [
        ("5 September 1752", "", False),
        ("5 September 1752", "Paris", True),
        ("29 February 1700", "", True),
        ("29 February 1900", "", False),
        ("29 February 1900", "Odessa", True),
        ("29 February 1900, old style", "", True),
        ("29 February 1872", "", True),
        ("29 February 1886", "Athens", False),
        ("31 April 1850", "Moscow", False),
        ("10 February 1918", "", True),
    ],
)
def test_what_is_a_day_depends_on_the_place(date: str, place: str, real: bool) -> None:
    assert (find(date, where=where(place))[0].fault == "") is real


# The last Julian day by country: the table in FreeBSD's ncal (usr.bin/ncal/ncal.c, W. Helbig 1997 and later). Not compared:
# Greece (9 March 1924 there; the civil change was on 15 February 1923), Austria (5 October 1583 there; that was Brixen,
# Salzburg and Tyrol, the rest followed in January 1584), Switzerland, the northern Netherlands, Lithuania, Latvia and
# Yugoslavia, which changed piece by piece.
CHANGES = {
    "Spain": (1582, 10, 4), "Portugal": (1582, 10, 4), "Italy": (1582, 10, 4), "Poland": (1582, 10, 4),
    "France": (1582, 12, 9), "Flanders": (1582, 12, 14), "Holland": (1582, 12, 14), "Bohemia": (1584, 1, 6),
    "Saxony": (1700, 2, 18), "Denmark": (1700, 2, 18), "Norway": (1700, 2, 18), "Iceland": (1700, 11, 16),
    "Sweden": (1753, 2, 17), "Finland": (1753, 2, 17), "Bulgaria": (1916, 3, 31), "Russia": (1918, 1, 31),
    "Romania": (1919, 3, 31),
}  # fmt: skip


@pytest.mark.parametrize(("country", "last"), CHANGES.items())
def test_countries_changed_on_the_day_of_a_published_table(country: str, last: tuple[int, int, int]) -> None:
    (switch,) = where(f"at home in {country}").switches
    assert switch.last == last


@pytest.mark.parametrize("switch", [BRITAIN, *(switch for switch, _ in COUNTRIES)], ids=lambda switch: switch.name)
def test_no_day_of_the_week_was_lost_anywhere(switch: Switch) -> None:
    """The first new day followed the last old one; the days between belong to no calendar there."""
    last, first = day_number(*switch.last, JULIAN), day_number(*switch.first)
    assert first == last + 1
    assert (switch.calendar(switch.last), switch.calendar(switch.first)) == (JULIAN, GREGORIAN)


# The feasts by the Book of Common Prayer's rules ("Tables and Rules for the Movable and Immovable Feasts"): what their names
# say of the weekday, and how many days from Easter Day they are.
MOVABLE = {
    "shrove tuesday": (1, -47), "ash wednesday": (2, -46), "palm sunday": (6, -7), "good friday": (4, -2), "easter day": (6, 0),
    "easter monday": (0, 1), "ascension day": (3, 39), "whit sunday": (6, 49), "pentecost": (6, 49), "whit monday": (0, 50),
    "trinity sunday": (6, 56),
}  # fmt: skip
QUARTER_DAYS = {"lady day": (3, 25), "midsummer day": (6, 24), "michaelmas": (9, 29), "christmas day": (12, 25)}


@pytest.mark.parametrize(("feast", "rule"), MOVABLE.items())
def test_movable_feasts_fall_where_the_prayer_book_puts_them(feast: str, rule: tuple[int, int]) -> None:
    for year in (1753, 1818, 1886, 1943, 2008):
        (when,) = find(f"{feast.title()} {year}")
        day = datetime.date(*date_of(when.earliest or 0))
        assert (day.weekday(), (day - dateutil_easter.easter(year)).days) == rule


def test_quarter_days_of_english_law() -> None:
    assert {feast: FEASTS[feast] for feast in QUARTER_DAYS} == QUARTER_DAYS


def test_ages_and_anniversaries() -> None:
    assert age_on(day_number(1872, 2, 29), day_number(1873, 2, 28)) == 0
    assert age_on(day_number(1872, 2, 29), day_number(1873, 3, 1)) == 1
    assert age_on(day_number(1905, 7, 19), day_number(1968, 7, 18)) == 62
    assert date_of(years_after(day_number(1872, 2, 29), 1)) == (1873, 2, 28)
    assert date_of(years_after(day_number(1872, 2, 29), 4)) == (1876, 2, 29)
