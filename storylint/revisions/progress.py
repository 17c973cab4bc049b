"""``storylint progress``: the book and its persons over all recorded revisions."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from storylint import reporters
from storylint.complaints import Exit, Misuse
from storylint.draft.opening import drafts_in
from storylint.revisions.history import History, as_data, history, people_in
from storylint.revisions.log import hidden


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which draft, and in what form."""
    add = parser.add_argument
    add("path", nargs="?", type=Path, default=Path(), metavar="PATH", help="a draft, or a folder (default: this one)")
    add("--format", choices=("terminal", "json"), default="terminal", help="what to print (default: terminal)")
    add("--write", action="append", default=[], metavar="KIND:FILE", help="write a report as well: json, html")
    add("--all", action="store_true", help="show every person")
    add("--from-git", action="store_true", help="record the commits of the draft's repository first; it is only read")
    add("--no-record", action="store_true", help="with --from-git: show the commits, and leave the log as it is")


def run(args: argparse.Namespace) -> int:
    """Tell what the log knows."""
    from storylint.cli import printing

    if not args.path.exists():
        raise Misuse(f"{args.path}: there is no such draft or folder.")
    if args.no_record and not args.from_git:
        raise Misuse("--no-record belongs to --from-git; without it nothing is recorded anyway.")
    files = [reporters.target(spec, ("json", "html"), drafts_in([args.path])) for spec in args.write]
    if args.from_git:
        from storylint.revisions.rebuild import from_git

        told = from_git(args.path, args.no_record)
    else:
        told = history(args.path)
    if not told.moments and (args.format != "json" or files):
        raise Misuse(f"{args.path}: {nothing(told)}")
    for kind, file in files:
        reporters.save(file, written(kind, told, args.path))
    if args.format == "json":
        with printing():
            reporters.put([written("json", told, args.path)])
        return Exit.CLEAN
    from storylint.revisions.chart import show

    with printing():
        show(told, names(args.path, told), args.all)
    return Exit.CLEAN


def nothing(told: History) -> str:
    """Why there is nothing to tell."""
    if told.newer:
        return "its revisions were written by a newer storylint; update this one."
    if told.unread:
        return f"no line of {told.log} can be read; put a copy from an earlier day in its place."
    return "no revision has been recorded yet; each 'storylint lint' records one."


def written(kind: str, told: History, path: Path) -> str:
    """The history as JSON, or as a page with the names that the log keeps secret."""
    if kind == "json":
        return json.dumps(as_data(told), ensure_ascii=False, indent=1) + "\n"
    from storylint.reporters import progressed

    return progressed.render(told, names(path, told))


def names(path: Path, told: History) -> dict[str, str]:
    """Hash → name of those whose names the log keeps secret: they stand in the draft itself."""
    is_any_secret = any(person.name is None for person in told.persons)
    return {hidden(told.key, name): name for name in people_in(path)} if is_any_secret else {}
