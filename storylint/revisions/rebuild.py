"""The history rebuilt from the commits of a repository. Git is only read; the log grows by what it did not know."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from storylint.complaints import Misuse
from storylint.engine import Run, reading_of
from storylint.findings import Reading
from storylint.revisions import editions, git, journal
from storylint.revisions.history import History, told
from storylint.revisions.log import (
    Circumstances,
    Log,
    entry_of,
    files,
    is_judged_alike,
    is_revision,
    log_of,
    rules_of,
    settings_hash,
)
from storylint.settings import Settings, load


def from_git(path: Path, dry: bool) -> History:
    """The history of a draft or a folder with all commits that changed it. They are recorded unless ``dry``."""
    from storylint.lint import Progress

    log, author = log_of(path), load(path)
    repository = git.need(path)
    entries, unread = journal.read(log.file)
    with Progress() as progress:
        for entry in missing(log, path, author, repository, entries, progress):
            if not dry:
                journal.append(log.file, lambda entry=entry: entry)  # type: ignore[misc]
            entries.append(entry)
    return told(log, entries, None if path.is_dir() else log.name(path), unread)


def missing(
    log: Log, path: Path, author: Settings, repository: Path, known: Sequence[journal.Entry], progress: Any
) -> Iterator[journal.Entry]:
    """A revision for each commit that the log does not have yet, oldest first."""
    commits = list(git.commits(repository, git.inside(path, repository)))
    if not commits:
        raise Misuse(f"{path}: no commit of this repository has it; 'git add' and 'git commit' it first.")
    rules, settings = rules_of(author), settings_hash(author)
    before: dict[str, str] = {}
    for number, (commit, name) in enumerate(commits):
        progress("reading commits", number, len(commits))
        reading = reading_at(repository, commit.id, name, Run(author))
        about = Circumstances(commit.when, commit.id, rules, settings, bool(reading.crashes), path.is_dir())
        now = {log.name(draft.path): draft.sha256 for draft in reading.drafts}
        if now and now != before and not is_known(known, now, about):
            yield entry_of(log, reading, about)
        before = now


def reading_at(repository: Path, commit: str, name: str, run: Run) -> Reading:
    """What the path was at a commit, judged by the rules of today. What can't be read of it is left out."""
    blobs = git.files(repository, commit, name)
    drafts, unreadable = editions.read(repository, blobs, lambda each: str(repository / each))
    return reading_of(drafts, run, unreadable)


def is_known(known: Sequence[journal.Entry], content: dict[str, str], about: Circumstances) -> bool:
    """True when the log has this commit, or had this very content as its last word when the commit was made."""
    same = [entry for entry in known if is_revision(entry) and is_judged_alike(entry, about)]
    if any(entry.get("commit") == about.commit and files(entry) == content for entry in same):
        return True
    read = [entry for entry in same if datetime.fromisoformat(entry["when"]) <= about.when]
    read = [entry for entry in read if files(entry).keys() & content.keys()]
    return bool(read) and files(max(read, key=lambda entry: str(entry["when"]))) == content
