"""Sentences, tags, marks that cover, patterns."""

from __future__ import annotations

import pytest

from storylint.draft import markdown
from storylint.draft.sections import split as sections_of
from storylint.study import patterns
from storylint.study.sentences import split
from storylint.study.study import Book, study
from storylint.study.words import TOLD


def book(text: str) -> Book:
    """A Markdown draft, studied."""
    return study(sections_of(markdown.read("x.md", text.encode(), "")))


def parts(text: str) -> list[str]:
    """The sentences of a text."""
    return [text[start:end] for start, end in split(text)]


def test_abbreviations_of_the_trade_end_no_sentence() -> None:
    assert len(parts("Lieut. Ed. F. Gethin was b. 9 September. 1850 at Gerlan.")) == 1
    text = "He was b. 3 Mar. 1842 at St. Just. Mrs. A. B. Ward kept No. 4 there. He d. in 1870."
    assert parts(text) == ["He was b. 3 Mar. 1842 at St. Just.", "Mrs. A. B. Ward kept No. 4 there.", "He d. in 1870."]


def test_a_quotation_goes_on_after_its_closing_mark() -> None:
    text = '"I have two hammers," he wrote, "and one hand." She sold one.'
    assert parts(text) == ['"I have two hammers," he wrote, "and one hand."', "She sold one."]


def told(sentence: str) -> list[str]:
    """The told words of a sentence in a draft."""
    found = book(f"# Owen Prydderch\n\n{sentence}\n").sentences[-1]
    return [word for word, tag in zip(found.tokens, found.tags, strict=True) if tag == TOLD]


@pytest.mark.parametrize(
    "place",
    [
        "Savanna-la-Mar",
        "Aix-en-Provence",
        "Betws-y-Coed",
        "Saint-Jean-sur-Richelieu",
        "Berwick-upon-Tweed",
        "Weston-super-Mare",
    ],
)
def test_the_small_words_of_a_hyphenated_place_belong_to_the_place(place: str) -> None:
    assert told(f"He was buried on 6 May 1880 in {place}.") == []


def test_the_small_words_between_other_hyphens_are_told() -> None:
    assert "ramshackle" in told("He died in Bethesda - a ramshackle - house in 1880.")
    assert "hand" in told("He was a left-hand splitter of Bethesda.")


DRAFT = (
    "# Owen Prydderch\n\nOwen split slate at Penrhyn. He lost a thumb.[^1] He never spoke of it.\n\n"
    "He was buried at Glanogwen. The hill was white.[^2]\n\n[^1]: A.\n\n[^2]: B.\n"
)


def test_the_mark_on_the_last_sentence_covers_its_paragraph_and_a_mark_inside_its_own_sentence_only() -> None:
    covered = [sentence.covered for sentence in book(DRAFT).sentences]
    assert covered == [False, True, False, True, True]


def test_what_is_left_of_a_bare_sentence_is_nothing_told() -> None:
    text = "# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1841 at Bethesda as the son of Hugh Prydderch, quarryman.\n"
    (sentence,) = book(text).sentences
    assert "x" not in sentence.tags


def test_a_pattern_is_what_is_left_without_names_and_dates() -> None:
    text = "# Ann Lunn\n\nAnn Lunn was interred at Thorney in 1841. Peter Lunn was interred at Eye in 1850.\n"
    studied = book(text).sentences
    first, second = (patterns.skeleton(sentence) for sentence in studied)
    assert first == second == ("NAME", "was", "interred", "at", "NAME", "in", "DATE")


def test_the_line_above_a_list_of_children_belongs_to_the_list() -> None:
    text = (
        "# 1. Owen Prydderch\n\nHe split slate.\n\nChildren of Owen and Jane:\n\n"
        "i. Hugh, b. 1871.\n\nii. Ann, b. 1873.\n"
    )
    assert [sentence.text for sentence in book(text).sentences] == ["He split slate."]


def test_a_numeral_alone_is_no_sentence() -> None:
    assert not book("# Owen Prydderch\n\nVII.\n").sentences


def test_a_life_in_one_paragraph_that_announces_the_children_is_prose() -> None:
    life = "Owen was born at Gerlan. He went to sea. He and Jane had two children:"
    read = book(f"# Owen Gethin\n\n{life}\n\n1. i. Ellis, b. 1840.\n2. ii. Ann, b. 1842.\n")
    assert [sentence.text for sentence in read.sentences][:2] == ["Owen was born at Gerlan.", "He went to sea."]


def test_one_label_is_one_pattern() -> None:
    read = book("# Owen\n\nOccupation: rockman, 1871. Father: Ellis Gethin. Occupation: keeper of the ferry, 1881.\n")
    found = patterns.find(read.sentences)
    assert found.of[0] == found.of[2] != found.of[1]


def test_a_life_in_one_breath_is_no_line_of_place_and_date() -> None:
    assert len(book("# Ann\n\nAnn, b. Voss 19 May 1836. Bethesda, 4 May 1903.\n").sentences) == 1
