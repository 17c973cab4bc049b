"""What was still to be filled in, and what a program left behind.

Every draft has them: a pair of brackets for the ship's name, three question marks, a line to oneself in capitals; and
from the tree program the sentence that goes on without its place ("was born in ."), the wife who is called Unknown,
the comma after nothing. The author no longer sees them, because she knows what is meant. In print they are the first
thing that a reader sees.

What would embarrass is an error. What is a matter of the house's style, such as abt. for about, a date in figures or
a month in capitals, is a note. Square brackets, blanks and unknowns that stand in a quoted record are the record's
own and are left alone; so is a gap in the source that the author describes in her own words.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import NamedTuple

from storylint.draft.model import Block, Kind, Mark, Note, Section
from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Options, words_at
from storylint.study.quick import Quick, may_fit
from storylint.study.sentences import split
from storylint.study.study import Book, StudiedSection
from storylint.study.unfinished import desk, is_reminder, outside_quotations

CARD = Card(
    name="leftovers",
    version=3,
    summary="placeholders, notes to oneself, empty slots and other debris",
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen was born in . He came over in the [ship's name to come] with a wife, Ellen.",
            ("Owen was born in .", "He came over in the [ship's name to come] with a wife, Ellen."),
            "a slot that stayed empty, and a bracket that waits for a name",
        ),
        Example(
            "# Lowri Prydderch\n\nLowri kept hens. Ask Uncle Rhys which year it was.",
            ("Ask Uncle Rhys which year it was.",),
            "a reminder of the author's",
        ),
        Example(
            "# Robert Prydderch\n\nRobert was the son of Hugh Prydderch and Jane Unknown. He died at Gerlan, , "
            "Caernarfonshire.",
            ("Robert was the son of Hugh Prydderch and Jane Unknown.", "He died at Gerlan, , Caernarfonshire."),
            "what a program prints where it knows nothing",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nThe clerk left the day blank, and under cause of death he wrote “unknown [sic]”.[^1]"
            "\n\n[^1]: Register of deaths, Bethesda, 1899.",
            (),
            "the gaps are the record's",
        ),
    ),
    sources=("Common practice, no source",),
)

# ------------------------------------------------------------------------------------------------------- the signs


@dataclass(frozen=True, slots=True)
class Sign:
    """One kind of leftover: its name, how grave it is, what to tell the author, how it looks and in which blocks."""

    problem: str
    level: Level
    message: str
    fix: str
    patterns: tuple[Quick, ...]
    where: frozenset[str]  # kinds of block; empty: all of them, and notes


@cache
def signs() -> tuple[Sign, ...]:
    """All signs of ``leftovers.toml``, in its order."""
    table = tomllib.loads((files("storylint.rules") / "leftovers.toml").read_text(encoding="utf-8"))
    return tuple(
        Sign(
            each["problem"],
            Level(each["level"]),
            each["message"],
            each["fix"],
            tuple(Quick(pattern, pieces=table["pieces"]) for pattern in each["patterns"]),
            frozenset(each.get("where", ())),
        )
        for each in table["sign"]
    )


@cache
def patterns_in(kind: Kind) -> Sequence[tuple[Quick, Sign]]:
    """The patterns of all signs that are looked for in this kind of block, in order."""
    theirs = [sign for sign in signs() if not sign.where or kind.value in sign.where]
    return [(pattern, sign) for sign in theirs for pattern in sign.patterns]


NOTE_TO_ONESELF, UNFINISHED, SLOT = "note to oneself", "unfinished sentence", "empty slot"


def sign_of(problem: str) -> Sign:
    """The first sign of that name."""
    return next(sign for sign in signs() if sign.problem == problem)


# -------------------------------------------------------------------------------------------------------- the rule


def get_ready() -> None:
    """Read the signs and the orders to oneself."""
    signs()
    desk()


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """Every block of the section but quoted documents, and the notes its marks call."""
    own = section.section
    blocks = ([own.entry] if own.entry is not None and own.entry not in own.body else []) + own.body
    for block in blocks:
        if block.kind not in (Kind.QUOTATION, Kind.PICTURE):
            for start, end in spans(block):
                if seen := gravest_first(block.text[start:end], block.kind):
                    yield report(words_at(own, block, start, end), seen)
            yield from broken_off(own, block)
        for mark in block.marks:
            yield from in_note(section, book, block, mark)


BREAKS_OFF = re.compile(
    r"\b(?:until|till|because|although|and|or|but|of|the|an?|to|from|for|by|with|when|while|where|whose|which|who|that|if|as|than|"
    r"his|her|their|its|my|our|was|were|is|had|in|on|at|near|into|between|since|after|before|during)\s?$"
)
ENDING = 20  # characters; the longest of these words is shorter


def broken_off(section: Section, block: Block) -> Iterator[Finding]:
    """A paragraph that ends in a word that can't end one, unless it runs on in the next block, as before a document."""
    if block.kind is not Kind.PARAGRAPH or not BREAKS_OFF.search(block.text[-ENDING:]):
        return
    if not BREAKS_OFF.search(outside_quotations(block.text)[-ENDING:]):
        return
    blocks = section.draft.blocks
    at = bisect_right(blocks, block.index, key=lambda near: near.index)
    after = blocks[at] if at < len(blocks) else None
    if after is None or after.kind is Kind.HEADING or (after.kind is Kind.PARAGRAPH and after.text[:1].isupper()):
        start, end = spans(block)[-1]
        seen = Seen(sign_of(UNFINISHED), block.text.split()[-1])
        yield report(words_at(section, block, start, end), [seen])


def spans(block: Block) -> Sequence[tuple[int, int]]:
    """The sentences of running text; other blocks whole, and so each note."""
    if block.kind in (Kind.PARAGRAPH, Kind.ITEM):
        return split(block.text)
    return [(0, len(block.text))]


def in_note(section: StudiedSection, book: Book, block: Block, mark: Mark) -> Iterator[Finding]:
    """The live note that a mark calls, once; typed lists of notes are blocks themselves."""
    note = None if mark.note is None else section.section.draft.notes[mark.note]
    if note is None or note.block is not None or not asked_first(book, note):
        return
    if seen := gravest_first(note.text, Kind.NOTES):
        at = words_at(section.section, block, mark.at, mark.at)
        yield report(Place(at.path, at.block, note.line or at.line, mark.at, mark.at, note.text), seen)


def asked_first(book: Book, note: Note) -> bool:
    """True the first time that a note is asked for."""
    asked = book.memo.setdefault("leftovers: notes", set())
    assert isinstance(asked, set)
    new = id(note) not in asked
    asked.add(id(note))
    return new


class Seen(NamedTuple):
    """A sign and the words by which it was seen."""

    sign: Sign
    words: str


def gravest_first(text: str, kind: Kind) -> list[Seen]:
    """What a sentence has of leftovers."""
    return sorted(seen_in(text, kind), key=lambda each: -each.sign.level.rank)


def report(place: Place, seen: Sequence[Seen]) -> Finding:
    """The one finding for a sentence: told of the first sign, and the others named."""
    sign, words = seen[0]
    also = sorted({each.sign.problem for each in seen} - {sign.problem})
    message = sign.message + (f": “{words}”" if words else "") + (f" (and: {', '.join(also)})" if also else "") + "."
    return Finding(CARD.name, sign.level, message, sign.fix, (place,), {"problem": sign.problem, "also": also})


EMPTY_QUOTES = re.compile(r"“\s*”|\"(?<=[\s(]\")\"(?!\")|‘\s?’(?=[\s.,;]|$)")  # '" "' is a ditto
BRACKET = re.compile(r"[\[(]([^\[\]()]{3,80})[\])]")
IN_BRACKETS = re.compile(
    r"(?:check|recheck|verify|confirm|expand|rewrite|reword|shorten|cut|delete|move|need|needs|insert|add)\b(?!\s*[,;])",
    re.IGNORECASE,
)


def seen_in(text: str, kind: Kind) -> Iterator[Seen]:
    """Each kind of leftover in a sentence, once."""
    plain = outside_quotations(text)
    if kind is not Kind.CHILD and is_reminder(text):
        yield Seen(sign_of(NOTE_TO_ONESELF), "")
    if kind is not Kind.NOTES and EMPTY_QUOTES.search(text):
        yield Seen(sign_of(SLOT), "")
    for bracket in BRACKET.finditer(plain):
        if is_reminder(bracket.group(1)) or IN_BRACKETS.match(bracket.group(1)):
            yield Seen(sign_of(NOTE_TO_ONESELF), bracket.group())
            break
    may = may_fit(plain)
    last: Sign | None = None
    for pattern, sign in patterns_in(kind):
        if pattern in may and sign is not last and (match := pattern.search(plain, may)):
            last = sign
            yield Seen(sign, around(text, match.start(), match.end()))


def around(text: str, start: int, end: int) -> str:
    """The words seen, with the word before where only points were."""
    while start and end - start < 24 and not any(char.isalnum() for char in text[start:end]):
        start = max(0, text.rfind(" ", 0, start))
    return text[start:end].strip()[:48]
