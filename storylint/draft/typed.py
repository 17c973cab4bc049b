"""Typed citation digits: marks that a writer keyed in by hand, and the list of notes they call.

A draft that has lost its live notes still has their digits: raised ("record.³"), in brackets ("record.[3]") or plain
("record.3"), and a numbered list under a heading such as Notes at the end of the book or of each chapter. Every reader
hands its blocks to ``attach``, which takes the digits out of the text, turns the list into notes and joins the two.
"""

from __future__ import annotations

import re
from bisect import bisect_right, insort
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import IntEnum
from itertools import accumulate, islice, pairwise
from typing import TypeVar

from storylint.draft.model import Block, Kind, Mark, Note

_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_RAISE = str.maketrans("0123456789", _RAISED)
_LOWER = str.maketrans(_RAISED, "0123456789")

# --- marks ------------------------------------------------------------------------------------------------------
# Each pattern begins with a sign that is rare in prose, so that one sweep passes over the rest; what must stand before
# that sign is looked at behind it.
_RAISED_GROUP = re.compile(rf"[{_RAISED}]{{1,12}}(?:[,;–-] ?[{_RAISED}]{{1,4}}){{0,12}}\]?")
_BRACKETED = re.compile(
    r"\[(?:(?<=[^\s\[(]\[)|(?<=[^\s\[(] \[))[0-9]{1,3}(?:[,;–-] ?[0-9]{1,3}){0,5}\](?![(:\w]|\[(?![0-9]{1,3}[\],;–-]))"
)
# Plain digits glued to what ends a clause and followed by a space, a dash or nothing; or glued to a word in small
# letters ("miner3 and").
_PLAIN = re.compile(
    r"[0-9](?:(?<=[.,;:!?\"'’”)\]][0-9])[0-9]{0,2}(?:[,–-][0-9]{1,3}){0,5}(?=[\s—]|$)"
    r"|(?<=[a-zà-öø-ÿ]{3}[0-9])[0-9]{0,2}(?=[\s.,;:!?—]|$))"
)

# Before a full stop that belongs to an abbreviation: the digits after it are a page, a day, a chapter or a year.
_ABBREVIATION = re.compile(
    r"pp|nos?|vols?|ch|chap|ff|fols?|art|sect?|figs?|pl|pt|bk|st|abt|bef|aft|cir|bp|bapt?|bur|eds?|rev|cols?|par|mss?"
    r"|app|div|dist|reg|lib|jan|feb|mar|apr|jun|jul|aug|sept?|oct|nov|dec"
    r"|gen|ex|lev|num|deut|matt|mk|lk|jn|rom|cor|gal|eph|phil|heb|jas|pet|ps",
    re.IGNORECASE,
)
_UNIT = re.compile(r"[mck]?m|in|ft|yd|mi|sq|rd|ch|ha", re.IGNORECASE)
_SEPARATOR = re.compile(r" ?[,;] ?")
_SEPARATOR_LETTERS = 3
_LARGEST_GENERATION = 30  # no printed line of descent is longer; common practice, no source
_YEAR = re.compile(r"(?<!\d)(?:1\d|20)\d\d$")
_SEEN = re.compile(r"\S")
_LAST_WORD = re.compile(r"[^\W\d_]+$")
_OPEN_LINEAGE = re.compile(r"\([^()]*$")

# --- lists ------------------------------------------------------------------------------------------------------
_NOTES_HEADING = re.compile(
    r"(?:(?:source|chapter|end|foot|reference)[ -]?)?notes?"
    r"(?: (?:and|&) (?:references|sources|citations))?(?: (?:to|for|on) .{1,60})?"
    r"|(?:references|sources|citations|works cited)(?: (?:and|&) notes)?",
    re.IGNORECASE,
)
# These stand as often over an unnumbered bibliography or a list of archives: below them the numbers must answer marks.
_DOUBTFUL_HEADING = re.compile(r"(?:references|sources|citations|works cited)\b", re.IGNORECASE)
_RULE_LINE = re.compile(r"[\s*_=~·•—–-]{3,}")
_ENTRY = re.compile(
    rf"\s*(?:\[(\d{{1,4}})\]|\((\d{{1,4}})\)|(\d{{1,4}})(?=[.):\s])|([{_RAISED}]{{1,4}}))[.):]?\s*(?=\S)"
)
_NUMBER = re.compile(rf"[0-9{_RAISED}]+")
_ENTRY_LABEL = re.compile(r"[\[(]?(\d{1,4})[\])]?[.:]?")
# Never a heading: "3. Hannah Prydderch" opens a person's entry, not a note.
_ENTRY_KINDS = frozenset({Kind.PARAGRAPH, Kind.ITEM, Kind.CHILD, Kind.QUOTATION, Kind.NOTES})
_LARGEST_STEP = 50  # a number that leaps further is a year or a house, not the next note
_FURTHER = 4  # paragraphs that one note may go on for
_LONG_NOTE = 30  # the same where the next note can't be mistaken
_MOST_MARKS = 50_000  # a book of 500,000 words has a tenth of that
_FEW = 3  # so many plain digits in rising order make a system of marks even without a list


_Found = TypeVar("_Found")


def attach(blocks: Sequence[Block], live: Sequence[Note] = ()) -> tuple[tuple[Block, ...], tuple[Note, ...]]:
    """Take typed marks out of the text, turn lists of notes into notes, and join marks to notes.

    ``blocks`` is the whole draft in reading order; digits raised by style come as raised characters (``superscript``)
    or as ``Mark(live=False, note=None)``. ``live`` are the notes the reader has already, to which its live marks
    point. Returns the blocks, and the typed notes alone: they follow ``live`` in ``Draft.notes``, and the marks
    point there. A typed digit that no list has calls the live note of that number, if there is one.
    """
    raised = _lift_raised(blocks)
    groups = _within_bounds(_plain_groups, raised)
    if not _may_have_typed_marks(raised, groups):
        return tuple(map(_without_separators, raised)), ()
    lists = _find_lists(raised, groups)
    lifted = _lift_plain(raised, groups, lists)
    notes, numbers = _notes_of(lifted, lists, len(live))
    return tuple(map(_without_separators, _joined(lifted, lists, numbers, live))), tuple(notes)


def _without_separators(block: Block) -> Block:
    """``block`` without what a writer puts between two marks at one spot ("here.[1],[2]"): it is none of the text."""
    spots = sorted({mark.at for mark in block.marks})
    between = [(early, late) for early, late in pairwise(spots) if late - early <= _SEPARATOR_LETTERS]
    return lift(block, [span for span in between if _SEPARATOR.fullmatch(block.text, *span)])


def superscript(digits: str) -> str:
    """The digits in ``digits`` as raised characters, everything else as it is."""
    return digits.translate(_RAISE)


def numbers_in(group: str) -> list[str]:
    """The numbers of a printed mark: "3,4" gives 3 and 4, "3–5" gives 3, 4 and 5, "[3]" gives 3."""
    numbers: list[str] = []
    for part in re.split(r"[,;]", group.translate(_LOWER)):
        ends = [int(digits) for digits in re.findall(r"\d+", part)]
        if len(ends) == 2 and ends[0] < ends[1] <= ends[0] + 20:
            ends = list(range(ends[0], ends[1] + 1))
        numbers += map(str, ends)
    return numbers


class _Shift:
    """Where a position of the old text stands once ``cuts`` (rising, apart) are gone."""

    def __init__(self, cuts: Sequence[tuple[int, int]]) -> None:
        self._starts = [start for start, _ in cuts]
        self._ends = [end for _, end in cuts]
        self._gone = list(accumulate((end - start for start, end in cuts), initial=0))

    def __call__(self, at: int) -> int:
        cut = bisect_right(self._starts, at) - 1
        if cut < 0:
            return at
        return at - self._gone[cut] - (min(at, self._ends[cut]) - self._starts[cut])


def lift(block: Block, spans: Sequence[tuple[int, int]]) -> Block:
    """``block`` without these spans of its text, each replaced by the typed marks that it spells.

    ``spans`` are (start, end) in ``block.text``, rising and apart. Marks, segments, italic and bold move with the text.
    """
    if not spans:
        return block
    numbers = [numbers_in(block.text[start:end]) for start, end in spans]
    cuts = _with_spaces(block.text, spans)
    moved = _Shift(cuts)
    marks = [(mark.at, replace(mark, at=moved(mark.at))) for mark in block.marks]
    for (start, _), called in zip(cuts, numbers, strict=True):
        marks += [(start, Mark(moved(start), number, live=False)) for number in called]
    kept = pairwise([0, *(edge for cut in cuts for edge in cut), len(block.text)])
    segments = {moved(start): origin for start, origin in block.segments}
    segments |= {moved(end): block.source_offset(end) for _, end in cuts}
    return replace(
        block,
        text="".join(block.text[start:end] for start, end in list(kept)[::2]),
        marks=tuple(mark for _, mark in sorted(marks, key=lambda pair: pair[0])),
        segments=tuple(sorted(segments.items())),
        italic=_moved(block.italic, moved),
        bold=_moved(block.bold, moved),
    )


def _with_spaces(text: str, spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The spans, each with the space before it where the words would otherwise stand two spaces apart."""
    cuts: list[tuple[int, int]] = []
    stop = -1  # where the text goes on after this span and those that touch it
    for start, end in reversed(spans):
        stop = stop if cuts and cuts[-1][0] == end else end
        spaced = start and text[start - 1] == " " and (stop == len(text) or text[stop] in " .,;:!?)")
        cuts.append((start - 1 if spaced else start, end))
    return cuts[::-1]


def _moved(spans: Sequence[tuple[int, int]], moved: _Shift) -> tuple[tuple[int, int], ...]:
    pairs = ((moved(start), moved(end)) for start, end in spans)
    return tuple((start, end) for start, end in pairs if start < end)


def _may_have_typed_marks(blocks: Sequence[Block], groups: Sequence[Sequence[_Group]]) -> bool:
    """False for the many drafts that have live notes alone."""
    return (
        any(groups)
        or any(not mark.live for block in blocks for mark in block.marks)
        or any(block.kind is Kind.HEADING and _is_notes_heading(block, block.text.strip(" .:")) for block in blocks)
    )


def _within_bounds(find: Callable[[str], Iterator[_Found]], blocks: Sequence[Block]) -> list[list[_Found]]:
    """What ``find`` finds in each block; nothing at all where it is more than the marks of any draft."""
    found: list[list[_Found]] = []
    left = _MOST_MARKS
    for block in blocks:
        found.append(list(islice(find(block.text), left + 1)))
        left -= len(found[-1])
        if left < 0:
            return [[] for _ in blocks]
    return found


# --- which digits are marks -------------------------------------------------------------------------------------


def _lift_raised(blocks: Sequence[Block]) -> list[Block]:
    found = list(zip(blocks, _within_bounds(_raised_groups, blocks), strict=True))
    known = {name for block, spans in found for span in spans if (name := _generation(block.text, *span))}
    return [
        lift(block, [span for span in spans if _is_citation(block.text, *span, known)]) if spans else block
        for block, spans in found
    ]


def _raised_groups(text: str) -> Iterator[tuple[int, int]]:
    """(start, end) of raised digits, with the bracket before them."""
    for match in _RAISED_GROUP.finditer(text):
        start, end = match.span()
        yield start - (text[start - 1 : start] == "["), end


def _is_citation(text: str, start: int, end: int, known: set[str]) -> bool:
    """Whether raised digits call a note: not a generation ("John² Marsh"), a square unit or a power. Forenames are
    ``known`` with their generation: once "John² Marsh" has been told of, "Children of John² and Mary" is no note 2."""
    if not _SEEN.search(text, 0, start):
        return False  # opens the paragraph: the number of an entry, not a mark
    if text[start - 1].isdigit():
        return _ends_in_a_year(text, start)
    word = _LAST_WORD.search(text, max(0, start - 40), start)
    if word is None:
        return True
    return not _UNIT.fullmatch(word[0]) and _named(word[0], text[start:end]) not in known


def _named(word: str, digits: str) -> str:
    """A forename with its generation, in one spelling."""
    return word.casefold() + digits


def _generation(text: str, start: int, end: int) -> str | None:
    """The forename before raised digits, with them, where they are its generation."""
    word = _LAST_WORD.search(text, max(0, start - 40), start)
    return _named(word[0], text[start:end]) if word and _is_generation(text, word[0], start, end) else None


def _is_generation(text: str, word: str, start: int, end: int) -> bool:
    """A generation number follows a forename: a surname, a line of descent or its comma or bracket comes next.

    The convention of compiled genealogies in the Register style ("John² Marsh (Thomas¹)"); common practice, no source.
    """
    digits = text[start:end].translate(_LOWER)
    if not word[0].isupper() or not digits.isdecimal() or int(digits) > _LARGEST_GENERATION:
        return False
    after = text[end : end + 2]
    if after[:1] in (" ", "\N{NO-BREAK SPACE}"):
        return after[1:].isupper() or after[1:] in ("(", "“", '"')
    return after[:1] in (",", ")", "-", "–") and bool(_OPEN_LINEAGE.search(text, max(0, start - 200), start))


class _Trust(IntEnum):
    """How far plain digits are believed to be a mark."""

    DOUBTFUL = 0  # where a list has the number, and it fills the gap between two marks
    LISTED = 1  # where a list has the number
    SURE = 2  # where the draft has a list, or marks that count up, at all


_Group = tuple[int, int, _Trust]


def _lift_plain(blocks: Sequence[Block], groups: Sequence[Sequence[_Group]], lists: Sequence[_List]) -> list[Block]:
    """Lift brackets and plain digits that a list of notes, or their own rising order, shows to be marks."""
    listed = {number for notes in lists for number, _ in notes.entries}
    inside = {position for notes in lists for position in notes.positions}
    free = [position for position in range(len(blocks)) if position not in inside]
    believed = bool(listed) or _is_system(
        [blocks[at].text[start:end] for at in free for start, end, trust in groups[at] if trust]
    )
    limit = max((int(number) for number in listed), default=999) + _LARGEST_STEP
    spans: dict[int, list[tuple[int, int]]] = {at: [] for at in free}
    for at in free:
        for start, end, trust in groups[at]:
            sure = trust is _Trust.SURE and believed
            if trust and _believable(numbers_in(blocks[at].text[start:end]), listed, sure, limit):
                spans[at].append((start, end))
    for at, span in _filling_gaps(blocks, groups, spans, listed):
        insort(spans[at], span)
    return [lift(block, spans.get(at, ())) for at, block in enumerate(blocks)]


def _filling_gaps(
    blocks: Sequence[Block],
    groups: Sequence[Sequence[_Group]],
    spans: Mapping[int, Sequence[tuple[int, int]]],
    listed: set[str],
) -> list[tuple[int, tuple[int, int]]]:
    """The doubtful digits, as (position, span), that a list has and that alone stand between the marks before and
    after their number."""
    filling: list[tuple[int, tuple[int, int]]] = []
    last, between = 0, []
    for at, chosen in spans.items():
        text = blocks[at].text
        marks = [(mark.at, 0, mark.number) for mark in blocks[at].marks if not mark.live and mark.number.isdecimal()]
        marks += [(start, 0, number) for start, end in chosen for number in numbers_in(text[start:end])]
        marks += [(start, end, text[start:end]) for start, end, trust in groups[at] if not trust]
        for start, end, number in sorted(marks):
            if end and number in listed and int(number) == last + 1:
                between.append((at, (start, end)))
            elif not end:
                filling += between if len(between) == 1 and int(number) == last + 2 else []
                last, between = int(number), []
    return filling


def _plain_groups(text: str) -> Iterator[_Group]:
    """(start, end, trust) of brackets and plain digits that may be marks, rising and apart."""
    groups = [(*match.span(), _Trust.SURE) for match in _BRACKETED.finditer(text)]
    groups += [(*match.span(), _trust(text, match.start())) for match in _PLAIN.finditer(text)]
    at = 0
    for start, end, trust in sorted(groups):
        if start >= at:
            yield start, end, trust
            at = end


def _on_small_letters(text: str, at: int) -> bool:
    """Whether the word before ``at`` has no capital: a name with a digit has its generation, not a note."""
    word = _LAST_WORD.search(text, max(0, at - 40), at)
    return word is not None and word[0].islower() and not _UNIT.fullmatch(word[0])


def _trust(text: str, start: int) -> _Trust:
    """How far to believe the plain digits that begin at ``start``."""
    if text[start - 1].islower():
        return _Trust.LISTED if _on_small_letters(text, start) else _Trust.DOUBTFUL
    if not _ends_a_clause(text, start - 1):
        return _Trust.DOUBTFUL
    return _Trust.LISTED if text[start - 1] in ":,;" else _Trust.SURE


def _ends_a_clause(text: str, stop: int) -> bool:
    """Whether the punctuation at ``stop`` ends a clause: no decimal point, clock time, verse or abbreviation."""
    if text[stop] in "!?\"'’”)]":
        return not text[stop - 1 : stop].isdigit() or _ends_in_a_year(text, stop) or text[stop] in ")]”"
    if text[stop - 1 : stop].isdigit():
        return _ends_in_a_year(text, stop)
    word = _LAST_WORD.search(text, max(0, stop - 40), stop)
    if word is None:
        return text[stop - 1 : stop] in ")]”\"'’"
    return text[stop] != "." or (len(word[0]) > 1 and not _ABBREVIATION.fullmatch(word[0]))


def _ends_in_a_year(text: str, stop: int) -> bool:
    """Whether the four digits before ``stop`` are a year's."""
    return bool(_YEAR.search(text, max(0, stop - 5), stop))


def _is_system(groups: Sequence[str]) -> bool:
    """Whether the digits found in a draft without a list are marks all the same: several, from 1 or so, rising."""
    numbers = [int(number) for group in groups for number in numbers_in(group)]
    rising = sum(0 <= later - earlier <= 2 for earlier, later in pairwise(numbers))
    return len(numbers) >= _FEW and numbers[0] <= _FEW and rising >= 0.8 * (len(numbers) - 1)


def _believable(numbers: Sequence[str], listed: set[str], sure: bool, limit: int) -> bool:
    if not numbers:
        return False
    return all(number in listed for number in numbers) or (sure and all(int(number) <= limit for number in numbers))


# --- lists of notes ---------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _List:
    """One numbered list: ``entries`` are (number, positions of its blocks); ``title`` the heading right above it.

    ``section`` counts the notes headings: lists of one section stand together at the end of a book.
    """

    section: int
    title: str
    entries: list[tuple[str, list[int]]] = field(default_factory=list)

    @property
    def positions(self) -> Iterator[int]:
        return (position for _, positions in self.entries for position in positions)

    @property
    def first(self) -> int:
        return self.entries[0][1][0]


def _find_lists(blocks: Sequence[Block], groups: Sequence[Sequence[_Group]]) -> list[_List]:
    called = {mark.number for block in blocks for mark in block.marks if not mark.live}
    called |= {
        number
        for block, found in zip(blocks, groups, strict=True)
        for start, end, trust in found
        if trust
        for number in numbers_in(block.text[start:end])
    }
    lists: list[_List] = []
    earlier: set[str] = set()
    at = section = 0
    while at < len(blocks):
        text = blocks[at].text.strip(" .:")
        if _is_notes_heading(blocks[at], text):
            section += 1
            found, at = _read_section(blocks, at, section, earlier, called)
            numbers = {number for notes in found for number, _ in notes.entries}
            if not _DOUBTFUL_HEADING.match(text) or numbers & called:
                lists += found
            continue
        if blocks[at].kind is Kind.HEADING:
            earlier.add(_plain_title(text))
        at += 1
    return lists or _headless(blocks, called)


def _is_notes_heading(block: Block, text: str) -> bool:
    titled = block.kind is Kind.HEADING or (block.kind is Kind.PARAGRAPH and text[:1].isupper() and len(text) <= 40)
    return titled and bool(_NOTES_HEADING.fullmatch(text))


def _plain_title(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.lower()))


def _read_section(
    blocks: Sequence[Block], heading: int, section: int, earlier: set[str], called: set[str]
) -> tuple[list[_List], int]:
    """The lists under a notes heading, and the position after them.

    A heading ends the section unless it is deeper than the notes heading or names a chapter that came before
    (notes gathered by chapter at the end of a book) and an entry follows it.
    """
    lists: list[_List] = []
    title = blocks[heading].text
    fresh, last, form, at = True, 0, "", heading + 1
    while at < len(blocks):
        block = blocks[at]
        if block.kind is Kind.HEADING:
            if not _is_inner_heading(blocks, heading, at, earlier):
                break
            title, fresh, last = block.text, True, 0
        elif (number := _entry_number(block, last)) is not None:
            if fresh or (number == 1 and last > 1):
                lists.append(_List(section, title))
            lists[-1].entries.append((str(number), [at]))
            fresh, last, form = False, number, _form(block)
        elif fresh:
            if lists or block.kind is not Kind.PARAGRAPH or at > heading + 1:
                break  # what follows is no list; one line of introduction is forgiven
        else:
            further = _further(blocks, at, last, form if str(last + 1) in called else "")
            if not further:
                break
            lists[-1].entries[-1][1].extend(further)
            at = further[-1]
        at += 1
    return lists, at if lists else heading + 1


def _further(blocks: Sequence[Block], at: int, last: int, form: str) -> range:
    """The paragraphs from ``at``, without a number, with which the note ``last`` goes on; empty if they are text.

    The next note follows soon, or the list ends with this very paragraph. A note may hold a whole letter: where a mark
    calls the next one, and it is numbered in the same ``form``, it may follow late.
    """
    for stop in range(at, min(at + (_LONG_NOTE if form else _FURTHER) + 1, len(blocks))):
        block, late = blocks[stop], stop - at > _FURTHER
        number = _entry_number(block, last)
        if block.kind not in _ENTRY_KINDS or (late and any(before.marks for before in blocks[at:stop])):
            break
        if not late and number in (last + 1, last + 2):
            return range(at, stop)
        if late and number:
            return range(at, stop) if number == last + 1 and _form(block) == form else range(0)
    ends = at + 1 == len(blocks) or blocks[at + 1].kind is Kind.HEADING
    return range(at, at + 1) if ends and blocks[at].kind in _ENTRY_KINDS else range(0)


def _form(block: Block) -> str:
    """How an entry's number is written: "[9]", "9.", "(9)" and so on."""
    match = _ENTRY.match(block.text)
    return _NUMBER.sub("9", block.label or (match[0] if match else "")).strip()


def _is_inner_heading(blocks: Sequence[Block], heading: int, at: int, earlier: set[str]) -> bool:
    if at + 1 >= len(blocks) or _entry_number(blocks[at + 1], 0) is None:
        return False
    deeper = blocks[heading].kind is Kind.HEADING and blocks[at].level > blocks[heading].level
    return deeper or _plain_title(blocks[at].text) in earlier


def _entry_number(block: Block, last: int) -> int | None:
    """The number a block opens with as an entry of a list whose last number was ``last`` (0: none yet)."""
    if block.kind not in _ENTRY_KINDS:
        return None
    number = _opening_number(block)
    if number is None or (last and number != 1 and not last <= number <= last + _LARGEST_STEP):
        return None
    return number


def _opening_number(block: Block) -> int | None:
    if label := _ENTRY_LABEL.fullmatch(block.label.strip()):
        return int(label[1])
    if block.marks and block.marks[0].at == 0 and not block.marks[0].live and block.marks[0].number.isdecimal():
        return int(block.marks[0].number)
    match = _ENTRY.match(block.text)
    return int(next(filter(None, match.groups())).translate(_LOWER)) if match else None


def _headless(blocks: Sequence[Block], called: set[str]) -> list[_List]:
    """A list without a heading: the numbered paragraphs that end the draft or follow a ruled line.

    It must answer the marks of the text and little else, so that a child list is never taken for it.
    """
    run: list[tuple[str, list[int]]] = []
    for at in range(len(blocks) - 1, -1, -1):
        number = _entry_number(blocks[at], 0)
        if number is None or (run and number > int(run[-1][0])):
            break
        run.append((str(number), [at]))
    numbers = {number for number, _ in run}
    both = len(numbers & called)
    if len(run) < 2 or both < 0.6 * len(numbers) or both < 0.8 * len(called):
        return []
    return [_List(1, "", run[::-1])]


def _notes_of(blocks: Sequence[Block], lists: Sequence[_List], first: int) -> tuple[list[Note], list[_Numbers]]:
    """The notes of all lists, and for each list the indexes in ``Draft.notes`` of each number."""
    notes: list[Note] = []
    numbers: list[_Numbers] = []
    for listed in lists:
        numbers.append(defaultdict(list))
        for number, positions in listed.entries:
            numbers[-1][number].append(first + len(notes))
            opening = blocks[positions[0]]
            text = "\n".join([_without_number(opening), *(blocks[position].text for position in positions[1:])])
            notes.append(Note(number, text, "typed", live=False, line=opening.line, block=opening.index))
    return notes, numbers


_Numbers = dict[str, list[int]]


def _without_number(block: Block) -> str:
    if _ENTRY_LABEL.fullmatch(block.label.strip()) or (block.marks and block.marks[0].at == 0):
        return block.text.strip()
    match = _ENTRY.match(block.text)
    return block.text[match.end() :] if match else block.text


# --- joining ----------------------------------------------------------------------------------------------------


def _joined(
    blocks: Sequence[Block], lists: Sequence[_List], numbers: Sequence[_Numbers], live: Sequence[Note]
) -> tuple[Block, ...]:
    inside = {position for listed in lists for position in listed.positions}
    live_numbers: _Numbers = defaultdict(list)
    for index, note in enumerate(live):
        live_numbers[note.number].append(index)
    chapters = _chapters(blocks, lists, inside)
    calls: dict[tuple[int, str], int] = defaultdict(int)
    joined: list[Block] = []
    for position, block in enumerate(blocks):
        if position in inside:
            joined.append(_as_notes(block))
            continue
        chapter = chapters[position] if chapters else -1
        marks = []
        for mark in block.marks:
            if not mark.live and mark.note is None:
                own = numbers[chapter].get(mark.number) if chapter >= 0 else None
                mark = replace(mark, note=_pick(own or live_numbers.get(mark.number), calls, (chapter, mark.number)))
            marks.append(mark)
        joined.append(replace(block, marks=tuple(marks)) if marks else block)
    return tuple(joined)


def _pick(indexes: Sequence[int] | None, calls: dict[tuple[int, str], int], key: tuple[int, str]) -> int | None:
    """The note for this call of a number: the first for the first call, and so on; the last one serves the rest."""
    if not indexes:
        return None
    calls[key] += 1
    return indexes[min(calls[key], len(indexes)) - 1]


def _as_notes(block: Block) -> Block:
    """An entry's block: a number that stood as a mark becomes its label, and digits in a note call nothing."""
    label = block.label
    if not label and block.marks and block.marks[0].at == 0 and not block.marks[0].live:
        label = block.marks[0].number + "."
    return replace(block, kind=Kind.NOTES, label=label, marks=tuple(mark for mark in block.marks if mark.live))


def _chapters(blocks: Sequence[Block], lists: Sequence[_List], inside: set[int]) -> list[int]:
    """For every block the list that answers its marks.

    One list answers all. Lists in sections of their own answer what stands between the list before and themselves.
    Lists of one section (gathered at the end of the book) answer the chapters in turn: those with their titles, else
    the stretches that begin where the numbers start again.
    """
    if len(lists) <= 1:
        return [0] * len(blocks) if lists else []
    chapters, of_block, start = [], 0, 0
    for section in sorted({listed.section for listed in lists}):
        group = [index for index, listed in enumerate(lists) if listed.section == section]
        stop = lists[group[0]].first
        chapters += _share_out(blocks[start:stop], lists, group)
        start = stop
        of_block = group[-1]
    return chapters + [of_block] * (len(blocks) - start)


def _share_out(blocks: Sequence[Block], lists: Sequence[_List], group: Sequence[int]) -> list[int]:
    titles = {_plain_title(lists[index].title): index for index in group}
    by_title = sum(_plain_title(block.text) in titles for block in blocks if block.kind is Kind.HEADING) >= len(group)
    turn, highest = 0, 0
    shares = []
    for block in blocks:
        if by_title:
            if block.kind is Kind.HEADING and (named := titles.get(_plain_title(block.text))) is not None:
                turn = group.index(named)
        else:
            for mark in block.marks:
                if not mark.live and mark.number.isdecimal():
                    if mark.number == "1" and highest > 1:
                        turn, highest = min(turn + 1, len(group) - 1), 0
                    highest = max(highest, int(mark.number))
        shares.append(group[turn])
    return shares
