"""Notes that a stranger could not follow.

A note is written for somebody who wants to see the record with her own eyes: in ten years, in another country, without
you to ask. She needs to know who made the source, what it is, when it was made, where in it to look and where it is
kept. This rule reads each note as a citation. It speaks up where a note names nothing that could be found, where a
claim rests on a source that can't carry it (a tree without sources, an index alone, 'family records'), where a short
form has lost the full one it stands for, and where a note still waits for its text.

It judges wording, not worth: whether a record is right, and whether it says what you say, only you can tell.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator

from storylint.findings import Finding, Level
from storylint.rule import Card, Example, Option, Options
from storylint.study.apparatus import Call, Places, calls_in
from storylint.study.citations import Cited, notes_of
from storylint.study.cited import QUESTIONS, Citation, has_page, is_placeholder
from storylint.study.study import Book, StudiedSection

CARD = Card(
    name="sources",
    summary="a note that a stranger could not follow",
    scope="book",
    version=3,
    options=(
        Option(
            "answers", 3, "of the five questions a full note answers, how many it must answer to be left alone, 0 to 5"
        ),
        Option("full_twice", True, "whether to say that a full note comes again and could be shortened"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nHe was born at Llanllechid in 1841.[^1] He split slate at Gerlan.[^2]\n\n[^1]: "
            "Family tree of a "
            "cousin, online.\n\n[^2]: Letter.\n",
            ("He was born at Llanllechid in 1841.", "He split slate at Gerlan."),
            "a tree without sources, and a letter that could be any",
        ),
        Example(
            "# Ellen Thomas\n\nShe sold butter at Bangor.[^1]\n\n[^1]: Rate book, cited above, p. 9.\n",
            ("She sold butter at Bangor.",),
            "the note that it leans on is gone",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nOwen split slate at Gerlan for nine winters and never once said that he liked "
            "it.[^1] He "
            "learned to read from the lids of tea chests, by his own account.[^2] The pay clerk spelt him three "
            "ways.[^3]\n\n"
            "[^1]: Penrhyn Quarry wages book, 1866–75, p. 2; Gwynedd Archives, Caernarfon.\n\n[^2]: Owen Prydderch "
            "to Ellen "
            "Thomas, 4 June 1871; family copy held by the author.\n\n[^3]: Penrhyn Quarry wages book, pp. 2, 31 and "
            "40.\n",
            (),
            "who, what, when, where in, where kept; then a short form whose full form stands earlier",
        ),
    ),
    sources=(
        "T. W. Jones, Mastering Genealogical Documentation (2017), on the five questions (wording from memory)",
        "Chicago Manual of Style, 17th ed., §§14.29–14.33: first note full, later ones shortened",
        "E. S. Mills, Evidence Explained, on original, derivative and authored sources (from memory)",
    ),
)
FULL = 4  # answers that make a note a full one; proposed for this tool, no source
LONG = 12  # words from which shortening a note is worth it; proposed for this tool, no source
# A surname or two, a short title and a page: what a book's note is cut down to (Chicago Manual of Style, 17th ed.,
# §14.30).
AUTHOR_AND_TITLE = re.compile(
    r"[A-ZÀ-Þ][\w'’-]+(?: and [A-ZÀ-Þ][\w'’-]+)?, [^,;\d]{4,60}, (?:pp?\. ?)?\d{1,4}(?:[–-]\d{1,4})?"
)
NEEDS = {
    "who": "who made it or whom it is about",
    "what": "what it is",
    "when": "its date",
    "where in": "the page or entry",
    "where is": "where it is kept",
}


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """The notes that are first called in this section, and the weak ones that anything in it rests on."""
    apparatus, calls = calls_in(section, book)
    notes, where = notes_of(book), Places(section)
    by_note: dict[int, list[Call]] = defaultdict(list)
    spots: Spots = defaultdict(set)
    for call in calls:
        if call.mark.note is not None:
            by_note[call.mark.note].append(call)
            spots[id(call.block), call.mark.at].add(call.mark.note)
    for index, own in by_note.items():
        one = notes.of[id(apparatus), index]
        if (fault := weak(one, own, spots)) or (first_here(own[0], one) and (fault := other(one, options))):
            problem, level, message, fix, called = fault
            places = tuple(dict.fromkeys(map(where.of, called or own)))
            details = {"problem": problem, "number": one.note.number, "note": one.note.text, "missing": missing(one)}
            yield Finding("sources", level, message, fix, places, details)


Fault = tuple[str, Level, str, str, list[Call]]
Spots = dict[tuple[int, int], set[int]]  # the notes that marks call at one place of one block


def first_here(call: Call, one: Cited) -> bool:
    """Whether this is the note's first mark in the draft."""
    return one.apparatus.by_note[one.index][0] is call


def missing(one: Cited) -> list[str]:
    """The questions that not one citation of the note answers."""
    return [q for q in QUESTIONS if not any(q in citation.answers for citation in one.citations)]


def weak(one: Cited, own: list[Call], spots: Spots) -> Fault | None:
    """A note whose every source is weak, where no other note stands at the same spot."""
    if not one.citations or not all(citation.weak for citation in one.citations) or is_placeholder(one.note.text):
        return None
    alone = [call for call in own if spots[id(call.block), call.mark.at] == {one.index}]
    if not alone:
        return None
    return (
        "weak source",
        Level.WARNING,
        f"This rests on note {one.note.number} alone (“{shown(one)}”), and {one.citations[0].weak}.",
        "Look for the record itself and cite that; until then say in the text how you know.",
        alone,
    )


def other(one: Cited, options: Options) -> Fault | None:
    """The first thing wrong with the note itself."""
    text = one.note.text
    if is_placeholder(text):
        message = f"Note {one.note.number} waits for its text." if text.strip() else f"Note {one.note.number} is empty."
        return "placeholder", Level.WARNING, message, "Write the citation, or take the mark out.", []
    return lost_full_form(one) or too_little(one, options["answers"]) or (again(one) if options["full_twice"] else None)


def lost_full_form(one: Cited) -> Fault | None:
    """A short form whose full form stands nowhere before it."""
    for citation, source in zip(one.citations, one.sources, strict=True):
        if citation.points in ("above", "note") and source is None:
            message = f"Note {one.note.number} leans on an earlier note, and none names this source (“{shown(one)}”)."
            return "short without full", Level.WARNING, message, "Write the source in full here.", []
        if source is None or not is_short(citation) or source.at < one.at:
            continue
        if len(source.full.answers) > len(citation.answers) + 1:
            later = cut(source.full.text)
            message = f"Note {one.note.number} is a short form (“{shown(one)}”); its full form comes later (“{later}”)."
            return "short before full", Level.WARNING, message, "Put the full form here and the short one there.", []
        if AUTHOR_AND_TITLE.fullmatch(citation.text):
            message = (
                f"Note {one.note.number} reads like a short form (“{shown(one)}”), and no note gives the full one."
            )
            return "short without full", Level.NOTE, message, "Give the source in full where it is first cited.", []
    return None


def is_short(citation: Citation) -> bool:
    """A citation with a page and neither a date nor a place where it is kept."""
    return has_page(citation.text) and not citation.points and citation.answers.isdisjoint(("when", "where is"))


def too_little(one: Cited, wanted: int) -> Fault | None:
    """A note that answers too few of the five questions and is no short form."""
    if not one.citations or any(one.short) or any(citation.weak for citation in one.citations):
        return None
    best = max(one.citations, key=lambda citation: len(citation.answers))
    if len(best.answers) >= wanted:
        return None
    ask = " and ".join(NEEDS[question] for question in best.missing[:3])
    if best.answers.isdisjoint(("who", "when", "where is")):
        message = f"Nobody could find the source of note {one.note.number} (“{shown(one)}”)."
        return "cannot follow", Level.WARNING, message, f"Add {ask}.", []
    message = f"Note {one.note.number} is hard to follow (“{shown(one)}”)."
    return "incomplete", Level.NOTE, message, f"Add {ask}.", []


def again(one: Cited) -> Fault | None:
    """A full note that comes again word for word."""
    full = one.citations and max(len(citation.answers) for citation in one.citations) >= FULL
    if one.twin is None or not full or len(one.note.text.split()) < LONG:
        return None
    message = f"Note {one.note.number} says all of note {one.twin.number} again (“{shown(one)}”)."
    return "full twice", Level.NOTE, message, "Shorten it when nothing moves any more; until then it does no harm.", []


def shown(one: Cited) -> str:
    """The note, cut to fit a message."""
    return cut(one.note.text)


def cut(text: str, most: int = 70) -> str:
    """A text cut to ``most`` characters at a space."""
    text = " ".join(text.split())
    return text if len(text) <= most else text[: most - 1].rsplit(" ", 1)[0] + "…"
