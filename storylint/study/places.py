"""Where the family was: the places that the draft names, as regions of ISO 3166, and when.

What ``places.csv`` does not know is learned from the draft: 'Gwennap, Cornwall', written once, says for the whole book
where Gwennap is. A name that lies in several regions (Perth, Boston, Georgia) goes to the region that stands after it,
else to the one that the section and the book name most. See ``study.placenames`` for how names are found.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise

from storylint.draft.model import Kind
from storylint.study.life import YEAR, Life, life
from storylint.study.people import People
from storylint.study.placenames import (
    AREA,
    BEFORE,
    CAPITAL,
    INSTITUTION,
    OF,
    Entry,
    Index,
    Mention,
    chains,
    find,
    inside,
    key,
    known,
    unknown,
    words_of,
)
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.words import NAME, PRONOUN, TOLD

NEAR = 3  # years within which two places may both be home
DOUBTFUL = 0.5  # how much a place counts that has no date, comes later or is not said of the family
WEAK = 0.25  # how much 'a Welshman' says of Wales, a degree of where its university lies, a wife's birth of her husband
CHILDHOOD = 10  # years after which a family that comes up abroad the next time may have left; ours, no source
# A year that stands beyond one of these belongs to another fact: 'was born in 1798, and died at Granville in 1871'.
FACT = re.compile(
    r"\b(?:born|bapti[sz]ed|married|died|buried|moved|removed|(?:em|im)?migrated|settled|sailed|lived)\b|;"
)
LEAVING = re.compile(
    r"\b(?:emigrated|migrated|sailed|left|departed|removed|moved|embarked|came)\b[^.;]{0,60}\bfrom (?:the )?$|\bleft (?:the )?$"
)
CHAINED = re.compile(r",? (?:the )?$|, (?:\w+ )?(?:in|near) $")
SPOUSE = re.compile(r"\b(?:married|m\.)[^;]*\b(?:daughter|son|native|born|widow)\b[^;]*$")
SOME = 0.1  # share of the commonest region from which a region belongs to the family of the book
HOME_VOTES = 3  # how often a place counts as named that the author's settings call home
SETTLED = 100  # a meaning that the book teaches outweighs all neighbours


@dataclass(frozen=True, slots=True)
class Stay:
    """A place with the year that stands nearest to it, if one does, and how sure it is that the family was there."""

    name: str
    entry: Entry
    year: int | None
    sure: float
    left: bool = False  # the draft says that she left it in that year


@dataclass(frozen=True, slots=True)
class Run:
    """Years, first and last, in which it is equally sure, from 0 to 1, that a person was in a region."""

    start: int
    end: int
    sure: float


@dataclass(slots=True)
class Passage:
    """One text of a section: a sentence, a child's entry or a title, with the places found in it."""

    text: str
    sentence: Sentence | None
    mentions: list[Mention]


class Gazetteer:
    """The places of one book."""

    def __init__(self, book: Book) -> None:
        self.people = book.people
        self.learned: Index[Entry] = Index()
        self.taught: dict[str, Counter[tuple[str, ...]]] = defaultdict(Counter)
        self.counts: Counter[str] = Counter()  # regions by code (see ``count``), counties and towns by name
        self.home_regions = tuple(self.settle_home(book))
        passages = {id(section): self.read(section) for section in book.sections}
        self.settle(book, passages)
        self.stays_of = {name: list(self.stays_in(of_section)) for name, of_section in passages.items()}
        self.dated = {name: sorted(years_of(stays)) for name, stays in self.stays_of.items()}
        self.home = self.shares()

    def read(self, section: StudiedSection) -> list[Passage]:
        """The section's texts with the known names in them."""
        return [Passage(text, sentence, find(text, known(), self.people)) for text, sentence in texts(section)]

    def settle(self, book: Book, passages: dict[int, list[Passage]]) -> None:
        """Give each mention one meaning, and find the places that only this book knows."""
        owns = {id(section): self.certain(passages[id(section)], life(section, book)) for section in book.sections}
        for section, of_section in passages.items():
            self.resolve(of_section, owns[section])
        for text in note_texts(book):
            self.teach_all(Passage(text, None, find(text, known(), self.people)), self.counts, AREA)
        self.agree()
        every = [passage for of_section in passages.values() for passage in of_section]
        for passage in every:
            self.correct(passage)
        self.guess(every)
        for passage in every if self.learned.names else ():
            self.recall(passage)

    def settle_home(self, book: Book) -> Iterator[str]:
        """The regions of the places that the author's settings call home; they count as often named."""
        table = book.settings.get("book", {})
        homes = table.get("home", []) if isinstance(table, dict) else []
        for home in [homes] if isinstance(homes, str) else homes:
            for mention in find(f"in {home}", known(), People()):
                yield from mention.entry.regions
                count(self.counts, set(mention.entry.regions), HOME_VOTES)

    def certain(self, passages: list[Passage], span: Life) -> Counter[str]:
        """Drop the meanings that were out of use in these years, and count what then has one meaning only."""
        own: Counter[str] = Counter()
        for passage in passages:
            for mention in passage.mentions:
                fitting = [entry for entry in mention.meanings if entry.fits(span.start, span.end)]
                mention.meanings = fitting or mention.meanings
                if len(mention.meanings) == 1 and mention.entry.kind != "people":
                    count(own, mention.entry.regions)
                    for name in (*mention.entry.within, key(mention.name)):
                        own[name] += 1
        self.counts.update(own)
        return own

    def resolve(self, passages: list[Passage], own: Counter[str]) -> None:
        """Cut each mention down to one meaning: by its container, else by its neighbours."""
        passages = [passage for passage in passages if passage.mentions]
        for passage in passages:
            self.teach_all(passage, own)
        for passage in passages:
            for mention in passage.mentions:
                mention.meanings = [self.likeliest(mention, own)]

    def teach_all(self, passage: Passage, own: Counter[str], kinds: frozenset[str] | None = None) -> None:
        """Learn from every 'Name, Container' of a passage; ``kinds`` limits what may be a container."""
        for name, start, container in chains(passage.text, passage.mentions, self.people):
            if kinds is None or container.entry.kind in kinds:
                self.teach(passage, name, start, container, own)

    def teach(self, passage: Passage, name: str, start: int, container: Mention, own: Counter[str]) -> None:
        """'Name, Container' settles the name here, and is remembered for the book."""
        likeliest = self.likeliest(container, own)
        container.meanings.sort(key=lambda entry: (entry.kind not in AREA, entry is not likeliest))
        outer = [entry for entry in container.meanings if entry.kind != "people"]
        here = next((m for m in passage.mentions if m.start == start or m.end == start + len(name)), None)
        pairs = [(entry, wide) for entry in here.meanings for wide in outer if inside(entry, wide)] if here else []
        pairs.sort(key=lambda pair: key(container.name) not in pair[0].within)
        if here and pairs:
            here.meanings, container.meanings = [pairs[0][0]], [pairs[0][1]]
            self.taught[key(name)][here.entry.regions] += 1
        elif outer and not (
            here
            and here.start == start
            and (outer[0].kind not in AREA or (here.entry.kind in AREA and not named_after(here.entry, outer[0])))
        ):
            entry = Entry(outer[0].regions, "learned", (container.name.lower(), *outer[0].within))
            self.learned.add(words_of(name), entry)
            self.taught[key(name)][entry.regions] += 1
            if here:
                here.meanings = [entry]

    def likeliest(self, mention: Mention, own: Counter[str]) -> Entry:
        """Of several meanings the one that the book taught, else the one whose neighbours are named, else the first."""
        if len(mention.meanings) == 1:
            return mention.entry
        taught = self.taught.get(key(mention.name), Counter())

        def weight(number: int) -> tuple[float, int]:
            entry = mention.meanings[number]
            near = sum(4 * count_of(own, region) + count_of(self.counts, region) for region in entry.regions)
            around = sum(own[name] + self.counts[name] for name in entry.within)
            return taught[entry.regions] * SETTLED + near / len(entry.regions) + around, -number

        return mention.meanings[max(range(len(mention.meanings)), key=weight)]

    def agree(self) -> None:
        """Keep one meaning for each learned name: the one that the book gives most often."""
        for entries in self.learned.every():
            best = Counter(entry.regions for entry in entries).most_common(1)[0][0]
            entries[:] = [next(entry for entry in entries if entry.regions == best)]

    def correct(self, passage: Passage) -> None:
        """A town that the book puts elsewhere, and never where the table has it, lies where the book puts it."""
        for mention in passage.mentions:
            taught = self.taught.get(key(mention.name))
            if taught and mention.entry.kind == "city" and mention.entry.regions not in taught:
                match = CAPITAL.match(mention.name)
                found = self.learned.longest(mention.name, match) if match else None
                if found and found[0] == len(mention.name):
                    mention.meanings = found[1]

    def guess(self, every: list[Passage]) -> None:
        """Learn names without a container: one that stands after 'at' or 'in' lies where the places named beside it
        lie, with no year and no 'to' between, when at least two of three of those agree."""
        votes: dict[str, Counter[tuple[str, ...]]] = defaultdict(Counter)
        for passage in every:
            near = [mention for mention in passage.mentions if mention.entry.kind not in ("people", "country")]
            for name, start in unknown(passage.text, near, self.people) if near else ():
                for mention in near:
                    between = passage.text[min(start, mention.end) : max(start, mention.end)]
                    if not YEAR.search(between) and " to " not in between:
                        votes[name][mention.entry.regions] += 1
        for name, regions in votes.items():
            best, count = regions.most_common(1)[0]
            if 3 * count >= 2 * regions.total() and key(name) not in self.taught:
                self.learned.add(words_of(name), Entry(best, "learned"))

    def recall(self, passage: Passage) -> None:
        """Find the learned names in a passage, beside those that the table knows."""
        learned = find(passage.text, self.learned, self.people)
        if learned:
            taken = [(mention.start, mention.end) for mention in passage.mentions]
            for mention in learned:
                if not any(start < mention.end and mention.start < end for start, end in taken):
                    passage.mentions.append(mention)
            passage.mentions.sort(key=lambda mention: mention.start)

    def stays_in(self, passages: list[Passage]) -> Iterator[Stay]:
        """Each mention with the nearest year of its clause (';' ends one), of its own fact if that has one; what is left
        'from' somewhere was a year before."""
        for passage in (passage for passage in passages if passage.mentions):
            found = [(match.start(), int(match.group(1))) for match in YEAR.finditer(passage.text)]
            sure = 1.0 if passage.sentence is None or of_family(passage.sentence, self.people) else DOUBTFUL
            before: tuple[int, bool] = (-1, False)
            for mention in passage.mentions:
                year = nearest_year(passage.text, mention.start, found)
                if year and len(passage.mentions) > 1 and passage.text[: mention.start].lower().endswith("from "):
                    year -= 1
                lead = passage.text[max(0, mention.start - 160) : mention.start]
                weak = mention.entry.kind == "people" or not_home(mention, lead, passage)
                weight = WEAK if weak else sure
                chained = 0 <= before[0] <= mention.start and CHAINED.fullmatch(passage.text, before[0], mention.start)
                left = before[1] if chained else bool(LEAVING.search(lead))
                before = mention.end, left
                yield Stay(mention.name, mention.entry, year, weight, left)

    def stays(self, section: StudiedSection) -> list[Stay]:
        """The places of a section in reading order."""
        return self.stays_of[id(section)]

    def shares(self) -> dict[str, float]:
        """The book's regions by how much of it they are, from 0 to 1; what the settings call home is 1."""
        total: Counter[str] = Counter()
        for stay in (stay for stays in self.stays_of.values() for stay in stays):
            total.update(dict.fromkeys(stay.entry.regions, stay.sure))
        most = max(total.values(), default=1.0)
        return {region: count / most for region, count in total.items()} | dict.fromkeys(self.home_regions, 1.0)

    def names(self, section: StudiedSection) -> dict[str, set[str]]:
        """The names of a section's places and of the counties and districts around them, in small letters, with the
        regions in which they lie there."""
        found: dict[str, set[str]] = {}
        for stay in self.stays(section):
            if stay.sure > WEAK:
                for name in (key(stay.name), *stay.entry.within):
                    found.setdefault(name, set()).update(stay.entry.regions)
        return found

    def family(self, section: StudiedSection) -> frozenset[str]:
        """The regions of a section, and those that are at least a tenth as frequent in the book as the commonest."""
        own = {region for stay in self.stays(section) if stay.sure > WEAK for region in stay.entry.regions}
        return frozenset(own | {region for region, share in self.home.items() if share >= SOME})

    def regions_of(self, section: StudiedSection, year: int | None) -> set[str]:
        """The regions of the places that the section gives that very year, the surer ones."""
        dated = (stay for stay in self.stays(section) if stay.year is not None and stay.year == year)
        return {region for stay in dated if stay.sure > WEAK for region in stay.entry.regions}

    def regions_at(self, section: StudiedSection, year: int) -> dict[str, float]:
        """Region → from 0 to 1, how likely the person was there in that year.

        The places of the last dated year up to then count whole, so that a move shifts what follows; places within
        three years likewise; later and undated ones half; what the draft says she left no more. Where the section names fewer than two places, the settings'
        home counts too, else the book's commonest regions. Who is next named in another country may have left the last
        place ten years after its date: from then on either counts half.
        """
        stays, dated = self.stays(section), self.dated[id(section)]
        last = max((each for each in dated if each <= year), default=dated[0] if dated else None)
        left = last is not None and year - last > CHILDHOOD and abroad(stays, last, year)
        found: dict[str, float] = {}
        for stay in stays:
            here = stay.year is not None and last is not None and (stay.year == last or abs(stay.year - year) <= NEAR)
            later = stay.year is not None and stay.year > year
            if stay.left and stay.year is not None and stay.year < year and abroad(stays, stay.year, year):
                continue
            half = here or stay.year is None or (later and (left or last is None or last > year))
            share = DOUBTFUL if half else WEAK if later else 0.0
            weight = stay.sure * (1.0 if (here and not left) or not dated else share)
            for region in stay.entry.regions if weight else ():
                if weight > found.get(region, 0.0):
                    found[region] = weight
        own = len([stay for stay in stays if stay.sure > WEAK][:2])
        if own < 2:
            for region, share in self.home.items():
                if region in self.home_regions or (not self.home_regions and share >= DOUBTFUL):
                    found[region] = max(found.get(region, 0.0), share * (DOUBTFUL if own else 1.0))
        return found

    def presence(self, section: StudiedSection, start: int, end: int) -> dict[str, list[Run]]:
        """Region → the runs of years in which the person may have been there, from ``start`` to ``end``."""
        turns = {start, end + 1}
        for stay in self.stays(section):
            if stay.year is not None:
                turns.update((stay.year - NEAR, stay.year, stay.year + NEAR + 1, stay.year + CHILDHOOD + 1))
                turns.update((stay.year + 1,) if stay.left else ())
        years = sorted(year for year in turns if start <= year <= end + 1)
        runs: dict[str, list[Run]] = defaultdict(list)
        for first, following in pairwise(years):
            for region, sure in self.regions_at(section, first).items():
                before = runs[region][-1] if runs[region] else None
                if before and before.end == first - 1 and before.sure == sure:
                    runs[region][-1] = Run(before.start, following - 1, sure)
                else:
                    runs[region].append(Run(first, following - 1, sure))
        return dict(runs)


ACTS = re.compile(r" (?:was|were|had|has|is|kept|took|made|gave|said|went|came|got|put|held|[a-z]{2,}ed)\b")
FOREBEARS = frozenset("ancestor ancestors ancestry descendant descended descent forefather forefathers".split())


def named_after(county: Entry, state: Entry) -> bool:
    """True for Suffolk in 'Boston, Suffolk, Massachusetts': a county overseas that bears the name of one in Britain."""
    here, there = county.regions[0], state.regions[0]
    return here.startswith("GB-") and county.kind == "state" and there.startswith(("US-", "CA-", "AU-"))


def not_home(mention: Mention, lead: str, passage: Passage) -> bool:
    """True for a place of study, of the wife's birth or of the forebears, and for 'but Stroud kept the land'."""
    if ACTS.match(passage.text, mention.end):
        before = BEFORE.search(lead)
        if not before or before.group(1).lower() not in OF:
            return True
    if passage.sentence is not None and not FOREBEARS.isdisjoint(passage.sentence.lower):
        return True
    studied = lead.endswith(", ") and INSTITUTION.search(lead)
    return bool(studied or (("married" in lead or "m." in lead) and SPOUSE.search(lead)))


def nearest_year(text: str, start: int, found: list[tuple[int, int]]) -> int | None:
    """The year nearest to a place that begins at ``start``, in its clause; first one of the same fact. ``found`` are
    positions and years."""
    near = []
    for at, year in found:
        between = text[min(at, start) : max(at, start)]
        if ";" not in between:
            near.append((FACT.search(between) is not None, abs(at - start), year))
    return min(near)[2] if near else None


def years_of(stays: list[Stay]) -> set[int]:
    """The years in which it is more than a guess that the person was somewhere."""
    return {stay.year for stay in stays if stay.year is not None and stay.sure > WEAK}


def abroad(stays: list[Stay], last: int, year: int) -> bool:
    """True when the next dated place after ``year`` lies in no country of those dated ``last``."""
    following = min((when for when in years_of(stays) if when > year), default=None)
    here, there = (
        {region[:2] for stay in stays if stay.year == when and stay.sure > WEAK for region in stay.entry.regions}
        for when in (last, following)
    )
    return bool(there) and here.isdisjoint(there)


def count(counts: Counter[str], regions: Collection[str], times: int = 1) -> None:
    """Count these regions as named, and as parts of their countries."""
    for region in regions:
        counts[region] += times
        counts[f"{region[:2]}*"] += times


def count_of(counts: Counter[str], region: str) -> float:
    """How often a region is named; other parts of the same country count a third."""
    own = counts[region]
    return own + (counts[f"{region[:2]}*"] - own) / 3


def of_family(sentence: Sentence, people: People) -> bool:
    """True when a sentence speaks of the family: a pronoun, one of its names, or a bare record with nothing told."""
    if PRONOUN in sentence.tags or TOLD not in sentence.tags:
        return True
    named = [word for word, tag in zip(sentence.tokens, sentence.tags, strict=True) if tag == NAME]
    return any(map(people.__contains__, named))


def texts(section: StudiedSection) -> Iterator[tuple[str, Sentence | None]]:
    """What of a section can name a place: its title, its sentences, its tables, and its children up to their birth."""
    if section.section.person:
        yield section.section.title, None
    for sentence in section.sentences:
        yield sentence.text, sentence
    for child in section.children:
        year = YEAR.search(child.text)
        yield child.text.split(";")[0][: year.end() + 60 if year else 200], None
    for block in section.section.of_kind(Kind.TABLE, Kind.ITEM):
        yield block.text, None


def note_texts(book: Book) -> Iterator[str]:
    """The notes of all drafts: they name places with county and state, for learning only."""
    for draft in {id(section.section.draft): section.section.draft for section in book.sections}.values():
        yield from (note.text for note in draft.notes) if draft else ()


def places_of(book: Book) -> Gazetteer:
    """The gazetteer of a book, worked out once."""
    return book.once("places", lambda: Gazetteer(book))
