"""Public events that touched families: read, recognised in a sentence, and chosen for a life.

An event has years, regions (see ``study.places``), what it did to families, and a source. Choosing is a sum of points
that an author can check by hand, proposed for this tool, no source:

* its weight, from 1 (minor or local) to 3 (touched most families of the region);
* 4 where it is close to a place of the section, 3 to a country of the family, 2 where it is close to a word of the section, half a point
  where it is close to a word that the book says again and again (column ``close_to``); an event that ``only_close``
  keeps for such lives is not offered to others;
* 1 where it belongs to one country, or to parts of countries, and not to half the world;
* 1 for each facet of life (work, move, army, faith, health, law, land, school, money, home) that the section tells of,
  at most 2; half a point for each other word that both share, at most 1.5;
* 1.5 for a migration between two countries in both of which the section puts the family, less 1.5 where only the book
  does; a migration between countries of which the book knows but one, or not the one in ``close_to``, is not offered, and
  none to a life that went elsewhere or began where it led to;
* 10 for an event of the author's own files, so that it comes first;
* less 4 for what only made records, less 1 for what also did; less a point for each thirty years that it lasted, at
  most 2.

The sum counts by how sure the person was there at that time and how old he or she then was (whole from 15 to 60, less
for a child and in age, nothing before 8 and after 80). From the best down, each further event of one kind or of the same years loses points, so that a
life is offered different things from different times; after the first three only what has 2.5 points and a third of the
best one's."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, NamedTuple

from storylint.complaints import Misuse
from storylint.study.placenames import WORD, Index, is_place, key, words_of
from storylint.study.quick import Quick, compiled, may_fit
from storylint.study.words import PLACE, RECORD, TOLD, WORK

if TYPE_CHECKING:
    from storylint.study.frame import Frame
    from storylint.study.places import Run
    from storylint.study.study import Sentence

COLUMNS = (
    "start_year",
    "end_year",
    "regions",
    "category",
    "event",
    "why_it_mattered_to_families",
    "keywords",
    "source",
)
FACETS = ("work", "move", "army", "faith", "health", "law", "land", "school", "money", "home")
ARMY = frozenset(("army",))
RECORDS = frozenset(("census_record", "calendar"))
LASTING = frozenset(("law", "religion", "census_record"))  # what they brought in goes on working
REGION = re.compile(r"^[A-Z]{2}(-[A-Z0-9]{1,3})?$")
MOVE = re.compile(r"(?:(?:e|im)migrated|sailed|settled|moved) (?:to|from|at|in|for) .+")
# Before the name of a place: what stands there as a place is none of the event's own names.
PLACED = re.compile(r"\b(?:in|at|near|to|for|from|into|around|outside|reached|leaving|left|via)\W{1,2}$", re.IGNORECASE)
NO_PLACE = re.compile(r"(?:ion|ism|ment)\b")  # 'in Reconstruction', 'from Prohibition'
FIGHTING = re.compile(
    r"(?:kill|wound|fight|fought|fell$|battle|siege|storm|charg|captur|prison|regiment|troop|soldier|army|shot|shell|gass|muster)"
)
TELLING = TOLD + WORK + RECORD + PLACE  # the tags of words that can tell of an event
OF_WOMEN = re.compile(r"\b(?:[Ww]om[ae]n|[Ww]ives|[Dd]aughters|[Gg]irls|[Mm]others)")
GROWN = 50  # years before the death for which somebody of unknown birth is taken to have been grown; ours, no source
IRELAND_DIVIDED = 1922
WHOLE_IRELAND = "IE"
NORTH = "GB-NIR"
POOL = 12  # how many events for each offer compete in the end
ANYHOW = 3  # as many are offered, however little they fit; of the others those that fit well enough
FITS, FITS_OF_BEST = 2.5, 0.35  # points from which an event fits, and the share of the best one's; ours, no source
COMMON = frozenset(
    """about after again against along among around before begin begins began being between brought called could every
    family families first found great house home into later least made many more most much name names near north south
    east west other over people place places record records since some still such than that their them then there these
    they this those thousand through time town until were when where which while with women would year years""".split()
)


@dataclass(frozen=True)  # no slots: what is only needed of events that are weighed is worked out then, and kept
class Event:
    """One row of an event file. ``places``, ``origins`` and ``words`` say what brings it close to a life: names of
    places in small letters, codes of regions, and beginnings of words ('war$' is the whole word)."""

    id: str
    start: int
    end: int
    regions: tuple[str, ...]
    category: str
    text: str
    why: str
    keywords: tuple[str, ...]
    source: str
    seen: bool  # the date was seen on a page, not only remembered
    weight: int = 2
    facets: frozenset[str] = frozenset()
    places: frozenset[str] = frozenset()
    origins: frozenset[str] = frozenset()
    words: frozenset[str] = frozenset()
    only_close: bool = False
    own: bool = False

    @cached_property
    def countries(self) -> set[str]:
        """The countries of its regions."""
        return {region[:2] for region in self.regions}

    @cached_property
    def names(self) -> frozenset[str]:
        """The keywords, as a set."""
        return frozenset(self.keywords)

    @cached_property
    def local(self) -> bool:
        """True where it belongs to one country, or to parts of countries."""
        return len(self.countries) == 1 or all("-" in region for region in self.regions)

    @cached_property
    def of_women(self) -> bool:
        """True where it tells of women."""
        return bool(OF_WOMEN.search(self.text))

    @cached_property
    def roots(self) -> frozenset[str]:
        """The beginnings of what is told of it."""
        return roots(f"{self.text} {self.why}")

    @property
    def years(self) -> str:
        """'1842' or '1842–1843'."""
        return f"{self.start}" if self.start == self.end else f"{self.start}–{self.end}"

    @cached_property
    def only_record(self) -> bool:
        """True for what a family met as a form to fill in."""
        return self.category in RECORDS or self.facets == {"record"}

    @property
    def phrases(self) -> list[list[str]]:
        """The keywords by which a sentence names it, as plain words. The mere name of a place names no event, save in a
        war, and a move to or from a place ('emigrated to Wisconsin') none at all: both are facts of the person."""
        names = [keyword for keyword in self.keywords if self.category == "war" or not is_place(keyword)]
        return [words for words in map(words_of, (name for name in names if not MOVE.fullmatch(name))) if words]

    def reaches(self, region: str, year: int) -> bool:
        """True when the event's regions cover this one; until 1922 what was Irish reached the north too."""
        if region in self.regions or region[:2] in self.regions:
            return True
        return region == NORTH and year < IRELAND_DIVIDED and WHOLE_IRELAND in self.regions


def read(text: str, name: str, own: bool = False) -> list[Event]:
    """The events of a CSV file with the columns of ``COLUMNS``; the others may be missing. A line that starts with '#'
    is a remark. ``name`` is what an error calls the file. Raises Misuse with the file, the line and what to do."""
    lines = text.removeprefix("\ufeff").splitlines()
    head = next((i for i, line in enumerate(lines) if line.strip() and not line.startswith("#")), len(lines))
    rows = csv.reader(io.StringIO("\n".join(line for line in lines[head:] if not line.startswith("#"))))
    columns = next(rows, [])
    missing = [column for column in COLUMNS if column not in columns]
    if missing:
        raise Misuse(
            f"{name}: the events file has no column '{missing[0]}'. Its first line must name: {', '.join(COLUMNS)}."
        )
    empty = dict.fromkeys(columns, "")
    cells = (empty | dict(zip(columns, map(str.strip, row), strict=False)) for row in rows if row)
    return [event_of(cell, f"{name}, event {number}", own) for number, cell in enumerate(cells, 1)]


def event_of(cell: dict[str, str], where: str, own: bool) -> Event:
    """One row as an event, from its cells by column. Raises Misuse when a year or a region cannot be read."""
    start, end = year_of(cell["start_year"], where), year_of(cell["end_year"] or cell["start_year"], where)
    if end < start:
        raise Misuse(f"{where}: it ends in {end}, before it starts in {start}. Change one of the two years.")
    regions = tuple(parts(cell["regions"]))
    for region in regions:
        if not REGION.match(region):
            raise Misuse(
                f"{where}: '{region}' is no region. Write a code such as US, US-VT or GB-WLS, several with ';' between."
            )
    if not regions or not cell["event"]:
        raise Misuse(
            f"{where}: it has no {'event text' if regions else 'region'}. Fill that column in or take the line out."
        )
    close = parts(cell.get("close_to", ""))
    origins = frozenset(filter(REGION.match, close))
    weight = cell.get("weight", "")
    return Event(
        id=cell.get("id", "") or f"{where}",
        start=start,
        end=end,
        regions=regions,
        category=cell["category"] or "other",
        text=cell["event"],
        why=cell["why_it_mattered_to_families"],
        keywords=tuple(parts(cell["keywords"])),
        source=cell["source"].split("; seen at")[0],
        seen=own or cell.get("checked", "") == "page",
        weight=min(3, max(1, int(weight))) if weight.isdigit() else 2,
        facets=frozenset(parts(cell.get("linked_to", ""))),
        places=frozenset(key(name) for name in close if name[:1].isupper() and name not in origins),
        origins=origins,
        words=frozenset(name.lower() for name in close if not name[:1].isupper()),
        only_close=cell.get("only_close", "") == "yes",
        own=own,
    )


def year_of(cell: str, where: str) -> int:
    """A year of four figures. Raises Misuse."""
    if len(cell) != 4 or not cell.isdecimal():
        raise Misuse(f"{where}: '{cell}' is no year. Write four figures, such as 1863.")
    return int(cell)


def parts(cell: str) -> list[str]:
    """The parts of a cell with ';' between."""
    return list(filter(None, map(str.strip, cell.split(";"))))


# What is called so happened to everybody, whether or not the event file has it: 'the battle of Marston Moor', 'the
# Restoration', 'the war of 1812'. Kinds of event are common knowledge; the list is ours, from memory.
NAME_OF = r"(?:the )?[A-Z][\w'’-]+(?: [A-Z][\w'’-]+)*"
PUBLIC = (
    rf"\b(?:[Bb]attles?|[Ss]ieges?|[Ss]torming|[Ss]urrender|[Rr]etreat|[Ee]vacuation|[Rr]elief|[Bb]ombardment|[Mm]assacre"
    rf"|[Ee]xpulsion|[Ii]nvasion|[Bb]lockade|[Bb]urning|[Rr]aid|[Tt]reaty|[Ff]all|[Cc]apture|[Dd]efen[cs]e|[Uu]surpation) (?:of|at|from|on) {NAME_OF}"
    rf"|\b(?:[Ww]ar|[Rr]ebellion|[Rr]ising|[Rr]iots?|[Rr]evolution|[Pp]anic|[Ff]amine|[Rr]eform|[Aa]ct) of (?:the )?(?:1[5-9]|20)\d\d\b"
    rf"|\bthe (?:(?:[Cc]ivil|[Gg]reat|[Ff]irst [Ww]orld|[Ss]econd [Ww]orld|[A-Z][a-z]+(?:[- ][A-Z][a-z]+)?) [Ww]ar\b(?! [A-Z]|-))"
    rf"|\bthe (?:Restoration|Reformation|Revolution|Protectorate|Armada|Blitz|Clearances|Great Fire|Great Famine"
    rf"|Gold Rush|Dissolution|Interregnum|Partition|Depression|Armistice)\b(?! [A-Z])"
    rf"|\b(?:[Bb]ritish|[Rr]oyal|[Rr]oyalist|[Rr]ebel|[Pp]arliamentary|Union|Confederate|Federal|Continental|[Ff]rench|Spanish"
    rf"|German|Russian|Turkish|[Ee]nemy'?s?|[Ii]nvading) (?:army|armies|forces|troops|lines|fleet|cause|party|guard|visitation"
    rf"|garrison|occupation|soldiers|cannon)\b"
    rf"|\b(?:Puritans?|Brownists?|Papists?|[Rr]ecusants?|Tory|Tories|Whigs?|Loyalists?|Jacobites?|Chartists?|Covenanters?"
    rf"|Huguenots?|Roundheads?|Cavaliers?|Luddites?|Fenians?|Red ?[Cc]oats?|[Rr]edcoats?|[Aa]bolitionists?|[Nn]on-?jurors?"
    rf"|Lollards?|Jacobins?|Bolsheviks?)\b"
    rf"|\b(?:[Tt]he|[Aa]) mobs?\b|\bmobbed\b|\b[Rr]ioters?\b|\bintroduc\w+ (?:\w+ ){{0,2}}into (?:{NAME_OF}|the (?:country|county|colony))"
    rf"|\b[A-Z]\w+ (?:Tea Party|Massacre|Rebellion|Uprising|Earthquake|Armistice)\b|\b[Tt]ea [Pp]arty\b"
)
MAY_BE_PUBLIC = Quick(PUBLIC)
TOOK_PART = re.compile(
    r"\b(?:served|enlisted|soldier|fought|pension\w*|veteran|patriot|private|officer|captain) (?:\w+ ){0,3}(?:in|of|through|during)\s*$"
)


def public_event(text: str) -> str:
    """The name of a public event in a sentence, or nothing. A war in which somebody merely served names a regiment's
    business and no event."""
    if MAY_BE_PUBLIC not in may_fit(text):
        return ""
    for match in compiled(PUBLIC, 0).finditer(text):
        if not (
            re.search(r"\b(?:[Ww]ar|army|forces|troops|fleet)\b", match.group(0))
            and TOOK_PART.search(text[: match.start()])
        ):
            return match.group(0)
    return ""


class Chronicle:
    """All events of a run. Of two with one id the later one stays, so that the author's files win.
    ``often`` are the words that the book says again and again."""

    def __init__(self, events: Iterable[Event], often: Iterable[str] = ()) -> None:
        self.events = list({event.id: event for event in events}.values())
        self.heads = Heads(head for event in self.events for head in event.words)
        self.often = self.heads.of(often)
        self.reaching: dict[tuple[str, bool], list[Event]] = {}
        self.phrases: Index[Event] = Index()
        for event in self.events:
            for *before, last in event.phrases:
                self.phrases.add((*before, last), event)
                self.phrases.add((*before, plural(last)), event)

    def named_in(self, sentence: Sentence) -> list[Event]:
        """The events one of whose phrases stands in the sentence, whole words, in any case, singular or plural."""
        first = self.phrases.names
        if first.keys().isdisjoint(sentence.lower):
            return []
        found: dict[str, Event] = {}
        for at in [at for word, at in zip(sentence.lower, sentence.at, strict=True) if word in first]:
            match = WORD.match(sentence.text, at)
            hit = self.phrases.longest(sentence.text, match) if match else None
            if match and hit:
                place = stands_as_place(sentence.text, match.start(), hit[0])
                found.update((event.id, event) for event in hit[1] if not place or tells_of(event, sentence))
        return list(found.values())

    def in_region(self, region: str, year: int) -> list[Event]:
        """The events that reach a region, by their first year."""
        name = (region, year < IRELAND_DIVIDED)
        if name not in self.reaching:
            reaching = (event for event in self.events if event.reaches(region, year))
            self.reaching[name] = sorted(reaching, key=lambda event: event.start)
        return self.reaching[name]


def stands_as_place(text: str, start: int, end: int) -> bool:
    """True for a name that stands where a place stands: 'married at Koshkonong', 'landed at Castle Garden'."""
    name = text[start:end]
    capitals = all(word[0].isupper() for word in WORD.findall(name))
    return capitals and bool(PLACED.search(text, max(0, start - 12), start)) and not NO_PLACE.search(name)


def tells_of(event: Event, sentence: Sentence) -> bool:
    """True when a sentence that names an event's place tells of the event besides: two of its telling words, or one of
    fighting in a war. Names, dates and what people do in any place (be born, move, die) tell nothing."""
    words = [word for word, tag in zip(sentence.lower, sentence.tags, strict=True) if tag in TELLING]
    if event.category == "war":
        return any(map(FIGHTING.match, words))
    return len(roots(" ".join(words)) & event.roots) > 1


def plural(word: str) -> str:
    """The simple plural."""
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return word[:-1] + "ies"
    return word + ("es" if word.endswith(("s", "x", "ch", "sh")) else "s")


class Heads:
    """Beginnings of words, to be known again in a text; 'war$' is the whole word."""

    def __init__(self, heads: Iterable[str]) -> None:
        self.heads = frozenset(heads)
        self.lengths = {len(head) for head in self.heads}
        self.of_word = lru_cache(maxsize=5000)(self.beginning)  # a book says few words often

    def beginning(self, word: str) -> frozenset[str]:
        """Those with which the word begins."""
        whole = f"{word}$"
        return self.heads & {whole[:length] for length in self.lengths}

    def of(self, words: Iterable[str]) -> set[str]:
        """Those with which one of the words begins."""
        return set().union(*map(self.of_word, words))


def choose(chronicle: Chronicle, frame: Frame, told: Collection[str], most: int) -> list[Event]:
    """The events to offer, best first, at most so many; not those that the section tells already (``told``, ids)."""
    heads = chronicle.heads.of(frame.words)
    scored = [
        (there.sure * points_of(event, frame, there, heads, chronicle.often), event)
        for event, there in presence(chronicle, frame)
        if event.id not in told
    ]
    pool = [pair for pair in scored if pair[0] > 0]
    pool.sort(key=lambda pair: (-pair[0], pair[1].start, pair[1].id))
    least = max(FITS, FITS_OF_BEST * pool[0][0]) if pool else FITS
    pool = [pair for i, pair in enumerate(pool[: POOL * most]) if i < ANYHOW or pair[0] >= least]
    chosen: list[Event] = []
    while pool and len(chosen) < most:
        best = max(pool, key=lambda pair: pair[0])
        chosen.append(best[1])
        pool = [(points - sameness(event, best[1]), event) for points, event in pool if event is not best[1]]
    return chosen


class There(NamedTuple):
    """How sure it is, from 0 to 1, that a person was where an event happened while it did, and her first and last year
    there."""

    sure: float
    first: int
    last: int

    def years(self, event: Event) -> tuple[int, int]:
        """The first and the last year of the event in which she was there, as far as the draft tells."""
        return max(self.first, event.start), min(self.last, event.end)


def presence(chronicle: Chronicle, frame: Frame) -> Iterable[tuple[Event, There]]:
    """The events that happened where and while the person may have been there."""
    start, end = frame.span.start, frame.span.end
    found: dict[str, tuple[Event, There]] = {}
    for region, runs in frame.presence.items():
        likely = [run for run in runs if run.sure >= frame.least]
        for event in chronicle.in_region(region, start) if likely else ():
            if event.start > end:
                break
            if event.end < start:
                continue
            stays = [run for run in likely if run.start <= event.end and event.start <= run.end]
            if stays:
                before = [found[event.id][1]] if event.id in found else []
                found[event.id] = event, together(stays, before)
    return found.values()


def together(stays: Sequence[Run], before: Sequence[There] = ()) -> There:
    """The years of several stays, and of what was known before."""
    if len(stays) == 1 and not before:
        (run,) = stays
        return There(run.sure, run.start, run.end)
    return There(
        max([run.sure for run in stays] + [there.sure for there in before]),
        min([run.start for run in stays] + [there.first for there in before]),
        max([run.end for run in stays] + [there.last for there in before]),
    )


def years_there(event: Event, frame: Frame) -> tuple[int, int]:
    """The same for one event, whether or not it is to be offered."""
    stays = [
        run
        for region, runs in frame.presence.items()
        if event.reaches(region, frame.span.start)
        for run in runs
        if run.sure >= frame.least and run.start <= event.end and event.start <= run.end
    ]
    return (together(stays) if stays else There(0.0, frame.span.start, frame.span.end)).years(event)


def sameness(event: Event, other: Event) -> float:
    """Points lost to a choice already made: 1 if it is of the same kind, 0.7 if it began within five years, 3 if it
    shares a name."""
    shared = not event.names.isdisjoint(other.names)
    return (other.category == event.category) + 0.7 * (abs(other.start - event.start) <= 5) + 3.0 * shared


def points_of(event: Event, frame: Frame, there: There, heads: Collection[str], often: Collection[str]) -> float:
    """The points of one event for one life, before its sureness; 0 where it is meant for other lives only. ``heads`` and
    ``often`` are the beginnings that stand in the section and again and again in the book."""
    share = age_share(event, frame, there)
    close = closeness(event, frame, heads, often) if share else None
    common = None if close is None else fit(event, frame)
    if close is None or common is None:
        return 0.0
    return share * (event.weight + close + common)


def age_share(event: Event, frame: Frame, there: There) -> float:
    """How much of an event a person of that age took in: most of it from 15 to 60, a long event at its best age; none
    of what was over before age 8, began after 80 or in the year of the death."""
    span = frame.span
    if span.dead and event.start == span.end:
        return 0.0
    if span.birth is None:
        return 0.3 if span.death is not None and event.end < span.death - GROWN else 0.9
    first, last = there.years(event)
    young, old = first - span.birth, last - span.birth
    if young <= 60 and old >= 15:
        return 1.0
    if young > 80 or old < 8:
        return 0.0
    return 0.8 if young <= 70 and old >= 12 else 0.45


def closeness(event: Event, frame: Frame, heads: Collection[str], often: Collection[str]) -> float | None:
    """Points for what brings an event close to a life; None where it is meant for other lives only."""
    here = bool(event.places) and any(
        event.reaches(region, event.start) for name in event.places for region in frame.places.get(name, ())
    )
    near = here or not event.origins.isdisjoint(frame.family)
    word = not event.words.isdisjoint(heads)
    kin = not word and not event.words.isdisjoint(often)
    if event.only_close and not near and not word and not kin:
        return None
    return 3.0 * near + 1.0 * here + 2.0 * word + 0.5 * kin + 1.0 * event.local + 10.0 * event.own


def fit(event: Event, frame: Frame) -> float | None:
    """Points for what the event and the section have in common besides; None for a migration between countries of which
    the family knows but one."""
    points = min(2.0, len(event.facets & frame.facets) * 1.0)
    points += min(1.5, 0.5 * len(event.roots & frame.roots))
    if event.category == "migration" and len(event.countries) > 1:
        if len(sides(event.regions) & sides(frame.family)) < 2:
            return None
        if event.origins and event.origins.isdisjoint(frame.family):
            return None
        own = sides(frame.regions)
        both = len(sides(event.regions) & own) > 1
        if len(own) > 1 and not both:  # this life went elsewhere
            return None
        if not both and sides(event.regions[:1]).isdisjoint(own) and not own.isdisjoint(sides(frame.native)):
            return None  # it brought others to where this life began
        points += 1.5 if both else -1.5
    points -= 4.0 if event.only_record else 1.0 * ("record" in event.facets)
    points -= min(2.0, (event.end - event.start) / 30)
    return points + (1.5 if frame.woman else -4.0) * event.of_women - 0.7 * (frame.woman and event.facets == ARMY)


# Countries that were one for those who left: Britain and Ireland, and the Russian Empire.
ONE_SIDE = {WHOLE_IRELAND: "GB"} | dict.fromkeys(("UA", "BY", "MD", "LT", "LV", "EE"), "RU")


def sides(regions: Iterable[str]) -> set[str]:
    """The countries of these regions, those of one realm as one: nobody is an emigrant from one of them in the other."""
    return {ONE_SIDE.get(region[:2], region[:2]) for region in regions}


def roots(text: str) -> frozenset[str]:
    """The first five letters of the longer words of a text, common words left out."""
    return frozenset(word[:5] for word in map(str.lower, WORD.findall(text)) if len(word) > 4 and word not in COMMON)
