"""``storylint redact``: a copy of a draft without the particulars of people who may be living.

The copy is read again before it is written: everything but the cuts must read as in the draft.
"""

from __future__ import annotations

import argparse
import hashlib
from collections.abc import Callable, Collection, Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from storylint.complaints import Exit, Misuse

if TYPE_CHECKING:
    from lxml.etree import _Element

    from storylint.draft.docx_styles import Styles
    from storylint.draft.docx_walk import Unit
    from storylint.draft.model import Block, Draft
    from storylint.repair.cuts import Cut, Plan
    from storylint.repair.docx_runs import Stretch

RULE = "living"
SUFFIXES = {"docx": (".docx", ".docm", ".dotx", ".dotm"), "md": (".md", ".markdown")}
NOBODY = (
    "Nobody's section was recognised in this draft, so much may have been overlooked: give each person a heading with the "
    "name, and see with 'storylint lint' whom the tool finds."
)
CAUTIONS = (
    "Read the copy before you share it. The tool can't know who has died, who is meant by a first name alone, or what a "
    "picture shows.",
    "Pictures are copied as they are, with what a camera wrote into them.",
    "Where leave was given, record it with 'storylint stet' and write the copy again. What your law, an archive or the "
    "person asks goes before anything said here.",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which draft, which copy."""
    add = parser.add_argument
    add("draft", type=Path, metavar="DRAFT", help="a .docx or .md; it is never changed")
    add("-o", "--output", type=Path, required=True, metavar="COPY", help="the copy to write")
    add("--force", action="store_true", help="replace the copy if it is there")


def run(args: argparse.Namespace) -> int:
    """Read, find, cut, check, write, list."""
    from storylint.draft import opening
    from storylint.repair import package

    draft = opening.read(args.draft)
    if draft.format not in SUFFIXES:
        raise Misuse(f"{args.draft}: a copy can be cut from .docx and .md; save it as .docx and redact that.")
    own = args.draft.suffix.lower()
    package.refuse(args.draft, args.output, args.force, (own if own in SUFFIXES[draft.format] else f".{draft.format}",))
    made = planned(draft, args.draft)
    data = args.draft.read_bytes()
    if hashlib.sha256(data).hexdigest() != draft.sha256:
        raise Misuse(f"{args.draft}: changed while it was being read; save it and run storylint again.")
    copy = WRITERS[draft.format](data, made)
    if (unlike := differing(made, copy)) and draft.format == "md":  # markup too tangled to be cut finely
        made.hidden.clear()
        copy = cut_markdown(data, made, unlike)
    check(made, copy)
    package.written(args.output, copy)
    report(made, args.output)
    return Exit.CLEAN


def planned(draft: Draft, path: Path) -> Plan:
    """The cuts, but for what the author lets stand."""
    from storylint import engine, settings
    from storylint.draft import sections as splitter
    from storylint.repair.cuts import plan
    from storylint.revisions import stets
    from storylint.rule import rules
    from storylint.study.study import study

    author = settings.load(path)
    found = engine.reading_of([draft], engine.Run(author, only=(RULE,)))
    reading = stets.apply(found, [path])
    if reading.crashes:
        raise Misuse(f"{path}: not redacted, for the rule could not read it: {reading.crashes[0]}. Please report this.")
    every, wanted = (
        {(place.block, place.start) for _, finding in each.every() for place in finding.places}
        for each in (found, reading)
    )
    book = study(list(splitter.split(draft)), author.table)
    return plan(draft, book, author.options(rules()[RULE].CARD), wanted, every - wanted)


# ----------------------------------------------------------------------------------------------------------------- .docx


def cut_docx(data: bytes, made: Plan) -> bytes:
    """The package with the cuts: the text of the runs is changed, and what is not read on the page goes."""
    from storylint.draft.docx_styles import Styles, W
    from storylint.draft.docx_walk import Walk
    from storylint.repair.cuts import by_block
    from storylint.repair.cuts_hidden import Scrubber
    from storylint.repair.docx_package import Package
    from storylint.repair.docx_runs import stretches

    package = Package(data)
    body = package.root(package.main).find(W + "body")
    if body is None:
        raise Misuse(f"{made.draft.path}: has no text; save it again from your word processor.")
    styles = Styles(package.root_if_any("styles"))
    units = list(Walk().units(list(body)))
    calls = list(dict.fromkeys(call for unit in units for call in called(unit, styles)))
    cuts = by_block(made.to_write)
    for unit in units:
        if unit.index in cuts:
            cut_unit(stretches(unit, styles), cuts[unit.index])
    for kind in ("footnote", "endnote"):
        empty_notes(made, kind, [note for each, note in calls if each == kind], package.root_if_any(f"{kind}s"))
    made.hidden.extend(Scrubber(made.draft.path, package, styles, made.names_one, made.describes, made.tells).scrub())
    return package.bytes()


def called(unit: Unit, styles: Styles) -> Iterator[tuple[str, str]]:
    """The notes (kind, id) that are called in a paragraph."""
    for _, pieces in unit.pieces(styles):
        yield from ((piece.kind, piece.name) for piece in pieces if piece.kind in ("footnote", "endnote"))


def cut_unit(found: Sequence[Stretch], cuts: Sequence[Cut]) -> None:
    """Make the cuts of one paragraph, the last first, so that the places further up stay right."""
    from storylint.repair.docx_runs import meeting

    for cut in reversed(cuts):
        start = cut.block.source_offset(cut.start)
        end = cut.block.source_offset(max(cut.end - 1, cut.start)) + 1
        words = cut.words
        for stretch in (found[at] for at in meeting(found, start, end)):
            if stretch.meets(start, end):
                replace_in(stretch.piece.part, max(start - stretch.at, 0), end - stretch.at, words)
                words = ""


def replace_in(part: _Element, start: int, end: int, words: str) -> None:
    """Put words in the place of some characters of a run; a tab, a break or a sign that is cut goes."""
    from storylint.draft.docx_walk import TEXTS, WORDS_DRAWN
    from storylint.repair.docx_package import text_element
    from storylint.repair.docx_runs import remove

    if part.tag == WORDS_DRAWN:  # it is read with a break before and behind
        text = f"\n{part.get('string') or ''}\n"
        part.set("string", (text[:start] + words + text[end:]).strip("\n"))
    elif part.tag in TEXTS:
        text = part.text or ""
        part.text = text[:start] + words + text[min(end, len(text)) :]
        part.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
    else:
        if words:
            part.addprevious(text_element(words))
        remove(part)


def empty_notes(made: Plan, kind: str, ids: Sequence[str], part: _Element | None) -> None:
    """Empty the bodies of these notes, and of those that nothing calls; ``ids`` are those called, in order."""
    from storylint.draft.docx_styles import W

    live = [at for at, note in enumerate(made.draft.notes) if note.live and note.kind == kind]
    bodies = {note.get(W + "id"): note for note in (part.iter(W + kind) if part is not None else ())}
    known = [each for each in ids if each in bodies]
    wanted = set(made.notes)
    gone = {each for each, at in zip(known, live, strict=True) if at in wanted}
    for each, note in bodies.items():
        if note.get(W + "type") in (None, "normal") and (each in gone or each not in known):
            empty_note(note, each in gone)


def empty_note(note: _Element, says_why: bool) -> None:
    """Leave nothing of a note but its number in its first paragraph, and why."""
    from storylint.draft.docx_styles import W
    from storylint.repair.cuts import NOTE
    from storylint.repair.docx_package import element, text_element

    first = next(note.iter(W + "p"), None)
    first = element("p") if first is None else first
    number = next((run for run in first.iter(W + "r") if run.find(W + "footnoteRef") is not None
                   or run.find(W + "endnoteRef") is not None), None)  # fmt: skip
    for text in list(number.iter(W + "t", W + "tab")) if number is not None else ():
        text.getparent().remove(text)  # type: ignore[union-attr]
    properties = first.find(W + "pPr")
    first[:] = [part for part in (properties, number) if part is not None]
    note[:] = [first]
    if says_why:
        run = element("r")
        run.append(text_element(f" {NOTE}" if number is not None else NOTE))
        first.append(run)


def cut_markdown(data: bytes, made: Plan, plain: Collection[int] = ()) -> bytes:
    """The text with the cuts; of the blocks ``plain`` no emphasis and no link stays."""
    from storylint.repair import cuts_md

    return cuts_md.cut_markdown(data, made, plain)


WRITERS: dict[str, Callable[[bytes, Plan], bytes]] = {"docx": cut_docx, "md": cut_markdown}


# ------------------------------------------------------------------------------------------------------- check and report


def check(made: Plan, data: bytes) -> None:
    """Read the copy before it is written: all but the cuts must read as in the draft."""
    if differing(made, data):
        raise Misuse(
            f"{made.draft.path}: the copy would not read like the draft, so it was not written. Please report this."
        )


def differing(made: Plan, data: bytes) -> set[int]:
    """The blocks of the draft (their indexes) that the copy has otherwise than they should be; all blocks where some
    came, went, or the notes are not the same."""
    from storylint.draft.model import Kind
    from storylint.repair.cuts import NOTE, expected

    reader = import_module("storylint.draft.docx" if made.draft.format == "docx" else "storylint.draft.markdown")
    again: Draft = reader.read(made.draft.path, data, "")
    texts = expected(made)
    before = [block for block in made.draft.blocks if block.kind is not Kind.PICTURE]
    after = [block for block in again.blocks if block.kind is not Kind.PICTURE]
    emptied = set(made.notes)
    notes = [NOTE if at in emptied else note.text for at, note in enumerate(made.draft.notes) if note.live]
    same_notes = [note.split() for note in notes] == [note.text.split() for note in again.notes if note.live]
    if len(before) != len(after) or not same_notes:
        return {block.index for block in made.draft.blocks}
    # A label may become part of the text and the other way round, where a long entry has become a short one.
    return {
        old.index
        for old, new in zip(before, after, strict=True)
        if f"{old.label} {texts.get(old.index, old.text)}".split() != f"{new.label} {new.text}".split()
    }


def place_of(made: Plan, block: Block, at: int) -> str:
    """Where something stands, in words."""
    line = made.draft.line_of(block, at)
    return f"line {line}" if line is not None else f"paragraph {block.index + 1}"


def report(made: Plan, copy: Path) -> None:
    """List each cut by its place, and never by its words; then what the tool can't do."""
    count = len(made.cuts) + len(made.notes)
    print(f"{copy}: {count} cut{'' if count == 1 else 's'}.")
    if not made.anybody:
        print(NOBODY)
    for cut in made.cuts:
        print(
            f"  {place_of(made, cut.block, cut.start)}: {', '.join(cut.kinds)} of {', '.join(cut.people)} → {cut.words.strip(' ,.')}"
        )
    for index in made.notes:
        print(f"  note {made.draft.notes[index].number}: emptied")
    if made.hidden:
        print(f"  not read on the page, and taken out: {', '.join(dict.fromkeys(made.hidden))}")
    for caution in CAUTIONS:
        print(caution)
