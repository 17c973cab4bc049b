"""The two calendars of Western records, the day each country changed from one to the other, and the church's feasts.

Days are counted as Julian Day Numbers (day 0 is 1 January 4713 BC of the Julian calendar; 1 January 2000 is
2,451,545). Arithmetic: E. G. Richards in *Explanatory Supplement to the Astronomical Almanac*, 3rd ed. (2013),
§15.11, and Easter: J. Meeus, *Astronomical Algorithms*, 2nd ed., ch. 8; both from memory, and checked in
``tests/outside/test_calendars.py`` against published libraries.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

JULIAN, GREGORIAN = "julian", "gregorian"
Day = tuple[int, int, int]  # year, month, day


def day_number(year: int, month: int, day: int, calendar: str = GREGORIAN) -> int:
    """The Julian Day Number of a date; both calendars are carried back and forth without limit."""
    shift = (14 - month) // 12
    years = year + 4800 - shift
    days = day + (153 * (month + 12 * shift - 3) + 2) // 5 + 365 * years + years // 4
    return days - 32083 if calendar == JULIAN else days - years // 100 + years // 400 - 32045


def date_of(number: int, calendar: str = GREGORIAN) -> Day:
    """Year, month and day of a Julian Day Number."""
    centuries, rest = 0, number + 32082
    if calendar == GREGORIAN:
        centuries = (4 * (number + 32044) + 3) // 146097
        rest = number + 32044 - 146097 * centuries // 4
    years = (4 * rest + 3) // 1461
    days = rest - 1461 * years // 4
    month = (5 * days + 2) // 153
    return (
        100 * centuries + years - 4800 + month // 10,
        month + 3 - 12 * (month // 10),
        days - (153 * month + 2) // 5 + 1,
    )


def is_leap(year: int, calendar: str = GREGORIAN) -> bool:
    """Whether the year has a 29 February."""
    return year % 4 == 0 and (calendar == JULIAN or year % 100 != 0 or year % 400 == 0)


def days_in(year: int, month: int, calendar: str = GREGORIAN) -> int:
    """The number of days of a month."""
    return 29 if month == 2 and is_leap(year, calendar) else (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[month - 1]


def weekday_of(number: int) -> int:
    """0 for Monday to 6 for Sunday."""
    return number % 7


def years_after(number: int, years: int) -> int:
    """The same day of the Gregorian calendar that many years on; 28 February for a 29th where there is none."""
    year, month, day = date_of(number)
    return day_number(year + years, month, min(day, days_in(year + years, month)))


def age_on(birth: int, then: int) -> int:
    """Whole years from one day number to another."""
    (year, *born), (now, *today) = date_of(birth), date_of(then)
    return now - year - (today < born)


def easter(year: int, calendar: str = GREGORIAN) -> int:
    """The day number of Easter Sunday as the Western church (Gregorian) or the Eastern (Julian) keeps it."""
    if calendar == JULIAN:
        moon = (19 * (year % 19) + 15) % 30
        sunday = (2 * (year % 4) + 4 * (year % 7) - moon + 34) % 7
        month, day = divmod(moon + sunday + 114, 31)
        return day_number(year, month, day + 1, JULIAN)
    golden, century, rest = year % 19, year // 100, year % 100
    moon = (19 * golden + century - century // 4 - (century - (century + 8) // 25 + 1) // 3 + 15) % 30
    sunday = (32 + 2 * (century % 4) + 2 * (rest // 4) - moon - rest % 4) % 7
    late = (golden + 11 * moon + 22 * sunday) // 451
    month, day = divmod(moon + sunday - 7 * late + 114, 31)
    return day_number(year, month, day + 1)


# Fixed feasts as (month, day), movable ones as days after Easter: the calendar of the Book of Common Prayer and the
# quarter days of English law; the civil ones are common practice, no source.
FEASTS: dict[str, tuple[int, int] | int] = {
    "new year's day": (1, 1), "new year's eve": (12, 31), "epiphany": (1, 6), "twelfth night": (1, 6),
    "candlemas": (2, 2), "st valentine's day": (2, 14), "st david's day": (3, 1), "st patrick's day": (3, 17),
    "lady day": (3, 25), "st george's day": (4, 23), "may day": (5, 1), "midsummer day": (6, 24), "midsummer": (6, 24),
    "st john's day": (6, 24), "independence day": (7, 4), "bastille day": (7, 14), "lammas": (8, 1),
    "assumption": (8, 15), "michaelmas": (9, 29), "halloween": (10, 31), "all saints' day": (11, 1),
    "all souls' day": (11, 2), "martinmas": (11, 11), "armistice day": (11, 11), "st andrew's day": (11, 30),
    "christmas eve": (12, 24),
    "christmas day": (12, 25), "christmas": (12, 25), "boxing day": (12, 26), "st stephen's day": (12, 26),
    "ash wednesday": -46, "shrove tuesday": -47, "palm sunday": -7, "good friday": -2, "easter eve": -1,
    "easter sunday": 0, "easter day": 0, "easter monday": 1, "easter": 0, "ascension day": 39, "whit sunday": 49,
    "whitsunday": 49, "whitsun": 49, "whitsuntide": 49, "pentecost": 49, "whit monday": 50, "trinity sunday": 56,
    "corpus christi": 60,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Switch:
    """When a country left the Julian calendar: the last Julian and the first Gregorian day.

    ``lady_day`` is True where the year began on 25 March until then, so that a date from 1 January to 24 March can
    belong to either of two years.
    """

    name: str
    last: Day
    first: Day
    lady_day: bool = False

    def calendar(self, day: Day) -> str:
        """The calendar in force on that date; empty for a day that was dropped."""
        if day <= self.last:
            return JULIAN
        return GREGORIAN if day >= self.first else ""


# Britain: Calendar (New Style) Act 1750, 24 Geo. II c. 23. The others: lists of the change of calendar agree on them
# but for Greece (here 1923; some say 1924), Romania and Serbia; *Explanatory Supplement*, §15.3, from memory, and
# compared with the table of FreeBSD's ncal in ``tests/outside/test_calendars.py``.
BRITAIN = Switch("Britain and its colonies", (1752, 9, 2), (1752, 9, 14), True)
COUNTRIES = (
    (Switch("Spain, Portugal, Italy and Poland", (1582, 10, 4), (1582, 10, 15)),
     "Spain Spanish Portugal Portuguese Lisbon Italy Italian Rome Venice Naples Sicily Poland Polish Mexico Peru"),
    (Switch("France", (1582, 12, 9), (1582, 12, 20)),
     "France French Paris Normandy Brittany Provence Québec Quebec Acadia Acadian Louisiana"),
    (Switch("the Southern Netherlands and Holland", (1582, 12, 14), (1582, 12, 25)),
     "Flanders Brabant Antwerp Holland Zeeland Amsterdam Leiden Rotterdam"),
    (Switch("the Catholic German lands", (1584, 1, 6), (1584, 1, 17)),
     "Bavaria Bavarian Austria Austrian Vienna Bohemia Bohemian Moravia Tyrol Mainz Cologne Trier"),
    (Switch("the Protestant German lands, Denmark and Norway", (1700, 2, 18), (1700, 3, 1)),
     "Denmark Danish Norway Norwegian Saxony Hesse Hessian Württemberg Palatinate Palatine Brandenburg "
     "Hanover"),
    (Switch("Iceland", (1700, 11, 16), (1700, 11, 28)), "Iceland Icelandic"),
    (Switch("Protestant Switzerland and the northern Netherlands", (1700, 12, 31), (1701, 1, 12)),
     "Switzerland Swiss Zurich Zürich Bern Basel Utrecht Friesland Groningen Gelderland"),
    (Switch("Sweden and Finland", (1753, 2, 17), (1753, 3, 1)), "Sweden Swedish Finland Finnish Stockholm"),
    (Switch("Bulgaria", (1916, 3, 31), (1916, 4, 14)), "Bulgaria Bulgarian Sofia"),
    (Switch("Russia", (1918, 1, 31), (1918, 2, 14)),
     "Russia Russian Moscow Petersburg Ukraine Ukrainian Kiev Odessa Odesa Minsk Vilna Lithuania Lithuanian Bessarabia "
     "Riga Latvia Latvian Estonia Estonian Volhynia Crimea"),
    (Switch("Romania and Serbia", (1919, 3, 31), (1919, 4, 14)), "Romania Romanian Serbia Serbian Belgrade Bucharest"),
    (Switch("Greece", (1923, 2, 15), (1923, 3, 1)), "Greece Greek Greeks Athens Piraeus Smyrna Aegean"),
)  # fmt: skip


SOUTH = frozenset(
    """Australia Australian Queensland Victoria Tasmania Sydney Melbourne Adelaide Brisbane Otago Dunedin Auckland
    Wellington Canterbury Zealand Argentina Patagonia Chubut Chile Brazil Uruguay Transvaal Natal Johannesburg Falkland
    Capetown""".split()
)


@dataclass(frozen=True, slots=True)
class Where:
    """What the countries a passage names mean for its dates: their changes of calendar, and whether its seasons may be
    those of the southern half of the world."""

    switches: frozenset[Switch] = frozenset()
    southern: bool = False

    def calendars(self, day: Day) -> list[str]:
        """The calendars in which a date can be counted there, Britain's first; none for a day dropped everywhere."""
        found = [BRITAIN.calendar(day), *sorted(switch.calendar(day) for switch in self.switches)]
        return [calendar for calendar in dict.fromkeys(found) if calendar]

    def __or__(self, other: Where) -> Where:
        return Where(self.switches | other.switches, self.southern or other.southern)


ANYWHERE = Where()


@cache
def _words() -> dict[str, Switch]:
    return {word: switch for switch, words in COUNTRIES for word in words.split()}


def where(text: str) -> Where:
    """The countries a text names."""
    table, words = _words(), set(re.findall(r"\b[A-Z]\w+", text))
    return Where(frozenset(table[word] for word in table.keys() & words), not words.isdisjoint(SOUTH))


def late(place: Where) -> Where:
    """Only those countries that kept the old calendar into the twentieth century."""
    return Where(frozenset(switch for switch in place.switches if switch.first[0] > 1900), place.southern)
