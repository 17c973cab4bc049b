"""Names of places in a text: what ``places.csv`` knows, and what a text itself says of where a place lies.

``places.csv`` gives countries, states, counties, historic lands, towns and ports by the code of the territory in which
they lie today, from memory and common atlases; tests/outside checks it against ISO 3166 and GeoNames. A name with '?'
is also a common word or a surname, and counts only after 'in', 'of' and the like, or beside its county. Kind 'short'
are abbreviations after a comma ('Pa.', 'Ont.'), kind 'people' the names of peoples, which say little of where somebody
was.

A region is an ISO 3166-1 code ('IE', 'DE') or an ISO 3166-2 code ('GB-WLS', 'US-VT'). A country covers its parts; a
part does not reach its country or its neighbours.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib.resources import files
from typing import Generic, TypeVar

from storylint.study.people import People

CAPITAL = re.compile(r"[A-ZÀ-ÖØ-ÞĀĆČĎĐĒĘĚŁŃŇŐŘŚŠŤŪŮŰŹŻŽ](?<![^\W_].)[^\W\d_]*(?:['’][^\W\d_]+)*")
WORD = re.compile(r"[^\W_]+(?:['’][^\W\d_]+)*")
NEXT = re.compile(rf"(?:\. ?| |-|[’'] ?)({WORD.pattern})")  # nothing but a space, a hyphen or a full stop between
BEFORE = re.compile(r"(?<!\w)(\w++)\W{1,2}$")
DATE_WORD = re.compile(
    r"\b(?:January|February|March|April|May|June|July|August|September|October|November|December"
    r"|Monday|Tuesday|Wednesday|Thursday|Friday|Saturday|Sunday)$"
)
DIVISION = re.compile(
    r"(?:county|province|parish|district|duchy|grand duchy|kingdom|state|colony|canton|department|land|shire)"
)
CONTAINED = re.compile(rf"(?:,|,? (?:which (?:is|was|lies|lay) |now |then )?in(?: the {DIVISION.pattern} of)?) $")
SMALL = frozenset("upon on in le la de du les under y the of by cum next sur am an der".split())  # inside a town's name
IN = frozenset("in at near".split())
AT = IN | frozenset("from into around outside reached leaving left via".split())
OF = AT | frozenset("of to for through across toward towards".split())
AREA = frozenset(("country", "state", "short"))
TITLES = frozenset(
    """Mr Mrs Miss Ms Dr Sir Lady Lord Captain Capt Colonel Col General Gen Rev President Governor King Queen Prince
    Princess Duke Earl""".split()
)
AROUND = frozenset(
    """North South East West Northern Southern Eastern Western Upper Lower Great Old New Central County Co Greater Port
    Mid""".split()
)
# What makes a place's name the name of something else: a road, a house, a regiment, an archive.
NOT_A_PLACE = frozenset(
    """Street St. Road Avenue Lane Square Terrace Row House Hotel Inn Arms Tavern Infantry Cavalry Artillery Regiment
    Rifles Fusiliers Highlanders Volunteers Guards Militia Line Railway Railroad Company Act Treaty Cross Medal Day
    Gazette Herald Times County Sound Conference Purchase Compromise Bank Archives Archive Library Society Museum Office
    University Press Association Census Register Records Lodge Club College Seminary
    Academy Institute""".split()
)
STREETS = re.compile(r"(?:,? (?:and )?[A-Z][a-z]+){0,2} (?:Streets?|Roads?|Lanes?)\b")
LONGEST = 6  # words of a place's name, small ones included
# A ship, a newspaper or a book is set in marks of quotation or in italics; a peer or a university has a place's name.
SET_APART = re.compile(r"[\"“‘'_*]$")
SET_APART_END = re.compile(r"(?: [A-Z]\w+){0,2}[,.;]?[\"”’'_*](?!\w)")
TITLE_OF = re.compile(
    r"\b(?:Earl|Duke|Marquis|Marquess|Viscount|Baron|Lord|Countess|Duchess|Marchioness|University|Bank) of $"
)
# Who studied or printed at 'Edinburgh University, Scotland' need not have lived there.
INSTITUTION = re.compile(r"\b(?:University|College|Seminary|Academy|Institute|Press|Society|Library|Archives?), $")


@dataclass(frozen=True, slots=True)
class Entry:
    """What one name can mean. ``within`` is the county or district around a town; the years bound the name's use."""

    regions: tuple[str, ...]
    kind: str  # country | state | city | short | people | learned
    within: tuple[str, ...] = ()
    since: int | None = None
    until: int | None = None
    weak: bool = False  # also a common word or a surname

    def fits(self, first: int | None, last: int | None) -> bool:
        """True when the name was in use during these years, or nothing is known against it."""
        return not (self.until and first and first > self.until) and not (self.since and last and last < self.since)


@dataclass(slots=True)
class Mention:
    """A place named in a text at ``start`` to ``end``; ``meanings`` are cut down to one entry in the end."""

    name: str
    start: int
    end: int
    meanings: list[Entry]

    @property
    def entry(self) -> Entry:
        """The meaning that was chosen."""
        return self.meanings[0]


Meaning = TypeVar("Meaning")


@dataclass(slots=True)
class Index(Generic[Meaning]):
    """Names or phrases word by word, in small letters: all that the words up to here can mean, and what may follow."""

    meanings: list[Meaning] = field(default_factory=list)
    names: dict[str, Index[Meaning]] = field(default_factory=dict)

    def add(self, words: Iterable[str], meaning: Meaning) -> None:
        """Add one meaning of a name, given as its plain words."""
        at = self
        for word in words:
            at = at.names.get(word) or at.names.setdefault(word, Index())
        at.meanings.append(meaning)

    def longest(self, text: str, match: re.Match[str]) -> tuple[int, list[Meaning]] | None:
        """The longest name that begins at this word: where it ends and what it can mean."""
        found, end, at = None, match.end(), self.names.get(plain(match.group(0)))
        while at is not None:
            if at.meanings:
                found = end, at.meanings
            following = NEXT.match(text, end) if at.names else None
            if following is None:
                break
            end, at = following.end(), at.names.get(plain(following.group(1)))
        return found

    def every(self) -> Iterator[list[Meaning]]:
        """What each name can mean."""
        if self.meanings:
            yield self.meanings
        for following in self.names.values():
            yield from following.every()


@lru_cache(maxsize=5000)
def plain(word: str) -> str:
    """A word in small letters with straight apostrophes and no genitive."""
    word = word.replace("’", "'").lower()
    return word[:-2] if word.endswith("'s") else word.removesuffix("'")


def words_of(name: str) -> list[str]:
    """A name as its plain words."""
    return [plain(word) for word in WORD.findall(name)]


def key(name: str) -> str:
    """A name as it is compared."""
    return " ".join(words_of(name))


@cache
def known() -> Index[Entry]:
    """``places.csv`` as an index. Towns of a state that names no district lie in the state itself."""
    text = (files("storylint.study") / "places.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    index, labels = Index[Entry](), state_names(rows)
    for row in rows:
        regions = tuple(row["regions"].split(";"))
        label = labels.get(regions[0], "") if row["kind"] in ("city", "short") else ""
        within = tuple(name.lower() for name in dict.fromkeys((row["within"], label)) if name)
        since, until = (int(row[name]) if row[name] else None for name in ("since", "until"))
        usual, weak = (Entry(regions, row["kind"], within, since, until, weak) for weak in (False, True))
        for name in row["names"].split(";"):
            index.add(words_of(name), weak if name.endswith("?") else usual)
    return index


def is_place(name: str) -> bool:
    """True when the whole name is that of a known place."""
    return any(entry.kind != "people" for entry in meanings(name))


def is_area(name: str) -> bool:
    """True when the whole name is that of a country, a state or a county."""
    return any(entry.kind in AREA for entry in meanings(name))


def meanings(name: str) -> list[Entry]:
    """What the whole name can mean as a place."""
    match = CAPITAL.match(name)
    found = known().longest(name, match) if match else None
    return found[1] if found is not None and found[0] == len(name) else []


def state_names(rows: Iterable[dict[str, str]]) -> dict[str, str]:
    """Code of a subdivision → its usual name. The parts of Britain are left out: a county says more."""
    named: dict[str, str] = {}
    for row in rows:
        if row["kind"] == "state" and "-" in row["regions"] and not row["regions"].startswith("GB-"):
            named.setdefault(row["regions"], row["names"].split(";")[0].rstrip("?"))
    return named


def find(text: str, index: Index[Entry], people: People) -> list[Mention]:
    """The names of the index that stand in a text as places, in order."""
    mentions: list[Mention] = []
    until = 0
    for match in CAPITAL.finditer(text):
        if plain(match.group()) not in index.names or match.start() < until:
            continue
        found = index.longest(text, match)
        if found is None:
            continue
        end, entries = found
        mention = Mention(text[match.start() : end], match.start(), end, entries)
        mention.meanings = [entry for entry in entries if stands(text, mention, entry, people, mentions)]
        if mention.meanings:
            mentions.append(mention)
            until = end
    return mentions


def stands(text: str, mention: Mention, entry: Entry, people: People, earlier: list[Mention]) -> bool:
    """True when the name stands where a place stands, and not inside a person's or a street's name."""
    lead, follow = text[max(0, mention.start - 24) : mention.start], text[mention.end : mention.end + 40]
    if entry.kind == "short":
        return lead.endswith(", ") and (mention.name.isupper() or follow[:1] in ("", ".", ",", ";", ")"))
    before = BEFORE.search(lead)
    word = before.group(1) if before else ""
    if part_of_other_name(mention, word, lead, follow, people, earlier):
        return False
    if entry.kind == "people":
        return True
    if entry.kind == "city" and len(mention.meanings) > 1 and lead.endswith(" of ") and DIVISION.search(lead):
        return False  # 'the province of Zeeland' is not the town
    if entry.kind == "state" and follow.startswith(" Township"):
        return False
    if mention.name in people:
        return (word.lower() in IN and follow[:2] not in ("'s", "’s")) or in_chain(text, mention, earlier)
    return not entry.weak or word.lower() in OF or in_chain(text, mention, earlier)


def part_of_other_name(
    mention: Mention, word: str, lead: str, follow: str, people: People, earlier: list[Mention]
) -> bool:
    """True for London in 'Jack London', 'London Road', 'the "London"' and 'the University of London', not in 'Old London' or
    after a place ('York, London')."""
    if (SET_APART.search(lead[-2:]) and SET_APART_END.match(follow)) or (
        lead.endswith("of ") and TITLE_OF.search(lead)
    ):
        return True
    owned = mention.name.startswith("St") and re.match(r"['’]?s? [A-Z]", follow)  # 'St. Andrew's Lodge'
    following = CAPITAL.match(follow, 1) if follow.startswith(" ") else None
    if STREETS.match(follow) or (owned and mention.name.endswith(("s", "'s", "’s"))):
        return True
    if following and (following.group(0) in NOT_A_PLACE or (following.group(0) in people and " " not in mention.name)):
        return True
    if not (word and lead.endswith(" ") and lead[-2:-1].isalnum()) or word.lower() in OF:
        return False
    if word in TITLES or word in people:
        return True
    after_place = bool(earlier) and earlier[-1].end == mention.start - 1
    return word[:1].isupper() and not opens(lead, word) and not after_place and word not in AROUND


def opens(lead: str, word: str) -> bool:
    """True when the word before opens its sentence, so that its capital says nothing."""
    head = lead[: lead.rfind(word)].rstrip(" \"'“‘(")
    return not head or head[-1] in ".!?:;"


def in_chain(text: str, mention: Mention, earlier: list[Mention]) -> bool:
    """True in 'Whitstable, Kent' for Kent, and in 'Reading, Berkshire' for Reading."""
    at = mention.start - 2
    if text[at : mention.start] == ", ":
        run = run_before(text, at)
        if (earlier and earlier[-1].end == at) or (run is not None and run[1] in OF):
            return True
    following = CAPITAL.match(text, mention.end + 2) if text[mention.end : mention.end + 2] == ", " else None
    found = known().longest(text, following) if following else None
    return bool(found and any(entry.kind in AREA for entry in found[1]))


def run_before(text: str, end: int) -> tuple[str, str | None, int] | None:
    """The capitalised words that end at ``end``, as one name; the small word before them; where they begin."""
    end -= len(" Co.") * text.endswith(" Co.", 0, end)  # 'Bradford Co., Pa.'
    words = list(WORD.finditer(text, max(0, end - 60), end))
    if not words or words[-1].end() != end or not words[-1].group(0)[0].isupper():
        return None
    first = at = len(words) - 1
    while at > 0 and text[words[at - 1].end() : words[at].start()] in (" ", "-", ". ") and len(words) - at < LONGEST:
        at -= 1
        word, hyphen = words[at].group(0), text[words[at].end()] == "-"
        lead = text[max(0, words[at].start() - 24) : words[at].end()]
        if word[0].isupper() and not (word.lower() in OF and opens(lead, word)):
            first = at
        elif word not in SMALL or (word in ("of", "in", "on", "by") and not hyphen):
            break
    start = words[first].start()
    before = words[first - 1] if first and text[words[first - 1].end() : start] == " " else None
    return text[start:end], before.group(0).lower() if before else None, start


IN_A_ROW = 12  # places that may lie in the one named last; of a longer list that is not known


def chains(text: str, mentions: list[Mention], people: People) -> Iterator[tuple[str, int, Mention]]:
    """(name, where it begins, container) for every 'Name, Container' and 'at Name in the county of Container'."""
    for container in reversed(mentions):  # the widest first: it says of which Middlesex the next name is
        at = container.start
        for _ in range(IN_A_ROW):
            if not text.endswith((", ", "in ", "of "), 0, at):
                break
            joint = CONTAINED.search(text, max(0, at - 48), at)
            run = run_before(text, joint.start()) if joint else None
            if joint is None or run is None:
                break
            town = run[1] == "to" and any(m.start == run[2] and m.entry.kind == "city" for m in mentions)
            if not town and not may_be_place(run[0], run[1], people):  # 'to Rye, New York' is no Mr Rye
                break
            if "," not in joint.group(0) and run[1] not in OF:
                break
            yield run[0], run[2], container
            at = run[2]


def may_be_place(name: str, word: str | None, people: People) -> bool:
    """False for months, for houses and archives, and for the family's people unless 'at' or the like stands before."""
    parts = WORD.findall(name)
    if key(name).capitalize() in AROUND or len(name) < 3 or DATE_WORD.search(name):
        return False
    if parts[0] in TITLES or parts[-1] in NOT_A_PLACE - {"County"}:
        return False
    return word in AT or not any(part in people for part in parts)


AFTER_AT = re.compile(r"\b(?:in|at|near) (?=[A-ZÀ-Þ])")


def unknown(text: str, mentions: list[Mention], people: People) -> Iterator[tuple[str, int]]:
    """The capitalised words after 'in', 'at' or 'near' that are no mention, and where they begin."""
    taken = {mention.start for mention in mentions}
    for match in AFTER_AT.finditer(text):
        end = match.end()
        while (found := CAPITAL.match(text, end)) and found.start() not in taken:
            end = found.end() + (text[found.end() : found.end() + 1] == " ")
        name = text[match.end() : end].strip()
        if name and found is None and may_be_place(name, None, people):
            yield name, match.end()


def covers(wide: str, narrow: str) -> bool:
    """A region covers itself and its parts."""
    return wide == narrow or narrow.startswith(wide + "-")


def inside(entry: Entry, container: Entry) -> bool:
    """True when a meaning lies in the container, or around it."""
    if any(name in entry.within for name in container.within):
        return True
    return any(covers(a, b) or covers(b, a) for a in container.regions for b in entry.regions)
