"""The reading as one page to look at: self-contained, no network, no server, good on paper.

``page.html`` is the template, ``page.frame.html`` what it shares with the page of a comparison (see ``compared``),
``page.css`` its look, ``page.js`` what moves. Every text of a draft reaches the page through the template's escaping,
through ``safe`` or through an element tree (see ``charts``); the security policy in the page's head admits the two
files named here by their hashes and nothing else, so that even a fault of ours could not run a draft's words.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache, cached_property
from hashlib import sha256
from importlib.resources import files
from itertools import pairwise
from os.path import commonpath
from pathlib import Path, PurePath
from typing import Any, NamedTuple

from markupsafe import Markup, escape

from storylint import __version__
from storylint.complaints import Complaint
from storylint.draft.model import Block, Kind, Mark, Note
from storylint.findings import DraftReading, Level, Place, Reading, SectionReading, Share
from storylint.reporters import charts
from storylint.reporters.glance import (
    NEAR,
    RULES,
    UNNOTED,
    UNTOUCHED,
    Fix,
    asked,
    best_of,
    count,
    fixes,
    glance,
    lapsed,
    persons,
    readability,
    scored,
    state,
    unnoted,
    worst_first,
)

# What HTML can't hold, and what turns the direction of the text after it.
UNSEEN = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff\ud800-\udfff]")
# The parts of an offered event, where its line has them all (see the contract of ``details.suggestions``). A line with
# an age is tried first, for its event may name other years in brackets.
OFFERS = tuple(
    re.compile(rf"(?P<what>.+?) \((?P<years>[^()]*\d{{3}}[^()]*)\){age}; (?P<why>.*?); source: (?P<source>.+)", re.S)
    for age in (r": (?P<age>[^;]+)", "")
)
QUOTED = 12  # words of a quote that only points to its sentence
SIGN = {Level.ERROR: "■", Level.WARNING: "▲", Level.NOTE: "●"}
STATE_TOLD = {
    "done": "at your goal, and no error stands",
    "nearly done": f"within {NEAR:g} points of your goal",
    "under way": f"{UNTOUCHED:g} or more, or held back by an error",
    "untouched": f"below {UNTOUCHED:g}: reads as the tree program left it",
}


def render(reading: Reading) -> str:
    """The page as one text."""
    page = Page(reading)
    return filled(
        "page.html",
        page=page,
        drawn={name: Markup(svg) for name, svg in page.drawn().items()},
        meter=lambda score, name: Markup(charts.meter(score, reading.goal, name)),
        sign=SIGN,
        told=STATE_TOLD,
        short=short,
        asked=asked(reading),
    )


def filled(template: str, **told: Any) -> str:
    """A page made from its template and what it tells."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    environment = Environment(
        loader=FunctionLoader(asset),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=clean,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    style, script = asset("page.css"), asset("page.js")
    page = environment.get_template(template).render(
        told,
        version=__version__,
        style=Markup(style),
        script=Markup(script),
        policy=policy(style, script),
        whole=whole,
        count=count,
    )
    return page.lstrip()


def asset(name: str) -> str:
    """A text file of this package."""
    return files("storylint.reporters").joinpath(name).read_text(encoding="utf-8")


def policy(style: str, script: str) -> str:
    """The content security policy: our style and our script, known by their hashes; nothing is ever loaded."""
    named = (f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" for text in (style, script))
    return "default-src 'none'; style-src {}; script-src {}; base-uri 'none'; form-action 'none'".format(*named)


def clean(value: Any) -> Any:
    """Text without characters that a page can't hold or that would turn what follows; markup of ours as it is."""
    return UNSEEN.sub("", value) if type(value) is str and not value.isprintable() else value


def safe(text: str) -> str:
    """A draft's text as markup, where it is written here and not in the template."""
    return escape(clean(text))


def whole(score: float | None) -> str:
    """A score without decimals; what is just under 100 never reads as 100."""
    return "–" if score is None else str(int(score))


# ------------------------------------------------------------------------------------------------------------ the book


class Page:
    """What the template asks of a reading."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.glance = glance(reading)
        self.goal = int(reading.goal)
        numbers = {draft.path: number for number, draft in enumerate(reading.drafts)}
        self.leaf_of = {(path, block): f"d{numbers[path]}b{block}" for path, block in text_blocks(reading)}
        owned = blocks_of(reading)
        drafts = {draft.path: draft for draft in reading.drafts}
        self.entries = [
            Entry(self, f"s{at}", section, drafts.get(section.path), owned[at])
            for at, section in enumerate(reading.sections)
        ]
        self.of_section = {entry.section.id: entry for entry in self.entries}

    @property
    def files(self) -> list[str]:
        """The names of the files, without their folders."""
        return [PurePath(draft.path.replace("\\", "/")).name for draft in self.reading.drafts]

    @cached_property
    def people(self) -> list[Entry]:
        """The rows of the list, worst first: the persons, or all that is scored where no person was recognised."""
        listed = worst_first(persons(self.reading) or scored(self.reading))
        return [self.of_section[section.id] for section in listed]

    @cached_property
    def reading_order(self) -> list[Entry]:
        """The listed sections as the book has them, each with the one before and the one after."""
        listed = {entry.id for entry in self.people}
        order = [entry for entry in self.entries if entry.id in listed]
        for first, second in pairwise(order):
            first.after, second.before = second.id, first.id
        return order

    @property
    def others(self) -> list[Entry]:
        """The sections that are not in the list."""
        listed = {entry.id for entry in self.people}
        return [entry for entry in self.entries if entry.id not in listed]

    @property
    def rules(self) -> list[str]:
        """The scores that somebody has, the overall score aside."""
        return [name for name in RULES if any(entry.section.scores.get(name) is not None for entry in self.people)]

    @property
    def found(self) -> list[str]:
        """The rules that found something in the listed sections."""
        return sorted({finding.rule for entry in self.people for finding in entry.section.findings})

    @property
    def next(self) -> list[Step]:
        """The five fixes to begin with."""
        own = [fix for entry in self.entries for fix in entry.fixes]
        return [Step(self, fix) for fix in best_of([card.fix for card in self.loose] + own)]

    @cached_property
    def loose(self) -> list[Card]:
        """What belongs to no section."""
        made = fixes(None, self.reading.findings)
        return [Card("book", number, fix, self) for number, fix in enumerate(made, 1)]

    @property
    def remarks(self) -> list[str]:
        """What could not be read, judged or done."""
        lines = [f"{draft.path}: {remark}" for draft in self.reading.drafts for remark in draft.remarks]
        lines += [f"{path}: not read: {why}" for path, why in self.reading.unreadable]
        lines += list(self.reading.crashes)
        if stets := len(self.reading.standing):
            lines.append(f"{stets} finding{'' if stets == 1 else 's'} left out by your word (stet)")
        lines += [lapsed(stet) for stet in self.reading.lapsed]
        lines += [UNNOTED] if unnoted(self.reading) else []
        if worse := self.reading.worse:
            lines.append(f"against {worse.than}: {len(worse.fell)} sections fell, {len(worse.new)} findings are new")
        return lines

    def drawn(self) -> dict[str, str]:
        """The charts."""
        goal = self.reading.goal
        return {
            "shelf": charts.shelf([entry.spine for entry in self.entries], goal),
            "persons": charts.persons([entry.spine for entry in self.people], goal),
            "trend": charts.trend(past(self.reading)),
        }

    def reasons(self) -> dict[str, Any]:
        """Why each score is what it is, for the script to show when asked (see ``Entry.reasons``); the whys, of which
        many are the same, in a list of their own."""
        whys: dict[str, int] = {}
        sections = {entry.id: entry.reasons(whys) for entry in self.entries if entry.section.shares}
        return {"whys": [clean(why) for why in whys], "sections": sections}


def text_blocks(reading: Reading) -> Iterator[tuple[str, int]]:
    """(path, index) of each block with words."""
    return ((draft.path, block.index) for draft in reading.drafts for block in draft.blocks if block.text)


def blocks_of(reading: Reading) -> list[list[Block]]:
    """Each section's blocks: from the one that opens it to the one that ends it, or the next that opens one."""
    opened = {(section.path, section.block): at for at, section in enumerate(reading.sections)}
    owned: list[list[Block]] = [[] for _ in reading.sections]
    for draft in reading.drafts:
        now: int | None = None
        for block in draft.blocks:
            now = opened.get((draft.path, block.index), now)
            if now is not None and (last := reading.sections[now].last) is not None and block.index > last:
                now = None
            if now is not None:
                owned[now].append(block)
    return owned


def past(reading: Reading) -> list[charts.Point]:
    """The book's recorded revisions, oldest first, where there is a log that can be read."""
    from storylint.revisions.history import history

    paths = [draft.path for draft in reading.drafts]
    if not paths:
        return []
    try:
        moments = history(Path(paths[0] if len(paths) == 1 else commonpath(paths))).moments
    except (Complaint, OSError, ValueError):  # the page is no place to complain of the log; ``progress`` does
        return []
    return [charts.Point(day(told.when), told.overall, told.ease, bool(told.rules)) for told in moments]


def day(when: datetime) -> str:
    """'3 May 2026', where the reader is."""
    local = when.astimezone()
    return f"{local.day} {local:%b %Y}"


# ------------------------------------------------------------------------------------------------------ what to do next


class Step:
    """One of the best next fixes."""

    def __init__(self, page: Page, fix: Fix) -> None:
        self.entry = page.of_section[fix.section.id] if fix.section else None
        self.card = next(card for card in (self.entry.cards if self.entry else page.loose) if card.fix is fix)
        overall = fix.section.scores["overall"] if fix.section else None
        self.old = overall if fix.gain >= 0.05 else None
        self.new = None if self.old is None else min(100.0, self.old + fix.gain)


# -------------------------------------------------------------------------------------------------------- one finding


class Spot(NamedTuple):
    """Where a finding stands: its paragraph on the page and the offsets in it ('12-40'), the words, what is wrong."""

    leaf: str
    at: str
    quote: str
    message: str


class Offer(NamedTuple):
    """An event of the right time and place."""

    what: str
    years: str = ""
    age: str = ""
    why: str = ""
    source: str = ""


class Card:
    """Findings that one piece of advice answers, with a number that also stands at their words."""

    def __init__(self, owner: str, number: int, fix: Fix, page: Page) -> None:
        self.id, self.number, self.fix, self.first = f"{owner}c{number}", number, fix, fix.first
        self.level, self.rank, self.rule = self.first.level.value, self.first.level.rank, self.first.rule
        self.places = [place for finding in fix.findings for place in finding.places]
        self.message = self.first.message if len({finding.message for finding in fix.findings}) == 1 else ""
        self.leaf_of = page.leaf_of
        # Made here, of nothing but our own words and numbers, because a long book shows each at many sentences.
        self.ref = Markup(f'<a class="ref {self.level}" href="#{self.id}">{number}</a>')

    @property
    def spots(self) -> list[Spot]:
        """Where its findings stand."""
        return [
            Spot(self.leaf_of.get((p.path, p.block), ""), f"{p.start}-{p.end}", p.quote, finding.message)
            for finding in self.fix.findings
            for p in finding.places
        ]

    def by_message(self) -> Iterator[tuple[str, str]]:
        """(message, its places as the script reads them: number on the card, paragraph, offsets)."""
        told: dict[str, list[str]] = defaultdict(list)
        for number, spot in enumerate(self.spots, 1):
            told[spot.message].append(f"{number} {spot.leaf} {spot.at};")
        for message, places in told.items():
            yield f"{len(places)} places:" if self.message else message, "".join(places)

    @property
    def offers(self) -> list[Offer]:
        """The events offered with it."""
        lines = self.first.details.get("suggestions", [])
        return [offer(str(line)) for line in lines] if isinstance(lines, list) else []


@cache
def offer(line: str) -> Offer:
    """An offered event in its parts, or whole where it is written otherwise."""
    parts = next(filter(None, (form.fullmatch(line) for form in OFFERS)), None)
    return Offer(**parts.groupdict()) if parts else Offer(line)


def short(quote: str) -> str:
    """The beginning and end of a quote."""
    words = quote.split()
    return " ".join(words) if len(words) <= QUOTED else f"{' '.join(words[:8])} … {' '.join(words[-3:])}"


# --------------------------------------------------------------------------------------------------------- one section


class Entry:
    """A section with its text, its remarks and its scores."""

    def __init__(
        self, page: Page, id_: str, section: SectionReading, draft: DraftReading | None, blocks: Sequence[Block]
    ) -> None:
        self.id, self.section, self.blocks, self.page = id_, section, blocks, page
        self.notes_of_draft: Sequence[Note] = draft.notes if draft else ()
        self.before = self.after = ""
        self.name = section.person or section.title or "Untitled"
        self.number = section.number if section.person else None
        self.state = state(section, page.reading.goal)
        self.ease = readability(section, "flesch_reading_ease")
        self.levels = {level: sum(f.level is level for f in section.findings) for level in reversed(Level)}
        self.fixes = fixes(section, section.findings)
        in_order = sorted(self.fixes, key=first_place)
        self.cards = [Card(id_, number, fix, page) for number, fix in enumerate(in_order, 1)]

    @property
    def label(self) -> str:
        """The name with the number that the book prints."""
        return f"{self.number} {self.name}" if self.number else self.name

    @property
    def spine(self) -> charts.Spine:
        """The section as the charts draw it."""
        number = clean(self.number or "")
        overall = self.section.scores["overall"]
        return charts.Spine(self.id, clean(self.label), number, self.section.words, overall, self.ease, self.state)

    @cached_property
    def shares(self) -> list[tuple[str, Share, float | None]]:
        """(rule, share, score) of what makes its scores."""
        scores = self.section.scores
        named = [(name, self.section.shares[name]) for name in RULES if name in self.section.shares]
        return [(name, share, scores[name]) for name, share in named if share.whole > 0]

    @property
    def offers(self) -> list[Offer]:
        """The events offered, once each."""
        return list(dict.fromkeys(offer for card in self.cards for offer in card.offers))

    @property
    def leaves(self) -> list[Leaf]:
        """Its text, paragraph by paragraph, with the remarks that stand beside each."""
        here: dict[int, list[tuple[Card, Place]]] = defaultdict(list)
        for card in self.cards:
            for place in card.places:
                if place.path == self.section.path:
                    here[place.block].append((card, place))
        seen: set[Card] = set()
        leaves = []
        for block in self.blocks:
            spots = here[block.index] if block.text else []
            cards = dict.fromkeys(card for card, _ in spots)
            full, again = [card for card in cards if card not in seen], [card for card in cards if card in seen]
            leaves.append(Leaf(self, block, spots, full, again))
            seen.update(full)
        lost = [card for card in self.cards if card not in seen]
        if lost and leaves:
            leaves[0].full.extend(lost)
        return leaves

    @property
    def notes(self) -> list[tuple[Mark, Note]]:
        """The notes that its marks call, once each."""
        called = {mark.note: mark for block in self.blocks for mark in reversed(block.marks) if mark.note is not None}
        known = (at for at in sorted(called) if 0 <= at < len(self.notes_of_draft))
        return [(called[at], self.notes_of_draft[at]) for at in known]

    def reasons(self, whys: dict[str, int]) -> dict[str, Any]:
        """The units of its scores as short lists: where each stands, and by rule (unit, weight, clean, why)."""
        units: dict[tuple[int, int, int], int] = {}
        rows = {
            name: [
                (
                    units.setdefault((reason.block, reason.start, reason.end), len(units)),
                    round(reason.weight, 2),
                    int(reason.clean),
                    whys.setdefault(reason.why, len(whys)),
                )
                for reason in share.reasons
            ]
            for name, share, _ in self.shares
        }
        leaf_of, path = self.page.leaf_of, self.section.path
        return {"units": [(leaf_of.get((path, unit[0]), ""), *unit[1:]) for unit in units], "rules": rows}


# ------------------------------------------------------------------------------------------------------- one paragraph

TAGS = {Kind.HEADING: "h4", Kind.QUOTATION: "blockquote"}


@dataclass(slots=True)
class Leaf:
    """A block with the places of what is said of it. ``full`` are the remarks beside it; those of ``again`` stand beside
    an earlier paragraph."""

    entry: Entry
    block: Block
    spots: list[tuple[Card, Place]]
    full: list[Card]
    again: list[Card]

    @property
    def id(self) -> str:
        """Where a link finds it; a picture has none, for it shares the number of its paragraph."""
        return self.entry.page.leaf_of.get((self.entry.section.path, self.block.index), "") if self.block.text else ""

    @property
    def tag(self) -> str:
        """The element that holds it."""
        return TAGS.get(self.block.kind, "p")

    @property
    def above(self) -> Markup:
        """The numbers and rules of the remarks that stand beside an earlier paragraph."""
        return Markup(", ".join(f"{card.ref} {safe(card.rule)}" for card in self.again))

    @property
    def wide(self) -> str | None:
        """The gravest level of remarks about the paragraph as a whole."""
        return max(((card.rank, card.level) for card, at in self.spots if self._covers(at)), default=(0, None))[1]

    def _covers(self, place: Place) -> bool:
        return place.start <= 0 and place.end >= len(self.block.text) and self.block.kind is Kind.PARAGRAPH

    def words(self) -> Markup:
        """The text in pieces that are marked alike, by the gravest level of what is said of them. Before them stand the
        marks of notes and the numbers of the remarks that end there."""
        text, end = self.block.text, len(self.block.text)
        spots = [(card, min(max(at.start, 0), end), min(max(at.end, 0), end)) for card, at in self.spots]
        before: dict[int, list[str]] = defaultdict(list)
        for mark in self.block.marks:
            before[mark.at].append(self._called(mark))
        for card, _, stop in spots:
            if card.ref not in before[stop]:
                before[stop].append(card.ref)
        told: list[str] = []
        for at, stop, level in self._pieces(spots, end):
            told += before.get(at, ())
            piece = safe(text[at:stop])
            if level and piece:
                piece = f'<mark class="{level}">{piece}</mark>'
            for tag, spans in (("i", self.block.italic), ("b", self.block.bold)):
                if spans and piece and any(start <= at < last for start, last in spans):
                    piece = f"<{tag}>{piece}</{tag}>"
            told.append(piece)
        return Markup("".join(told))

    def _pieces(self, spots: Sequence[tuple[Card, int, int]], end: int) -> Iterator[tuple[int, int, str]]:
        """(start, end, gravest level): the text cut wherever something begins, ends or stands."""
        cuts = {0, end, *(mark.at for mark in self.block.marks)}
        cuts |= {at for span in (*self.block.italic, *self.block.bold) for at in span}
        cuts |= {at for _, start, stop in spots for at in (start, stop)}
        edges = sorted(cut for cut in cuts if 0 <= cut <= end)
        order = {at: number for number, at in enumerate(edges)}
        levels = [""] * len(edges)
        for card, start, stop in sorted(spots, key=lambda spot: spot[0].rank):  # the gravest over the lighter
            if stop - start < end:
                levels[order[start] : order[stop]] = [card.level] * (order[stop] - order[start])
        return zip(edges, [*edges[1:], end], levels, strict=True)

    def _called(self, mark: Mark) -> str:
        number = safe(mark.number)
        link = number if mark.note is None else f'<a href="#{self.entry.id}n{mark.note}">{number}</a>'
        return f'<sup class="note">{link}</sup>'


def first_place(fix: Fix) -> tuple[int, int]:
    """Where a fix is met first: (block, offset)."""
    return min((place.block, place.start) for finding in fix.findings for place in finding.places)
