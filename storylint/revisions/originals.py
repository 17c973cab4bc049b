"""Keeps an eye on the untouched original: what was lost can only be seen as long as it is what it was.

The log knows a file as an original once it was compared from (``compare`` notes it), or where its name says so, or
where the log has seen it in one state only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from storylint.findings import Reading
from storylint.revisions import journal
from storylint.revisions.editions import Edition
from storylint.revisions.log import Log, files, hidden, log_of, pairs, path_name, secret_names
from storylint.revisions.teller import EARLIER


@dataclass(frozen=True, slots=True)
class Sight:
    """A file as a line of the log has it; ``noted`` where the line says that it is an original."""

    when: str
    path: str
    sha256: str
    noted: bool


def watch(old: Edition, reading: Reading, record: bool) -> Iterator[str]:
    """A warning for each file of OLD that is no longer what the log knows; then note what is not known yet."""
    if not old.files:
        return
    log = log_of(Path(old.name))
    states = {log.name(draft.path): draft.sha256 for draft in reading.drafts}
    seen = sights(log, states)
    for path, sha256 in states.items():
        known = first_state([sight for sight in seen if sight.path == path])
        if known and known.sha256 != sha256:
            yield (
                f"{path}: is no longer what it was on {known.when[:10]}, when it was the untouched original; what was "
                "changed in it can't show as lost. Put a copy from that time in its place."
            )
    if record and states.keys() - {sight.path for sight in seen if sight.noted}:
        try:
            journal.append(log.file, lambda: note(log, reading))
        except journal.Refused as fault:
            yield f"what OLD was is not noted: {fault}"


def sights(log: Log, paths: Sequence[str] | dict[str, str]) -> list[Sight]:
    """All that the log has of these files, oldest first, also where it keeps the name secret."""
    secret = {hidden(log.key, path): path for path in paths}
    found: list[Sight] = []
    for entry in journal.read(log.file)[0]:
        for states, noted in ((pairs(entry.get("original")), True), (files(entry), False)):
            when = str(entry.get("when"))
            found += [Sight(when, secret.get(path, path), sha, noted) for path, sha in states.items()]
    return found


def note(log: Log, reading: Reading) -> journal.Entry:
    """The line that says what an original was."""
    now = datetime.now(UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")
    names = secret_names(reading)
    known = [{"path": path_name(log, draft.path, names), "sha256": draft.sha256} for draft in reading.drafts]
    return {"schema": 1, "when": now, "key": log.key, "original": known}


def first_state(seen: Sequence[Sight]) -> Sight | None:
    """The file when it was first seen, where the log knows it as an original."""
    if not seen:
        return None
    one_state = len({sight.sha256 for sight in seen}) == 1
    is_noted = any(sight.noted for sight in seen)
    return seen[0] if one_state or is_noted or EARLIER.search(Path(seen[0].path).stem) else None
