"""Names that are one name, and persons who are one person."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.revisions import match
from storylint.revisions.match import SAME_NAME, Trace, name_likeness, pair
from storylint.revisions.passages import words_of


def trace(name: str, *prints: str, number: str | None = None, path: str = "book.md") -> Trace:
    return Trace(" ".join(words_of(name)), words_of(name), number, path, frozenset(prints))


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Owen Gethin", "OWEN² GETHIN", True),
        ("Owen Gethin", "Owen Robert Gethin", True),
        ("Katherine Lloyd", "Catherine Lloyd", True),
        ("Wm Gethin", "William Gethin", True),
        ("Siân Llŷr", "Sian Llyr", True),
        ("Ŵyn Gethin", "Wyn Gethin", True),
        ("Owen Gethin", "Ellis Gethin", False),
        ("Siân Gethin", "Sioned Gethin", False),
        ("Ann Gethin", "Ann Lloyd", False),
        ("Jane Gethin", "John Gethin", False),
    ],
)
def test_a_name_written_otherwise_is_the_same_name(one: str, other: str, same: bool) -> None:
    assert (name_likeness(trace(one), trace(other)) >= SAME_NAME) is same


def test_a_married_name_needs_a_sentence_or_the_number_in_common() -> None:
    assert pair([trace("Ann Gethin")], [trace("Ann Lloyd")]) == {}
    assert pair([trace("Ann Gethin", number="4")], [trace("Ann Lloyd", number="4")]) == {0: 0}
    assert pair([trace("Ann Gethin", *"abc")], [trace("Ann Lloyd", *"cde")]) == {0: 0}


def test_the_surest_pair_goes_first() -> None:
    """Ann's ten sentences were put into Owen's section: Owen is still Owen."""
    owen, ann = [f"owen {n}" for n in range(30)], [f"ann {n}" for n in range(10)]
    old = [trace("Ann Gethin", *ann), trace("Owen Gethin", *owen)]
    assert pair(old, [trace("Owen Gethin", *owen, *ann)]) == {0: 1}


def test_what_everybody_has_tells_nothing() -> None:
    common = ["the family sailed", "no more is known"]
    old = [trace(f"{name} Gethin", *common) for name in ("Ann", "Ben", "Cai", "Dai", "Eli")]
    new = [trace(f"{name} Gethin", *common) for name in ("Fay", "Guy", "Huw", "Ivo", "Jac")]
    assert pair(old, new) == {}


@settings(max_examples=60, deadline=None)
@given(st.permutations(range(8)), st.lists(st.integers(0, 99), min_size=8, max_size=8))
def test_order_and_numbers_decide_nothing_where_names_do(order: list[int], numbers: list[int]) -> None:
    names = [f"{name} Gethin" for name in ("Ann", "Ben", "Cai", "Dai", "Eli", "Fay", "Guy", "Huw")]
    old = [trace(name, number=str(at)) for at, name in enumerate(names)]
    new = [trace(names[at], number=str(numbers[at])) for at in order]
    assert pair(old, new) == dict(enumerate(order))


def test_the_pairs_looked_at_grow_with_the_book_and_not_with_its_square(monkeypatch: pytest.MonkeyPatch) -> None:
    looked = 0

    def counted(*given: object) -> match.Likeness:
        nonlocal looked
        looked += 1
        return likeness(*given)  # type: ignore[arg-type]

    likeness = match.likeness
    monkeypatch.setattr(match, "likeness", counted)
    for size in (100, 2000):
        looked = 0
        book = [trace(f"{chr(65 + n % 26)}wen Gethin", *(f"{n} {m}" for m in range(20))) for n in range(size)]
        assert pair(book, book[::-1]) == {size - 1 - n: n for n in range(size)}
        assert looked <= 5 * size
