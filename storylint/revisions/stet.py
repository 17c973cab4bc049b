"""``storylint stet``: let a finding stand."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from storylint.complaints import Exit, Misuse, stopped
from storylint.findings import Finding, Reading, SectionReading, Stet
from storylint.revisions import stets


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which finding, and why."""
    parser.epilog = "'storylint lint DRAFT --person NAME' shows each finding with its ID."
    add = parser.add_argument
    add("id", nargs="?", metavar="ID", help="the finding, as 'storylint lint' names it")
    add("drafts", nargs="*", type=Path, metavar="DRAFT", help="where it is (default: what was last read here)")
    add("--why", metavar="TEXT", help="the reason, for whoever reads the book's file after you")
    add("--list", action="store_true", help="show what stands, and what has lapsed because its sentence changed")
    add("--drop", metavar="ID", help="let it stand no longer")


def run(args: argparse.Namespace) -> int:
    """Add, list or drop."""
    if args.list or args.drop:  # then no ID comes first, and what does is a draft
        drafts = [*([Path(args.id)] if args.id else []), *args.drafts]
        return show(drafts) if args.list else drop(args.drop, drafts)
    if not args.id:
        raise Misuse("name the finding: storylint stet ID --why 'the reason'; or see what stands with --list.")
    if not (args.why and args.why.strip()):
        raise Misuse(f"say why it may stand: storylint stet {args.id} --why 'the reason'.")
    return let_stand(args.id, " ".join(args.why.split()), args.drafts)


def let_stand(id_: str, why: str, given: Sequence[Path]) -> int:
    """Find the finding and write it down."""
    paths = given or last_read()
    reading = read(paths)
    section, finding = find(id_, reading, paths)
    place = finding.places[0]
    file = Path(place.path).parent / stets.FILE
    stet = Stet(
        id=finding.id,
        rule=finding.rule,
        why=why,
        quotes=tuple(each.quote for each in finding.places),
        person=section.person if section else None,
        draft=Path(place.path).name,
        since=date.today().isoformat(),
    )
    stets.add(file, stet)
    print(stopped(f"It stands: {finding.rule}, “{short(place.quote)}”"))
    print(f"Written to {shown(file)}; 'storylint stet --drop {finding.id}' undoes it.")
    return Exit.CLEAN


def read(paths: Sequence[Path]) -> Reading:
    """The drafts' reading with all findings."""
    from storylint import cache, engine, lint, settings

    kept = cache.users()
    asked = engine.Run(settings.load(paths[0], kept), cache=kept)
    with lint.Progress() as asked.progress:
        reading = engine.read(lint.drafts(paths), asked)
    lint.tell(reading)
    return reading


def last_read() -> list[Path]:
    """What the last revision recorded here had read; without one, all drafts of this folder."""
    from storylint.revisions import journal, log

    here = log.Log(Path(log.FILE))
    for entry in journal.backwards(here.file):
        if log.is_revision(entry):
            names = [Path(name) for name in log.files(entry)]
            return names if all(name.exists() for name in names) and not entry.get("whole") else [Path()]
    return [Path()]


def find(id_: str, reading: Reading, paths: Sequence[Path]) -> tuple[SectionReading | None, Finding]:
    """The finding of this id; one that stands already, or none, is a Misuse."""
    known = {finding.id: (section, finding) for section, finding in reading.every()}
    where = ", ".join(map(str, paths)) if paths != [Path()] else "the drafts here"
    if id_ not in known:
        from storylint.complaints import near

        raise Misuse(
            f"{where}: no finding has the ID {id_}.{near(id_, known)} 'storylint lint DRAFT --person NAME' shows the IDs."
        )
    if id_ not in {finding.id for _, finding in stets.apply(reading, list(paths)).every()}:
        raise Misuse(f"{id_} stands already; 'storylint stet --drop {id_}' undoes it.")
    return known[id_]


def drop(id_: str, given: Sequence[Path]) -> int:
    """Take a stet out of its file."""
    for file in files_of(given):
        if any(stet.id == id_ for stet in stets.read(file)) and stets.drop(file, id_):
            print(f"{id_} stands no longer; it is taken out of {shown(file)}.")
            return Exit.CLEAN
    raise Misuse(f"nothing stands under the ID {id_}; 'storylint stet --list' shows what does.")


def show(given: Sequence[Path]) -> int:
    """What stands, what has lapsed, and what is no longer needed."""
    paths = given or last_read()
    entries = [stet for file in files_of(paths) for stet in stets.read(file)]
    if not entries:
        print("nothing stands: there is no stet here.")
        return Exit.CLEAN
    reading = stets.apply(read(paths), list(paths))
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    group("stands" if len(reading.standing) == 1 else "stand", reading.standing)
    group("lapsed, because the sentence changed", reading.lapsed)
    told = {key(stet) for stet in (*reading.standing, *reading.lapsed)}
    group("not needed any more: nothing is found there now", [s for s in entries if key(s) not in told])
    return Exit.CLEAN


def key(stet: Stet) -> tuple[str, str, tuple[str, ...]]:
    """What makes a stet this one, whatever number its id now bears."""
    return stets.base(stet.id), stet.why, stet.quotes


def group(what: str, listed: Sequence[Stet]) -> None:
    """Some stets under a heading."""
    if not listed:
        return
    print(f"{len(listed)} {what}")
    for stet in listed:
        who = f", {stet.person}" if stet.person else ""
        print(f"  {stet.id}  {stet.rule}{who}: “{short(stet.quotes[0]) if stet.quotes else ''}”")
        print(f"    {stet.why}" + (f" ({stet.since})" if stet.since else ""))
        if stet.now:
            print(f"    Its sentence reads otherwise now: look again, and let {stet.now} stand if it may.")


def files_of(paths: Sequence[Path]) -> list[Path]:
    """The stet files of the drafts, and of folders below."""
    from storylint.lint import drafts

    paths = paths or last_read()
    return stets.files_for([*paths, *drafts(paths)])


def shown(file: Path) -> str:
    """A path from here, if it is near."""
    name = os.path.relpath(file)
    return str(file) if name.startswith("..") else name


def short(quote: str) -> str:
    """A quote's beginning and end."""
    words = quote.split()
    return " ".join(words) if len(words) <= 24 else " ".join([*words[:14], "…", *words[-8:]])
