"""The history rebuilt from the commits of a repository. Git is only read; the log grows by what it did not know."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from storylint.complaints import Misuse
from storylint.engine import Run, reading_of
from storylint.findings import Reading
from storylint.revisions import editions, git, journal, stets
from storylint.revisions.history import History, people_in, told
from storylint.revisions.log import (
    Circumstances,
    Log,
    entry_of,
    files,
    is_judged_alike,
    log_of,
    rules_of,
    settings_hash,
)
from storylint.revisions.teller import Seen, seen
from storylint.settings import Settings, is_file, load


def from_git(path: Path, dry: bool) -> History:
    """The history of a draft or a folder with all commits that changed it. They are recorded unless ``dry``."""
    from storylint.lint import Progress

    path = path.resolve() if path.is_symlink() and path.is_file() else path  # the history is that of the draft itself
    log, author = log_of(path), load(path)
    repository = git.need(path)
    entries = list(journal.forwards(log.file))
    with Progress() as progress:
        for entry in missing(log, path, author, repository, entries, progress):
            if not dry:
                journal.append(log.file, lambda entry=entry: entry)  # type: ignore[misc]
            entries.append(entry)
    return told(log, entries, None if path.is_dir() else log.name(path), partial(people_in, path))


def missing(
    log: Log, path: Path, author: Settings, repository: Path, entries: Sequence[journal.Entry | None], progress: Any
) -> Iterator[journal.Entry]:
    """A revision for each commit that the log does not have yet, oldest first."""
    commits = list(git.commits(repository, git.inside(path, repository)))
    if not commits:
        raise Misuse(f"{path}: no commit of this repository has it; 'git add' and 'git commit' it first.")
    rules, settings = rules_of(author), settings_hash(author)
    known = [each for entry in entries if entry is not None and (each := seen(entry))]
    before: dict[str, str] = {}
    for number, (commit, name) in enumerate(commits):
        progress("reading commits", number, len(commits))
        reading = reading_at(repository, commit.id, name, path, Run(author))
        about = Circumstances(commit.when, commit.id, rules, settings, bool(reading.crashes), path.is_dir(), True)
        now = {log.name(draft.path): draft.sha256 for draft in reading.drafts}
        if now and now != before and not is_known(known, now, about):
            entry = entry_of(log, reading, about)
            known += filter(None, [seen(entry)])
            yield entry
        before = now


def reading_at(repository: Path, commit: str, name: str, today: Path, run: Run) -> Reading:
    """What the path was at a commit, where it had this name, judged by the rules of today under the stets of the commit.
    What can't be read of it is left out."""
    blobs = git.files(repository, commit, name)
    drafts, unreadable = editions.read(repository, blobs, lambda each: str(repository / each), (name,))
    reading = reading_of(drafts, run, unreadable)
    return stets.under(
        stets_at(repository, commit, [*(Path(draft.path) for draft in drafts), today.resolve()]), reading
    )


def stets_at(repository: Path, commit: str, paths: Sequence[Path]) -> list[stets.Filed]:
    """The stets that bear on these drafts: of each file as the commit has it, or as it is today where the commit has none
    that can be understood."""
    known = {repository / blob.path: blob for blob in git.files(repository, commit, "")}
    found: list[stets.Filed] = []
    for file in stets.places(paths):
        try:
            text = git.content(repository, known[file]) or b""
            listed = stets.entries(file, text.decode("utf-8-sig", "replace"))
        except (KeyError, Misuse):
            listed = stets.read(file) if is_file(file) else []
        found += [(file, stet) for stet in listed]
    return found


def is_known(known: Sequence[Seen], content: dict[str, str], about: Circumstances) -> bool:
    """True when the log has this commit, or had this very content as its last word when the commit was made."""
    same = [each for each in known if is_judged_alike(each.entry, about)]
    if any(each.entry.get("commit") == about.commit and files(each.entry) == content for each in same):
        return True
    read = [each for each in same if each.when <= about.when and files(each.entry).keys() & content.keys()]
    return bool(read) and files(max(read, key=lambda each: each.when).entry) == content
