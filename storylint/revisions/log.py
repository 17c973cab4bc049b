"""The revision log: what each ``lint`` found, one line a revision, in ``storylint-log.jsonl`` beside the draft.

The file is in plain sight and bears the tool's name, because it is the author's: it holds months of work that nothing
can make again, and should be copied and kept with the draft. (What may be thrown away, such as a cache, is hidden.)

It holds no text. Persons who may be living stand in it by a keyed hash alone, without any trace of their sections'
wording; of the others' sentences it keeps a few short keyed hashes, made without their numbers and dates. The key lies
in the log, so that it works on every computer: whoever has the file can test a guess at a name, and read none.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import unicodedata
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from storylint import __version__
from storylint.findings import DraftReading, Finding, Level, Reading
from storylint.reporters.glance import persons, readability
from storylint.revisions import journal
from storylint.revisions.passages import Passage, passages, words_of
from storylint.settings import Settings

FILE = "storylint-log.jsonl"
SCHEMA = 1
PRINTS = 24  # hashes kept a section: always its smallest, so that two states keep the same where they share sentences
SHORT = 4  # sentences of fewer words are alike in any two sections

State = tuple[str, dict[str, int]]  # a draft's sha256, and level → how many of its findings the author lets stand


@dataclass(frozen=True)
class Log:
    """The log file that a draft or folder belongs to, and the folder from which its paths are counted."""

    file: Path

    @property
    def folder(self) -> Path:
        """Where the log stands."""
        return self.file.parent

    def entries(self) -> list[journal.Entry]:
        """All revisions, in the order in which they were written."""
        return [entry for entry in journal.read(self.file)[0] if is_revision(entry)]

    def name(self, path: str | Path) -> str:
        """A draft's path from the log's folder, with slashes. Where only one of both is told through a link, the two meet
        at their real places."""
        name = os.path.relpath(Path(path).absolute(), self.folder.absolute())
        if name.startswith(os.pardir):
            name = os.path.relpath(os.path.realpath(path), os.path.realpath(self.folder))
        return one_name(Path(name).as_posix())

    @cached_property
    def key(self) -> str:
        """The key of the log's hashes: that of the last line, or a new one."""
        last = next((entry for entry in journal.backwards(self.file) if isinstance(entry.get("key"), str)), None)
        return str(last["key"]) if last else secrets.token_hex(16)


def log_of(given: Path) -> Log:
    """The log beside the draft or in the folder; else one further up that knows this very draft; else a new one."""
    start = (given if given.is_dir() else given.parent).absolute()
    if not (start / FILE).is_file() and not given.is_dir():
        for folder in start.parents:
            log = Log(folder / FILE)
            if log.file.is_file() and any(log.name(given) in files(entry) for entry in journal.backwards(log.file)):
                return log
    return Log(start / FILE)


def one_name(path: str) -> str:
    """A path with each accent in its letter: a Mac may write 'Siân.md' otherwise than the computer that has the same folder
    in the cloud."""
    return path if path.isascii() else unicodedata.normalize("NFC", path)


def is_revision(entry: Mapping[str, Any]) -> bool:
    """True for a line that this version can read as a revision."""
    kept = isinstance(entry.get("drafts"), list) and isinstance(entry.get("persons"), list)
    return kept and isinstance(entry.get("when"), str) and entry.get("schema") == SCHEMA


def files(entry: Mapping[str, Any]) -> dict[str, str]:
    """Path → sha256 of the drafts of a revision."""
    return {path: sha256 for path, (sha256, _) in states(entry).items()}


def states(entry: Mapping[str, Any]) -> dict[str, State]:
    """Path → state of the drafts of a revision; what is no draft is passed over."""
    listed = entry.get("drafts")
    each = [draft for draft in listed if isinstance(draft, dict)] if isinstance(listed, list) else []
    found = ((draft.get("path"), draft.get("sha256"), draft.get("standing") or levels({})) for draft in each)
    return {
        one_name(path): (sha, stand) for path, sha, stand in found if isinstance(path, str) and isinstance(sha, str)
    }


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What a revision says of the run besides the reading. ``rules``: name → version. ``partial``: some rules were left
    out or failed, so that the overall scores can't be set beside others. ``whole``: the run read the whole folder.
    ``rebuilt``: it was made from a commit, at whose time it stands."""

    when: datetime
    commit: str | None
    rules: dict[str, int]
    settings: str
    partial: bool
    whole: bool
    rebuilt: bool = False


def record(reading: Reading, given: Sequence[Path], author: Settings, only: Sequence[str], skip: Sequence[str]) -> bool:
    """Record the revision unless the log has it; True when a line was written. Raises Refused where it can't be."""
    from storylint.revisions import git

    log = log_of(given[0])
    rules = reading.rules or rules_of(author, only, skip)
    whole = len(given) == 1 and given[0].is_dir() and not reading.unreadable
    partial = bool(only or skip or reading.crashes)
    now = datetime.now(UTC).replace(microsecond=0)
    about = Circumstances(now, git.head(given[0]), rules, settings_hash(author), partial, whole)
    return write(log, reading, about)


def write(log: Log, reading: Reading, about: Circumstances) -> bool:
    """Append one revision, unless the log has the same content judged by the same rules."""

    def make() -> journal.Entry | None:
        return None if is_known(log, reading, about) else entry_of(log, reading, about)

    return journal.append(log.file, make)


def rules_of(author: Settings, only: Sequence[str] = (), skip: Sequence[str] = ()) -> dict[str, int]:
    """The rules of a run with their versions."""
    from storylint.engine import chosen

    return {name: module.CARD.version for name, module in chosen(author, only, skip).items()}


def settings_hash(author: Settings) -> str:
    """What of the settings can change a verdict, as a hash. The author's goal changes none; the folder neither."""
    table = {name: dict(values) for name, values in author.table.items() if name != "rules"}
    for name in ("goal", "reader_grade"):
        table.get("book", {}).pop(name, None)
    text = json.dumps({name: values for name, values in table.items() if values}, sort_keys=True, default=str)
    home = str(Path(author.path).parent) if author.path else ""
    return hashlib.sha256((text.replace(home, "") if home else text).encode()).hexdigest()[:8]


def is_known(log: Log, reading: Reading, about: Circumstances) -> bool:
    """True when the last revision of these drafts read them together with the same content, judged them in the same way,
    and the same was let stand. What a chapter scores alone it may not score in the book: wordings are shared. So a whole
    book is recorded after its chapters were read one by one, and a chapter after its book is not."""
    wanted = {log.name(path): state for path, state in states_of(reading).items()}
    secret = {hidden(log.key, path): path for path in wanted}
    for entry in journal.backwards(log.file):
        known = {secret.get(path, path): state for path, state in states(entry).items()} if is_revision(entry) else {}
        if known.keys().isdisjoint(wanted):
            continue
        if about.whole and not (entry.get("whole") and known.keys() == wanted.keys()):
            return False
        same = all(path in known and is_same(known[path], state, about) for path, state in wanted.items())
        return same and is_judged_alike(entry, about)
    return False


def is_same(known: State, wanted: State, about: Circumstances) -> bool:
    """True for the same text with the same findings let stand. Some rules alone do not meet all that stand."""
    return known == wanted or (about.partial and known[0] == wanted[0])


def is_judged_alike(entry: Mapping[str, Any], about: Circumstances) -> bool:
    """True when the revision was judged by the same rules and settings. A run with some rules only asks for less."""
    if about.partial:
        return True
    return (entry.get("rules"), entry.get("settings"), entry.get("partial")) == (about.rules, about.settings, False)


def states_of(reading: Reading) -> dict[str, State]:
    """Path → state of each draft."""
    count = {draft.path: Counter[str]() for draft in reading.drafts}
    for stet in reading.standing:
        count[stet.path][stet.level or ""] += 1
    return {draft.path: (draft.sha256, levels(count[draft.path])) for draft in reading.drafts}


# ---------------------------------------------------------------------------------------------------------- one line


def entry_of(log: Log, reading: Reading, about: Circumstances) -> journal.Entry:
    """A revision as the line that is written."""
    secret = secret_names(reading)
    names = [path_name(log, draft.path, secret) for draft in reading.drafts]
    index = {draft.path: number for number, draft in enumerate(reading.drafts)}
    texts = passages(reading)
    told = [text for text in texts if text.section.person] or texts
    standing = states_of(reading)
    counts = {draft.path: Counter[str]() for draft in reading.drafts}
    for _, finding in reading.every():
        counts[finding.places[0].path][finding.level.value] += 1
    return {
        "schema": SCHEMA,
        "when": about.when.astimezone(UTC).isoformat().replace("+00:00", "Z"),
        "storylint": __version__,
        "rules": about.rules,
        "settings": about.settings,
        "partial": about.partial,
        "whole": about.whole,
        "rebuilt": about.rebuilt,
        "commit": about.commit,
        "goal": reading.goal,
        "key": log.key,
        "drafts": [
            {"path": name, "sha256": draft.sha256, "text": text_of(draft, log.key)}
            | {"words": draft.words, "notes": len(draft.notes)}
            | {"findings": levels(counts[draft.path]), "standing": standing[draft.path][1]}
            for name, draft in zip(names, reading.drafts, strict=True)
        ],
        "persons": [person(text, index[text.section.path], log.key) for text in told],
    }


def person(text: Passage, draft: int, key: str) -> journal.Entry:
    """A person's figures; ``draft`` is the index of her file. ``name`` stands only where she is not living."""
    section = text.section
    known = section.person is not None and not section.may_live
    return {
        **({"name": section.person} if known else {"who": hidden(key, text.name)}),
        "number": section.number,
        "draft": draft,
        "words": section.words,
        "notes": len(text.notes),
        "scores": section.scores,
        "ease": readability(section, "flesch_reading_ease"),
        "grade": readability(section, "flesch_kincaid_grade"),
        "findings": counted(section.findings),
        "prints": prints(text, key) if known else [],
    }


def counted(findings: Iterable[Finding]) -> dict[str, int]:
    """Findings by level."""
    return levels(Counter(finding.level.value for finding in findings))


def levels(count: Mapping[str, int]) -> dict[str, int]:
    """All three levels, gravest first."""
    return {level.value: count.get(level.value, 0) for level in reversed(Level)}


def hidden(key: str, name: str) -> str:
    """A name as the keyed hash that stands for it; spelling with capitals, commas or generation digits is the same."""
    return keyed(key, "name " + " ".join(words_of(name)), 8)


def keyed(key: str, text: str, size: int) -> str:
    """A hash of ``size`` bytes that says nothing to who has not the key (BLAKE2, RFC 7693, keyed)."""
    return hashlib.blake2b(text.encode("utf-8", "backslashreplace"), key=key.encode(), digest_size=size).hexdigest()


def text_of(draft: DraftReading, key: str) -> str:
    """The hash of all that a draft says, with its marks and notes, whatever bytes it is packed in."""
    blocks = [(block.text, [(mark.at, mark.number) for mark in block.marks]) for block in draft.blocks]
    return keyed(key, repr((blocks, [(note.number, note.text) for note in draft.notes])), 8)


def prints(text: Passage, key: str) -> list[str]:
    """The smallest hashes of the section's sentences, taken without numbers."""
    bare = {" ".join(word for word in line.words if not any(map(str.isdigit, word))) for line in text.lines}
    return sorted(keyed(key, words, 4) for words in bare if words.count(" ") + 1 >= SHORT)[:PRINTS]


def secret_names(reading: Reading) -> list[tuple[str, ...]]:
    """The names of those who may be living, in words."""
    return [words_of(section.person) for section in persons(reading) if section.may_live and section.person]


def path_name(log: Log, path: str, secret: Iterable[tuple[str, ...]]) -> str:
    """A draft's path, or a hash of it where it holds the whole name of somebody who may be living."""
    name = log.name(path)
    words = set(words_of(name))
    return hidden(log.key, name) if any(person and words.issuperset(person) for person in secret) else name
