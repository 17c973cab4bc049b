"""Keeps an eye on the untouched original: what was lost can only be seen as long as it is what it was.

The log knows a file as an original once it was compared from (``compare`` notes it), or where its name says so, or
where the log has seen it in one state only, while others went on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from storylint.revisions import journal
from storylint.revisions.editions import Edition
from storylint.revisions.log import files, log_of, pairs
from storylint.revisions.teller import EARLIER


def watch(old: Edition, record: bool) -> Iterator[str]:
    """A warning for each file of OLD that is no longer what the log knows; then note what is not known yet."""
    if not old.files:
        return
    log = log_of(Path(old.name))
    states = {log.name(draft.path): draft.sha256 for draft in old.drafts}
    entries = journal.read(log.file)[0]
    for path, sha256 in states.items():
        known = first_state(entries, path)
        if known and known[1] != sha256:
            day = str(known[0])[:10]
            yield (
                f"{path}: is no longer what it was on {day}, when it was the untouched original; what was changed in "
                "it can't show as lost. Put a copy from that time in its place."
            )
    if record and not all(is_noted(entries, path) for path in states):
        try:
            journal.append(log.file, lambda: note(states))
        except journal.Refused as fault:
            yield f"what OLD was is not noted: {fault}"


def note(states: Mapping[str, str]) -> journal.Entry:
    """The line that says what an original was."""
    now = datetime.now(UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")
    return {"schema": 1, "original": [{"path": path, "sha256": sha} for path, sha in states.items()], "when": now}


def noted(entry: Mapping[str, Any]) -> dict[str, str]:
    """Path → sha256 of the originals that a line notes."""
    return pairs(entry.get("original"))


def is_noted(entries: list[journal.Entry], path: str) -> bool:
    """True where a line says what this original was."""
    return any(path in noted(entry) for entry in entries)


def first_state(entries: list[journal.Entry], path: str) -> tuple[str, str] | None:
    """When the file was first seen and its sha256 then, where the log knows it as an original."""
    seen = [(str(entry.get("when")), (noted(entry) | files(entry))[path]) for entry in entries if is_of(entry, path)]
    if not seen:
        return None
    one_state = len({sha for _, sha in seen}) == 1
    return seen[0] if one_state or is_noted(entries, path) or EARLIER.search(Path(path).stem) else None


def is_of(entry: Mapping[str, Any], path: str) -> bool:
    """True where the line tells of the file."""
    return path in noted(entry) or path in files(entry)
