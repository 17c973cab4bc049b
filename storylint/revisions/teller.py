"""Tells from the lines of the log who was who, revision after revision, and what the book then consisted of.

A revision may have read the whole book or one chapter. Who is who is found here and not when the line is written, so
that a better way of telling serves old lines too.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import PurePosixPath

from storylint.revisions.journal import Entry
from storylint.revisions.log import hidden, is_revision, one_name
from storylint.revisions.match import Trace, pair
from storylint.revisions.passages import words_of

MOST = 0.5  # share of a file's persons found again in a new file, from which the file has become that one ...
SEVERAL = 3  # ... and how many, where they share their names but no sentence: one may be a namesake
SAME_LENGTH = 0.8  # share of a section's words from which it may be the one under another name; proposed, no source
# A file of such a name that turns up late is an older state looked at again. Common practice, no source.
EARLIER = re.compile(r"(?<![a-z])(?:original|orig|raw|export(?:ed)?|generated|backup|bak|old|copy)(?![a-z])", re.I)


@dataclass(frozen=True, slots=True)
class Point:
    """A person at one revision. ``scores``: rule → 0 to 100 or None; ``overall`` is None for a run with some rules
    only. ``ease`` is the Flesch reading ease, ``grade`` the Flesch–Kincaid grade, ``notes`` the citation notes called.
    """

    when: datetime
    path: str
    number: str | None
    words: int
    notes: int
    overall: float | None
    scores: Mapping[str, float | None]
    ease: float | None
    grade: float | None
    findings: Mapping[str, int]

    def is_done(self, goal: float) -> bool:
        """True at the author's goal and without an error, as everywhere in storylint."""
        return self.overall is not None and self.overall >= goal and not self.findings.get("error")


@dataclass(slots=True, eq=False)
class Person:
    """One person through all revisions. ``name`` is None where it is kept out of the log; ``who`` is then its hash.
    ``gone``: no longer in the book."""

    name: str | None
    trace: Trace
    points: list[Point] = field(default_factory=list)
    gone: bool = False

    @property
    def who(self) -> str:
        """The hash of the name."""
        return self.trace.name

    @property
    def first(self) -> Point:
        """The first revision with an overall score, or the first of all."""
        return next((point for point in self.points if point.overall is not None), self.points[0])

    @property
    def last(self) -> Point:
        """The last revision with an overall score, or the last of all."""
        return next((point for point in reversed(self.points) if point.overall is not None), self.points[-1])


@dataclass(frozen=True, slots=True)
class State:
    """The book after one revision: path → what was last seen of the file, and person → where she then stood."""

    entry: Entry
    when: datetime
    drafts: Mapping[str, Entry]
    here: Mapping[Person, Point]
    became: Mapping[str, str]  # file → the new file into which it went with this revision


@dataclass(frozen=True, slots=True)
class Seen:
    """One revision, read from its line: each person's name (None where it is secret), point and trace. Of the ``entry``
    the persons are left out."""

    entry: Entry
    when: datetime
    names: tuple[str | None, ...]
    points: tuple[Point, ...]
    traces: tuple[Trace, ...]


@dataclass(slots=True)
class Memory:
    """What a line of the log was last read as. From one revision to the next hardly anything changes, and what does not
    is kept once: by key of the log, file and name, whole run or not, the person's line with her point and trace; by path
    the draft's."""

    persons: dict[tuple[object, ...], tuple[Entry, Point, Trace]] = field(default_factory=dict)
    drafts: dict[str, Entry] = field(default_factory=dict)

    def person(self, line: Entry, entry: Entry, when: datetime) -> tuple[Point, Trace]:
        """Her point and trace; the drafts of the entry are those that were found sound."""
        path = entry["drafts"][number(line["draft"])]["path"]
        address = entry["key"], path, line.get("name"), line.get("who"), line.get("number"), bool(entry.get("partial"))
        known = self.persons.get(address)
        if known is None or known[0] != line:
            point = point_of(line, entry, when)
            known = self.persons[address] = line, point, trace_of(line, path, given(entry["key"]))
        return replace(known[1], when=when), known[2]

    def draft(self, draft: Entry) -> Entry:
        """The draft's part of a line, if it is sound."""
        path = one_name(given(draft["path"]))
        draft = draft if draft["path"] == path else draft | {"path": path}
        known = self.drafts.get(path)
        if known is None or known != draft:
            sound(draft)
            known = self.drafts[path] = draft
        return known


def seen(entry: Entry, memory: Memory | None = None) -> Seen | None:
    """The revision of a line; None where something in it is missing or can't be, and it is passed over as a torn one is."""
    memory = memory or Memory()
    try:
        when = time_of(entry["when"])
        if not (is_revision(entry) and isinstance(entry["rules"], dict)) or figure(entry["goal"], 0) is None:
            return None
        text(entry.get("commit"))
        entry = entry | {"drafts": [memory.draft(draft) for draft in entry["drafts"]]}
        read = [memory.person(line, entry, when) for line in entry["persons"]]
        names = tuple(line.get("name") for line in entry["persons"])
        kept = {key: value for key, value in entry.items() if key != "persons"}
        return Seen(kept, when, names, tuple(point for point, _ in read), tuple(trace for _, trace in read))
    except (KeyError, TypeError, ValueError, IndexError, AttributeError):
        return None


def sound(draft: Entry) -> None:
    """A ValueError or the like where a draft's part of a line can't be."""
    given(draft["path"]), given(draft["sha256"])
    number(draft.get("words", 0)), number(draft.get("notes", 0))
    counts(draft.get("findings", {})), counts(draft.get("standing", {}))


def point_of(line: Entry, entry: Entry, when: datetime) -> Point:
    """One person's line of a revision."""
    scores = {rule: figure(score, 0, 100) for rule, score in line["scores"].items()}
    return Point(
        when=when,
        path=entry["drafts"][number(line["draft"])]["path"],
        number=text(line.get("number")),
        words=number(line["words"]),
        notes=number(line.get("notes", 0)),
        overall=None if entry.get("partial") else scores.get("overall"),
        scores=scores,
        ease=figure(line.get("ease")),
        grade=figure(line.get("grade")),
        findings=counts(line["findings"]),
    )


def trace_of(line: Entry, path: str, key: str) -> Trace:
    """What the person is known by. A name in the clear is compared by its hash too: who was hidden stays known."""
    name = text(line.get("name"))
    who, words = name_of(key, name) if name else (given(line["who"]), ())
    return Trace(who, words, line.get("number"), path, frozenset(map(given, line.get("prints", ()))))


# What a line may hold. It may have been edited by hand, or be somebody else's: whatever else it holds is a ValueError.

MOST_OF_ALL = 10**9  # more words, findings or points there can't be
YEARS = range(1970, 3000)  # git counts from 1970


def time_of(value: str) -> datetime:
    """A time with its zone."""
    when = datetime.fromisoformat(value)
    if when.tzinfo is None or when.year not in YEARS:
        raise ValueError(value)
    return when


def number(value: object) -> int:
    """A whole number from 0."""
    if type(value) is not int or not 0 <= value < MOST_OF_ALL:
        raise ValueError(value)
    return value


def figure(value: object, low: float = -MOST_OF_ALL, high: float = MOST_OF_ALL) -> float | None:
    """A number in these bounds, or None."""
    if value is None:
        return None
    if type(value) not in (int, float) or not low <= value <= high:  # type: ignore[operator]
        raise ValueError(value)
    return float(value)  # type: ignore[arg-type]


def counts(value: Mapping[str, object]) -> dict[str, int]:
    """Level → number."""
    return {level: number(count) for level, count in value.items()}


def text(value: object) -> str | None:
    """A text, or None."""
    if not (value is None or isinstance(value, str)):
        raise ValueError(value)
    return value


def given(value: object) -> str:
    """A text that may not be missing."""
    if not isinstance(value, str):
        raise ValueError(value)
    return value


@lru_cache(maxsize=10_000)
def name_of(key: str, name: str) -> tuple[str, tuple[str, ...]]:
    """A name's hash and its words: the same ones come in every revision."""
    return hidden(key, name), words_of(name)


class Teller:
    """Takes revision after revision, and keeps who is here and the book as it was last seen."""

    def __init__(self) -> None:
        self.people: list[Person] = []
        self.here: dict[Person, Point] = {}
        self.drafts: dict[str, Entry] = {}
        self.states: list[State] = []

    def take(self, now: Seen) -> None:
        """One revision."""
        entry, traces = now.entry, now.traces
        covered = {str(draft["path"]) for draft in entry["drafts"]}
        found = self.pairs(traces)
        found |= self.renamed_in_secret(now, found)
        became = self.became(found, traces, covered)
        if self.is_look_back(covered, found, traces):
            return
        kept = {at: p for at, p in found.items() if is_sure(p.trace, traces[at], covered | became.keys())}
        kept |= self.returned(traces, kept)
        self.leave(covered, bool(entry.get("whole")))
        for at, (name, point, trace) in enumerate(zip(now.names, now.points, traces, strict=True)):
            self.meet(kept.get(at), name, trace, point)
        self.follow_the_secret()
        self.drafts |= {str(draft["path"]): draft for draft in entry["drafts"]}
        left = {point.path for point in self.here.values()} | covered
        self.drafts = {path: draft for path, draft in self.drafts.items() if path in left}
        self.states.append(State(entry, now.when, dict(self.drafts), dict(self.here), became))

    def pairs(self, traces: Sequence[Trace]) -> dict[int, Person]:
        """Index in the revision → the person of the book whom it may be."""
        found = self.hardly_changed(traces)
        sure = set(found.values())
        people = [person for person in self.here if person not in sure]
        left = [at for at in range(len(traces)) if at not in found]
        again = pair([person.trace for person in people], [traces[at] for at in left])
        return found | {left[new]: people[old] for new, old in again.items()}

    def renamed_in_secret(self, now: Seen, found: Mapping[int, Person]) -> dict[int, Person]:
        """Of those not found, who is kept secret and has the number, the file and about the length of a secret person who
        is not found either: her name was corrected, and with it all by which she was known."""
        taken = set(found.values())
        left = {address(p.trace): p for p in self.here if p.name is None and p not in taken and p.trace.number}
        likely = {at: left.get(address(trace)) for at, trace in enumerate(now.traces) if at not in found}
        return {
            at: person
            for at, person in likely.items()
            if person and now.names[at] is None and are_alike(self.here[person].words, now.points[at].words)
        }

    def hardly_changed(self, traces: Sequence[Trace]) -> dict[int, Person]:
        """Those of whom there is no doubt: alone of their name in their file, with half their prints the same."""
        known: dict[tuple[str, str], list[Person]] = defaultdict(list)
        for person in self.here:
            known[person.trace.name, person.trace.path].append(person)
        count = Counter((trace.name, trace.path) for trace in traces)
        found = {}
        for at, trace in enumerate(traces):
            bearers = known.get((trace.name, trace.path), ())
            if len(bearers) == count[trace.name, trace.path] == 1:
                before = bearers[0].trace.prints
                if 2 * len(before & trace.prints) >= min(len(before), len(trace.prints)):
                    found[at] = bearers[0]
        return found

    def returned(self, traces: Sequence[Trace], kept: Mapping[int, Person]) -> dict[int, Person]:
        """Of those not found, who stood in the book before: a section that was cut and has come back."""
        gone = [person for person in self.people if person.gone]
        left = [at for at in range(len(traces)) if at not in kept] if gone else []
        again = pair([person.trace for person in gone], [traces[at] for at in left])
        return {left[new]: gone[old] for new, old in again.items()}

    def became(self, found: Mapping[int, Person], traces: Sequence[Trace], covered: set[str]) -> dict[str, str]:
        """Files that this run did not read, and the new file in which it found most of their persons."""
        size = Counter(person.trace.path for person in self.here)
        moved = Counter((person.trace.path, traces[at].path) for at, person in found.items())
        alike = {(p.trace.path, traces[at].path) for at, p in found.items() if p.trace.prints & traces[at].prints}
        new = covered - self.drafts.keys()
        return {
            old: path
            for (old, path), count in moved.items()
            if old not in covered and path in new and count >= MOST * size[old]
            if count >= SEVERAL or (old, path) in alike
        }

    def is_look_back(self, covered: set[str], found: Mapping[int, Person], traces: Sequence[Trace]) -> bool:
        """True for one new file whose name says that it is older, and whose persons are in the book already."""
        path = next(iter(covered))
        if len(covered) > 1 or path in self.drafts or not EARLIER.search(PurePosixPath(path).stem):
            return False
        return bool(traces) and len(found) >= MOST * len(traces)

    def leave(self, covered: set[str], whole: bool) -> None:
        """Take out those whose files are read anew; who is still there comes back at once."""
        for person, point in list(self.here.items()):
            if whole or point.path in covered:
                del self.here[person]
                person.gone = True

    def follow_the_secret(self) -> None:
        """Who is kept secret has no sentences to be known by. Where she left one file and had turned up in another under
        the same hash since she was last seen there, she had moved; a namesake would have been seen beside her."""
        here = {person.who: person for person in self.here if person.name is None}
        for person in [person for person in self.people if person.gone and person.name is None]:
            heir = here.get(person.who)
            if heir and heir.points[0].when > person.points[-1].when:
                heir.points[:0] = person.points
                self.people.remove(person)

    def meet(self, person: Person | None, name: str | None, trace: Trace, point: Point) -> None:
        """Add a point to a person, or the person."""
        if person is None:
            person = Person(name, trace)
            self.people.append(person)
        person.name, person.trace, person.gone = name, trace, False
        person.points.append(point)
        self.here[person] = point


def address(trace: Trace) -> tuple[str | None, str]:
    """Where a section stands."""
    return trace.number, trace.path


def are_alike(one: int, other: int) -> bool:
    """True for two lengths of about one section."""
    return min(one, other) >= SAME_LENGTH * max(one, other)


def is_sure(before: Trace, now: Trace, read: set[str]) -> bool:
    """True unless the person stands in a file that was not read and shares but the name: that may be a namesake."""
    return before.path in read or bool(before.prints & now.prints)


def tell(revisions: Iterable[Seen]) -> Teller:
    """All revisions, in their order."""
    teller = Teller()
    for each in revisions:
        teller.take(each)
    return teller


# ---------------------------------------------------------------------------------------------- in what order, and when


def in_order(revisions: Sequence[Seen], now: datetime) -> tuple[list[Seen], int]:
    """The revisions of a log in the order of the work, and how many of them have a time that can't be right.

    Lines are only ever added, so that their order is known whatever a computer's clock said. Of their times those are
    believed that are past and never go back; a line with another stands at the time of the one before. What was rebuilt
    from a commit stands at the commit's time.
    """
    written = [each for each in revisions if not each.entry.get("rebuilt")]
    sure = believed([each.when for each in written], now + timedelta(days=1))
    last = written[min(sure)].when if sure else now
    placed = [each for each in revisions if each.entry.get("rebuilt")]
    for at, each in enumerate(written):
        last = each.when if at in sure else last
        placed.append(each if at in sure else at_time(each, last))
    return sorted(placed, key=lambda each: each.when), len(written) - len(sure)


def at_time(revision: Seen, when: datetime) -> Seen:
    """The revision at another time."""
    return replace(revision, when=when, points=tuple(replace(point, when=when) for point in revision.points))


def believed(times: Sequence[datetime], latest: datetime) -> set[int]:
    """Indexes of the most times of which none goes back or is later than ``latest``; of two choices the one that begins
    later, since a clock that has lost its battery begins years ago. Where all are later, it is today's clock that is wrong.

    The longest non-decreasing subsequence, after Schensted (Canadian Journal of Mathematics 13, 1961), from the end.
    """
    if times and min(times) > latest:
        latest = max(times)
    heads: list[float] = []  # for each length, how long before 1970 the best run of that length begins, in seconds
    begins: list[int] = []  # ... and with which index
    following: dict[int, int | None] = {}
    for at in reversed(range(len(times))):
        if times[at] <= latest:
            length = bisect_right(heads, -times[at].timestamp())
            following[at] = begins[length - 1] if length else None
            heads[length : length + 1] = [-times[at].timestamp()]
            begins[length : length + 1] = [at]
    found: set[int] = set()
    index = begins[-1] if begins else None
    while index is not None:
        found.add(index)
        index = following[index]
    return found
