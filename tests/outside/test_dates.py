"""Dates in prose against two standards, each through a library that knows it: ISO 8601-2:2019 / EDTF (edtf, after the Library
of Congress's specification of 2019) and GEDCOM (gedcom7 for 7.0, ged4py for 5.5.1)."""

from __future__ import annotations

import pytest

from storylint.study.calendars import GREGORIAN, JULIAN, Where, date_of, day_number, where
from storylint.study.dates import When, find, to_edtf, to_gedcom

edtf = pytest.importorskip("edtf")
grammar = pytest.importorskip("gedcom7.grammar")
ged4py_date = pytest.importorskip("ged4py.date")

# prose, EDTF, GEDCOM 7.0. The first eleven pairs follow the correspondence of qualifiers in H. Hatcher, "Estimating Dates and
# Ages in Genealogical Writing" (2010), the FamilySearch GEDCOM 7.0 data types and the EDTF specification.
PAIRS = [
    ("3 April 1788", "1788-04-03", "3 APR 1788"),
    ("April 1788", "1788-04", "APR 1788"),
    ("about 1850", "1850~", "ABT 1850"),
    ("perhaps 1850", "1850?", "EST 1850"),
    ("say 1677", "1677%", "EST 1677"),
    ("before 1850", "[..1850]", "BEF 1850"),
    ("after 1850", "[1850..]", "AFT 1850"),
    ("between 1850 and 1855", "[1850..1855]", "BET 1850 AND 1855"),
    ("from 1850 to 1855", "1850/1855", "FROM 1850 TO 1855"),
    ("until 1855", "/1855", "TO 1855"),
    ("the 1850s", "185X", "BET 1850 AND 1859"),
    ("11 Feb 1731/2", "1732-02-22", "JULIAN 11 FEB 1732"),
    ("11 February 1731/32", "1732-02-22", "JULIAN 11 FEB 1732"),
    ("January 17, 1706-7", "1707-01-28", "JULIAN 17 JAN 1707"),
    ("March 3, 1842", "1842-03-03", "3 MAR 1842"),
    ("3d of March 1842", "1842-03-03", "3 MAR 1842"),
    ("the fourth of May 1788", "1788-05-04", "4 MAY 1788"),
    ("Friday, 3 June 1870", "1870-06-03", "3 JUN 1870"),
    ("9 7ber 1800", "1800-09-09", "9 SEP 1800"),
    ("9 Xber 1800", "1800-12-09", "9 DEC 1800"),
    ("17th da 4th mo 1723", "1723-06-28", "JULIAN 17 JUN 1723"),
    ("4mo 17da 1723", "1723-06-28", "JULIAN 17 JUN 1723"),
    ("the 12th day of the third month, 1790", "1790-03-12", "12 MAR 1790"),
    ("Third Month 12th, 1790", "1790-03-12", "12 MAR 1790"),
    ("5th of 12th mo. 1771", "1771-12-05", "5 DEC 1771"),
    ("12 iv 1690", "1690-06-22", "JULIAN 12 JUN 1690"),
    ("10 i 1760", "1760-01-10", "10 JAN 1760"),
    ("New Year's Day 1849", "1849-01-01", "1 JAN 1849"),
    ("the Christmas of 1931", "1931-12-25", "25 DEC 1931"),
    ("Easter Monday 1850", "1850-04-01", "1 APR 1850"),
    ("Michaelmas 1820", "1820-09-29", "29 SEP 1820"),
    ("the spring of 1842", "1842-21", "1842"),
    ("the first week of May 1862", "1862-05", "MAY 1862"),
    ("1920–2003", "1920/2003", "FROM 1920 TO 2003"),
    ("1850-55", "1850/1855", "FROM 1850 TO 1855"),
    ("12 March 1871–14 May 1872", "1871-03-12/1872-05-14", "FROM 12 MAR 1871 TO 14 MAY 1872"),
    ("12 March 1871 – 14th of May 1872", "1871-03-12/1872-05-14", "FROM 12 MAR 1871 TO 14 MAY 1872"),
    ("March 12, 1871–May 14, 1872", "1871-03-12/1872-05-14", "FROM 12 MAR 1871 TO 14 MAY 1872"),
    ("5 May 1915-7 June 1917", "1915-05-05/1917-06-07", "FROM 5 MAY 1915 TO 7 JUN 1917"),
    ("3 May–4 June 1871", "1871-05-03/1871-06-04", "FROM 3 MAY 1871 TO 4 JUN 1871"),
    ("1871–May 1872", "1871/1872-05", "FROM 1871 TO MAY 1872"),
    ("since 1918", "1918/..", "FROM 1918"),
    ("by 3 May 1850", "[..1850-05-03]", "BEF 3 MAY 1850"),
    ("from May to July 1862", "1862-05/1862-07", "FROM MAY 1862 TO JUL 1862"),
    ("3 or 4 May 1850", "[1850-05-03..1850-05-04]", "BET 3 MAY 1850 AND 4 MAY 1850"),
    ("the eighteenth century", "17XX", "BET 1700 AND 1799"),
    ("8 November 1858, old style", "1858-11-20", "JULIAN 8 NOV 1858"),
    ("14 September 1752", "1752-09-14", "14 SEP 1752"),
    ("2 Sept. 1752", "1752-09-13", "JULIAN 2 SEP 1752"),
]


def only(text: str, place: Where | None = None) -> When:
    """The one date of a text."""
    found = find(text, where=place) if place else find(text)
    assert len(found) == 1, found
    return found[0]


@pytest.mark.parametrize(("prose", "iso", "gedcom"), PAIRS)
def test_both_standards(prose: str, iso: str, gedcom: str) -> None:
    when = only(prose)
    assert to_edtf(when) == iso
    assert to_gedcom(when) == gedcom


@pytest.mark.parametrize("prose", [prose for prose, _, _ in PAIRS])
def test_the_libraries_take_what_is_written(prose: str) -> None:
    """EDTF parses it, and the GEDCOM 7.0 grammar of date values matches it whole."""
    import re

    when = only(prose)
    edtf.parse_edtf(to_edtf(when))
    assert re.fullmatch(grammar.datevalue, to_gedcom(when))


@pytest.mark.parametrize(("prose", "iso"), [(prose, iso) for prose, iso, _ in PAIRS])
def test_the_range_is_the_library_s(prose: str, iso: str) -> None:
    """Where EDTF gives both ends, ours are no narrower; for a certain date they are the same."""
    when, other = only(prose), edtf.parse_edtf(iso)
    low, high = bound(other, "lower_strict"), bound(other, "upper_strict")
    give = 13 if when.calendar == JULIAN and when.form != "day" else 0  # the library counts in our calendar only
    if when.form == "part":
        return  # EDTF has no weeks: it says less than we do
    if when.earliest is not None and low is not None and not iso.startswith("/"):
        assert when.earliest <= low + give
    if when.latest is not None and high is not None:
        assert when.latest >= high - give
    if when.exact:
        assert when.earliest == low == high


def bound(value: object, name: str) -> int | None:
    """A day number of the library's bound; None where it is open."""
    day = getattr(value, name)()
    return day_number(day.tm_year, day.tm_mon, day.tm_mday) if hasattr(day, "tm_year") else None


def test_double_dates_as_gedcom_5_5_1_has_them() -> None:
    """ged4py reads '11 FEB 1731/32' as the later year, as we do."""
    year = ged4py_date.DateValue.parse("11 FEB 1731/32").date
    assert (year.year, year.dual_year) == (1731, 1732)
    when = only("11 Feb 1731/2")
    assert (when.year, when.double, when.calendar) == (1732, True, JULIAN)


@pytest.mark.parametrize(
    ("prose", "why"),
    [
        ("31 April 1850", "30 days"),
        ("29 February 1886", "no leap year"),
        ("31 September", "30 days"),
        ("30 February", "29 days"),
        ("5 September 1752", "followed by the 14th"),
        ("12 August 1731/2", "1 January to 24 March"),
        ("3 February 1718/20", "follow each other"),
        ("11 Feb 1775/6", "from 1752"),
        ("Sunday 14 March 1933", "was a Tuesday"),
        ("from 1938 to 1931", "backwards"),
        ("between 1860 and 1854", "backwards"),
        ("1887-1878", "backwards"),
    ],
)
def test_what_is_no_date_is_kept_with_its_reason(prose: str, why: str) -> None:
    when = only(prose)
    assert why in when.fault
    assert to_edtf(when) == to_gedcom(when) == ""


@pytest.mark.parametrize(
    "text",
    [
        "No. 1842", "1,842 men", "1500 acres", "HO 107/1842", "2916 Pelican Drive", "p. 1723", "$1850", "in the reign",
        "the 28th Regiment", "the Eastern States", "Easter Rising", "he may march", "lot 1912", "T625", "the 15th of Charles I",
    ],
)  # fmt: skip
def test_what_only_looks_like_a_date(text: str) -> None:
    assert find(text) == []


def days(text: str) -> list[tuple[tuple[int, int, int], tuple[int, int, int]]]:
    """First and last day of each date of a text."""
    return [
        (date_of(when.earliest, when.calendar or GREGORIAN), date_of(when.latest, when.calendar or GREGORIAN))
        for when in find(text)
        if when.earliest is not None and when.latest is not None
    ]


@pytest.mark.parametrize(
    ("text", "last"),
    [
        ("lost on 21 June 1913 and buried on the 23rd", ((1913, 6, 23), (1913, 6, 23))),
        ("born on 30 June 1913 and baptised on the 2nd", ((1913, 7, 2), (1913, 7, 2))),
        ("signed on 3 May 1951; she died on 5 May", ((1951, 5, 5), (1951, 5, 5))),
        ("on 3 May 1850 and died the next day", ((1850, 5, 4), (1850, 5, 4))),
        ("in 1842, and the following year", ((1843, 1, 1), (1843, 12, 31))),
        ("in 1842; in the same year", ((1842, 1, 1), (1842, 12, 31))),
        ("in November 1860, in February following", ((1861, 2, 1), (1861, 2, 28))),
        ("in 1673 and '76", ((1676, 1, 1), (1677, 3, 24))),  # the year ran to 24 March
    ],
)
def test_dates_that_lean_on_the_one_before(text: str, last: object) -> None:
    assert days(text)[-1] == last


def test_about_a_year_is_five_years_either_way() -> None:
    """The tolerance that this tool proposes; a day or month is out by one year at most."""
    assert [day[0] for day in days("about 1850")[0]] == [1844, 1856]  # counted in days, a leap day more for each year
    assert [day[0] for day in days("about 3 May 1850")[0]] == [1849, 1851]


def test_double_dates_end_on_lady_day() -> None:
    """24 Geo. II c. 23: until 1751 the legal year began on 25 March. The 25th itself, which clerks wrote so too, is let
    pass."""
    assert [only(f"{day} March 1731/2").fault != "" for day in (24, 25, 26)] == [False, False, True]


def test_a_plain_date_before_lady_day_can_be_of_two_years() -> None:
    """Until 1751 the English year began on 25 March (24 Geo. II c. 23)."""
    assert days("20 February 1690") == [((1690, 2, 20), (1691, 2, 20))]
    assert days("20 February 1689/90") == [((1690, 2, 20), (1690, 2, 20))]
    assert days("25 March 1690") == [((1690, 3, 25), (1690, 3, 25))]


def test_a_numeric_date_is_read_both_ways() -> None:
    assert days("3/4/1850") == [((1850, 3, 4), (1850, 4, 3))]
    assert days("23/4/1850") == [((1850, 4, 23), (1850, 4, 23))]


def test_southern_seasons_are_left_wide() -> None:
    north, south = only("the spring of 1862"), only("the spring of 1862", where("Dunedin, Otago"))
    assert (north.latest or 0) < day_number(1862, 9, 1) <= (south.latest or 0)


def test_offsets_are_those_of_the_text() -> None:
    text = "He was born about 1850 at Gerlan and married, on Friday, 3 June 1870, Ann Lee (d. May 1901)."
    for when in find(text):
        assert text[when.start : when.end] == when.words
    assert [when.words for when in find(text)] == ["about 1850", "Friday, 3 June 1870", "May 1901"]


def test_a_new_sentence_may_go_back() -> None:
    """'He died on 4 July 1886. He had made his will on the 1st': of that month or of the next."""
    (before,) = find("He died on 4 July 1886.")
    (when,) = find("He had made his will on the 1st.", before)
    assert (when.earliest, when.latest) == (day_number(1886, 7, 1), day_number(1886, 8, 1))
