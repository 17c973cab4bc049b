"""The history of a book and of its persons, as plain data, made from the revision log alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

from storylint.complaints import Complaint
from storylint.reporters.glance import mean
from storylint.revisions import journal
from storylint.revisions.log import SCHEMA, Log, hidden, log_of, states
from storylint.revisions.pace import Pace, pace
from storylint.revisions.teller import Memory, Person, Point, Seen, State, in_order, seen, tell

LEVELS = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Moment:
    """The book at one revision: sums over its files and persons as they were last seen; means are weighed by words.

    ``rules`` says what changed in the rules since the revision before ("" where nothing did): across such a break the
    scores can't be compared. ``let_stand``: how many more findings the author let stand than before; fewer are below 0.
    ``done`` of the ``persons`` had reached the goal.
    """

    when: datetime
    commit: str | None
    words: int
    notes: int
    persons: int
    done: int
    overall: float | None
    ease: float | None
    grade: float | None
    findings: Mapping[str, int]
    rules: str = ""
    let_stand: int = 0


@dataclass(frozen=True, slots=True)
class History:
    """What the log tells: the book's moments and the persons, each in order of time. ``goal`` is the author's, as last
    recorded; ``unread`` the number of lines that were cut off or damaged, ``newer`` of those that a later storylint wrote,
    ``mistimed`` of revisions whose time can't be right; ``key`` that of the log's hashes."""

    log: Path
    goal: float
    moments: tuple[Moment, ...]
    persons: tuple[Person, ...]
    pace: Pace
    unread: int = 0
    key: str = ""
    newer: int = 0
    mistimed: int = 0

    def find(self, name: str) -> Person | None:
        """The person of this name in the book as it stands, also where the log keeps the name secret."""
        who = hidden(self.key, name) if self.key else ""
        return next((person for person in reversed(self.persons) if person.who == who and not person.gone), None)


def history(path: Path) -> History:
    """What the log says of a draft, or of all drafts of a folder; without moments where nothing is recorded."""
    log = log_of(path)
    entries = journal.forwards(log.file)
    return told(log, entries, None if path.is_dir() else log.name(path), partial(people_in, path))


def people_in(path: Path) -> list[str]:
    """The names, or titles, of the sections in a draft, or in all drafts of a folder."""
    from storylint.draft import opening, sections

    found: list[str] = []
    for file in opening.drafts_in([path]):
        with suppress(Complaint):
            found += [section.person or section.title for section in sections.split(opening.read(file))]
    return found


def told(
    log: Log,
    entries: Iterable[journal.Entry | None],
    wanted: str | None,
    names_now: Callable[[], Iterable[str]] = tuple,
) -> History:
    """The history that these lines of the log tell (None for one that can't be read), of one file or of all.
    ``names_now``: those in the drafts, asked for where the log has several keys."""
    newer = unread = 0
    read: list[Seen] = []
    memory = Memory()
    for entry in entries:
        if entry is not None and "original" in entry:
            continue
        now = seen(entry, memory) if entry is not None else None
        if now:
            read.append(now)
        elif entry is not None and is_newer(entry):
            newer += 1
        else:
            unread += 1
    revisions = under_one_key(once(read), names_now)
    goal = float(revisions[-1].entry["goal"]) if revisions else 0.0
    key = str(revisions[-1].entry["key"]) if revisions else ""
    placed, mistimed = in_order(revisions, datetime.now(UTC))
    teller = tell(placed)
    names = lineage(teller.states, wanted) if wanted else None
    states = list(views(teller.states, names))
    moments = list(moments_of(states, goal))
    people = [own(person, names) for person in teller.people] if names else teller.people
    kept = tuple(person for person in people if person.points)
    here = set(states[-1].here) if states else set()
    present = [one for one, whole in zip(people, teller.people, strict=True) if whole in here]
    breaks = [moment.when for moment in moments if moment.rules]
    told_pace = pace([moment.when for moment in moments], breaks, present, goal)
    return History(log.file, goal, tuple(moments), kept, told_pace, unread, key, newer, mistimed)


def under_one_key(revisions: list[Seen], names_now: Callable[[], Iterable[str]]) -> list[Seen]:
    """The revisions with every name hashed under the last key; logs that were joined have several. Whose name is secret is
    known again if it stands in the drafts, or somewhere in the clear: without it, nothing links the two hashes."""
    keys = [str(each.entry["key"]) for each in revisions]
    others = set(keys) - set(keys[-1:])
    if not others:
        return revisions
    names = {name for each in revisions for name in each.names if name} | set(names_now())
    same = {hidden(key, name): hidden(keys[-1], name) for key in others for name in names}
    return [
        replace(each, traces=tuple(replace(trace, name=same.get(trace.name, trace.name)) for trace in each.traces))
        for each in revisions
    ]


def is_newer(entry: journal.Entry) -> bool:
    """True for a line that a later version wrote, which may know what this one does not."""
    schema = entry.get("schema")
    return isinstance(schema, int) and schema > SCHEMA


def once(revisions: Iterable[Seen]) -> list[Seen]:
    """Each revision once, whoever wrote it twice: two runs that rebuilt the same commits."""
    keyed = {(r.when, r.entry.get("commit"), str(states(r.entry)), str(r.entry["rules"])): r for r in revisions}
    return list(keyed.values())


# ------------------------------------------------------------------------------------------------- one file of several


def lineage(states: Sequence[State], wanted: str) -> set[str]:
    """The file and those that became it: what was saved under another name, or the original it was worked from."""
    names = {wanted}
    for state in reversed(states):
        names |= {old for old, new in state.became.items() if new in names}
    return names


def views(states: Iterable[State], names: set[str] | None) -> Iterator[State]:
    """The states at which one of these files was read, with what then stood in them; all where ``names`` is None."""
    succeeded: set[str] = set()
    for state in states:
        covered = {draft["path"] for draft in state.entry["drafts"]}
        if names is None:
            yield state
            continue
        succeeded |= {old for old, new in state.became.items() if new in names}
        live = names - succeeded
        if covered & live:
            here = {person: point for person, point in state.here.items() if point.path in live}
            yield replace(state, drafts={p: d for p, d in state.drafts.items() if p in live}, here=here)


def own(person: Person, names: set[str]) -> Person:
    """The person with her points in these files, and those elsewhere before she came into them."""
    inside = [number for number, point in enumerate(person.points) if point.path in names]
    if not inside:
        return replace(person, points=[])
    points = [point for number, point in enumerate(person.points) if number < inside[0] or point.path in names]
    return replace(person, points=points, gone=person.gone or person.points[-1].path not in names)


# ------------------------------------------------------------------------------------------------------------ moments


def moments_of(states: Iterable[State], goal: float) -> Iterator[Moment]:
    """The book at each state."""
    judged: tuple[dict[str, int], object] | None = None
    standing: dict[str, journal.Entry] = {}
    for state in states:
        entry = state.entry
        if entry.get("partial"):
            yield moment(state, goal, "", 0)
            continue
        now = dict(entry["rules"]), entry.get("settings")
        read = {draft["path"]: draft for draft in entry["drafts"] if draft["path"] in state.drafts}
        yield moment(state, goal, changed(judged, now), let_stand(standing, read))
        judged, standing = now, standing | read


def let_stand(before: Mapping[str, journal.Entry], now: Mapping[str, journal.Entry]) -> int:
    """How many more findings stand in the drafts that both have. Fewer may have been mended where the text changed."""
    both = [(before[path], draft) for path, draft in now.items() if path in before]
    more = [(sum_of(new) - sum_of(old), old.get("sha256") == new.get("sha256")) for old, new in both]
    return sum(count for count, is_same_text in more if count > 0 or is_same_text)


def sum_of(draft: journal.Entry) -> int:
    """How many findings stand in a draft."""
    return sum(draft.get("standing", {}).values())


def moment(state: State, goal: float, rules: str, let_stand: int) -> Moment:
    """The figures of the book."""
    points: list[Point] = [last_scored(person, point) for person, point in state.here.items()]
    drafts = list(state.drafts.values())
    found = [draft.get("findings", {}) for draft in drafts]
    return Moment(
        when=state.when,
        commit=state.entry.get("commit"),
        words=sum(int(draft.get("words", 0)) for draft in drafts),
        notes=sum(int(draft.get("notes", 0)) for draft in drafts),
        persons=len(points),
        done=sum(point.is_done(goal) for point in points),
        overall=mean((point.overall, point.words) for point in points),
        ease=mean((point.ease, point.words) for point in points),
        grade=mean((point.grade, point.words) for point in points),
        findings={level: sum(int(count.get(level, 0)) for count in found) for level in LEVELS},
        rules=rules,
        let_stand=let_stand,
    )


def last_scored(person: Person, point: Point) -> Point:
    """The point, with the last overall score from before where it has none because some rules were left out."""
    if point.overall is not None:
        return point
    before = [p.overall for p in person.points if p.when <= point.when and p.overall is not None]
    return replace(point, overall=before[-1]) if before else point


def changed(before: tuple[dict[str, int], object] | None, now: tuple[dict[str, int], object] | None) -> str:
    """What changed in the rules, in words; empty where nothing did."""
    if before is None or now is None or before == now:
        return ""
    return ", ".join(rule_changes(before[0], now[0])) or "the settings of the rules"


def rule_changes(before: Mapping[str, int], after: Mapping[str, int]) -> Iterator[str]:
    """Each rule that came, went or has another version."""
    for name in sorted(before.keys() | after.keys()):
        if name not in before:
            yield f"{name} is new"
        elif name not in after:
            yield f"{name} is gone"
        elif before[name] != after[name]:
            yield f"{name} judges anew"


# --------------------------------------------------------------------------------------------------------------- data


def as_data(told_: History) -> dict[str, Any]:
    """The history as JSON-ready data, schema 1: see ``storylint progress --help``."""
    return {
        "schema": 1,
        "log": str(told_.log),
        "goal": told_.goal,
        "book": [moment_as_data(moment) for moment in told_.moments],
        "persons": [person_as_data(person, told_.goal) for person in told_.persons],
        "pace": pace_as_data(told_.pace),
        "unread": told_.unread,
        "newer": told_.newer,
        "mistimed": told_.mistimed,
    }


def moment_as_data(moment: Moment) -> dict[str, Any]:
    """The book at one revision."""
    return {
        "when": moment.when.isoformat(),
        "commit": moment.commit,
        "words": moment.words,
        "notes": moment.notes,
        "persons": moment.persons,
        "done": moment.done,
        "overall": moment.overall,
        "readability": {"flesch_reading_ease": moment.ease, "flesch_kincaid_grade": moment.grade},
        "findings": dict(moment.findings),
        "rules_changed": moment.rules or None,
        "let_stand": moment.let_stand,
    }


def person_as_data(person: Person, goal: float) -> dict[str, Any]:
    """One person through the revisions."""
    return {
        "person": person.name,
        "hidden_as": None if person.name else person.who,
        "in_book": not person.gone,
        "done": person.last.is_done(goal),
        "revisions": [point_as_data(point) for point in person.points],
    }


def point_as_data(point: Point) -> dict[str, Any]:
    """A person at one revision."""
    return {
        "when": point.when.isoformat(),
        "path": point.path,
        "number": point.number,
        "words": point.words,
        "notes": point.notes,
        "scores": dict(point.scores) | {"overall": point.overall},
        "readability": {"flesch_reading_ease": point.ease, "flesch_kincaid_grade": point.grade},
        "findings": dict(point.findings),
    }


def pace_as_data(told_: Pace) -> dict[str, Any]:
    """The pace; its ends are days, since hours would pretend to know."""
    day = {name: getattr(told_, name) for name in ("earliest", "likely", "latest")}
    return {
        "brought_over_goal": told_.brought,
        "days": told_.days,
        "left": told_.left,
        "a_week": told_.a_week,
        **{name: when.date().isoformat() if when else None for name, when in day.items()},
        "why_not": told_.why or None,
    }
