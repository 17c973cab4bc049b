"""Patterns that look before they search find what the patterns find, by themselves and in every rule that has them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.study import quick
from storylint.study.quick import Quick, needed, split
from tests.rules.labelled import load

TRICKY = [
    r"\b(?:reputed|rumou?red) to (?:have|be)\b",
    r"(?i:todo|fixme)\b|b[|)]c|\(?|x",
    r"a(?=bc)|a(?!bc)d+|[^|a]b|(?<=a)b",
    r"[Bb]etween\s+and|\s[.;]|in [a-z]{2} \.",
    r"(?:ab)?c{2,3}|(?:a|b(?:c|d))e|a*b|(?:a|)b",
    r"(a|b)\1|(c)",
    r"(?x) a b | c d  # not taken apart",
    r"\|a|[\]|]b|[^]|]c|\(d\)|\\|e",
    r"İ|ß|SS|Straße|(?i:groß)",
]
TEXTS = st.one_of(
    st.text("abcde |()[].;xBSsßİıetwn,\t\n\xa0\\"),
    st.lists(st.sampled_from("to do todo FIXME between and rumored be".split())),
)


def plainly(patterns: list[str], flags: int = 0) -> re.Pattern[str]:
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns), flags)


def span(match: re.Match[str] | None) -> tuple[int, int] | None:
    return match.span() if match else None


@settings(deadline=None)
@given(pattern=st.sampled_from(TRICKY), drawn=TEXTS)
def test_it_finds_what_the_pattern_finds(pattern: str, drawn: str | list[str]) -> None:
    text = drawn if isinstance(drawn, str) else " ".join(drawn)
    assert span(Quick(pattern).search(text)) == span(re.compile(pattern).search(text))


@settings(deadline=None)
@given(patterns=st.lists(st.sampled_from(TRICKY[:5]), min_size=1, max_size=3), text=st.text("abcde |B.;xtodFIXME"))
def test_of_several_what_comes_first_and_then_the_earlier_pattern(patterns: list[str], text: str) -> None:
    assert span(Quick(*patterns, flags=re.IGNORECASE).search(text)) == span(
        plainly(patterns, re.IGNORECASE).search(text)
    )


def lists_of(table: object, name: str = "") -> Iterator[list[str]]:
    """All lists of patterns of a TOML table, and single patterns as lists of one."""
    if isinstance(table, dict):
        for key, value in table.items():
            yield from lists_of(value, key)
    elif isinstance(table, list) and all(isinstance(each, str) for each in table):
        yield table
    elif isinstance(table, list):
        for each in table:
            yield from lists_of(each, name)
    elif isinstance(table, str) and name in ("pattern", "bare", "patterns"):
        yield [table]


@pytest.mark.parametrize("name", ["legend", "leftovers"])
def test_it_finds_what_the_rules_patterns_find(name: str) -> None:
    """In every labelled sentence of both rules, as written and in small letters."""
    table = tomllib.loads((files("storylint.rules") / f"{name}.toml").read_text(encoding="utf-8"))
    pieces = table.pop("pieces")
    texts = [
        text
        for each in ("legend", "leftovers", "living")
        for half in ("tune", "measure")
        for _, text in load(f"{each}_{half}").units
    ]
    tried = 0
    for patterns in filter(None, lists_of(table)):
        whole = []
        for pattern in patterns:
            while found := re.search(r"(?<!\?)(?<!\?P)<([a-z_]+)>", pattern):
                if found[1] not in pieces:
                    break
                pattern = pattern.replace(f"<{found[1]}>", pieces[found[1]])
            whole.append(pattern)
        try:
            plain = plainly(whole)
        except re.error:
            continue  # a list of words and no patterns
        mine = Quick(*whole)
        tried += 1
        for text in texts[::3]:
            assert span(mine.search(text)) == span(plain.search(text)), (patterns, text)
            assert span(mine.search(text.lower())) == span(plain.search(text.lower())), (patterns, text)
    assert tried >= 8


def test_most_patterns_know_letters_they_need() -> None:
    table = tomllib.loads((files("storylint.rules") / "leftovers.toml").read_text(encoding="utf-8"))
    patterns = [part for sign in table["sign"] for pattern in sign["patterns"] for part in split(pattern)]
    knowing = [pattern for pattern in patterns if "" not in needed(pattern)]
    assert len(knowing) >= 0.8 * len(patterns)


@pytest.mark.parametrize(
    ("pattern", "parts"),
    [
        ("a|b", ["a", "b"]),
        (r"a\|b", [r"a\|b"]),
        ("(a|b)|c", ["(a|b)", "c"]),
        ("[|]|[^]|]|x", ["[|]", "[^]|]", "x"]),
        ("(?i)a|b", ["(?i)a|b"]),
        (r"(a)\1|b", [r"(a)\1|b"]),
        ("", [""]),
    ],
)
def test_alternatives_are_what_stands_between_bars_outside_brackets(pattern: str, parts: list[str]) -> None:
    assert split(pattern) == parts


def test_a_python_without_the_parser_searches_everything(monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(name: str) -> None:
        raise ImportError(name)

    needed.cache_clear()
    monkeypatch.setattr(quick, "import_module", gone)
    assert needed(r"\bborn\b") == {""}
    assert span(Quick(r"\bborn\b").search("He was born.")) == (7, 11)
    monkeypatch.undo()
    needed.cache_clear()
