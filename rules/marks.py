"""Marks and notes that are out of step.

A mark is a promise: look here and you will see how I know. In months of revision sentences move, and a digit that was
typed moves with them or stays behind. Then mark 9 stands after 53, note 68 answers nobody, and mark 67 leads nowhere. A
reader who tries three marks and is led astray twice believes nothing any more, and in print it can't be called back.

For marks out of order the rule names the fewest whose removal puts the rest in order, since those are the ones that
moved. A number that is used again for a note which has been called in its place is no fault, as where a program gives
each source one number, and neither are numbers that begin again at a new list of notes. Digits that are no marks (years,
ages, ordinals, money, house numbers, verses, generations as in John² Marsh) are never taken for one.
"""

from __future__ import annotations

from bisect import bisect
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from storylint.draft.model import Kind, Note
from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Option, Options
from storylint.study.apparatus import Apparatus, Call, Places, apparatus_of, astray, calls_in, doubled
from storylint.study.citations import Cited, notes_of
from storylint.study.cited import latin
from storylint.study.study import Book, StudiedSection

CARD = Card(
    name="marks",
    summary="marks and notes that are out of step",
    scope="book",
    version=3,
    options=(
        Option(
            "ibid",
            "note",
            "what to say of an 'Ibid.' that fits the note before it: 'note', or 'off' for a text whose order is final",
            ("note", "off"),
        ),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nHe split slate at Gerlan.³ He could read.¹ His wife could not.²\n\n# Notes\n\n1. "
            "Chapel book, "
            "1871, p. 4.\n\n2. Census, 1881, folio 7.\n\n3. Pay sheet, June 1866, p. 2.\n",
            ("He split slate at Gerlan.",),
            "the sentence was moved to the front and its digit came along",
        ),
        Example(
            "# Ellen Thomas\n\nShe sold butter at Bangor.[^1] She kept no accounts.[^2]\n\n[^1]: *North Wales "
            "Chronicle*, 3 May "
            "1862, p. 4.\n",
            ("She kept no accounts.",),
            "a mark and no note",
        ),
        Example(
            "# Ellen Thomas\n\nShe sold butter.[^1] She kept no accounts.[^2]\n\n[^1]: Ellen Thomas to Jane Roberts, "
            "3 May 1862; "
            "Bangor rate book, 1862, p. 9.\n\n[^2]: Ibid., p. 12.\n",
            ("She kept no accounts.",),
            "the note before cites two sources, so 'Ibid.' means neither",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nOwen split slate at Gerlan for nine winters and never once said that he liked "
            "it.[^1] He learned "
            "to read from the lids of tea chests, by his own account, and later taught two of his sons.[^2]\n\n[^1]: "
            "Penrhyn "
            "Quarry wages book, 1866, p. 2; Gwynedd Archives, Caernarfon.\n\n[^2]: Owen Prydderch to Ellen Thomas, 4 "
            "June 1871, "
            "family copy.\n",
            (),
            "live notes number themselves",
        ),
    ),
    sources=(
        "Chicago Manual of Style, 17th ed., §§14.24–14.28 (numbers in order, place of the mark, none in headings; "
        "from memory)",
        "Chicago Manual of Style, 17th ed., §14.34: 'ibid.' means the single work in the note right before",
    ),
)


@dataclass(slots=True)
class Fault:
    """One thing wrong with marks of one section, before it has places."""

    problem: str
    level: Level
    number: str
    calls: list[Call]
    message: str
    fix: str
    details: dict[str, Any] = field(default_factory=dict)


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """The faults of the marks that stand in this section."""
    apparatus, calls = calls_in(section, book)
    if not calls:
        return
    where = Places(section)
    for fault in (
        *missing(calls, book, apparatus),
        *out_of_order(calls, book, apparatus),
        *begins_again(calls, apparatus),
        *ibids(calls, book, apparatus, options["ibid"] == "note"),
        *not_linked(calls, apparatus),
        *badly_placed(calls, apparatus),
    ):
        places = tuple(dict.fromkeys(map(where.of, fault.calls)))
        details = {"problem": fault.problem, "number": fault.number, **fault.details}
        yield Finding("marks", fault.level, fault.message, fault.fix, places, details)


def check_book(book: Book, options: Options) -> Iterator[Finding]:
    """The faults of the notes themselves: never called, one number twice, two kinds of live notes, no list at all."""
    called = numbers_called(book)
    for apparatus in apparatus_of(book):
        yield from no_list(apparatus, book)
        yield from doubles(apparatus)
        yield from unused(apparatus, called)
        yield from two_kinds(apparatus)


# --- marks without a note, and out of order -----------------------------------------------------------------------


def by_number(calls: Iterable[Call]) -> dict[str, list[Call]]:
    """Calls of the same number together."""
    groups: dict[str, list[Call]] = defaultdict(list)
    for call in calls:
        groups[call.mark.number].append(call)
    return groups


def missing(calls: Sequence[Call], book: Book, apparatus: Apparatus) -> Iterator[Fault]:
    """Marks that no note answers, one fault a number. A draft that has no notes at all is told once (``no_list``)."""
    if has_no_list(apparatus):
        return
    for number, same in by_number(call for call in calls if call.mark.note is None).items():
        yield Fault(
            "missing note",
            Level.ERROR,
            number,
            same,
            f"Mark {number} leads to no note.",
            "Write the note, or give the mark the number of the note that it should call; if nothing stands behind "
            "it, take "
            "the mark out and say how you know.",
        )


def has_no_list(apparatus: Apparatus) -> bool:
    """Whether the draft has typed marks and not one note."""
    return not apparatus.draft.notes and bool(apparatus.calls)


def no_list(apparatus: Apparatus, book: Book) -> Iterator[Finding]:
    """One finding for a draft whose list of notes is nowhere: not in it and not in another file of the book."""
    if not has_no_list(apparatus):
        return
    listed = elsewhere(book)
    lost = [call for call in apparatus.calls if call.mark.number not in listed]
    if not lost:
        return
    numbers = list(dict.fromkeys(call.mark.number for call in lost))
    shown = numbers[0] if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
    yield Finding(
        "marks",
        Level.ERROR,
        f"No list of notes answers the marks ({shown}).",
        "Put the list of notes at the end of the draft under a heading 'Notes', or read the file that holds it with "
        "this one.",
        tuple(whole(apparatus, call) for call in lost[:5]),
        {"problem": "missing note", "number": numbers[0], "numbers": numbers},
    )


def elsewhere(book: Book) -> set[str]:
    """The numbers of lists that stand in files of their own, without marks: they serve the whole book."""
    alone = (each for each in apparatus_of(book) if not each.calls)
    return {note.number for each in alone for note in each.draft.notes}


def numbers_called(book: Book) -> set[str]:
    """The numbers of marks in files that have no notes of their own."""
    return {call.mark.number for each in apparatus_of(book) if not each.draft.notes for call in each.calls}


def whole(apparatus: Apparatus, call: Call) -> Place:
    """A mark's block, for findings that belong to no section."""
    block = call.block
    line = apparatus.draft.line_of(block, 0)
    return Place(apparatus.draft.path, block.index, line, 0, len(block.text), block.text)


def out_of_order(calls: Sequence[Call], book: Book, apparatus: Apparatus) -> Iterator[Fault]:
    """The fewest marks whose removal puts the rest in order, one fault a number."""
    lost = strays(book, apparatus)
    for number, same in by_number(call for call in calls if id(call) in lost).items():
        before, after = lost[id(same[0])]
        yield Fault(
            "order",
            Level.WARNING,
            number,
            same,
            stands(number, before, after),
            "Put the sentence back where its number belongs, or renumber marks and notes; 'storylint relink' makes a "
            "copy in which they number themselves.",
            {"between": [before, after]},
        )


def stands(number: str, before: str, after: str) -> str:
    """Where a stray mark stands, by its neighbours."""
    if before and after:
        return f"Mark {number} stands between {before} and {after}."
    return f"Mark {number} stands before {after}." if after else f"Mark {number} stands after {before}."


def strays(book: Book, apparatus: Apparatus) -> dict[int, tuple[str, str]]:
    """For the id of each call out of order its neighbours' numbers; worked out once a draft."""

    def work_out() -> dict[int, tuple[str, str]]:
        runs: dict[tuple[str, int], list[Call]] = defaultdict(list)
        for call in apparatus.calls:
            if call.mark.note is not None and (call.mark.number.isdecimal() or call.mark.live):
                runs[call.run].append(call)
        uses = uses_of(book, apparatus)
        found: dict[int, tuple[str, str]] = {}
        for run in runs.values():
            kept, lost = in_order([rank(call, apparatus) for call in run], [uses[id(call)] for call in run])
            found.update({id(run[at]): neighbours(run, kept, at) for at in lost})
        return found

    return book.once(f"strays {id(apparatus)}", work_out)


def in_order(ranks: Sequence[int], uses: Sequence[object]) -> tuple[list[int], list[int]]:
    """Of one run of marks the places of those that stand in order, and of those that do not. Marks of one use (see
    ``uses_of``) share a number, which may come again once it has stood in its place: only the first of them counts, or
    where that one has strayed the next that stands right.

    >>> in_order([1, 2, 1, 3], "abac"), in_order([3, 1, 2, 3], "cabc")
    (([0, 1, 3], []), ([1, 2, 3], [0]))
    """
    order = sorted({use: at for at, use in reversed(list(enumerate(uses)))}.values())
    gone = {order[at] for at in astray([ranks[at] for at in order])}
    kept = [at for at in order if at not in gone]
    home, lost = {uses[at] for at in kept}, sorted(gone)
    for at in range(len(ranks)):
        if uses[at] in home or at in gone:
            continue
        turn = bisect(kept, at)
        between = [ranks[kept[turn - 1]]] * bool(turn) + [ranks[at]] + [ranks[other] for other in kept[turn : turn + 1]]
        if between == sorted(between):
            home.add(uses[at])
            kept.insert(turn, at)
        else:
            lost.append(at)
    return kept, sorted(lost)


def section_of(book: Book) -> dict[tuple[int, int], int]:
    """Which section each block stands in, by the id of its draft and its index."""
    return {
        (id(section.section.draft), block.index): number
        for number, section in enumerate(book.sections)
        for block in section.section.body
    }


def uses_of(book: Book, apparatus: Apparatus) -> dict[int, object]:
    """What each call, by its id, is a use of: its note, as where a program gives each source one number. But a sentence
    that stands twice in one section was copied, and its mark came along; and a digit typed beside live notes is left of
    an older numbering, whatever note has that number now."""
    sections = book.once("section of each block", lambda: section_of(book))
    found: dict[int, object] = {}
    seen: set[object] = set()
    block, start = -1, 0
    for call in apparatus.calls:
        start = start if call.block.index == block else 0
        text = call.block.text[start : call.mark.at].strip(" .,;")
        copy = (call.mark.note, sections.get((id(apparatus.draft), call.block.index)), text)
        found[id(call)] = id(call) if text and copy in seen else (call.mark.note, call.mark.live)
        seen.add(copy)
        block, start = call.block.index, call.mark.at
    return found


def rank(call: Call, apparatus: Apparatus) -> int:
    """The number of a mark in print. Labels in Markdown are names, and "iv" is no figure: there notes count as
    called."""
    called = apparatus.draft.format == "md" or not call.mark.number.isdecimal()
    if call.mark.live and called and call.mark.note is not None:
        return call.mark.note + 1
    return int(call.mark.number)


def neighbours(run: Sequence[Call], kept: Sequence[int], at: int) -> tuple[str, str]:
    """The numbers in order that stand before and after a stray one ("" at an end)."""
    turn = bisect(kept, at)
    before = run[kept[turn - 1]].mark.number if turn else ""
    return before, run[kept[turn]].mark.number if turn < len(kept) else ""


def begins_again(calls: Sequence[Call], apparatus: Apparatus) -> Iterator[Fault]:
    """Numbers that begin again where no chapter does."""
    again = {id(call) for call in apparatus.restarts}
    for call in calls:
        if id(call) in again:
            yield Fault(
                "restart",
                Level.WARNING,
                call.mark.number,
                [call],
                f"The marks begin again with {call.mark.number} in the middle of a chapter.",
                "Number through to the chapter's end, or let a heading open a new chapter here.",
            )


# --- ibid. --------------------------------------------------------------------------------------------------------


def ibids(calls: Sequence[Call], book: Book, apparatus: Apparatus, all_of_them: bool) -> Iterator[Fault]:
    """Notes that say 'ibid.', 'the same' or 'op. cit.', told where the note is first called."""
    notes = notes_of(book)
    own = {id(call) for call in calls}
    for index in dict.fromkeys(call.mark.note for call in calls if call.mark.note is not None):
        first = apparatus.by_note[index][0]
        one = notes.of[id(apparatus), index]
        word = latin(one.note.text)
        if not word or id(first) not in own:
            continue
        same = bool(one.citations) and one.citations[0].points == "ibid"
        why = one.misfit if same else lost_pointer(one)
        if why:
            yield ibid(first, one.note, Level.ERROR, f"“{word}” can't stand here: {why}.")
        elif same and leans_on_other(index, own, apparatus):
            yield ibid(
                first, one.note, Level.WARNING, f"“{word}” opens this section and leans on a note of the one before."
            )
        elif all_of_them:
            yield ibid(first, one.note, Level.NOTE, f"“{word}” fits today, and breaks when a paragraph moves.")


def ibid(call: Call, note: Note, level: Level, message: str) -> Fault:
    """One finding about a word that points back."""
    fix = (
        "Write the source again in short form (name, short title, page); shorten for good when nothing moves any more."
    )
    return Fault("ibid", level, note.number, [call], message, fix, {"note": note.text})


def lost_pointer(one: Cited) -> str:
    """Why an 'op. cit.' leads nowhere, or ""."""
    lost = any(citation.points and source is None for citation, source in zip(one.citations, one.sources, strict=True))
    return "no earlier note names such a source" if lost else ""


def leans_on_other(index: int, own: set[int], apparatus: Apparatus) -> bool:
    """Whether the note before stands in another section."""
    before = apparatus.before(index)
    return before is not None and not any(id(call) in own for call in apparatus.by_note.get(before, ()))


# --- typed digits, headings, punctuation --------------------------------------------------------------------------


def not_linked(calls: Sequence[Call], apparatus: Apparatus) -> Iterator[Fault]:
    """The section's typed digits as one fault; plain text can hold no live note, so there they are none."""
    typed = [call for call in calls if not call.mark.live]
    if not typed or apparatus.draft.format == "txt":
        return
    live = len(apparatus.calls) - len(apparatus.typed)
    count = (
        f"{len(typed)} mark{'s' if len(typed) > 1 else ''} of this section {'are' if len(typed) > 1 else 'is'} typed"
    )
    yield Fault(
        "not linked",
        Level.WARNING if live else Level.NOTE,
        typed[0].mark.number,
        typed,
        f"{count}, and {live} of the draft number themselves: two systems side by side."
        if live
        else f"{count} and will not renumber when a paragraph moves.",
        "When the section is done, 'storylint relink' makes a copy in which they are live notes.",
        {"count": len(typed), "numbers": [call.mark.number for call in typed], "live": live},
    )


def badly_placed(calls: Sequence[Call], apparatus: Apparatus) -> Iterator[Fault]:
    """Marks in headings, and marks before the punctuation that they should follow: one fault of each kind a section.

    What is a heading in plain text is guessed, so nothing is said of it there.
    """
    heads = [call for call in calls if call.block.kind is Kind.HEADING and apparatus.draft.format != "txt"]
    early = [call for call in calls if is_early(call)]
    if heads:
        fix = "Move the mark to the first sentence that needs it: a heading comes again in the table of contents."
        yield Fault("in heading", Level.NOTE, heads[0].mark.number, heads, "A mark stands in a heading.", fix)
    if early:
        message = f"{len(early)} mark{'s stand' if len(early) > 1 else ' stands'} before the punctuation."
        fix = "Put the mark behind the comma or full stop; only a dash comes after it."
        yield Fault("before punctuation", Level.NOTE, early[0].mark.number, early, message, fix, {"count": len(early)})


def is_early(call: Call) -> bool:
    """Whether a mark stands between a word and its comma, semicolon or full stop."""
    text, at = call.block.text, call.mark.at
    return text[at : at + 1] in tuple(".,;:!?") and text[at - 1 : at].isalnum() and at > 0


# --- notes --------------------------------------------------------------------------------------------------------


def note_place(apparatus: Apparatus, index: int) -> Place:
    """Where a note is written; a note in a part of its own is told at the draft's last paragraph."""
    draft, note = apparatus.draft, apparatus.draft.notes[index]
    if note.block is None:
        last = draft.blocks[-1].index if draft.blocks else 0
        return Place(draft.path, last, note.line, 0, 0, note.text)
    block = apparatus.written[note.block]
    start = max(block.text.find(note.text.split("\n")[0]), 0)
    return Place(draft.path, block.index, note.line, start, len(block.text), block.text[start:])


def doubles(apparatus: Apparatus) -> Iterator[Finding]:
    """Numbers that head two notes."""
    for same in doubled(apparatus):
        number = apparatus.draft.notes[same[0]].number
        alike = len({apparatus.draft.notes[index].text for index in same}) == 1
        yield Finding(
            "marks",
            Level.WARNING,
            f"Number {number} heads {len(same)} notes{' with the same words' if alike else ''}.",
            "Strike out one of them."
            if alike
            else "Join them into one note, or give the later one its own number and mark.",
            tuple(note_place(apparatus, index) for index in same),
            {"problem": "duplicate note", "number": number},
        )


def unused(apparatus: Apparatus, called: set[str]) -> Iterator[Finding]:
    """Notes that no mark calls, one finding a note; a list of which none is called as a whole."""
    twice = {index for same in doubled(apparatus) for index in same}
    serves = bool(called) and not apparatus.calls
    notes = apparatus.draft.notes
    idle = [
        index
        for index, note in enumerate(notes)
        if index not in apparatus.by_note and index not in twice and not (serves and note.number in called)
    ]
    if idle and not apparatus.calls and not serves:
        yield idle_list(apparatus, idle)
        return
    for index in idle:
        yield Finding(
            "marks",
            Level.WARNING,
            f"No mark calls note {notes[index].number}.",
            "Find the sentence that lost it and set the mark again, or strike the note out.",
            (note_place(apparatus, index),),
            {"problem": "unused note", "number": notes[index].number, "note": notes[index].text},
        )


def idle_list(apparatus: Apparatus, idle: Sequence[int]) -> Finding:
    """One finding for a list of notes in a draft without marks."""
    numbers = [apparatus.draft.notes[index].number for index in idle]
    return Finding(
        "marks",
        Level.WARNING,
        f"The draft has {len(idle)} note{'s' if len(idle) > 1 else ''} and no mark that calls one.",
        "Set the marks again: a copy with raised digits often loses them on its way through plain text.",
        tuple(note_place(apparatus, index) for index in idle[:5]),
        {"problem": "unused note", "number": numbers[0], "numbers": numbers},
    )


def two_kinds(apparatus: Apparatus) -> Iterator[Finding]:
    """Footnotes and endnotes in one draft, each with numbers of its own."""
    kinds: dict[str, Call] = {}
    for call in apparatus.calls:
        note = apparatus.note_of(call)
        if call.mark.live and note is not None:
            kinds.setdefault(note.kind, call)
    if len(kinds) < 2:
        return
    yield Finding(
        "marks",
        Level.NOTE,
        "The draft has footnotes and endnotes, each with numbers of its own.",
        "Keep one kind for sources; if the other holds remarks, let it have letters or asterisks.",
        tuple(whole(apparatus, call) for call in kinds.values()),
        {"problem": "two systems", "number": next(iter(kinds.values())).mark.number},
    )
