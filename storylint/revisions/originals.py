"""Keeps an eye on the untouched original: what was lost can only be seen as long as it is what it was.

The log knows a file as an original once it was compared from (``compare`` notes it), or where its name says so, or
where the log has seen it in one state only. It is still the same in other bytes: packed anew, or with other line ends.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from storylint.findings import DraftReading, Reading
from storylint.revisions import journal
from storylint.revisions.editions import Edition
from storylint.revisions.log import Log, hidden, log_of, one_name, path_name, secret_names, text_of
from storylint.revisions.teller import EARLIER

LOST = (
    "what was changed in it since can't show as lost. If it is your original, put a copy from that time in its place."
)


@dataclass(frozen=True, slots=True)
class Sight:
    """A file as a line of the log has it: the hashes of its bytes and of its text ("" in old lines). ``noted`` where the
    line says that it is an original."""

    when: str
    path: str
    sha256: str
    text: str
    noted: bool


def watch(old: Edition, reading: Reading, record: bool) -> Iterator[str]:
    """A warning for each file of OLD that is no longer what the log knows; then note what is not known yet."""
    if not old.files:
        return
    log = log_of(Path(old.name))
    drafts = {log.name(draft.path): draft for draft in reading.drafts}
    try:
        seen = sights(log, drafts)
        noted = {sight.path for sight in seen if sight.noted}
        fresh = []
        for path, draft in drafts.items():
            known = first_state([sight for sight in seen if sight.path == path])
            if known and not is_still(draft, known, log.key):
                how = "compared from" if known.noted else "read"
                yield f"{path}: is no longer what it was on {known.when[:10]}, when it was first {how}; {LOST}"
            elif path not in noted:
                fresh.append(draft)
        for sight in gone(seen, log, Path(old.name)):
            yield f"{sight.path}: is no longer there, and was compared from on {sight.when[:10]}; {LOST}"
        if record and fresh:
            journal.append(log.file, lambda: note(log, reading, fresh))
    except journal.Refused as fault:
        yield f"whether OLD is what it was can't be told: {fault}"


def sights(log: Log, paths: Iterable[str]) -> list[Sight]:
    """All that the log has of any file, oldest first, of these also where it keeps the name secret."""
    secret = {hidden(log.key, path): path for path in paths}
    found: list[Sight] = []
    for entry in filter(None, journal.forwards(log.file)):
        for listed, noted in ((entry.get("original"), True), (entry.get("drafts"), False)):
            for draft in listed if isinstance(listed, list) else []:
                if isinstance(draft, dict):
                    what = (str(draft.get(key, "")) for key in ("path", "sha256", "text"))
                    path, sha256, text = what
                    found.append(Sight(str(entry.get("when")), secret.get(path, one_name(path)), sha256, text, noted))
    return found


def is_still(draft: DraftReading, known: Sight, key: str) -> bool:
    """True where the file holds what it held, be it in other bytes."""
    return draft.sha256 == known.sha256 or text_of(draft, key) == known.text


def gone(seen: Iterable[Sight], log: Log, folder: Path) -> Iterator[Sight]:
    """Files of an original's folder that were noted and are no longer on the disk."""
    noted = {sight.path: sight for sight in seen if sight.noted}
    for path, sight in noted.items() if folder.is_dir() else ():
        file = log.folder / path
        if folder.absolute() in file.absolute().parents and not (file.exists() or parted(file).exists()):
            yield sight


def parted(file: Path) -> Path:
    """The file with its accents behind their letters, as a Mac may have named it."""
    return Path(unicodedata.normalize("NFD", str(file)))


def note(log: Log, reading: Reading, fresh: Sequence[DraftReading]) -> journal.Entry:
    """The line that says what these files of an original were."""
    now = datetime.now(UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")
    names = secret_names(reading)
    known = [
        {"path": path_name(log, draft.path, names), "sha256": draft.sha256, "text": text_of(draft, log.key)}
        for draft in fresh
    ]
    return {"schema": 1, "when": now, "key": log.key, "original": known}


def first_state(seen: Sequence[Sight]) -> Sight | None:
    """The file when it was noted as an original, or first seen where it looks like one."""
    noted = next((sight for sight in seen if sight.noted), None)
    one_state = len({sight.sha256 for sight in seen}) == 1
    return noted or next((sight for sight in seen if one_state or EARLIER.search(Path(sight.path).stem)), None)
