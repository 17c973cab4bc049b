"""What has to be cut from a draft so that it prints no particular of anybody who may be living.

A date becomes a word, a line of a list of children keeps its name, a child's name becomes 'a child'; where words
can't be taken out without breaking the sentence, the sentence goes. What is cut leaves a sign, so that the author can
smooth the place. A note that gives a particular away, or belongs to a sentence that went, is emptied and keeps its
number.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from storylint.draft.model import Block, Draft, Kind
from storylint.rule import Options
from storylint.study.asides import ASIDE, in_block, in_note, in_text
from storylint.study.attach import STILL_OPEN
from storylint.study.circle import Circle, Someone, Told
from storylint.study.particulars import AGE, BIRTH, MARRIAGE, MINOR, WORD, Particular, kinds, particulars_in
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
CLOSING = re.compile(r"\s*\)")
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


@dataclass(frozen=True)
class Plan:
    """All cuts in reading order, the notes that are emptied (indexes of ``draft.notes``), and who may be living."""

    draft: Draft
    cuts: list[Cut]
    notes: list[int]
    circle: Circle
    anybody: bool = True  # whether any section was recognised as somebody's
    hidden: list[str] = field(default_factory=list)  # what was taken out beside the text, for the report

    @cached_property
    def forenames(self) -> frozenset[str]:
        """The forenames, in small letters, of all who may be living."""
        return frozenset(one.name[0].lower() for one in self.circle.everyone if one.why and one.name)

    @cached_property
    def in_lists(self) -> list[Cut]:
        """The words of the typed notes that are emptied, in their lists."""
        return list(in_typed_notes(self.draft, self.notes))

    @cached_property
    def to_write(self) -> list[Cut]:
        """All words that go, apart from each other and in reading order: the cuts, and the emptied typed notes."""
        return without_overlaps([*self.cuts, *self.in_lists])

    def names_one(self, text: str) -> bool:
        """True where a text, or the address of a link, has the forename of somebody who may be living."""
        if any(word.lower() in self.forenames for word in (*WORD.findall(text), *CAMEL.findall(text))):
            return True
        letters = "".join(WORD.findall(text)).lower()
        return any(name in letters for name in self.joined)

    @cached_property
    def joined(self) -> list[str]:
        """The names in full of all who may be living, as an address writes them ("gwenprydderch")."""
        return ["".join(one.name).lower() for one in self.circle.everyone if one.why and len(one.name) > 1]

    @cached_property
    def known(self) -> dict[str, set[str]]:
        """Of whom a year was cut: their forenames, by the year."""
        return secrets(self.cuts)

    def private(self, text: str) -> bool:
        """True where a text prints an address or a number of whomever, by which somebody can be reached or known."""
        return any(kind.strong and kind.pattern.search(text) for kind in kinds()[0])

    def describes(self, text: str) -> bool:
        """True where words beside the text name somebody who may be living, or print how to reach whomever."""
        return self.names_one(text) or self.private(text)

    def tells(self, text: str) -> bool:
        """True where a text prints a particular of somebody who may be living, whom it names."""
        return tells_secret(text, self.circle, self.known)


def plan(
    draft: Draft, book: Book, options: Options, wanted: Collection[tuple[int, int]], stands: Collection[tuple[int, int]]
) -> Plan:
    """The cuts for one draft. ``wanted`` are the places (block, start) of what 'living' finds, ``stands`` of what the
    author lets stand of it."""
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
    emptied = sorted(notes_of(draft, book, cuts, circle, stands))
    anybody = any(section.section.person for section in book.sections)
    return Plan(draft, cuts, emptied, circle, anybody)


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
    start, end, words = each.start, len(text[: each.end].rstrip()), DATE
    if each.kind == BIRTH and (still := STILL_OPEN.match(text, end)):  # '1950–'
        end = still.start() + len(still[0].rstrip(")],;. ")) if still[0].strip() else end
    opening, closing = IN_BRACKETS.search(text[:start]), CLOSING.match(text, end)
    if each.kind == MARRIAGE and PLACE.search(text, start, end):
        words = PLACED
    if each.kind == MINOR:
        words = CHILD
    elif opening and closing:
        start, end, words = opening.start() + 1, closing.end() - 1, LIVING
    elif each.kind == BIRTH and AFTER_BIRTH.search(text[:start]) and PLACE.search(text, start, end):
        words = f" {PLACED}"
    elif match := BEFORE_DATE.search(text[:start]):
        start = match.start()
        words = (" " if start and text[start - 1 : start].strip() and text[start : start + 1] in ", " else "") + words
    return Cut(block, base + start, base + end, words, (each.kind,), (each.one.called,))


def beside(book: Book, circle: Circle, wanted: Collection[tuple[int, int]]) -> Iterator[Cut]:
    """Particulars in captions, tables, items and quotations: their own words go."""
    for section in book.sections:
        lead = circle.leads.get(id(section))
        for block in section.section.body:
            if block.kind in ASIDE and (block.index, 0) in wanted:
                yield from (words_beside(block, each) for each in in_block(block, circle, lead))


def words_beside(block: Block, each: Particular) -> Cut:
    """The words of one particular in a text that is no prose."""
    if each.kind in (BIRTH, MINOR):
        return words_cut(block, 0, block.text, each)
    space = " " if block.text[each.start : each.start + 1].isspace() else ""
    return Cut(block, each.start, each.end, space + GONE, (each.kind,), (each.one.called,))


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


def notes_of(
    draft: Draft, book: Book, cuts: Sequence[Cut], circle: Circle, stands: Collection[tuple[int, int]]
) -> set[int]:
    """The notes that only a sentence that went called, and those that themselves print a particular. ``stands`` are the
    places (block, start) of what the author lets stand."""
    gone: set[int] = set()
    stays: set[int] = set()
    sentences = by_block(cut for cut in cuts if cut.words.strip() == GONE)
    for block in draft.blocks:
        starts = [cut.start for cut in sentences.get(block.index, ())]
        for mark in block.marks:
            if mark.note is not None:
                at = bisect_left(starts, mark.at) - 1
                inside = at >= 0 and mark.at <= sentences[block.index][at].end
                (gone if inside else stays).add(mark.note)
    known, leads = secrets(cuts), leads_of(book, circle)
    agreed: set[int | None] = set()
    for block in draft.blocks:
        agreed.update(mark.note for mark in block.marks if (block.index, mark.at) in stands)
    print_one = {
        at
        for at, note in enumerate(draft.notes)
        if at not in agreed
        and (any(True for _ in in_note(note.text, circle, leads.get(at))) or tells_secret(note.text, circle, known))
    }
    return (gone - stays) | print_one


def leads_of(book: Book, circle: Circle) -> dict[int, Someone]:
    """In whose section each live note (its index) is first called, as the rule asks it."""
    found: dict[int, Someone | None] = {}
    for section in book.sections:
        for mark in (mark for block in section.section.body for mark in block.marks):
            if mark.note is not None and section.section.draft.notes[mark.note].block is None:
                found.setdefault(mark.note, circle.leads.get(id(section)))
    return {at: lead for at, lead in found.items() if lead is not None}


def by_block(cuts: Iterable[Cut]) -> dict[int, list[Cut]]:
    """Cuts by the index of their block, in the order in which they come."""
    found: dict[int, list[Cut]] = {}
    for cut in cuts:
        found.setdefault(cut.block.index, []).append(cut)
    return found


CAMEL = re.compile(r"[A-Z][a-z]+")
YEAR = re.compile(r"\b(?:1[5-9]|20)\d\d\b")
FOUR_DIGITS = re.compile(r"(?=(\d{4}))")


def secrets(cuts: Sequence[Cut]) -> dict[str, set[str]]:
    """Of whom a year was cut: their forenames, by the year."""
    known: dict[str, set[str]] = {}
    for cut in cuts:
        named = [name.split()[0] for name in cut.people if name[:1].isupper()]  # not 'your mother'
        for year in YEAR.findall(cut.block.text[cut.start : cut.end]):
            known.setdefault(year, set()).update(named)
    return known


def tells_secret(text: str, circle: Circle, known: dict[str, set[str]]) -> bool:
    """Whether a note prints a particular, or has beside somebody's forename a year that was cut of her."""
    if any(True for _ in in_text(text, circle)):
        return True
    here = [known[year] for year in set(FOUR_DIGITS.findall(text)) if year in known]
    words = {part for word in text.split() for part in (word.strip(AROUND), *WORD.findall(word))} if here else set()
    return any(not words.isdisjoint(names) for names in here)


AROUND = ".,;:!?()[]\"'“”‘’"


def in_typed_notes(draft: Draft, emptied: Iterable[int]) -> Iterator[Cut]:
    """Typed notes that are emptied stand in the text: their words but for the number, and the paragraphs with which
    they go on."""
    wanted = [index for index in emptied if draft.notes[index].block is not None]
    places = {block.index: at for at, block in enumerate(draft.blocks)} if wanted else {}
    first_blocks = {note.block for note in draft.notes} if wanted else set()
    for index in wanted:
        note = draft.notes[index]
        at = places[note.block or 0]
        block = draft.blocks[at]
        end = len(block.text.rstrip())
        yield Cut(block, max(end - len(note.text.split("\n")[0].rstrip()), 0), end, NOTE, (), ())
        for block in draft.blocks[at + 1 : at + 1 + note.text.count("\n")]:
            if block.kind is Kind.NOTES and block.index not in first_blocks and block.text:
                yield Cut(block, 0, len(block.text), GONE, (), ())


def expected(made: Plan) -> dict[int, str]:
    """The text that each cut block must have in the copy."""
    texts: dict[int, str] = {}
    for index, cuts in by_block(made.to_write).items():
        text, at = cuts[0].block.text, 0
        pieces: list[str] = []
        for cut in cuts:
            pieces += (text[at : cut.start], cut.words)
            at = cut.end
        texts[index] = "".join([*pieces, text[at:]])
    return texts
