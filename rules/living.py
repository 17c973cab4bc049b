"""What must not be printed of people who may be living.

A book is read by strangers, and it cannot be called back. A birth date and a mother's maiden name open bank accounts;
an address tells a thief who is old and alone; an adoption, an illness or a quarrel told in print before its time can
split a family. This rule asks who may be living and which particulars of them the draft prints.

A death stated anywhere in the draft settles it. Otherwise a person counts as living for 110 years after birth, or 95
after marriage or a child's birth; where nothing is dated, what the draft says of parents, husband or wife and
siblings decides. Ask everyone you write about, in writing, and show them the page. Where leave was given, say so in
the sentence or record it with 'storylint stet', with who gave it and when. Parents decide for children under age, and
their names are best left out.

The tool can't know who has died, and it does not know your law. Data-protection, defamation and privacy laws differ
from country to country, archives have closure periods of their own, and both go before anything that is said here.
The same goes for what a living person asks of you. 'storylint redact' writes a copy in which these particulars are
cut.
"""

from __future__ import annotations

from collections.abc import Iterator

from storylint.draft.model import Block, Mark
from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Option, Options, place, words_at
from storylint.study.asides import ASIDE, in_block
from storylint.study.asides import in_note as said_in_note
from storylint.study.circle import Circle, Someone
from storylint.study.particulars import (
    AGE,
    BIRTH,
    MINOR,
    REMINDER,
    Particular,
    kinds,
    particulars_in,
)
from storylint.study.presumed import Limits, circle_of, year_of
from storylint.study.study import Book, StudiedSection

CARD = Card(
    name="living",
    version=4,
    summary="particulars of people who may be living",
    scope="book",
    options=(
        Option("today", "", "the day on which the draft is read, as an ISO date; empty: the day of the run"),
        Option("born", 110, "years after birth for which a person without a stated death counts as living"),
        Option("married", 95, "the same after a marriage, where the birth is not known"),
        Option("parent", 95, "the same after a child's birth"),
        Option("notes", True, "false to leave the notes unread"),
    ),
    bad=(
        Example(
            "# Mair Prydderch\n\nMair was born at Poultney on 30 August 1958. She lives at 14 Norton Avenue, Poultney, and has had "
            "trouble with her heart.",
            (
                "Mair was born at Poultney on 30 August 1958.",
                "She lives at 14 Norton Avenue, Poultney, and has had trouble with her heart.",
            ),
            "birth date, address and health of somebody whose death is not stated",
            "2026-01-01",
        ),
        Example(
            "# Owen Prydderch\n\nOwen Prydderch, born 3 May 1921, died at Granville in 1990.[^1]\n\nChildren of Owen Prydderch:\n\n"
            "- i. Gwen Prydderch, born 9 June 1950; married Paul Ash.\n\n[^1]: Stone.",
            ("Gwen Prydderch, born 9 June 1950; married Paul Ash.",),
            "a daughter who is only named in the list",
            "2026-01-01",
        ),
    ),
    good=(
        Example(
            "# Mair Prydderch\n\nMair keeps the card in her Bible, and has allowed me to say so.[^1]\n\n[^1]: Letter, 4 May 2024.",
            (),
            "she has given leave",
            "2026-01-01",
        ),
        Example(
            "# Owen Prydderch\n\nOwen had the dust on his lungs from the first winter, knew what it was, and went on splitting "
            "until the week in 1990 in which it killed him.[^1]\n\n[^1]: Certified copy of death, Owen Prydderch, 4 March 1990, "
            "town clerk, Granville, New York.",
            (),
            "of the dead it may be told; ask those whom it touches",
            "2026-01-01",
        ),
    ),
    sources=(
        "A large shared family tree's help pages: living if no death is known and born within 110 years, married or a parent "
        "within 95",
        "National Genealogical Society, Guidelines for Sharing Information with Others: evidence of consent; age, address, "
        "genetic information, occupation and activities only as agreed",
        "Board for Certification of Genealogists, Genealogy Standards, standard 57 (5 October 2020): privacy of the living",
        "Regulation (EU) 2016/679, art. 2(2)(c) and recitals 18, 27: publishing may leave the exemption for households",
        "Convention on the Rights of the Child, 1989, art. 1: a child is under eighteen",
    ),
)
OTHER_PHRASES = {
    BIRTH: (
        "when or where she or he was born",
        "Cut date and place; the year, or ‘living’, is the most to print, and with leave.",
    ),
    AGE: ("an age from which the birth can be counted", "Leave the age out."),
    MINOR: (
        "the name of a child under age",
        "Leave the name out: ‘a grandson’. Parents decide, and the child may mind later.",
    ),
    REMINDER: ("a reminder to yourself about somebody", "Take the line out before anybody sees the draft."),
}


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """Sentence by sentence, then captions, headings and notes."""
    limits = Limits(year_of(options["today"]), options["born"], options["married"], options["parent"])
    circle = circle_of(book, limits)
    for told in circle.told.get(id(section), []):
        if found := particulars_in(told, circle, limits):
            yield from findings(found, place(section.section, told.telling.sentence))
    if circle.living:
        yield from beside_the_prose(section, book, circle, options)


def findings(found: list[Particular], where: Place) -> Iterator[Finding]:
    """One finding for each person of a sentence, in the order in which they are met."""
    by_person: dict[int, list[Particular]] = {}
    for particular in found:
        by_person.setdefault(id(particular.one), []).append(particular)
    for each in by_person.values():
        yield finding(each[0].one, [particular.kind for particular in each], where)


def finding(one: Someone, names: list[str], where: Place) -> Finding:
    """What is printed of her and what to do. The particular itself is in the quote and nowhere else."""
    known = {kind.name: (kind.phrase, kind.fix) for kind in reversed(kinds()[0])} | OTHER_PHRASES
    names = [name for name in names if name != AGE or len(set(names)) == 1]
    told = [known[name] for name in dict.fromkeys(names)]
    phrases = [phrase for phrase, _ in told]
    fix = told[0][1] if len(told) == 1 else " ".join(f"{begun(what)}: {small(do)}" for what, do in told)
    return Finding(
        CARD.name,
        Level.WARNING if set(names) == {AGE} else Level.ERROR,
        f"{begun(one.called)} may be living, and this prints {listed(phrases)}.",
        f"{fix} If leave was given, record it: storylint stet ID --why “leave given by …, on …”.",
        (where,),
        {"person": one.called, "why": one.why, "problem": names[0], "kinds": list(dict.fromkeys(names))},
    )


def begun(text: str) -> str:
    """With a capital."""
    return text[:1].upper() + text[1:]


def small(text: str) -> str:
    """With a small letter."""
    return text[:1].lower() + text[1:]


def listed(phrases: list[str]) -> str:
    """'a, b and c'."""
    return phrases[0] if len(phrases) == 1 else f"{', '.join(phrases[:-1])} and {phrases[-1]}"


def beside_the_prose(section: StudiedSection, book: Book, circle: Circle, options: Options) -> Iterator[Finding]:
    """What sub-headings, captions, tables, lists of facts, quotations and notes print of somebody."""
    own, lead = section.section, circle.leads.get(id(section))
    for block in own.body:
        if block.kind in ASIDE:
            yield from findings(list(in_block(block, circle, lead)), words_at(own, block, 0, len(block.text)))
        if options["notes"]:
            for mark in block.marks:
                yield from in_note(section, book, circle, block, mark)


def in_note(section: StudiedSection, book: Book, circle: Circle, block: Block, mark: Mark) -> Iterator[Finding]:
    """The live note that a mark calls, once."""
    note = None if mark.note is None else section.section.draft.notes[mark.note]
    asked = book.memo.setdefault("living: notes", set())
    assert isinstance(asked, set)
    if note is None or note.block is not None or id(note) in asked:
        return
    asked.add(id(note))
    at = words_at(section.section, block, mark.at, mark.at)
    where = Place(at.path, at.block, note.line or at.line, mark.at, mark.at, note.text)
    yield from findings(list(said_in_note(note.text, circle, circle.leads.get(id(section)))), where)
