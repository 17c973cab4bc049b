"""Findings that the author lets stand: ``stet.toml`` beside the draft, and what it does to a reading.

Stet, "let it stand", is the proofreader's instruction that undoes a mark (ISO 5776). The manuscript is never edited:
what stands is written down beside it, with the sentence it was about, so that it holds through edits elsewhere, moves
and renumbering, and lapses when the sentence itself is changed.
"""

from __future__ import annotations

import json
import os
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence, Set
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from storylint.complaints import Misuse
from storylint.findings import Finding, Level, Reading, SectionReading, Stet
from storylint.revisions import journal
from storylint.revisions.passages import passages, words_of

FILE = "stet.toml"
HEAD = (
    "# Findings that may stand, written by 'storylint stet'. You may reword a reason; the rest says what it is about.\n"
)
KEYS = {"id": str, "rule": str, "why": str, "quotes": list, "person": str, "draft": str, "since": (date, str)}
NEAR = 0.5  # share of words in common from which a changed sentence is known again; proposed for this tool, no source

Pair = tuple[SectionReading | None, Finding]
Filed = tuple[Path, Stet]  # a stet with the file in which it stands


def places(paths: Iterable[Path]) -> list[Path]:
    """Where a stet file may be that bears on these drafts and folders: in them, beside them and above."""
    folders = dict.fromkeys(folder for path in paths for folder in (path.absolute(), *path.absolute().parents))
    return [folder / FILE for folder in folders]


def files_for(paths: Iterable[Path]) -> list[Path]:
    """The stet files that bear on these drafts and folders."""
    from storylint.settings import is_file

    return [file for file in places(paths) if is_file(file)]


def read(path: Path) -> list[Stet]:
    """The entries of a stet file; what can't be understood is a Misuse that names the line or the entry."""
    from storylint import settings

    return entries(path, settings.read(path))


def entries(path: Path, text: str) -> list[Stet]:
    """The entries in the text of the stet file at ``path``."""
    import tomllib

    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise Misuse(f"{path}: can't be understood: {fault}; mend it, or take the entry out.") from None
    listed = table.get("stet", [])
    if set(table) - {"stet"} or not isinstance(listed, list):
        raise Misuse(f"{path}: holds nothing but entries that begin with [[stet]].")
    return [parse(path, number, entry) for number, entry in enumerate(listed, 1)]


def parse(path: Path, number: int, entry: Any) -> Stet:
    """One entry."""
    if not isinstance(entry, dict):
        raise Misuse(f"{path}: entry {number} must begin with [[stet]].")
    for key, value in entry.items():
        if key not in KEYS or not isinstance(value, KEYS[key]):  # type: ignore[arg-type]
            raise Misuse(f"{path}: entry {number}: '{key}' can't be understood; it takes {', '.join(KEYS)}.")
    for key in ("id", "rule", "why"):
        if not entry.get(key):
            raise Misuse(f"{path}: entry {number} has no '{key}'; put it back, or take the entry out.")
    quotes = tuple(str(quote) for quote in entry.get("quotes", []))
    known: dict[str, Any] = {key: str(entry[key]) for key in KEYS if key in entry}
    return Stet(**known | {"quotes": quotes})


# ---------------------------------------------------------------------------------------------------- what may stand


def apply(reading: Reading, paths: Iterable[Path]) -> Reading:
    """The reading under the stets that bear on these drafts and folders and on those it was made of."""
    return under(bearing_on([*paths, *(Path(draft.path) for draft in reading.drafts)]), reading)


def bearing_on(paths: Iterable[Path]) -> list[Filed]:
    """The stets that bear on these drafts and folders."""
    return [(file, stet) for file in files_for(paths) for stet in read(file)]


def under(stets: Sequence[Filed], reading: Reading) -> Reading:
    """The reading without the findings that stand, and with the stets that lapsed."""
    if not stets:
        return reading
    found = standing([stet for _, stet in stets], reading.every())
    left = [(file, stet) for number, (file, stet) in enumerate(stets) if number not in found]
    hidden = {finding.id for _, finding in found.values()}
    paths = {real(Path(draft.path)) for draft in reading.drafts}
    of = open_findings(reading, hidden) if left else {}
    lapsed = [lapse(stet, of.get((stet.rule, stet.person), ())) for file, stet in left if is_read(file, stet, paths)]
    told = texts_told(reading) if lapsed else set()
    return replace(
        without(reading, hidden),
        standing=tuple(stands(stets[number][1], found[number][1]) for number in sorted(found)),
        lapsed=tuple(stet for stet in lapsed if not is_told(stet, told)),
    )


def stands(stet: Stet, finding: Finding) -> Stet:
    """The stet with what it lets stand."""
    return replace(stet, path=finding.places[0].path, level=finding.level)


def standing(stets: Sequence[Stet], pairs: Sequence[Pair]) -> dict[int, Pair]:
    """Index of a stet → the finding it lets stand, each once.

    Findings in the same words are told apart by a number behind the id, which an edit elsewhere may change: there the
    person decides, then the order. A rule whose ids changed is still known by its sentence.
    """
    by_id, by_quotes = defaultdict(list), defaultdict(list)
    for pair in pairs:
        by_id[base(pair[1].id)].append(pair)
        by_quotes[pair[1].rule, quoted(place.quote for place in pair[1].places)].append(pair)
    found: dict[int, Pair] = {}
    used: set[str] = set()
    for same in (is_same_place, is_same_person, lambda stet, pair: True):
        for number, stet in enumerate(stets):
            if number in found:
                continue
            likely = [*by_id[base(stet.id)], *by_quotes.get((stet.rule, quoted(stet.quotes)), ())]
            free = [each for each in likely if each[1].id not in used and each[1].rule == stet.rule]
            match = next((each for each in free if same(stet, each)), None)
            if match:
                found[number] = match
                used.add(match[1].id)
    return found


def base(id_: str) -> str:
    """A finding's id without the number that tells it from others in the same words."""
    return id_.partition("-")[0]


def quoted(quotes: Iterable[str]) -> tuple[tuple[str, ...], ...]:
    """What was quoted, as it is compared."""
    return tuple(sorted(words_of(quote) for quote in quotes))


def is_same_place(stet: Stet, pair: Pair) -> bool:
    """The same id with the same person."""
    return stet.id == pair[1].id and is_same_person(stet, pair)


def is_same_person(stet: Stet, pair: Pair) -> bool:
    """The same person, or nobody in both."""
    section = pair[0]
    return stet.person == (section.person if section else None)


def without(reading: Reading, hidden: set[str]) -> Reading:
    """The reading without these findings. An error that stands no longer holds a section's score down."""
    return replace(
        reading,
        sections=tuple(section_without(section, hidden) for section in reading.sections),
        findings=tuple(finding for finding in reading.findings if finding.id not in hidden),
    )


def section_without(section: SectionReading, hidden: set[str]) -> SectionReading:
    """One section without these findings."""
    from storylint import engine

    left = [finding for finding in section.findings if finding.id not in hidden]
    if len(left) == len(section.findings):
        return section
    if any(f.level is Level.ERROR for f in section.findings if f.id in hidden):
        gains = engine.gains_of(left, section.shares)
        left = [finding._replace(gain=gain) for finding, gain in zip(left, gains, strict=True)]
        scores = section.scores | {"overall": engine.rounded(engine.overall(section.shares, left))}
        return replace(section, findings=tuple(left), scores=scores)
    return replace(section, findings=tuple(left))


# ------------------------------------------------------------------------------------------------------- what lapsed


def is_read(file: Path, stet: Stet, paths: Set[str]) -> bool:
    """True where the stet's draft is among those read, or is no longer there: then it is elsewhere in the book."""
    draft = file.parent / stet.draft
    return not stet.draft or not os.access(draft, os.F_OK) or real(draft) in paths


def real(path: Path) -> str:
    """A file's one path, whatever links and letters lead to it."""
    return os.path.normcase(os.path.realpath(path))


Said = tuple[str, set[str]]  # a finding's id, and the words it quotes


def open_findings(reading: Reading, hidden: Set[str]) -> dict[tuple[str, str | None], list[Said]]:
    """The findings that do not stand, by their rule and person."""
    found: dict[tuple[str, str | None], list[Said]] = defaultdict(list)
    for section, finding in reading.every():
        if finding.id not in hidden:
            words = {word for place in finding.places for word in words_of(place.quote)}
            found[finding.rule, section.person if section else None].append((finding.id, words))
    return found


def texts_told(reading: Reading) -> set[tuple[str, ...]]:
    """The words of every sentence, paragraph and note of the book."""
    sentences = {line.words for passage in passages(reading) for line in passage.lines}
    blocks = {words_of(block.text) for draft in reading.drafts for block in draft.blocks}
    return sentences | blocks | {words_of(note.text) for draft in reading.drafts for note in draft.notes}


def is_told(stet: Stet, told: set[tuple[str, ...]]) -> bool:
    """True where every sentence of the stet still stands: then the finding is gone, and the stet has not lapsed."""
    return bool(stet.quotes) and all(words_of(quote) in told for quote in stet.quotes)


def lapse(stet: Stet, found: Iterable[Said]) -> Stet:
    """The stet with the finding, of these of its rule and person, that is now made about its changed sentence."""
    was = {word for quote in stet.quotes for word in words_of(quote)}
    best, likeness = "", NEAR
    for id_, now in found:
        share = 2 * len(was & now) / (len(was) + len(now) or 1)
        if share >= likeness:
            best, likeness = id_, share
    return replace(stet, now=best)


# ------------------------------------------------------------------------------------------------------------ writing


def add(file: Path, stet: Stet) -> None:
    """Write one entry at the end; what is there is left as it is, comments and all."""
    lines = [
        "\n[[stet]]",
        f"id = {toml(stet.id)}",
        f"rule = {toml(stet.rule)}",
        *([f"person = {toml(stet.person)}"] if stet.person else []),
        f"draft = {toml(stet.draft)}",
        f"since = {stet.since}",
        f"why = {toml(stet.why)}",
        f"quotes = [{', '.join(toml(quote) for quote in stet.quotes)}]",
    ]
    with journal.alone(file) as handle:
        before = "" if os.fstat(handle).st_size else HEAD
        end = "\n" if journal.is_cut_off(handle) else ""
        journal.grow(handle, file, (end + before + "\n".join(lines) + "\n").encode())


def drop(file: Path, id_: str) -> bool:
    """Take the entries of this id out, and leave all else as it is; True where there was one."""
    from storylint import settings

    with journal.alone(file) as handle:
        text = settings.read(file)
        gone = {number for number, stet in enumerate(entries(file, text), 1) if stet.id == id_}
        if gone:
            parts = re.split(r"(?m)^(?=[ \t]*\[\[[ \t]*stet[ \t]*\]\])", text)
            replace_by(handle, file, "".join(part for number, part in enumerate(parts) if number not in gone))
    return bool(gone)


def replace_by(handle: int, file: Path, text: str) -> None:
    """Put a shorter text in the place of the file's. What is over is blank before it is cut off, so that the file can be
    understood at every moment."""
    data = text.encode()
    try:
        with file.open("r+b") as stream:
            stream.write(data.ljust(os.fstat(handle).st_size, b"\n"))
            stream.flush()
        os.ftruncate(handle, len(data))
    except OSError as fault:
        raise Misuse(f"{file}: can't be written ({fault.strerror}); make room, or allow it to be changed.") from None


def toml(text: str) -> str:
    """A text as TOML writes it: JSON's spelling but for one character."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
