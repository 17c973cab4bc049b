"""``storylint lint``: the main job.

Two parts of the house are called when they are there:

* ``storylint.revisions.log.record(reading, paths, settings)`` adds the run to the revision log; what goes wrong there
  is told and costs nothing else.
* ``storylint.revisions.against.worse(reading, old, paths, run, fail_on)`` is True when something of the reading is
  worse than in ``old``, which is as the user gave it: a file, a folder or a git revision.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from storylint.complaints import Complaint, Exit, Misuse
from storylint.findings import Level, Reading

if TYPE_CHECKING:
    from storylint.engine import Run
    from storylint.settings import Settings

NEVER = "never"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """What to read, what to report, how to end."""
    from storylint.reporters import PRINTED, written

    parser.epilog = (
        "Exit codes: 0 nothing at or above the fail level, 1 something is, 2 wrong usage or settings, 3 a draft could "
        "not be read, 4 a rule crashed; in the last two cases the rest is still reported."
    )
    add = parser.add_argument
    add("paths", nargs="+", type=Path, metavar="PATH", help="a draft (docx, odt, md, txt), or a folder: one book")
    add("--format", choices=PRINTED, default="terminal", help="what to print (default: terminal)")
    add(
        "--write",
        action="append",
        default=[],
        metavar="KIND:FILE",
        help=f"write a report as well: {', '.join(written())}",
    )
    add("--only", action="append", default=[], metavar="RULES", help="these rules alone, with commas between")
    add("--skip", action="append", default=[], metavar="RULES", help="all rules but these")
    add("--all", action="store_true", help="show every person and every finding")
    add("--person", metavar="NAME", help="report this person alone, with every finding")
    add("--why", metavar="NAME", help="show for one person each sentence that counts in each score, and how")
    levels = [*(level.value for level in reversed(Level)), NEVER]  # a member would show itself as code in a complaint
    add(
        "--fail-on", choices=levels, default=Level.ERROR, help="from which level on the exit code is 1 (default: error)"
    )
    add(
        "--against", metavar="OLD", help="only what is worse than OLD (file, folder or git revision) sets the exit code"
    )
    add("--no-record", action="store_true", help="leave this run out of the revision log")
    add("--no-cache", action="store_true", help="take nothing from earlier runs, and keep nothing for later ones")
    add("--timings", action="store_true", help="say on standard error what took how long")


def run(args: argparse.Namespace) -> int:
    """Read, judge, report."""
    from storylint import cache, engine, reporters, settings
    from storylint.cli import printing
    from storylint.revisions import stets

    paths = drafts(args.paths)
    kept = None if args.no_cache else cache.users()
    author = settings.load(args.paths[0], kept)
    asked = engine.Run(author, names(args.only), names(args.skip), cache=kept)
    engine.check_names((*asked.only, *asked.skip))  # a misspelt rule is told before the work, not after it
    files = [reporters.target(spec, reporters.written(), paths) for spec in args.write]
    if args.why and args.format != "terminal":
        raise Misuse("--why explains in the terminal only; leave out --format.")
    if args.format == "terminal":
        asked.meanwhile = partial(import_module, "storylint.reporters.terminal")
    with Progress() as asked.progress:
        reading = engine.read(paths, asked)
        reading = stets.apply(reading, args.paths)
        if args.against:
            from storylint.revisions.against import held_against

            reading = held_against(reading, args.against, paths, asked)
    tell(reading)
    if reading.drafts and not args.no_record:
        keep(reading, args.paths, author, asked)
    shown = narrowed(reading, args.why or args.person) if args.why or args.person else reading
    with printing():
        show(shown, args)
    for kind, file in files:
        reporters.save(file, reporters.render(kind, shown))
    if args.timings:
        timings(asked.timings)
    return code(reading, reaches(shown, args.fail_on))


def drafts(given: Sequence[Path]) -> list[Path]:
    """The files at the paths given, each once; what lies beside them and can't be read is told."""
    from storylint.cli import say
    from storylint.draft.opening import drafts_in, passed_over

    for path, why in passed_over(given):
        say(f"{path}: {why}, if it belongs to the book")
    # realpath, because Path.resolve raises where links lead round in a circle
    return list({os.path.realpath(path): path for path in reversed(drafts_in(given))}.values())[::-1]


def names(given: Iterable[str]) -> list[str]:
    """Rule names from repeated options with commas."""
    return [name.strip() for part in given for name in part.split(",") if name.strip()]


def keep(reading: Reading, given: Sequence[Path], author: Settings, asked: Run) -> None:
    """Record the revision; what goes wrong is told and costs nothing else."""
    from storylint.cli import say
    from storylint.revisions.log import record

    try:
        record(reading, given, author, asked.only, asked.skip)
    except (Complaint, OSError) as fault:
        say(f"this run was not recorded: {fault}")


def tell(reading: Reading) -> None:
    """What could not be read or judged, on standard error."""
    from storylint.cli import say

    for path, why in reading.unreadable:
        say(f"{path}: {why}")
    by_rule: dict[str, list[str]] = {}
    for crash in reading.crashes:
        by_rule.setdefault(crash.split(" failed on ")[0], []).append(crash)
    for crashes in by_rule.values():
        more = f" (and {len(crashes) - 1} times more)" if len(crashes) > 1 else ""
        say(f"{crashes[0]}{more}; the rest is reported. Please report this.")


def narrowed(reading: Reading, person: str) -> Reading:
    """The reading of one person: who is called so (with the number or without), or else whose name has these words."""
    wanted = " ".join(person.split()).casefold()
    names = [section.person or section.title for section in reading.sections]
    known = list(zip(reading.sections, (" ".join(name.split()).casefold() for name in names), strict=True))
    found = [s for s, name in known if wanted in (name, f"{s.number} {name}".casefold(), s.id.casefold())]
    found = found or [s for s, name in known if wanted in f"{s.number} {name}".casefold()]
    if not found:
        from storylint.complaints import near

        raise Misuse(f"nobody in this book is called '{person}'.{near(person, names)} Run without it to see everyone.")
    return replace(reading, sections=tuple(found), findings=())


def show(reading: Reading, args: argparse.Namespace) -> None:
    """The report on standard output."""
    if args.format == "terminal":
        terminal = import_module("storylint.reporters.terminal")
        if args.why:
            terminal.explain(reading)
        elif reading.worse and not args.all:
            import_module("storylint.revisions.against").show(reading)
        elif reading.drafts:
            terminal.show(reading, args.all, args.person is not None)
        return
    from storylint.reporters import json, put, render

    put(json.pieces(reading) if args.format == "json" else [render(args.format, reading)])


def reaches(reading: Reading, fail_on: str) -> bool:
    """True when a finding is at or above the level; held against an older state, when it is worse than that."""
    if fail_on == NEVER:
        return False
    if reading.worse:
        from storylint.revisions.against import fails

        return fails(reading, Level(fail_on))
    return any(f.level.rank >= Level(fail_on).rank for _, f in reading.every())


def code(reading: Reading, worse: bool) -> Exit:
    """The exit code; the gravest reason wins."""
    if reading.crashes:
        return Exit.RULE_CRASHED
    if reading.unreadable or (reading.worse and reading.worse.unread):
        return Exit.UNREADABLE
    return Exit.FINDINGS if worse else Exit.CLEAN


def timings(seconds: dict[str, float]) -> None:
    """The run's timings on standard error, longest first."""
    for what, took in sorted(seconds.items(), key=lambda pair: -pair[1]):
        print(f"{took:8.3f} s  {what}", file=sys.stderr)


class Progress:
    """A bar on standard error, if that is a terminal and the work is long enough to wonder."""

    PATIENCE = 1.0  # seconds before it shows

    def __enter__(self) -> Progress:
        self.start = time.monotonic()
        self.bar: Any = None
        self.task: Any = None
        self.watched = sys.stderr.isatty()
        return self

    def __call__(self, what: str, done: int, total: int) -> None:
        if not self.watched or time.monotonic() - self.start < self.PATIENCE:
            return
        if self.bar is None:
            self.open()
        self.bar.update(self.task, description=what, completed=done, total=total)

    def open(self) -> None:
        """Draw the bar."""
        from rich.console import Console
        from rich.progress import Progress as Bar

        self.bar = Bar(console=Console(stderr=True), transient=True)
        self.task = self.bar.add_task("reading")
        self.bar.start()

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.stop()
