"""Claims: what asserts a particular of the family, and what looks like it and asserts nothing."""

from __future__ import annotations

import pytest

from tests.conftest import read_text

LIFE = """\
# Owen Prydderch

Owen Prydderch kept the forge at Gerlan for thirty years and never owned the anvil.[^1]

He shod the quarry's horses until 1871.[^1] {} It rained.

[^1]: Gerlan forge, day book 1841–1871, p. 9, Gwynedd Archives, Caernarfon.
"""


def flagged(sentence: str, draft: str = LIFE) -> bool:
    """True when the sentence, put into a life, is called an uncited claim."""
    reading = read_text(draft.format(sentence), only=["unsourced"])
    assert reading.crashes == ()
    quotes = [place.quote for section in reading.sections for each in section.findings for place in each.places]
    return any(quote in sentence for quote in quotes)


@pytest.mark.parametrize(
    "sentence",
    [
        "Her maiden name is not known.",
        "Her parents remain unknown to this day.",
        "No one knows her maiden name.",
        "We do not know what he called the dog.",
        "The year of her death has not been found.",
        "His grave is lost.",
    ],
)
def test_what_is_not_known_is_no_claim(sentence: str) -> None:
    assert not flagged(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "My guess is that his brother sold the forge in 1871.",
        "His brother, I believe, sold the forge in 1871.",
        "I suspect that his brother sold the forge for drink.",
        "She may be right.",
        "It might well have been so.",
    ],
)
def test_a_guess_that_is_called_one_is_no_claim(sentence: str) -> None:
    assert not flagged(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "Their daughter Lowri has read this chapter and agreed to be named.",
        "To her this chapter owes its best pages.",
        "The anvil weighs two hundred pounds; I have weighed it.",
        "He was a careful man, and the will shows it.",
    ],
)
def test_what_the_author_says_of_herself_and_her_book_is_no_claim(sentence: str) -> None:
    assert not flagged(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "Slavery ended in the British colonies on 1 August 1838.",
        "The potato failed in 1846 and again in 1848.",
        "The railway reached the slate valley in 1852.",
        "Vermont became a state on 4 March 1791.",
        "The war was over in November 1918.",
        "Prohibition ended in December 1933.",
    ],
)
def test_what_happened_to_everybody_is_no_claim(sentence: str) -> None:
    assert not flagged(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "The register shows him at Gerlan in 1851.",
        "His brother sold the forge in 1871.",
        "Nobody knew him at Bethesda in 1869.",
        "The house burned on 3 May 1871.",
        "The forge was sold in 1871.",
        "The war took his brother Hugh in 1855.",
        "His father, who is not known in the parish, came in 1839.",
        "He asked to be buried at Gerlan.",
        "I think that he came from Nefyn in 1839, or the year after.",
        "The railway killed his brother in 1852.",
    ],
)
def test_what_looks_like_it_and_asserts_a_particular_is_a_claim(sentence: str) -> None:
    assert flagged(sentence)


MEMOIR = """\
# The house above the incline

Lowri was born over the stable, the fourth child and the first to live.[^1] Her father, Ifor, was a rockman who could
split a slab with his eyes shut.[^1]

{} It rained.

[^1]: Lowri Prydderch, notebook, 1931, in the author's keeping.
"""


@pytest.mark.parametrize(
    "sentence",
    ["Ifor had three.", "Ifor was arrested on the ninth, in bed, and was held in the castle for seven weeks."],
)
def test_a_person_of_a_memoir_is_known_by_her_kin(sentence: str) -> None:
    assert flagged(sentence, MEMOIR)


@pytest.mark.parametrize(
    "sentence",
    [
        "According to family legend the Prydderchs descend from King Harald Fairhair.",
        "Family tradition has it that three brothers came over, each of them seven feet tall.",
    ],
)
def test_a_family_story_without_a_teller_is_an_uncited_claim_however_it_is_told(sentence: str) -> None:
    assert flagged(sentence)


@pytest.mark.parametrize(
    "sentence",
    [
        "The story is disproved by his own pen.",
        "I count it as disproved for our Ifor.",
        "The tale cannot be true.",
        "This tradition is plausible but unproved.",
        "I leave the story open.",
        "His granddaughter, who asks not to be named, lent me the letters.",
        "Ask Aunt Dilys about the quarry!",
    ],
)
def test_a_verdict_thanks_and_a_reminder_are_no_claims(sentence: str) -> None:
    assert not flagged(sentence, MEMOIR)


@pytest.mark.parametrize(
    "sentence",
    [
        "The story is true of his brother Ifor, who was hanged in 1851.",
        "His granddaughter lent her aunt the letters in 1951.",
    ],
)
def test_a_verdict_that_tells_something_new_is_a_claim(sentence: str) -> None:
    assert flagged(sentence, MEMOIR)


@pytest.mark.parametrize(
    "born", ["10 March 1848", "10.3.1848", "10/03/1848", "10. 3. 1848", "1848-03-10", "March 1848", "1848"]
)
@pytest.mark.parametrize("mark", ["", "[^1]"])
def test_a_child_is_dated_in_whatever_way_the_day_is_written(born: str, mark: str) -> None:
    line = f"Owen, born {born}."
    draft = LIFE.replace("{} It rained.", "\n\nChild of Owen:\n\n- i. {}")
    assert flagged(line + mark, draft) is not bool(mark)


def test_a_shelf_mark_dates_no_child() -> None:
    assert not flagged(
        "Owen, called Bach, of box 12.1848.", LIFE.replace("{} It rained.", "\n\nChild of Owen:\n\n- i. {}")
    )


@pytest.mark.parametrize(
    "sentence",
    [
        "Ifor Owen, born in 1873, of whom more below.",
        "The numbers before the names give the line: 1.2.1 is the first child of the second child of 1.",
        "A reader used to surnames will lose his way unless he remembers that Owen's son was Ifor Owen.",
    ],
)
def test_how_to_use_the_book_is_no_claim(sentence: str) -> None:
    assert not flagged(sentence)


DOTTED = """# 1 Owen Prydderch

Owen split slate.[^1]

Children of Owen Prydderch:

- {0}1 Ifor Prydderch, born 3 May 1871
- {0}2 Mair Prydderch, born 4 June 1873

# {0}1 Ifor Prydderch

Ifor split slate.[^1]

[^1]: Llanllechid parish register, baptisms 1871, p. 4; Gwynedd Archives, Caernarfon.
"""


@pytest.mark.parametrize("parent", ["1.", "1"])
def test_a_child_is_carried_forward_by_her_whole_number(parent: str) -> None:
    reading = read_text(DOTTED.format(parent), only=["unsourced"])
    quotes = [place.quote for section in reading.sections for each in section.findings for place in each.places]
    assert quotes == ["Mair Prydderch, born 4 June 1873"]
