"""``storylint markup``: a review copy of a draft with the findings as comments on the very words.

The copy is read again before it is written: if it did not hold the same text, the author would not get it.
"""

from __future__ import annotations

import argparse
import hashlib
import io
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from storylint.complaints import Complaint, Exit, Misuse
from storylint.draft.model import Draft

MOST = 12  # comments a section, besides its errors and its summary; proposed for this tool, no source
SUFFIXES = {"docx": (".docx", ".docm", ".dotx", ".dotm"), "odt": (".odt", ".ott")}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which draft, which copy, how much to say."""
    add = parser.add_argument
    add("draft", type=Path, metavar="DRAFT", help="a .docx or .odt; it is never changed")
    add("-o", dest="copy", type=Path, required=True, metavar="COPY", help="the review copy to write")
    add("--force", action="store_true", help="replace the copy if it is there")
    add("--only", action="append", default=[], metavar="RULES", help="these rules alone, with commas between")
    add("--skip", action="append", default=[], metavar="RULES", help="all rules but these")
    add(
        "--most",
        type=int,
        default=MOST,
        metavar="N",
        help=f"comments a person, besides errors (default {MOST}; 0: all)",
    )


def run(args: argparse.Namespace) -> int:
    """Read, judge, comment, check, write."""
    from storylint import engine, settings
    from storylint.cli import say
    from storylint.draft import opening
    from storylint.lint import names
    from storylint.repair import package
    from storylint.repair.remarks import remarks
    from storylint.revisions import stets

    if args.most < 0:
        raise Misuse("--most: say how many comments a person may have, or 0 for all.")
    wanted = engine.Run(settings.load(args.draft), names(args.only), names(args.skip))
    engine.chosen(wanted.settings, wanted.only, wanted.skip)
    draft = opening.read(args.draft)
    if draft.format not in SUFFIXES or args.draft.suffix.lower() == ".fodt":
        page = f"storylint lint {args.draft} --write html:report.html"
        raise Misuse(f"{args.draft}: comments need a .docx or an .odt; for this one write a page: {page}")
    own = args.draft.suffix.lower()
    package.refuse(args.draft, args.copy, args.force, (own if own in SUFFIXES[draft.format] else f".{draft.format}",))
    data = args.draft.read_bytes()
    if hashlib.sha256(data).hexdigest() != draft.sha256:
        raise Complaint(f"{args.draft}: changed while it was being read; save it and run storylint again.")
    reading = stets.apply(engine.reading_of([draft], wanted), [args.draft])
    for crash in reading.crashes:
        say(f"{crash}; the rest is marked up. Please report this.")
    found = remarks(reading, args.most)
    made = commented(draft, data, found.made)
    check(draft, made)
    package.written(args.copy, made)
    left = (
        f"; {found.left_out} places have none, so that the page can be read (--most 0 gives each its comment)"
        if found.left_out
        else ""
    )
    print(f"{args.copy}: {len(found.made)} comments{left}")
    return Exit.RULE_CRASHED if reading.crashes else Exit.CLEAN


def commented(draft: Draft, data: bytes, made: Sequence[object]) -> bytes:
    """The draft's file with these comments in it."""
    from importlib import import_module

    from storylint.repair.package import Copy

    writer = import_module(f"storylint.repair.{draft.format}_comments")
    copy = Copy(io.BytesIO(data))
    writer.comment(copy, draft.blocks, made, f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ}")
    target = io.BytesIO()
    copy.save(target)
    return target.getvalue()


def check(draft: Draft, made: bytes) -> None:
    """Read the copy as the draft was read; it must hold the same text and the same notes."""
    from importlib import import_module

    reader = import_module(f"storylint.draft.{draft.format}")
    again: Draft = reader.read(draft.path, made, "")
    if (again.blocks, again.notes) != (draft.blocks, draft.notes):
        raise Complaint(
            f"{draft.path}: not written, for the copy would not have held the same text. Please report this."
        )
