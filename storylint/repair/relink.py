"""``storylint relink``: a copy of a draft in which typed note digits have become live, self-numbering notes."""

from __future__ import annotations

import argparse
import hashlib
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from storylint.complaints import Exit, Misuse
from storylint.draft.model import Kind

if TYPE_CHECKING:
    from storylint.draft.model import Block, Draft
    from storylint.repair.plan import Plan

# format → the module that writes the copy, with ``write(data, plan, kind, per) -> bytes``
WRITERS = {
    "docx": "storylint.repair.notes_docx",
    "odt": "storylint.repair.notes_odt",
    "md": "storylint.repair.notes_md",
}
READERS = {"docx": "storylint.draft.docx", "odt": "storylint.draft.odt", "md": "storylint.draft.markdown"}
SUFFIXES = {
    "docx": (".docx", ".docm", ".dotx", ".dotm"),
    "odt": (".odt", ".ott"),
    "md": (".md", ".markdown"),
}
MOST_LINES = 40
FOOTNOTES, ENDNOTES = "footnotes", "endnotes"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The options of the contract, and what to do where the author must choose."""
    from storylint.repair.plan import REPEATED, SHARED

    add = parser.add_argument
    add("draft", type=Path, metavar="DRAFT", help="the draft (docx, odt or md); it is not changed")
    add("-o", "--output", type=Path, required=True, metavar="COPY", help="the file to write")
    add("--as", dest="kind", choices=(FOOTNOTES, ENDNOTES), help="default: what the draft has already, else endnotes")
    add(
        "--per",
        choices=("book", "chapter"),
        default="book",
        help="number through, or anew in each chapter (footnotes; in .docx by sections)",
    )
    add("--person", metavar="NAME", help="this person's section alone")
    add("--shared", choices=SHARED, default="leave", help=f"several marks call one note: {told(SHARED)}")
    add("--repeated", choices=REPEATED, default="leave", help=f"several notes have one number: {told(REPEATED)}")
    add("--force", action="store_true", help="replace the copy if it is there")


def told(choices: dict[str, str]) -> str:
    """The choices of an option with their meanings."""
    return "; ".join(f"'{name}' {meaning}" for name, meaning in choices.items())


def run(args: argparse.Namespace) -> int:
    """Read, plan, write the copy, read it again, report."""
    from storylint.draft import opening
    from storylint.repair import package
    from storylint.repair.plan import plan

    draft = opening.read(args.draft)
    if draft.format not in WRITERS:
        raise Misuse(f"{args.draft}: plain text can't hold live notes; save it as .docx or .odt and relink that.")
    own = args.draft.suffix.lower()
    package.refuse(args.draft, args.output, args.force, (own if own in SUFFIXES[draft.format] else f".{draft.format}",))
    data = args.draft.read_bytes()
    if hashlib.sha256(data).hexdigest() != draft.sha256:
        raise Misuse(f"{args.draft}: changed while it was being read; save it and run storylint again.")
    boxed = import_module(WRITERS[draft.format]).boxed(data) if data.startswith(b"PK") else ()
    made = plan(draft, args.shared, args.repeated, blocks_of(draft, args.person), boxed)
    if not made.links:
        raise Misuse(f"{args.draft}: {nothing(made, args.person)}")
    kind = args.kind or kind_of(draft)
    if args.per == "chapter" and (kind != FOOTNOTES or draft.format == "md"):
        raise Misuse("--per chapter is for footnotes in .docx and .odt; leave it out, or choose --as footnotes.")
    if args.per == "chapter" and args.shared == "same":
        raise Misuse("a number can't be repeated from another chapter; with --per chapter choose --shared own.")
    write: Callable[..., bytes] = import_module(WRITERS[draft.format]).write
    copy = write(data, made, kind, args.per)
    check(made, copy)
    package.written(args.output, copy)
    report(made, args.output, "notes" if draft.format == "md" else kind)
    return Exit.CLEAN


def kind_of(draft: Draft) -> str:
    """The kind of live notes the draft has most of; endnotes where it has none, for they look like the typed list."""
    kinds = [note.kind for note in draft.notes if note.live]
    return f"{max(set(kinds), key=kinds.count)}s" if kinds else ENDNOTES


def blocks_of(draft: Draft, person: str | None) -> set[int] | None:
    """The indexes of the blocks of one person's section; None for the whole draft."""
    if person is None:
        return None
    from storylint.complaints import near
    from storylint.draft.sections import split

    sections = [section for section in split(draft) if section.person]
    wanted = " ".join(person.split()).casefold()
    named = [(section, (section.person or "").casefold()) for section in sections]
    found = [s for s, name in named if wanted in (name, f"{s.number} {name}".casefold(), s.id.casefold())]
    found = found or [section for section, name in named if wanted in name]
    if not found:
        hint = near(person, [section.person or "" for section in sections])
        raise Misuse(f"nobody in this draft is called '{person}'.{hint} 'storylint lint' lists them.")
    if len(found) > 1:
        people = ", ".join(f"{s.number} {s.person}" if s.number else str(s.person) for s in found)
        raise Misuse(f"'{person}' can be {people}; say which, with the number.")
    blocks: list[Block | None] = [found[0].entry, *found[0].body]
    return {block.index for block in blocks if block is not None}


def nothing(made: Plan, person: str | None) -> str:
    """Why there is nothing to write."""
    where = f"in the section of {person}" if person else "in it"
    if not made.left:
        return f"there are no typed marks {where}; nothing to relink."
    first = made.left[0]
    return f"not one typed mark {where} could become a live note; the first, {first.what}: {first.why}."


def check(made: Plan, data: bytes) -> None:
    """Read the copy before it is written. What would not read like the draft is not written at all."""
    reader = import_module(READERS[made.draft.format])
    if why := difference(made, reader.read(made.draft.path, data, "")):
        raise Misuse(f"the copy would not read like the draft ({why}), so it was not written. Please report this.")


def difference(made: Plan, copy: Draft) -> str:
    """What in the copy's text or notes differs from what was planned, or ""."""
    from storylint.repair.plan import planned_notes, planned_texts

    stay = {block.text for block in made.staying}
    texts = [block.text for block in copy.blocks if block.kind is not Kind.NOTES and block.text not in stay]
    wanted = planned_texts(made)
    for at, (text, was) in enumerate(zip(texts, wanted, strict=False), 1):
        if not was.allows(text):
            return f"paragraph {at} would change, from “{was.text[:60]}” to “{text[:60]}”"
    if len(texts) != len(wanted):
        return f"it would have {len(texts)} paragraphs instead of {len(wanted)}"
    marks = [mark for block in copy.blocks for mark in block.marks if mark.live]
    found = [copy.notes[mark.note].text if mark.note is not None else "" for mark in marks]
    for number, (text, words) in enumerate(zip(found, planned_notes(made), strict=False), 1):
        if text.split() != words.split():
            return f"the {number}. note would say “{text[:60]}” instead of “{words[:60]}”"
    return "" if len(found) == len(planned_notes(made)) else "a note would be lost"


def report(made: Plan, copy: Path, kind: str) -> None:
    """Say what became of the marks, and list what stays."""
    count = len(made.links)
    print(f"{copy}: {count} typed mark{'s are' if count > 1 else ' is'} now live {kind}.")
    if made.expanded:
        print(f"{made.expanded} 'ibid.' {'were' if made.expanded > 1 else 'was'} spelt out.")
    if made.left:
        print("Left as it was:")
    for left in made.left[:MOST_LINES]:
        print(f"  {left.what}: {left.why}. {left.where}")
    if len(made.left) > MOST_LINES:
        print(f"  and {len(made.left) - MOST_LINES} more; 'storylint lint' lists them all.")
    if any(left.what.startswith("mark ") for left in made.left):
        print(
            "Live notes count for themselves: a digit that is still typed may now repeat one of theirs. Mend it next."
        )
