"""Whom a state of the book names, and who of OLD is named nowhere in NEW: a child dropped from its list, a wife cut.

People are looked for by name, near home first: in the lists of children and in the text of the sections into which the
old one went, then in the whole book. Where several bear the name, a year has to tell that it is the same person.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from storylint.draft.names import forename, read_name, spoken
from storylint.revisions.match import near
from storylint.revisions.passages import RAISED, Line, Passage
from storylint.study.dates import When, find
from storylint.study.lexicon import CUES
from storylint.study.people import NAME_RUN, NO_NAME
from storylint.study.persons import alike

Words = tuple[str, ...]

YEAR = re.compile(r"(?<!\d)(?:1[4-9]|20)\d\d(?!\d)")
OWNER = re.compile(r"(?<=['’]s)\s+")  # 'Elis's Gwilym' are two
LINES = 10_000  # of OLD, nearly all of which stand in NEW too and need not be read again
OPENING = 3  # sentences in which a section tells of its person's birth; proposed, no source

BIRTH = frozenset({"birth", "baptism"})
# What opens the entry of a child that has no name.
NAMELESS = frozenset("Infant Infants Baby Stillborn Unnamed Nameless Unbaptised Unbaptized Died".split())
# Whom prose gives vitals of her own, or calls somebody's child.
VITAL = r"(?:born|bapti[sz]ed|christened|died|buried|b\.|bapt?\.|d\.|bur\.)"
TOLD_OF = re.compile(
    rf"(?P<vital>{NAME_RUN.pattern})(?:,? (?:who |and )?(?:was |were )?|, |,? \(){VITAL}(?!\w)"
    r"|\b(?:sons?|daughters?|child|children|baby|twins?)[,:]? (?:named |called |was |were )?"
    rf"(?P<child>{NAME_RUN.pattern}(?:(?:,? and |, ){NAME_RUN.pattern}){{0,15}})"
)
AND = re.compile(r",? and |, ")
# Behind what prose names a wife or a husband, where it goes on to the children, and what leads to a place or to who wed
# them; so many letters are read.
MARRIED = re.compile(r"\b(?:married|wed|m\.|marriage (?:to|with)|wife|husband|widow|widower|bride|bridegroom)(?!\w)")
ISSUE = re.compile(r"\b(?:sons?|daughters?|child|children|born|b\.)(?!\w)")
ELSEWHERE = re.compile(r"\b(?:at|in|near|from|on|aboard|by|before|after)(?: the)? $")
NEARBY = re.compile(r"(?:^[\s,]*(?:\(?1\)?|first|secondly)?|\d,?|\bto(?: a)?),? *$")
NEXT = 120


@dataclass(frozen=True, slots=True)
class Named:
    """Somebody as a line of passage ``at`` names her. ``entry``: it is her line in a list of children; ``years`` are
    those given with her."""

    name: Words
    at: int
    line: Line
    years: frozenset[int]
    entry: bool = False


@dataclass(slots=True)
class Roll:
    """Everybody whom a book names. ``entries`` and ``told`` are by passage: the children of its lists, and those whom
    it gives vitals or calls a child, a wife or a husband; ``mentions`` are by forename, everybody anywhere."""

    book: Sequence[Passage]
    entries: dict[int, list[Named]] = field(default_factory=lambda: defaultdict(list))
    told: dict[int, list[Named]] = field(default_factory=lambda: defaultdict(list))
    mentions: dict[str, list[Named]] = field(default_factory=lambda: defaultdict(list))
    children: dict[str, list[Named]] = field(default_factory=lambda: defaultdict(list))  # the entries by forename
    sections: dict[str, list[int]] = field(default_factory=lambda: defaultdict(list))  # by forename of their persons
    years: dict[int, frozenset[int]] = field(default_factory=dict)  # with which each passage opens
    births: dict[int, frozenset[int]] = field(default_factory=dict)  # those of them that are of a birth, or else all
    spouses: dict[int, set[Words]] = field(default_factory=lambda: defaultdict(set))  # by whole names

    def person(self, at: int) -> Words:
        """Whom a passage is about; () for nobody."""
        return name_of(self.book[at].section.person or "")


def roll_of(book: Sequence[Passage]) -> Roll:
    """Read every line once."""
    roll = Roll(book)
    for at, passage in enumerate(book):
        if person := roll.person(at):
            roll.sections[person[0]].append(at)
        listed: set[int] = set()  # blocks of which the first line has been read
        opening = [line.text for line in passage.lines[:OPENING]]
        roll.years[at] = frozenset(year for text in opening for year in years_of(text))
        roll.births[at] = frozenset(year for text in opening for year in births_in(text)) or roll.years[at]
        for line in passage.lines:
            years = years_of(line.text)
            first = line.child and line.block not in listed
            listed |= {line.block}
            if first and (entry := entry_of(at, line, years)):
                roll.entries[at].append(entry)
                roll.children[entry.name[0]].append(entry)
            elif first:
                roll.spouses[at] |= {name for name in names_in(line.text) if len(name) > 1}
            elif not line.child:  # what an entry goes on to tell is about the people of the next generation
                roll.told[at] += [Named(name, at, line, years) for name in told_in(line.text)]
                roll.spouses[at] |= married_in(line.text)
            roll.told[at] += [Named(name, at, line, years) for name in sorted(married_in(line.text))]
            for name in names_in(line.text):
                roll.mentions[name[0]].append(Named(name, at, line, years))
    return roll


def entry_of(at: int, line: Line, years: frozenset[int]) -> Named | None:
    """The child of a line in a list of children; None for what announces the list, and for a child without a name."""
    found = read_name(line.text)
    name = name_of(found.text) if found and not found.text.startswith(("Children ", "Child ")) else ()
    return Named(name, at, line, years, True) if name and name[0] not in NAMELESS else None


@lru_cache(maxsize=LINES)
def told_in(text: str) -> Sequence[Words]:
    """Whom a sentence gives vitals, or calls somebody's child."""
    found = []
    for match in TOLD_OF.finditer(text.translate(RAISED)):
        for number, run in enumerate(AND.split(match["child"] or match["vital"])):
            words = run.split()
            while words and read_name(words[0]) is None:  # 'When Marged died'
                words = words[1:]
            name = name_of(" ".join(words))
            sure = len(name) > 1 if match["vital"] else not number  # 'their daughter Ann, Bangor'
            if name and (sure or forename(name[0])):
                found.append(name)
    return found


@lru_cache(maxsize=LINES)
def married_in(text: str) -> frozenset[Words]:
    """Whom a sentence names as a wife or husband: who stands next to the word, or the first whole name behind it."""
    text = text.translate(RAISED)
    return frozenset(
        filter(None, (spouse_in(text[match.end() : match.end() + NEXT]) for match in MARRIED.finditer(text)))
    )


def spouse_in(text: str) -> Words:
    """Whom the words behind 'married' or 'his wife' name; () for nobody."""
    text = ISSUE.split(text)[0]
    for run in NAME_RUN.finditer(text):
        before, name = text[: run.start()], name_of(run.group())
        if not name or name[0] in NO_NAME or ELSEWHERE.search(before):
            continue
        is_next = bool(NEARBY.search(before))
        if forename(name[0]) if len(name) == 1 or not is_next else True:
            return name if is_next or len(name) > 1 else ()
    return ()


@lru_cache(maxsize=LINES)
def births_in(text: str) -> frozenset[int]:
    """The years in which a text tells a birth or baptism."""
    years = years_of(text)
    return frozenset(w.year for w in find(text) if w.year and event_of(text, w) in BIRTH) if years else years


def event_of(text: str, when: When) -> str:
    """The event to which a date belongs: the last one told before it, or else the first after it; "" for none."""
    cues = [(match.start(), (match.lastgroup or "")[2:]) for match in CUES.finditer(text)]
    before = [event for start, event in cues if start < when.start]
    return before[-1] if before else cues[0][1] if cues else ""


@lru_cache(maxsize=LINES)
def names_in(text: str) -> Sequence[Words]:
    """Every run of capitals in a text from where a name may begin in it."""
    found = []
    for run in (run for match in NAME_RUN.finditer(text.translate(RAISED)) for run in OWNER.split(match.group())):
        words = name_of(run)
        for at in range(len(words)):
            if words[at] not in NO_NAME:
                found.append(words[at:])
            if forename(words[at]):
                break  # what follows a forename is a middle name or a surname
    return found


@lru_cache(maxsize=5_000)  # a book names the same people again and again
def name_of(text: str) -> Words:
    """The words of a name in running spelling, without its generation digits."""
    words = (re.sub(r"['’]s$|[.,]$|\d+$", "", word) for word in text.translate(RAISED).split())
    return tuple(spoken(word, first=at == 0) for at, word in enumerate(words) if word[:1].isalpha())


def years_of(text: str) -> frozenset[int]:
    """The years told in a text."""
    return frozenset(map(int, YEAR.findall(text)))


# ---------------------------------------------------------------------------------------------------------- who is lost


def lost_people(at: int, gone: Mapping[Line, str], old: Roll, new: Roll, homes: Collection[int]) -> list[Named]:
    """Whom the lines of passage ``at`` of OLD that are ``gone`` list or tell of, and NEW names nowhere; with each what it
    was rewritten to, "" for nothing. ``homes`` are the passages of NEW into which it went. Whoever has a section of her
    own in OLD is looked after there, and whom a child that is lost had married goes with the child."""
    family = set(homes) or named_at(at, old, new)
    listed = [each for each in old.entries[at] if not is_looked_after(each, old)]
    entries = [entry for home in family for entry in new.entries[home]]
    taken = matched(listed, entries)
    used = {entries[number].line for number in taken.values()}
    left = (each for number, each in enumerate(listed) if number not in taken)
    lost = [each for each in left if each.line in gone and not is_named(each, old, new, family, used)]
    known = [old.person(at), *(each.name for each in old.entries[at])]
    cut = {each.line for each in lost}
    for each in old.told[at]:
        if any(alike(each.name, name) for name in known) or is_looked_after(each, old):
            continue
        known.append(each.name)
        if each.line in gone and each.line not in cut and not is_corrected(each, gone[each.line]):
            lost += [each] * (not is_named(each, old, new, family, () if each.line.child else used))
    return lost


def is_corrected(person: Named, heir: str) -> bool:
    """True where what became of a line names somebody in part as it named the person: a forename or surname was put
    right, or her married name given."""
    before = set(names_in(person.line.text))
    fresh = [name for name in names_in(heir) if len(name) > 1 and name not in before] if len(person.name) > 1 else []
    return any(near(*(side.casefold() for side in pair)) for name in fresh for pair in ends(person.name, name))


def ends(one: Words, other: Words) -> Iterator[tuple[str, str]]:
    """The first words of two names, and the last ones."""
    return zip((one[0], one[-1]), (other[0], other[-1]), strict=True)


def named_at(at: int, old: Roll, new: Roll) -> set[int]:
    """The passages of NEW that name the person of an OLD one by her whole name: where the family of a section that is gone
    is told of now. A child listed with other years is a namesake."""
    name, years = old.person(at), old.years[at]
    mentions = (each for each in new.mentions[name[0]] if len(each.name) > 1) if len(name) > 1 else ()
    known = (each for each in mentions if alike(name, each.name))
    return {each.at for each in known if not (each.line.child and are_apart(each.years, years))}


def share_a_day(text: str, passage: Passage) -> bool:
    """True where a passage opens with a day of the text: a daughter's section may bear her husband's name."""
    days = {day_of(when) for when in find(text) if when.exact}
    return any(day_of(when) in days for line in passage.lines[:OPENING] for when in find(line.text))


def day_of(when: When) -> tuple[int | None, int | None, int | None]:
    """Year, month and day."""
    return when.year, when.month, when.day


def is_looked_after(person: Named, old: Roll) -> bool:
    """True for whoever has a section of her own in OLD."""
    full = whole_name(person, old)
    return has_section(person, old, full, not has_namesake_at_home(person, full, old))


def has_section(person: Named, roll: Roll, full: Words, alone: bool) -> bool:
    """True where one of the sections is the person's: by a birth that it opens with, or by the whole name where no
    year is given with it and the forename is hers ``alone`` at home."""
    born, dated = births_in(person.line.text) if person.entry else (), person.entry and bool(person.years)
    for at in roll.sections[person.name[0]]:
        if dated:
            same = roll.births[at] & set(born) if born else min(person.years) in roll.years[at]
            if (
                same
                and alike(person.name, roll.person(at))
                and (alike(full, roll.person(at)) or share_a_day(person.line.text, roll.book[at]))
            ):
                return True
        elif alone and alike(full, roll.person(at)):
            return True
    return False


def matched(old: Sequence[Named], new: Sequence[Named]) -> dict[int, int]:
    """Entry of OLD → the same child's entry in NEW, by name and years; of those left over one whose name was
    corrected."""
    found: dict[int, int] = {}
    for fits in (is_same, is_renamed):
        pairs = sorted(
            (-len(one.years & other.years), abs(a - b), a, b)
            for a, one in enumerate(old)
            for b, other in enumerate(new)
            if a not in found and fits(one, other)
        )
        for _, _, a, b in pairs:
            if a not in found and b not in found.values():
                found[a] = b
    return found


def is_same(one: Named, other: Named) -> bool:
    """True for two entries of one name, which no years tell apart."""
    return alike(one.name, other.name) and not are_apart(one.years, other.years)


def is_renamed(one: Named, other: Named) -> bool:
    """True for one child whose name was corrected."""
    if one.years and other.years:
        return one.years <= other.years or other.years <= one.years
    return near(one.name[0].casefold(), other.name[0].casefold())


def are_apart(one: Collection[int], other: Collection[int]) -> bool:
    """True where both have years and none in common."""
    return bool(one) and bool(other) and set(one).isdisjoint(other)


def is_named(person: Named, old: Roll, new: Roll, family: Collection[int], used: Collection[Line]) -> bool:
    """True where NEW names the person: at home by forename, elsewhere by the whole name; where others are called so,
    with a year of hers. ``used`` are the entries of other children."""
    full = whole_name(person, old)
    junior = is_parents_name(person, full, old)
    at_home = junior or has_namesake_at_home(person, full, old)
    elsewhere = junior or (person.entry and has_namesake(person, full, old))
    if has_section(person, new, full, not at_home):
        return True
    mentions = [
        each for each in new.mentions[person.name[0]] if each.line not in used and alike(person.name, each.name)
    ]
    strange = {each.at for each in mentions if len(each.name) > 1 and is_of_another_time(person, each)} - set(family)
    for each in mentions:
        known = bool(person.years & each.years) and not is_another_child(person, each, new)
        if each.at in family:
            alone = not (at_home or is_other(each.name, full)) or (is_within(person.name, each.name) and not junior)
            if known or alone:
                return True
        if len(each.name) > 1 and alike(full, each.name) and (known or not (elsewhere or each.at in strange)):
            return True
    return False


def whole_name(person: Named, roll: Roll) -> Words:
    """The name with its surname: that of the section's person for a child that is listed by forename; for others the
    longest form in which the passage has the name."""
    if len(person.name) > 1:
        return person.name
    parent = roll.person(person.at)
    if person.entry:
        return (*person.name, parent[-1]) if len(parent) > 1 else person.name
    forms = [each.name for each in roll.mentions[person.name[0]] if each.at == person.at]
    return max(forms, key=len, default=person.name)


def is_parents_name(person: Named, full: Words, roll: Roll) -> bool:
    """True for a child who bears the whole name of a parent: what is said under it may be the parent's."""
    parents = [roll.person(person.at), *roll.spouses[person.at]]
    return person.entry and any(len(name) > 1 and alike(full, name) for name in parents)


def is_another_child(person: Named, mention: Named, roll: Roll) -> bool:
    """True for the name of a listed child who was born in another year."""
    one, other = births_in(person.line.text), births_in(mention.line.text)
    own = (each for each in roll.children[mention.name[0]] if each.line is mention.line)
    return person.entry and are_apart(one, other) and any(alike(mention.name, each.name) for each in own)


def is_of_another_time(person: Named, mention: Named) -> bool:
    """True where a child was not born when somebody is told of, or was dead when somebody married."""
    if not (person.entry and person.years and mention.years):
        return False
    text = person.line.text
    dead = {when.year for when in find(text) if when.year and event_of(text, when) in ("death", "burial")}
    wed = any(alike(mention.name, name) for name in married_in(mention.line.text))
    early = max(mention.years) < min(person.years)
    return early or (wed and bool(dead) and min(mention.years) > max(person.years))


def is_within(forenames: Words, name: Words) -> bool:
    """True for a name that begins with these forenames."""
    return len(forenames) > 1 and name[: len(forenames)] == forenames


def is_other(name: Words, full: Words) -> bool:
    """True for a whole name that is not the person's: the grandmother's after whom she was called."""
    return len(name) > 1 and not alike(full, name)


def has_namesake_at_home(person: Named, full: Words, roll: Roll) -> bool:
    """True where the forename alone does not tell who is meant: a parent bears it, or another child."""
    if not person.entry:
        return False
    others = [each for each in roll.entries[person.at] if each.line is not person.line]
    mentions = (each for each in roll.mentions[person.name[0]] if each.at == person.at)
    return (
        roll.person(person.at)[:1] == person.name[:1]
        or any(each.name[:1] == person.name[:1] for each in others)
        or any(is_other(each.name, full) for each in mentions)
    )


def has_namesake(person: Named, full: Words, roll: Roll) -> bool:
    """True where OLD lists or tells of somebody else with the whole name, at another time."""
    lives = [(roll.person(at), roll.births[at]) for at in roll.sections[person.name[0]]]
    lives += [(each.name, each.years) for each in roll.children[person.name[0]]]
    return any(alike(full, name) and are_apart(person.years, years) for name, years in lives)
