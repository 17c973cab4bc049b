"""``storylint redact``: a copy of a draft without the particulars of people who may be living.

The copy is read again before it is written: everything but the cuts must read as in the draft.
"""

from __future__ import annotations

import argparse
import hashlib
import re
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from storylint.complaints import Exit, Misuse

if TYPE_CHECKING:
    from lxml.etree import _Element

    from storylint.draft.model import Draft
    from storylint.repair.cuts import Plan

RULE = "living"
SUFFIXES = {"docx": (".docx", ".docm", ".dotx", ".dotm"), "md": (".md", ".markdown")}
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
    reading = stets.apply(engine.reading_of([draft], engine.Run(author, only=(RULE,))), [path])
    if reading.crashes:
        raise Misuse(f"{path}: not redacted, for the rule could not read it: {reading.crashes[0]}. Please report this.")
    wanted = {(place.block, place.start) for _, finding in reading.every() for place in finding.places}
    book = study(list(splitter.split(draft)), author.table)
    return plan(draft, book, author.options(rules()[RULE].CARD), wanted)


# ------------------------------------------------------------------------------------------------------------- Markdown

MARK = re.compile(r"\[\^[^\]]+\]")


def cut_markdown(data: bytes, made: Plan) -> bytes:
    """The source with the cuts; marks inside a cut stay behind it."""
    from storylint.draft.source import decode
    from storylint.repair.cuts import NOTE
    from storylint.repair.cuts_hidden import scrub_markdown
    from storylint.repair.notes_md import _applied, _encoded

    source, _ = decode(made.draft.path, data)
    edits = []
    for cut in made.cuts:
        start = cut.block.source_offset(cut.start)
        end = cut.block.source_offset(max(cut.end - 1, cut.start)) + 1
        edits.append((start, end, cut.words + "".join(MARK.findall(source[start:end]))))
    lines = made.draft.line_starts
    for index in made.notes:
        note = made.draft.notes[index]
        if note.line is not None:
            start = lines[note.line - 1]
            after = re.compile(r"\n(?=\s*\n|\[\^|$)|\Z").search(source, start)
            label = re.match(r"\s*\[\^[^\]]+\]:\s*|\s*\d+\W?\s+", source[start:])
            edits.append((start + (label.end() if label else 0), after.start() if after else len(source), NOTE))
    copy, gone = scrub_markdown(_applied(source, edits), made.names_one)
    made.hidden.extend(gone)
    return _encoded(copy, data)


# ----------------------------------------------------------------------------------------------------------------- .docx


def cut_docx(data: bytes, made: Plan) -> bytes:
    """The package with the cuts: the text of the runs is changed, and nothing else."""
    from storylint.draft.docx_styles import Styles, W
    from storylint.draft.docx_walk import Walk
    from storylint.repair.cuts import NOTE
    from storylint.repair.cuts_hidden import scrub
    from storylint.repair.docx_package import Package
    from storylint.repair.docx_runs import stretches

    package = Package(data)
    body = package.root(package.main).find(W + "body")
    if body is None:
        raise Misuse(f"{made.draft.path}: has no text; save it again from your word processor.")
    styles = Styles(package.root_if_any("styles"))
    units = {unit.index: unit for unit in Walk().units(list(body))}
    for cut in reversed(made.cuts):
        unit = units.get(cut.block.index)
        start = cut.block.source_offset(cut.start)
        end = cut.block.source_offset(max(cut.end - 1, cut.start)) + 1
        words = cut.words
        for stretch in stretches(unit, styles) if unit is not None else []:
            if stretch.meets(start, end):
                replace_in(stretch.piece.part, max(start - stretch.at, 0), end - stretch.at, words)
                words = ""
    for kind in ("footnote", "endnote"):
        empty_notes(made, kind, body, package.root_if_any(f"{kind}s"), NOTE)
    made.hidden.extend(scrub(package, data, made.names_one, made.tells))
    return package.bytes()


def replace_in(part: _Element, start: int, end: int, words: str) -> None:
    """Put words in the place of some characters of a run; a tab or a break that is cut goes."""
    from storylint.draft.docx_styles import W
    from storylint.repair.docx_runs import remove

    if part.tag != W + "t":
        remove(part)
        return
    text = part.text or ""
    part.text = text[:start] + words + text[min(end, len(text)) :]
    part.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")


def empty_notes(made: Plan, kind: str, body: _Element, part: _Element | None, words: str) -> None:
    """Empty the bodies of these notes; live notes of one kind stand in the order of their first marks."""
    from storylint.draft.docx_styles import W

    live = [at for at, note in enumerate(made.draft.notes) if note.live and note.kind == kind]
    ids = list(dict.fromkeys(ref.get(W + "id") for ref in body.iter(f"{W}{kind}Reference")))
    gone = {ids[order] for order, at in enumerate(live) if at in set(made.notes) and order < len(ids)}
    for note in part.iter(W + kind) if part is not None else ():
        uncalled = note.get(W + "type") is None and note.get(W + "id") not in ids
        if uncalled or note.get(W + "id") in gone:
            for number, text in enumerate(list(note.iter(W + "t", W + "delText"))):
                text.text = words if not (number or uncalled) else ""


WRITERS: dict[str, Callable[[bytes, Plan], bytes]] = {"docx": cut_docx, "md": cut_markdown}


# ------------------------------------------------------------------------------------------------------- check and report


def check(made: Plan, data: bytes) -> None:
    """Read the copy before it is written: all but the cuts must read as in the draft."""
    from storylint.draft.model import Kind
    from storylint.repair.cuts import NOTE, expected

    reader = import_module("storylint.draft.docx" if made.draft.format == "docx" else "storylint.draft.markdown")
    again: Draft = reader.read(made.draft.path, data, "")
    wanted = {block.index: block.text for block in made.draft.blocks if block.kind is not Kind.PICTURE} | expected(made)
    found = {block.index: block.text for block in again.blocks if block.kind is not Kind.PICTURE}
    notes = [NOTE if at in made.notes else note.text for at, note in enumerate(made.draft.notes)]
    same = {at: text.split() for at, text in wanted.items()} == {at: text.split() for at, text in found.items()}
    if not same or [note.split() for note in notes] != [note.text.split() for note in again.notes]:
        raise Misuse(
            f"{made.draft.path}: the copy would not read like the draft, so it was not written. Please report this."
        )


def report(made: Plan, copy: Path) -> None:
    """List each cut by its place, and never by its words; then what the tool can't do."""
    count = len(made.cuts) + len(made.notes)
    print(f"{copy}: {count} cut{'' if count == 1 else 's'}.")
    for cut in made.cuts:
        line = made.draft.line_of(cut.block, cut.start)
        where = f"line {line}" if line is not None else f"paragraph {cut.block.index + 1}"
        print(f"  {where}: {', '.join(cut.kinds)} of {', '.join(cut.people)} → {cut.words.strip(' ,.')}")
    for index in made.notes:
        print(f"  note {made.draft.notes[index].number}: emptied")
    if made.hidden:
        print(f"  not read on the page, and taken out: {', '.join(dict.fromkeys(made.hidden))}")
    for caution in CAUTIONS:
        print(caution)
