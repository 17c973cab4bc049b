"""What has to be cut from a draft so that it prints no particular of anybody who may be living.

A date becomes a word, a line of a list of children keeps its name, a child's name becomes 'a child'; where words
can't be taken out without breaking the sentence, the sentence goes. What is cut leaves a sign, so that the author can
smooth the place. A note that gives a particular away, or belongs to a sentence that went, is emptied and keeps its
number.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from storylint.draft.model import Block, Draft, Kind
from storylint.rule import Options
from storylint.study.circle import Circle, Told
from storylint.study.particulars import AGE, BIRTH, MARRIAGE, MINOR, WORD, Particular, in_text, particulars_in
from storylint.study.presumed import Limits, circle_of, year_of
from storylint.study.study import Book

PLACED = "[date and place withheld]"
GONE, DATE, LIVING, CHILD, NOTE = (
    "[…]",
    "[date withheld]",
    "living",
    "[a child]",
    "Source withheld: it names the living.",
)
DATED = frozenset((BIRTH, MARRIAGE, AGE, MINOR))  # kinds of which the words themselves can go
BEFORE_DATE = re.compile(r"(?:,\s)?(?:\b(?:on|in|about|since|during|c\.|circa)\s(?:the\s)?)?$")
AFTER_BIRTH = re.compile(r"\b(?:born|b\.|birth|baptised|baptized|christened|world)$")
PLACE = re.compile(
    r"\b(?:in|at|near|aboard)\s(?!\d)(?!(?:the )?(?:spring|summer|autumn|winter|year|January|February|March|April|May|June|July|August|September|October|November|December)\b)\w"
)
IN_BRACKETS = re.compile(r"\((?:b\.|born)?\s*$")


@dataclass(frozen=True, slots=True)
class Cut:
    """Words of a block that go, and what stands in their place; ``kinds`` and ``people`` say why, without the words."""

    block: Block
    start: int
    end: int
    words: str
    kinds: tuple[str, ...]
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """All cuts in reading order, the notes that are emptied (indexes of ``draft.notes``), and who may be living."""

    draft: Draft
    cuts: list[Cut]
    notes: list[int]
    circle: Circle
    hidden: list[str] = field(default_factory=list)  # what was taken out beside the text, for the report

    def names_one(self, text: str) -> bool:
        """True where a text, or the address of a link, has the forename of somebody who may be living."""
        found = {word.lower() for word in WORD.findall(text)}
        return any(one.why and one.name and one.name[0].lower() in found for one in self.circle.everyone)

    def tells(self, text: str) -> bool:
        """True where a text prints a particular of somebody who may be living, whom it names in full."""
        return any(True for _ in in_text(text, self.circle))


def plan(draft: Draft, book: Book, options: Options, wanted: Collection[tuple[int, int]]) -> Plan:
    """The cuts for one draft. ``wanted`` are the places (block, start) of the findings of 'living' that stand."""
    limits = Limits(year_of(options["today"]), options["born"], options["married"], options["parent"])
    circle = circle_of(book, limits)
    cuts: list[Cut] = []
    for section in book.sections:
        for told in circle.told.get(id(section), []):
            sentence = told.telling.sentence
            if (sentence.block.index, sentence.start) in wanted:
                cuts += cuts_in(told, particulars_in(told, circle, limits))
    cuts += beside(book, circle, wanted)
    cuts = without_overlaps(cuts)
    return Plan(draft, cuts, sorted(notes_of(draft, cuts, circle)), circle)


def cuts_in(told: Told, found: Sequence[Particular]) -> list[Cut]:
    """The cuts of one sentence."""
    sentence = told.telling.sentence
    if not found:
        return []
    kinds = tuple(dict.fromkeys(each.kind for each in found))
    people = tuple(dict.fromkeys(each.one.called for each in found))
    if sentence.block.kind is Kind.CHILD and told.people:
        start = sentence.start + told.people[0][0].end
        return [Cut(sentence.block, start, sentence.end, f", {LIVING}.", kinds, people)]
    if not set(kinds) <= DATED or not all(each.span for each in found):
        return [Cut(sentence.block, sentence.start, sentence.end, GONE, kinds, people)]
    return [words_cut(sentence.block, sentence.start, sentence.text, each) for each in found]


def words_cut(block: Block, base: int, text: str, each: Particular) -> Cut:
    """The words of one particular, with the preposition before a date."""
    start, end, words = each.start, each.end, DATE
    if each.kind == MARRIAGE and PLACE.search(text, start, end):
        words = PLACED
    if each.kind == MINOR:
        words = CHILD
    elif IN_BRACKETS.search(text[:start]) and text[end : end + 1] == ")":
        start, words = IN_BRACKETS.search(text[:start]).start() + 1, LIVING  # type: ignore[union-attr]
    elif each.kind == BIRTH and AFTER_BIRTH.search(text[:start]) and PLACE.search(text, start, end):
        words = f" {PLACED}"
    elif match := BEFORE_DATE.search(text[:start]):
        start = match.start()
        words = (" " if start and text[start - 1 : start].strip() and text[start : start + 1] in ", " else "") + words
    return Cut(block, base + start, base + end, words, (each.kind,), (each.one.called,))


def beside(book: Book, circle: Circle, wanted: Collection[tuple[int, int]]) -> Iterator[Cut]:
    """Particulars in captions, tables, items and quotations: their own words go."""
    for block in (block for section in book.sections for block in section.section.body):
        if (
            block.kind in (Kind.CAPTION, Kind.TABLE, Kind.ITEM, Kind.QUOTATION, Kind.NOTES)
            and (block.index, 0) in wanted
        ):
            for each in in_text(block.text, circle):
                yield Cut(
                    block, each.start, each.end, DATE if each.kind == BIRTH else GONE, (each.kind,), (each.one.called,)
                )


def without_overlaps(cuts: Sequence[Cut]) -> list[Cut]:
    """Cuts in order; of two that share words the wider one stands, and answers for both."""
    kept: list[Cut] = []
    for cut in sorted(cuts, key=lambda each: (each.block.index, each.start, -each.end)):
        last = kept[-1] if kept else None
        if last is None or last.block.index != cut.block.index or cut.start >= last.end:
            kept.append(cut)
        else:
            both = tuple(dict.fromkeys((*last.kinds, *cut.kinds))), tuple(dict.fromkeys((*last.people, *cut.people)))
            kept[-1] = Cut(last.block, last.start, max(last.end, cut.end), last.words, *both)
    return kept


def notes_of(draft: Draft, cuts: Sequence[Cut], circle: Circle) -> set[int]:
    """The notes that only a sentence that went called, and those that themselves print a particular."""
    gone: set[int] = set()
    stays: set[int] = set()
    for block in draft.blocks:
        for mark in block.marks:
            if mark.note is not None:
                inside = any(
                    cut.block.index == block.index and cut.words == GONE and cut.start < mark.at <= cut.end
                    for cut in cuts
                )
                (gone if inside else stays).add(mark.note)
    known = set(secrets(cuts))
    print_one = {
        at
        for at, note in enumerate(draft.notes)
        if any(True for _ in in_text(note.text, circle))
        or any(name in note.text and year in note.text for name, year in known)
    }
    return (gone - stays) | print_one


YEAR = re.compile(r"\b(?:1[5-9]|20)\d\d\b")


def secrets(cuts: Sequence[Cut]) -> Iterator[tuple[str, str]]:
    """Of whom a year was cut: her forename and the year."""
    for cut in cuts:
        years = YEAR.findall(cut.block.text[cut.start : cut.end])
        named = [name for name in cut.people if name[:1].isupper()]  # not 'your mother'
        yield from ((name.split()[0], year) for name in named for year in years)


def expected(made: Plan) -> dict[int, str]:
    """The text that each cut block must have in the copy."""
    texts: dict[int, str] = {}
    for cut in reversed(made.cuts):
        text = texts.get(cut.block.index, cut.block.text)
        texts[cut.block.index] = text[: cut.start] + cut.words + text[cut.end :]
    return texts
