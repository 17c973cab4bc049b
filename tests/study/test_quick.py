"""Patterns that look before they search find what the patterns find, by themselves and in every rule that has them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
PIECES = {"one": "(?:to|a)", "two": "(?:be|[bc]d?)", "pair": "(?:<one>|<two>)"}
PIECED = [r"\b<one> <two>\b", r"<pair>?d|\b<pair>{2} ", r"(?<!a)<two> <other>|<pair>\W*<two>", r"(?P<one>a)<one>+"]
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
@given(pattern=st.sampled_from(PIECED), drawn=TEXTS)
def test_a_piece_is_what_it_stands_for(pattern: str, drawn: str | list[str]) -> None:
    text = drawn if isinstance(drawn, str) else " ".join(drawn)
    plain = re.sub(r"(?<!P)<pair>", "(?:<one>|<two>)", pattern)
    plain = re.sub(r"(?<!P)<one>", "(?:to|a)", plain).replace("<two>", "(?:be|[bc]d?)")
    assert span(Quick(pattern, pieces=PIECES).search(text)) == span(re.compile(plain).search(text))


ATOMS = st.sampled_from(
    [
        *"abc. _1",
        r"\b",
        r"\s",
        r"\s+",
        r"\s*",
        r"\w+",
        r"\W",
        r"\.",
        "(?<!\\w)",
        r"(?![\w-])",
        "^",
        "$",
        "[ab]",
        "[^b]",
        "[a-c]",
        "[]a-]",
        r"[\w-]",
        r"[^\W]",
        r"[\s\]^]",
        "{",
        "<the>",
        "(?>a|ab)",
        r"a{1,2}+",
        "the",
        "of ",
    ]
)
PATTERNS = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.lists(inner, min_size=1, max_size=4).map("".join),
        st.lists(inner, min_size=2, max_size=3).map(lambda each: f"(?:{'|'.join(each)})"),
        st.tuples(inner, st.sampled_from(["?", "{2}", "{2,}", "{0,2}", "+", "*?"])).map(
            lambda two: f"(?:{two[0]}){two[1]}"
        ),
        st.tuples(st.sampled_from(["(?=", "(?!", "(?i:"]), inner).map(lambda two: f"{two[0]}{two[1]})"),
    ),
    max_leaves=8,
)


@settings(deadline=None, max_examples=150)
@given(pattern=PATTERNS, texts=st.lists(st.text("abcA. _1\nthe of]^-{<>"), min_size=3, max_size=8))
def test_it_finds_what_any_pattern_finds(pattern: str, texts: list[str]) -> None:
    mine, plain = Quick(pattern), re.compile(pattern)
    for text in texts:
        assert span(mine.search(text)) == span(plain.search(text))


@pytest.mark.parametrize(
    ("pattern", "groups"),
    [
        (r"\b(?:a|in) of\b", {"\ba of\b", "\bin of\b"}),  # of common words two
        (r"\bof\b", {""}),
        (r"\bs(?:ai|pe)d\w*", {"\bsaid", "\bsped"}),
        (r"(?<![\w-])said(?!\w)", {"\bsaid\b"}),
        (r"said(?=,| \.)", {"said\b"}),
        (r"said(?![^\w])", {"said"}),
        (r"\w+ +said\s{0,9}[;?]", {" said;", " said ;", " said?", " said ?"}),
        (r"\.{3}|-{2,}x", {"...", "--"}),
        (r"\d(?=.*\bend\b)", {"\bend\b"}),
    ],
)
def test_a_group_is_no_longer_than_it_must_be(pattern: str, groups: set[str]) -> None:
    assert needed(pattern) == groups


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


@pytest.mark.parametrize("name", ["legend", "leftovers"])
def test_a_piece_is_no_bare_choice(name: str) -> None:
    """What stands beside its name would belong to one of its alternatives only."""
    table = tomllib.loads((files("storylint.rules") / f"{name}.toml").read_text(encoding="utf-8"))
    assert [piece for piece in table["pieces"].values() if len(split(piece)) > 1] == []


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


@pytest.mark.parametrize(
    ("pattern", "flags", "text"),
    [
        (r"(?x) \bborn # or died", 0, "She was born."),
        (r"\bborn # or died", re.VERBOSE, "She was born."),
        (r"\bborn\b", re.ASCII, "She was born."),
        (r"(?a:\bborn\b)", 0, "She was born."),
        (r"(b)?or(?(1)n|e)", 0, "She was born."),
        (r"bo(?#or not)rn|\x62orn|\141ged", 0, "She was born."),
    ],
)
def test_what_is_not_understood_is_tried_everywhere(pattern: str, flags: int, text: str) -> None:
    assert needed(pattern, flags) == {""}
    assert span(Quick(pattern, flags=flags).search(text)) == (8, 12)
