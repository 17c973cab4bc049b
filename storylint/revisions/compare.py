"""``storylint compare``: two states of a book side by side, and what was lost on the way."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from storylint.complaints import Exit, Unreadable
from storylint.draft.opening import drafts_in
from storylint.revisions import originals
from storylint.revisions.comparison import Comparison, compare
from storylint.revisions.editions import Edition, edition, is_there

WRITTEN = ("json", "html")
EPILOG = """\
OLD and NEW are files, folders, or REV:PATH for what a git commit holds (HEAD~3:book.docx). For OLD a revision alone is
enough where NEW is a path. 'storylint compare original.docx working.docx' is the usual call.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The two states, and in what form."""
    parser.epilog = EPILOG
    add = parser.add_argument
    add("old", metavar="OLD", help="the earlier state: a file, a folder, REV:PATH or REV")
    add("new", metavar="NEW", help="the later state: a file, a folder or REV:PATH")
    add("--format", choices=("terminal", "json"), default="terminal", help="what to print (default: terminal)")
    add(
        "--write",
        action="append",
        default=[],
        metavar="KIND:FILE",
        help=f"write a report as well: {', '.join(WRITTEN)} (html: a page to look at or print)",
    )
    add("--person", metavar="NAME", help="show this person alone, with every sentence rewritten, new or gone")
    add("--all", action="store_true", help="show every person and every loss")
    add("--no-cache", action="store_true", help="take nothing from earlier runs, and keep nothing for later ones")
    add("--no-record", action="store_true", help="do not note in the log what OLD was, to see when it changes")


def run(args: argparse.Namespace) -> int:
    """Read both, compare, tell."""
    from storylint import cache, engine, reporters, settings
    from storylint.cli import printing
    from storylint.lint import Progress
    from storylint.revisions import side_by_side, stets

    there = [Path(spec) for spec in (args.new, args.old) if is_there(spec)]
    beside = drafts_in([Path(args.new)]) if is_there(args.new) else []
    kept = None if args.no_cache else cache.users()
    new = edition(args.new, cache=kept)  # first: what is wrong with it must not be said of OLD, looked for beside it
    old = edition(args.old, beside, kept)
    files = [reporters.target(spec, WRITTEN, [*old.files, *new.files]) for spec in args.write]
    author = settings.load(there[0] if there else Path(), kept)
    asked = engine.Run(author, cache=kept)
    complain(old, new)
    with Progress() as asked.progress:
        stand = stets.bearing_on(new.beside)
        found = compare(*(stets.under(stand, each.reading(asked)) for each in (old, new)))
    met = {change.new.section.path for change in found.changes if change.old and change.new}
    for draft in old.new:
        if str(draft) not in met:
            say(f"{draft}: nothing of it is in {old.revision} yet")
    for line in originals.watch(old, found.old, record=not args.no_record):
        say(line)
    if args.person:
        found = side_by_side.narrowed(found, args.person)
    for kind, file in files:  # first, because who reads the screen through a pager may leave before its end
        reporters.save(file, written(kind, found, (old.name, new.name)))
    with printing():
        show(found, (old.name, new.name), args)
    return Exit.UNREADABLE if old.unreadable or new.unreadable else Exit.CLEAN


def complain(*editions: Edition) -> None:
    """Tell what can't be read; a state of which nothing can be read can't be compared."""
    for each in editions:
        if each.unreadable and not each.drafts:
            raise Unreadable(*each.unreadable[0])
        for path, why in each.unreadable:
            say(f"{path}: {why}")


def show(found: Comparison, names: tuple[str, str], args: argparse.Namespace) -> None:
    """The comparison on standard output."""
    from storylint import reporters
    from storylint.revisions import side_by_side

    if args.format == "json":
        reporters.put([written("json", found, names)])
    else:
        side_by_side.show(found, names, bool(args.person), args.all)


def written(kind: str, found: Comparison, names: tuple[str, str]) -> str:
    """The comparison as JSON or as a page; both are made from the same data."""
    from storylint.revisions import side_by_side

    data = side_by_side.as_data(found, names)
    if kind == "json":
        return json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    from storylint.reporters import compared

    return compared.render(data, side_by_side.lost_told(found), side_by_side.next_step(found))


def say(what: str) -> None:
    """One line on standard error."""
    from storylint import cli

    cli.say(what)
