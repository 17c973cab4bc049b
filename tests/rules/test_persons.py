"""The rule ``persons``: numbers, lines of descent and names that do not fit, and what is nobody's fault.

``persons_books`` are fifty short invented books, written without a look at the rule: '== name' opens one, in [[ ]] stands what
does not fit; 25 have one fault each, of five sorts, and 25 are in order. First measured: 20 of the 25 found, two wrong findings. ``persons_books2``,
15 and 15, was written after those had been mended: first measured, 11 of the 15 found, one wrong finding.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from storylint.findings import Finding, Level
from tests.conftest import read_text


def persons(text: str) -> list[Finding]:
    reading = read_text(text, only=["persons"])
    assert reading.crashes == ()
    return [finding for _, finding in reading.every()]


def problems(text: str) -> list[str]:
    return [finding.details["problem"] for finding in persons(text)]


BOOK = """\
# The Prydderchs

## 1. Owen¹ Prydderch

Owen was born in 1801 and split slate. He married Ann Lee in 1824.

Children of Owen Prydderch and Ann Lee:

- \\+ 2 i. Hugh Prydderch, born 1825.
- 3 ii. Jane Prydderch, born 1827.
- \\+ 4 iii. Rhys Prydderch, born 1830.

## 2. Hugh² Prydderch (Owen¹)

Hugh was born in 1825 and sailed in 1846.

Children of Hugh Prydderch:

- \\+ 5 i. Evan Prydderch, born 1850.

## 4. Rhys² Prydderch (Owen¹)

Rhys was born in 1830 and kept the chapel books.

## 5. Evan³ Prydderch (Hugh², Owen¹)

Evan was born in 1850 and mended clocks.
"""


def test_a_book_in_order_is_left_alone() -> None:
    assert persons(BOOK) == []


def test_a_child_carried_forward_to_nowhere() -> None:
    cut = BOOK[: BOOK.index("## 4. Rhys")] + BOOK[BOOK.index("## 5. Evan") :]
    (found,) = persons(cut)
    assert (found.details["problem"], found.level) == ("no entry", Level.WARNING)
    assert found.details["number"] == "4"
    assert found.places[0].quote.startswith("Rhys Prydderch")


def test_a_chapter_by_itself_gets_one_note_for_all_who_are_told_elsewhere() -> None:
    (found,) = persons(BOOK[: BOOK.index("## 4. Rhys")].replace("- \\+ 2 i. Hugh", "- 2 i. Hugh"))
    assert found.level is Level.NOTE
    assert "part of the book" in found.message


def test_a_number_that_heads_two_entries() -> None:
    found = persons(BOOK.replace("## 5. Evan³", "## 4. Evan³").replace("\\+ 5 i.", "\\+ 4 i."))
    assert "number twice" in {f.details["problem"] for f in found if f.level is Level.WARNING}


def test_one_person_with_two_entries() -> None:
    again = BOOK + "\n## 2. Hugh² Prydderch (Owen¹)\n\nHugh came home in 1860.\n"
    (found,) = persons(again)
    assert (found.details["problem"], found.level) == ("two entries", Level.NOTE)
    same_day = "# Ann Lee\n\nAnn was born on 4 May 1801 at Bangor.\n\n# Ann Lee\n\nAnn was born on 4 May 1801 and died in 1880.\n"
    assert problems(same_day) == ["two entries"]


def test_a_number_left_out_is_a_note() -> None:
    (found,) = persons(BOOK.replace("- 3 ii. Jane Prydderch, born 1827.\n", ""))
    assert (found.details["problem"], found.level) == ("numbers left out", Level.NOTE)
    assert found.details["numbers"] == [3]


@pytest.mark.parametrize(
    ("printed", "flagged"),
    [("(Owen¹)", False), ("(Hugh¹)", True), ("(William¹)", True), ("", False)],
)
def test_a_line_of_descent_against_the_parents_list(printed: str, flagged: bool) -> None:
    found = problems(BOOK.replace("## 4. Rhys² Prydderch (Owen¹)", f"## 4. Rhys² Prydderch {printed}".rstrip()))
    assert ("descent" in found) is flagged


def test_a_line_that_runs_through_the_mother_s_husband_is_right() -> None:
    text = BOOK.replace(
        "## 1. Owen¹ Prydderch\n\nOwen was", "## 1. Ann Lee\n\nAnn married Owen Prydderch in 1824. Owen was"
    )
    assert "descent" not in problems(text)


def test_a_grandfather_who_does_not_fit() -> None:
    (found,) = persons(BOOK.replace("(Hugh², Owen¹)", "(Hugh², William¹)"))
    assert found.details["problem"] == "descent"
    assert "William" in found.message
    assert "Owen" in found.message


def test_one_number_under_two_names_and_under_two_spellings() -> None:
    swapped = BOOK.replace("4 iii. Rhys", "4 iii. Lowri")
    assert problems(swapped) == ["two names"]
    assert problems(BOOK.replace("4 iii. Rhys", "4 iii. Rhyss")) == ["spelling"]


def test_a_wife_with_two_surnames() -> None:
    text = BOOK.replace("He married Ann Lee in 1824.", "He married Ann Lee in 1824. He married Ann Humphreys in 1824.")
    assert problems(text) == ["two surnames"]
    assert problems(text.replace("Ann Humphreys", "Catrin Humphreys")) == []


NAMESAKES = """\
# The Prydderchs

## 1. Owen Prydderch

Owen was born in 1801 and split slate.

## 2. Owen Prydderch

Owen was born in 1850 and mended clocks.

## 3. Jane Lee

Jane was born in 1840 at Bangor. {sentence}
"""


@pytest.mark.parametrize(
    ("sentence", "flagged"),
    [
        ("She lent her hymn book to Owen Prydderch.", True),
        ("She lent her hymn book to Owen Prydderch the younger.", False),
        ("She lent her hymn book to Owen Prydderch, who was born in 1850.", False),
        ("She lent her hymn book to nobody.", False),
    ],
)
def test_namesakes_are_told_apart_where_they_are_named(sentence: str, flagged: bool) -> None:
    assert ("namesakes" in problems(NAMESAKES.format(sentence=sentence))) is flagged


def test_a_book_without_numbers_has_no_numbers_to_mend() -> None:
    assert persons("# Owen Prydderch\n\nOwen split slate.\n\n# Jane Lee\n\nJane kept hens.\n") == []


def cases(name: str) -> dict[str, str]:
    """The books of one file by their names."""
    text = (Path(__file__).parent / f"persons_{name}.txt").read_text(encoding="utf-8")
    return {part.split("\n", 1)[0]: part.split("\n", 1)[1] for part in re.split(r"^== ", text, flags=re.M)[1:]}


def letters(text: str) -> str:
    """A text without its number and numeral, digits and points."""
    return re.sub(r"[^A-Za-zÀ-ÿ]+", " ", re.sub(r"^[^A-Z]*(?:\b[ivx]+\. )?", "", text)).strip().lower()


def judged(draft: str) -> tuple[bool, bool, list[str]]:
    """Whether something is wrong with a book, whether it is found, and the messages about anything else."""
    wanted = [letters(part) for part in re.findall(r"\[\[(.*?)\]\]", draft, re.DOTALL)]
    hit, false = False, []
    for finding in persons(re.sub(r"\[\[|\]\]", "", draft)):
        quotes = [letters(place.quote) for place in finding.places]
        right = any(part in quote or quote in part for part in wanted for quote in quotes)
        hit |= right
        false += [] if right else [finding.message]
    return bool(wanted), hit, false


@pytest.mark.parametrize("name", cases("books"))
def test_short_books(name: str) -> None:
    """What does not fit is found, and nothing else is said."""
    wanted, hit, false = judged(cases("books")[name])
    assert (hit, false) == (wanted, [])


def test_unseen_books() -> None:
    """Two are missed: Siencyn who is Jenkin, and a family of a name that the reader of headings takes for a tree."""
    results = [judged(draft) for draft in cases("books2").values()]
    assert [false for *_, false in results if false] == []
    assert sum(hit for _, hit, _ in results) >= 13
    assert sum(wanted for wanted, *_ in results) == 15


def test_brothers_who_have_each_other_s_number() -> None:
    swapped = BOOK.replace("2 i. Hugh", "4 i. Hugh").replace("4 iii. Rhys", "2 iii. Rhys")
    (found,) = persons(swapped)
    assert (found.details["problem"], found.level, len(found.places)) == ("numbers exchanged", Level.NOTE, 4)


def test_two_weddings_told_are_two_wives() -> None:
    text = BOOK.replace(
        "He married Ann Lee in 1824.", "He married Ann Lee in 1824, who died in 1830, and then Ann Humphreys."
    )
    assert persons(text) == []
