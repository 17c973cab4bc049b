"""How hard a section is to read, by the published formulas.

The sentences are the study's own and the syllables come from the CMU Pronouncing Dictionary (package ``pysyllables``),
with the rule of ``by_spelling`` for words it lacks. Nothing is ever downloaded.

Of textstat the list of easy words is used. Its formulas are not, for four reasons measured on 0.7.13: they take a text
and count its sentences with one regular expression that stops at 'Mr.', 'St.' and every initial; counting syllables
downloads a data set and fails without a network; Coleman–Liau has 0.058 where the paper has 0.0588; importing it costs
0.5 to 0.9 s, of which the formulas would be a few lines. ``tests/outside/test_readability.py`` compares the two.
"""

from __future__ import annotations

import math
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

# Below this the formulas say little: Gunning (1952) and Flesch (1948) take samples of 100 words.
ENOUGH = 100


def measure(texts: Sequence[str]) -> dict[str, object] | None:
    """Readability of a section's prose, given as its sentences; None when it has no prose at all.

    The result has ``words``, ``sentences``, ``too_short`` and one number, rounded to 2 places, for each of
    ``FORMULAS`` under its name: reading ease from about 0 (hard) to 121 (easy), New Dale–Chall a cloze score (higher is
    easier), the others US school grades (higher is harder). ``without_names`` repeats reading ease and grade with
    every run of capitalised names read as one word of one syllable, as if a pronoun stood there: long names of people
    and places inflate every formula, and an author can't shorten them. Below ``ENOUGH`` words ``too_short`` is True
    and the numbers are None.
    """
    full, masked = count(texts)
    if not full.words or not full.sentences:
        return None
    short = full.words < ENOUGH
    found: dict[str, object] = {"words": full.words, "sentences": full.sentences, "too_short": short}
    found |= {f.__name__: None if short else round(f(full), 2) for f in FORMULAS}
    found["without_names"] = {f.__name__: None if short else round(f(masked), 2) for f in FORMULAS[:2]}
    return found


# --- the formulas ---------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class Counts:
    """What the formulas are made of, as totals over a text."""

    words: int = 0
    sentences: int = 0
    syllables: int = 0
    characters: int = 0  # letters and digits
    long: int = 0  # words of three syllables or more, as McLaughlin counts them
    hard: int = 0  # the same, as Gunning counts them
    unfamiliar: int = 0  # words not on Dale's list

    @property
    def length(self) -> float:
        """Mean length of a sentence in words."""
        return self.words / self.sentences

    def percent(self, part: int) -> float:
        """Part of the words, in per cent."""
        return 100 * part / self.words


def flesch_reading_ease(c: Counts) -> float:
    """Flesch, 'A New Readability Yardstick', Journal of Applied Psychology 32 (1948): 221–233."""
    return 206.835 - 1.015 * c.length - 84.6 * c.syllables / c.words


def flesch_kincaid_grade(c: Counts) -> float:
    """Kincaid, Fishburne, Rogers and Chissom, Research Branch Report 8-75 (US Navy, 1975)."""
    return 0.39 * c.length + 11.8 * c.syllables / c.words - 15.59


def gunning_fog(c: Counts) -> float:
    """Gunning, The Technique of Clear Writing (1952)."""
    return 0.4 * (c.length + c.percent(c.hard))


def smog(c: Counts) -> float:
    """McLaughlin, 'SMOG Grading', Journal of Reading 12:8 (May 1969): 639–646; the regression form, not the quick one.

    Made for 30 sentences; with fewer it is the usual scaling to 30.
    """
    return 1.0430 * math.sqrt(30 * c.long / c.sentences) + 3.1291


def coleman_liau(c: Counts) -> float:
    """Coleman and Liau, Journal of Applied Psychology 60 (1975): 283–284; letters and sentences per 100 words."""
    return 0.0588 * c.percent(c.characters) - 0.296 * c.percent(c.sentences) - 15.8


def automated_readability(c: Counts) -> float:
    """Smith and Senter, AMRL-TR-66-220 (US Air Force, 1967)."""
    return 4.71 * c.characters / c.words + 0.5 * c.length - 21.43


def dale_chall(c: Counts) -> float:
    """Dale and Chall, 'A Formula for Predicting Readability', Educational Research Bulletin 27 (1948): 11–20, 37–54.

    With the constant always, as in the equation of 1948; later programs add it only above 5 % of unfamiliar words,
    which makes a text jump by 3.6 grades at one word.
    """
    return 0.1579 * c.percent(c.unfamiliar) + 0.0496 * c.length + 3.6365


def new_dale_chall(c: Counts) -> float:
    """Chall and Dale, Readability Revisited (1995): the cloze score, from about 58 (easiest) to 10 (hardest)."""
    return 64 - 0.95 * c.percent(c.unfamiliar) - 0.69 * c.length


FORMULAS = (
    flesch_reading_ease,
    flesch_kincaid_grade,
    gunning_fog,
    smog,
    coleman_liau,
    automated_readability,
    dale_chall,
    new_dale_chall,
)


# --- counting -------------------------------------------------------------------------------------------------------

# A word keeps its hyphens, apostrophes, inner stops and fractions ('well-to-do', "Pritchard's", 'N.Y', '1715/6').
WORD = re.compile(r"[^\W_]+(?:[-'’.,/‑][^\W_]+)*")
RAISED = dict.fromkeys(map(ord, "¹²³⁰⁴⁵⁶⁷⁸⁹"))  # digits of notes and generations are no words


def count(texts: Sequence[str]) -> tuple[Counts, Counts]:
    """Totals over these sentences as they stand, and with each run of names as one word of one syllable."""
    sentences = [words for text in texts if (words := WORD.findall(text.translate(RAISED)))]
    known = seen_inside(sentences)
    full = Counts(sentences=len(sentences))
    masked = Counts(sentences=len(sentences))
    for words in sentences:
        after_name = False
        for word, named in zip(words, names_in(words, known), strict=True):
            fact = facts(word)
            full.words += 1
            full.syllables += fact.syllables
            full.characters += fact.characters
            full.long += fact.long
            full.hard += fact.hard and not named
            full.unfamiliar += fact.unfamiliar and not named
            if not (named and after_name):
                masked.words += 1
                masked.syllables += 1 if named else fact.syllables
            after_name = named
    return full, masked


def seen_inside(sentences: Sequence[Sequence[str]]) -> frozenset[str]:
    """Words that stand with a capital inside a sentence: at the start of one they are names too."""
    return frozenset(word for words in sentences for word in words[1:] if word[0].isupper())


def names_in(words: Sequence[str], known: frozenset[str]) -> Iterator[bool]:
    """For each word of a sentence, whether it is a name: capitalised within it, or first and known or followed by one.

    A month is a name too: Gunning leaves out what has a capital.
    """
    for at, word in enumerate(words):
        if not word[0].isupper() or word == "I" or word.startswith(("I'", "I’")):
            yield False
        elif at:
            yield True
        else:
            followed = len(words) > 1 and words[1][0].isupper() and words[1] != "I"
            yield word.lower() not in easy_words() and (word in known or followed)


@dataclass(frozen=True, slots=True)
class Facts:
    """What one word adds to the totals."""

    syllables: int
    characters: int
    long: bool
    hard: bool
    unfamiliar: bool


@cache
def facts(word: str) -> Facts:
    """The facts of a word as written; each spelling is worked out once a run."""
    lower = word.lower().replace("’", "'").replace("‑", "-")
    figure = any(map(str.isdigit, lower))
    spoken = syllables(lower)
    return Facts(
        syllables=spoken,
        characters=sum(map(str.isalnum, word)),
        long=long_aloud(lower) if figure else spoken >= 3,
        hard=not figure and spoken >= 3 and not built_up(lower, spoken),
        unfamiliar=not figure and not familiar(lower),
    )


def syllables(word: str) -> int:
    """Syllables of a lower-case word.

    Flesch, How to Write Plain English (1979): figures, symbols and abbreviations count as one syllable; a hyphenated
    word is one word, with the syllables of its parts.
    """
    if any(map(str.isdigit, word)) or "." in word:
        return 1
    return sum(syllables_of_part(part) for part in re.split(r"[-,/]", word))


def syllables_of_part(word: str) -> int:
    """Syllables of a word without hyphens: from the dictionary, with the genitive's own, else from its spelling."""
    found = in_dictionary(word)
    if found:
        return found
    stem, mark, ending = word.rpartition("'")
    if mark and ending == "s":
        return syllables_of_part(stem) + stem.endswith(("s", "x", "z", "ch", "sh", "ce", "ge"))
    if mark:
        return syllables_of_part(stem + ending)
    plain = "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c))
    return in_dictionary(plain) or by_spelling(plain)


def in_dictionary(word: str) -> int | None:
    """Syllables by the CMU Pronouncing Dictionary."""
    counts = dictionary()
    at = bisect_left(counts, f"{word.lower()} ")
    found, _, number = counts[at].partition(" ") if at < len(counts) else ("", "", "")
    return int(number) if found == word.lower() else None


@cache
def dictionary() -> list[str]:
    """The lines of pysyllables' file, 'word 2', in order. The package itself puts them all into a table when it is
    imported, which takes five times as long and more memory; a book has few of the words."""
    return sorted(shipped_with("pysyllables", "syllable-counts.txt").splitlines())


def shipped_with(package: str, file: str) -> str:
    """The text of a file in an installed package, without importing the package."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError(f"{package} is not installed; readability needs its list of words")
    return (Path(spec.origin).parent / file).read_text(encoding="utf-8")


VOWELS = re.compile(r"[aeiouyæøœ]+|(?<=[^aeiouyw\W])w(?=[^aeiouyrwh\W]|$)")
# Vowels side by side that are spoken apart ('Lydia', 'trying', 'earliest'), and syllables without a vowel's letter.
APART = re.compile(r"(?<![cstgx])i[aou]|eo(?!u)|[aeouy]i(?=ng|st|z)|iest|(?<![gq])ua|uou|^mc(?![aeiouy])|isms?$")
# An ending that is written and not spoken: 'quarried slate', not 'rooted table'.
SILENT = re.compile(r"(?:(?<=[^aeioutdyl])ed|(?<=[^aeiouyscgxzhl])es|(?<=[^aeiouyl])e|(?<=[aeiouyrwl]l)e[sd]?)$")


def by_spelling(word: str) -> int:
    """Syllables of a word that no dictionary has: its groups of vowels, corrected, at least one.

    Welsh w between consonants is a vowel ('Cwm', 'Bwlch'). Right for 92 % of the dictionary's own words and within one
    for 99.8 %: see ``tests/outside/test_syllables.py``.
    """
    heard = SILENT.sub("", word)
    return max(1, len(VOWELS.findall(heard)) + len(APART.findall(heard)))


def long_aloud(figure: str) -> bool:
    """True for a figure of three syllables or more when read out, as McLaughlin (1969) asks of numerals.

    '11', '17', '21' and '1842' are; '12', '30' and '3rd' are not.
    """
    digits = re.search(r"\d+", figure)
    number = int(digits.group()[:9]) if digits else 0  # what is longer is long aloud anyhow
    return number > 99 or number in (11, 17, 70) or (number > 20 and number % 10 != 0)


ADDED = re.compile(r"(?:ing|[td]ed|(?:[scxz]|[cs]h|g)es)$")


def built_up(word: str, spoken: int) -> bool:
    """Long words that Gunning lets pass: made of short ones, or three syllables only by -ed, -es or -ing."""
    parts = word.split("-")
    if len(parts) > 1:
        return all(syllables(part) < 3 for part in parts if part)
    return spoken == 3 and ADDED.search(word) is not None


def familiar(word: str) -> bool:
    """True when the word, or each part of a hyphenated one, is an easy word or a genitive of one."""
    easy = easy_words()
    word = word.removesuffix("'s").removesuffix("'") if word not in easy else word
    return word in easy or ("-" in word and all(part in easy for part in word.split("-")))


@cache
def easy_words() -> frozenset[str]:
    """Dale's list of words that four of five children of grade 4 knew, as textstat ships it, with regular inflections.

    The same 2,941 words go round in other packages for both formulas; which edition they are could not be checked
    against either book. Dale and Chall (1948) count regular plurals, -ed and -ing as familiar where the word is. The
    file is read without importing textstat, which would cost half a second.
    """
    from storylint.study.words import noun_forms, verb_forms

    words = shipped_with("textstat", "resources/en/easy_words.txt").split()
    return frozenset(form for word in words for form in noun_forms(word) | verb_forms(word))
