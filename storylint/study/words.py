"""The word classes of ``words.toml``, with the other forms of each word, looked up in one dictionary."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

VOWELS = frozenset("aeiou")

# Tags of a token. A tag says what the word can be taken out as when only a teller's words are to be left.
NAME, DATE, NUMBER, KIN, VITAL, RECORD, WORK, PLACE, FUNCTION, PRONOUN, TOLD, STOP = "ND#KVROLfpx."


@cache
def table() -> dict[str, dict[str, str]]:
    """``words.toml`` as it stands."""
    return tomllib.loads((files("storylint.study") / "words.toml").read_text(encoding="utf-8"))


def noun_forms(word: str) -> set[str]:
    """A noun, its plural and its genitive-free forms."""
    if word.endswith("man"):
        plural = word[:-3] + "men"
    elif word.endswith("y") and word[-2:-1] not in VOWELS:
        plural = word[:-1] + "ies"
    elif word.endswith(("s", "x", "ch", "sh")):
        plural = word + "es"
    else:
        plural = word + "s"
    return {word, plural}


def verb_forms(word: str) -> set[str]:
    """A regular verb's forms: -s, -ed, -ing, with the usual changes of spelling."""
    if word.endswith("e"):
        stem = word[:-1]
        return {word, word + "s", word + "d", stem + "ing"}
    if word.endswith("y") and word[-2:-1] not in VOWELS:
        return {word, word[:-1] + "ies", word[:-1] + "ied", word + "ing"}
    forms = {word, word + ("es" if word.endswith(("s", "x", "ch", "sh")) else "s"), word + "ed", word + "ing"}
    if len(word) > 2 and word[-1] not in VOWELS | {"w", "x", "y"} and word[-2] in VOWELS and word[-3] not in VOWELS:
        forms |= {word + word[-1] + "ed", word + word[-1] + "ing"}
    return forms


def forms_of(group: str) -> set[str]:
    """All forms of all words of one group of the table."""
    entries = table()[group]
    found: set[str] = set(entries.get("words", "").split())
    for noun in entries.get("nouns", "").split():
        found |= noun_forms(noun)
    for verb in entries.get("verbs", "").split():
        found |= verb_forms(verb)
    return found


@cache
def tag_of_word() -> dict[str, str]:
    """Lower-case word → tag. Where a word is in several classes the weaker one gives way to the stronger."""
    order = (
        ("occupation", WORK),
        ("place", PLACE),
        ("record", RECORD),
        ("vital", VITAL),
        ("kin", KIN),
        ("function", FUNCTION),
    )
    tags: dict[str, str] = {}
    for group, tag in order:
        tags.update(dict.fromkeys(forms_of(group), tag))
    for pronoun in group_words("tell", "pronoun") | group_words("tell", "plural"):
        tags[pronoun] = PRONOUN
    return tags


@cache
def group_words(group: str, key: str) -> frozenset[str]:
    """The words of one line of the table, as a set."""
    return frozenset(table()[group][key].split())
