"""The years of a life that the draft doesn't tell."""

from __future__ import annotations

from functools import partial

from hypothesis import given
from hypothesis import strategies as st

from storylint.study.frame import LONGEST, first_of
from tests.effort import calls


@given(st.lists(st.integers(1500, 2000), min_size=1))
def test_a_life_of_unknown_birth_begins_where_most_dates_follow(told: list[int]) -> None:
    def dates(first: int) -> int:
        return sum(first <= year <= first + LONGEST for year in told)

    found = first_of(told, None)
    assert dates(found) == max(map(dates, told))
    assert found == min(year for year in told if dates(year) == dates(found))


def test_the_work_grows_with_the_dates() -> None:
    few, many = (calls(partial(first_of, [1800 + at % 100 for at in range(count)], None)) for count in (100, 400))
    assert many < 5 * few
