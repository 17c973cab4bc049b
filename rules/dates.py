"""What cannot have happened as it is written.

A relative who opens the book looks for her own people first, and the first thing she finds is the child who was born before
its mother. Such slips come from a year typed twice, from two sources copied into two places, from a paragraph that was moved;
and no spelling checker sees them. This rule reads every date as the days it can mean, collects what the draft says of each
person, in prose, in lists of children and in her own entry, and reports where two statements can't both be true. What is only
unlikely is a note. Inexact dates are ranges: only a contradiction that no day in the range escapes is an error.

It can't know which of two dates is wrong. It shows both places and the sum.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Option, Options, words_at
from storylint.study.calendars import GREGORIAN, date_of, day_number
from storylint.study.dates import MONTHS, When
from storylint.study.facts import Facts, Person, Said, facts_of
from storylint.study.lengths import Length, Moment
from storylint.study.study import Book, StudiedSection
from storylint.study.telling import Telling

YEAR = 365.2425

CARD = Card(
    name="dates",
    summary="dates, ages and intervals that cannot be true together",
    scope="book",
    options=(
        Option("today", "", "the day on which the draft is read, as an ISO date; empty: the day of the run"),
        Option("mother_from", 15, "youngest usual age of a mother, in years; common practice, no source"),
        Option("mother_to", 50, "oldest usual age of a mother, in years; births above it were rare in every parish rebuilt "
               "from its registers (E. A. Wrigley et al., English Population History, 1997, from memory)"),
        Option("father_from", 15, "youngest usual age of a father, in years; common practice, no source"),
        Option("father_to", 75, "oldest usual age of a father, in years; common practice, no source"),
        Option("parent_never", 12, "age below which nobody is a parent, in years; common practice, no source"),
        Option("mother_never", 60, "age above which no mother is recorded without a doctor's help; common practice, no source"),
        Option("marriage_from", 15, "youngest usual age at marriage, in years; common practice, no source"),
        Option("marriage_never", 12, "age below which no marriage was lawful: 12 for girls, 14 for boys in England until the "
               "Age of Marriage Act 1929 (19 & 20 Geo. V c. 36)"),
        Option("life_usual", 110, "age above which a life is doubted, in years; common practice, no source"),
        Option("life_never", 122, "the longest life on record, 122 years 164 days (J. Calment, 1875–1997), from memory"),
        Option("active_to", 95, "age above which a deed is doubted, in years; common practice, no source"),
        Option("posthumous", 300, "days after the father's death within which a child can be his: Code Napoléon, art. 315, "
               "after Buchanan, Text-Book of Forensic Medicine"),
        Option("siblings_never", 180, "days between the births of two children of one mother, twins apart: the shortest "
               "pregnancy that the Roman-Dutch law allowed, the 182nd day"),
        Option("siblings_usual", 240, "days between such births below which the list is doubted; common practice, no source"),
        Option("soldier_from", 12, "youngest usual age at enlistment, in years; common practice, no source"),
        Option("burial_days", 60, "days from death to burial above which the dates are doubted; common practice, no source"),
        Option("census_give", 5, "years by which an age in a census may be out; the 1841 census of England rounded ages "
               "down to five years"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen was born at Gerlan on 4 May 1861.[^1] He was baptised at Jerusalem chapel on 2 March "
            "1861.[^1]\n\n[^1]: Chapel register.",
            ("He was baptised at Jerusalem chapel on 2 March 1861.",),
            "a baptism before the birth",
        ),
        Example(
            "# Ellen Prydderch\n\nEllen was born on 3 June 1840 and died on 9 June 1902, aged fifty-four.[^1]\n\n[^1]: Stone.",
            ("Ellen was born on 3 June 1840 and died on 9 June 1902, aged fifty-four.",),
            "the dates make her sixty-two",
        ),
        Example(
            "# Robert Prydderch\n\nHe went up to the quarry on 31 April 1873.[^1]\n\n[^1]: Wages book.",
            ("He went up to the quarry on 31 April 1873.",),
            "April has thirty days",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nOwen died in the fall of rock on 3 May 1871. His son Hugh was born on 11 December 1871.[^1]\n\n"
            "[^1]: Llanllechid register.",
            (),
            "a posthumous child, within three hundred days",
        ),
        Example(
            "# Lowri Prydderch\n\nLowri was baptised on 11 February 1731/2, six weeks old.[^1]\n\n[^1]: Llanllechid register.",
            (),
            "a double date before 1752",
        ),
    ),
    sources=(
        "Calendar (New Style) Act 1750, 24 Geo. II c. 23",
        "Buchanan, Text-Book of Forensic Medicine: limits of pregnancy in European law",
        "Larimer County Genealogical Society, 5 June 2020: children of one mother can't come every six months",
        "H. Hatcher, 'Estimating Dates and Ages in Genealogical Writing', New York Researcher, Spring 2010",
    ),
)  # fmt: skip


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """The contradictions whose wrong or later statement stands in this section."""
    if "dates" not in book.memo:
        book.memo["dates"] = by_section(book, options)
    found = book.memo["dates"]
    assert isinstance(found, dict)
    yield from found.get(id(section), ())


# ---------------------------------------------------------------------------------------------------------- a clash


@dataclass(slots=True)
class Clash:
    """Two statements that can't both be true, or one that can't be by itself. ``wrong`` is shown first."""

    level: Level
    problem: str
    message: str
    why: str
    wrong: Said
    right: Said | None = None
    days: float = 0.0  # by how much they miss each other
    parent: Person | None = None  # the parent, where ``wrong`` is a child's date and ``right`` the parent's
    turned: bool = False  # the right one turned out to be the wrong one


def by_section(book: Book, options: Options) -> dict[int, list[Finding]]:
    """All findings of the book, by the section they belong to."""
    facts = facts_of(book)
    clashes = [clash for person in facts.people for rule in PERSON for clash in rule(person, options)]
    clashes += [clash for said, length in facts.lengths for clash in wrong_length(said, length)]
    clashes += [clash for children in families(facts) for clash in siblings(children, options)]
    blame(clashes)
    out: dict[int, list[Finding]] = {}
    for section in book.sections:
        own = [finding for telling, _ in facts.tellings.get(id(section), ()) for finding in in_sentence(section, telling, facts, options)]
        out[id(section)] = own
    for group in merged(clashes):
        out.setdefault(id(group[0].wrong.section), []).append(finding(group))
    return out


def blame(clashes: list[Clash]) -> None:
    """Decide which of two statements is shown as the wrong one.

    A parent's date is wrong rather than a child's where it clashes with more than half of the dated children. Of other pairs
    the one that is wrong at least twice more often than its partner; else the later one.
    """
    guilt: dict[int, int] = {}
    for clash in clashes:
        if clash.parent is not None and clash.right is not None:
            dated = {id(child.real) for child in clash.parent.children if born(child.real)}
            against = {id(other.wrong.person) for other in clashes if other.parent is clash.parent and other.right is clash.right}
            clash.turned = 2 * len(against) > len(dated) > 1 or (len(dated) == 1 and clash.right.order > clash.wrong.order)
        for said in (clash.wrong, clash.right):
            if said is not None and (clash.parent is None or (said is clash.right) == clash.turned):
                guilt[id(said)] = guilt.get(id(said), 0) + 1
    for clash in clashes:
        if clash.right is None or clash.problem == "interval":
            continue
        if clash.parent is None:
            more = guilt[id(clash.right)] - guilt[id(clash.wrong)]
            clash.turned = more > 1 or (more > -2 and clash.right.order > clash.wrong.order)
        if clash.turned:
            clash.wrong, clash.right = clash.right, clash.wrong


def merged(clashes: Iterable[Clash]) -> list[list[Clash]]:
    """What is reported together: all that one wrong statement of a person clashes with, the gravest first, and of each pair
    of sentences only the gravest."""
    best: dict[frozenset[object], Clash] = {}
    for clash in sorted(clashes, key=lambda c: -c.level.rank):
        pair = frozenset((clash.wrong.place, clash.right.place if clash.right else clash.wrong.place))
        best.setdefault(pair, clash)
    groups: dict[tuple[object, ...], list[Clash]] = {}
    for clash in best.values():
        groups.setdefault((clash.wrong.place, clash.wrong.person.name, clash.wrong.event), []).append(clash)
    return sorted(groups.values(), key=lambda group: group[0].wrong.order)


def softened(clash: Clash) -> Level:
    """An error, but a note where one of the dates is only about right and they miss each other by less than ten years."""
    inexact = any(said is not None and said.when is not None and said.when.qualifier in ("about", "say", "perhaps") for said in (clash.wrong, clash.right))
    return Level.NOTE if inexact and clash.days < 10 * YEAR else clash.level


def finding(group: list[Clash]) -> Finding:
    """One wrong statement as it is reported, with up to four that it clashes with."""
    clash, places = group[0], [place(group[0].wrong)]
    for each in group[:4]:
        if each.right is not None and (there := place(each.right)) not in places:
            places.append(there)
    also = [message for each in group[1:4] if (message := each.message) != clash.message]
    message = " ".join([clash.message, *(f"Also: {each}" for each in dict.fromkeys(also))])
    fix = "Go back to the sources of both, and mend the one that is wrong." if clash.right else "Go back to the source."
    likely = guess(clash)
    if likely:
        fix = f"Was it {likely}? {fix}"
    details = {"problem": clash.problem, "why": clash.why} | ({"likely": likely} if likely else {})
    return Finding("dates", softened(clash), message, fix, tuple(places), details)


def place(said: Said) -> Place:
    """The sentence or line a statement stands in."""
    return words_at(said.section.section, said.block, said.start, said.end)


# ------------------------------------------------------------------------------------------------------------- wording


def shown(when: When | None) -> str:
    """A date as it is written, with the year where that stands elsewhere."""
    if when is None:
        return ""
    return when.words if when.given or when.year is None or str(when.year) in when.words else f"{when.words} ({when.year})"


def gap(days: float) -> str:
    """A number of days as a reader would say it."""
    days = abs(round(days))
    if days < 60:
        return f"{days} day{'s' if days != 1 else ''}"
    if days < 730:
        return f"{round(days / 30.44)} months"
    return f"{int(days / YEAR + 0.01)} years"


def plain(number: int) -> str:
    """A day number as a date of our calendar."""
    year, month, day = date_of(number)
    return f"{day} {MONTHS[month - 1]} {year}"


def before(a: When, b: When) -> int:
    """By how many days at least ``a`` is before ``b``; 0 where that isn't certain."""
    if a.latest is None or b.earliest is None:
        return 0
    give = max(a.slack, b.slack) if a.stated != b.stated else 0
    return max(0, b.earliest - a.latest - give)


def likely_year(when: When, low: int, high: int) -> str:
    """The year that a slip of the hand turned into this one, if just one lies between two others: another century or two
    digits crossed (1984 for 1894), else one digit mistaken."""
    if when.year is None or when.year < 1000:
        return ""
    text = str(when.year)
    crossed = {when.year - 100, when.year + 100, int(text[0] + text[2] + text[1] + text[3]), int(text[:2] + text[3] + text[2])}
    mistaken = {int(text[:2] + digit + text[3]) for digit in "0123456789"} | {int(text[:3] + digit) for digit in "0123456789"}
    for slips in (crossed, mistaken):
        fits = [year for year in slips if low <= year <= high and year != when.year]
        if fits:
            return str(fits[0]) if len(fits) == 1 else ""
    return ""


def guess(clash: Clash) -> str:
    """The year that was probably meant in the wrong statement, where one slip of the hand would put all right."""
    said = clash.wrong
    others = [other.when for other in said.person.of(said.event) if other is not said]
    if clash.days < 8 * YEAR or said.when is None or (others and said.event in ("birth", "death")):
        return ""
    low, high = birth_range(said) if said.event in ("birth", "baptism") else life_range(said)
    return likely_year(said.when, low, high) if low <= high else ""


def birth_range(said: Said) -> tuple[int, int]:
    """First and last year in which a person can have been born, by everything else that is told."""
    person = said.person
    low, high = 0, 9999
    for parent, years in ((person.mother, 45), (person.father, 60)):
        for own in born(parent.real) if parent is not None else ():
            low, high = max(low, last_year(own) + 15), min(high, first_year(own) + years)
    for child in person.children:
        for birth in born(child.real):
            low, high = max(low, first_year(birth) - 60), min(high, last_year(birth) - 15)
    for other in person.said:
        if other.sure and other.when is not None and other is not said and other.event not in ("birth", "will", "probate", "obituary"):
            low, high = max(low, first_year(other) - 90), min(high, last_year(other) - (15 if other.event == "marriage" else 0))
    return low, high


def life_range(said: Said) -> tuple[int, int]:
    """First and last year of the rest of a life."""
    own = [other for other in said.person.said if other.sure and other.when is not None and other is not said]
    births = [first_year(other) for other in own if other.event in ("birth", "baptism")]
    ends = [last_year(other) for other in own if other.event in ("death", "burial")]
    deeds = [first_year(other) for other in own if other.deed]
    low = max(births, default=max(deeds, default=min(ends, default=1000) - 90))
    return low, min(ends, default=low + 90)


def first_year(said: Said) -> int:
    """The first year of a statement's date; of an open one the last."""
    assert said.when is not None
    day = said.when.earliest if said.when.earliest is not None else said.when.latest
    return year_of(day) if day is not None else 0


def last_year(said: Said) -> int:
    """The last year of a statement's date; of an open one the first."""
    assert said.when is not None
    day = said.when.latest if said.when.latest is not None else said.when.earliest
    return year_of(day) if day is not None else 9999


def year_of(number: int) -> int:
    """The year of a day number."""
    return date_of(number)[0]


# ------------------------------------------------------------------------------------------- the order of one life

NAMES = {
    "birth": "the birth", "baptism": "the baptism", "marriage": "the marriage", "death": "the death", "burial": "the burial",
    "obituary": "the obituary", "probate": "the probate", "inquest": "the inquest", "will": "the will", "enlist": "the enlistment",
    "discharge": "the discharge", "arrival": "the arrival", "citizen": "the naturalisation", "census": "the census",
    "act": "what is told of that time",
}  # fmt: skip
# What must not come before what. Common practice, no source: nothing is done before birth or after death.
ORDER = (
    *(("birth", later) for later in ("baptism", "marriage", "death", "burial", "enlist", "discharge", "arrival", "citizen", "census", "will", "act")),
    *(("death", later) for later in ("burial", "obituary", "probate", "inquest")),
    *((earlier, "death") for earlier in ("baptism", "marriage", "enlist", "arrival", "citizen", "census", "will", "act")),
    *((earlier, "burial") for earlier in ("baptism", "marriage", "enlist", "arrival", "citizen", "census", "will", "act")),
)
ONCE = (("enlist", "discharge"), ("arrival", "citizen"))
AFTERLIFE = re.compile(
    r"\b(?:in memory|memorial|monument|headstone|gravestone|tombstone|posthum\w+|estate|heirs?|descend\w+|named (?:after|for)|reburied|remains|"
    r"is (?:remembered|buried|said)|inducted|published|reprinted|republished|unveiled|lies|in honou?r of)\b",
    re.IGNORECASE,
)


def order(person: Person, options: Options) -> Iterator[Clash]:
    """Two events of one life in an order that can't be."""
    for earlier, later in ORDER:
        for first in person.of(earlier):
            for second in person.of(later):
                yield from out_of_order(person, first, second)
    for burial in person.of("burial") if not person.of("death") else ():
        for second in person.of("probate", "obituary", "inquest"):
            assert burial.when is not None
            assert second.when is not None
            if before(second.when, burial.when) > options["burial_days"]:
                yield from out_of_order(person, burial, second)
    for earlier, later in ONCE:  # a man may enlist again: only if every start is after the end
        firsts, seconds = person.of(earlier), person.of(later)
        for second in seconds:
            if firsts and all(before(second.when, first.when) for first in firsts if second.when and first.when):
                yield from out_of_order(person, firsts[0], second)


def out_of_order(person: Person, first: Said, second: Said) -> Iterator[Clash]:
    """``second`` is dated before ``first``, which must come before it."""
    assert first.when is not None
    assert second.when is not None
    days = before(second.when, first.when)
    if not days:
        return
    if first.event == "act" or second.event == "act":
        deed = first if first.event == "act" else second
        assert deed.when is not None
        if deed.when.qualifier == "to" or (first.event == "act" and (not deed.deed or AFTERLIFE.search(deed.text))):
            return
    why = f"{NAMES[second.event]} is dated {shown(second.when)}, {NAMES[first.event]} {shown(first.when)}: {gap(days)} too early"
    if first.event == "act":
        why = f"{person.called} is told of in {shown(first.when)}, {gap(days)} after {NAMES[second.event]} ({shown(second.when)})"
    elif second.event == "act":
        why = f"{person.called} is told of in {shown(second.when)}, {gap(days)} before {NAMES[first.event]} ({shown(first.when)})"
    yield Clash(Level.ERROR, f"{second.event} before {first.event}", sentence_of(person, why), why, second, first, days)


def sentence_of(person: Person, why: str) -> str:
    """'Ann Lunn: the baptism is dated ...'"""
    return f"{why}." if why.startswith(person.called) else f"{person.called}: {why}."


def twice(person: Person, options: Options) -> Iterator[Clash]:
    """One birth or death with two dates."""
    for event in ("birth", "death"):
        found = person.of(event)
        for at, one in enumerate(found):
            for other in found[at + 1 :]:
                assert one.when is not None
                assert other.when is not None
                days = before(one.when, other.when) or before(other.when, one.when)
                if days:
                    why = f"{NAMES[event]} is dated {shown(one.when)} in one place and {shown(other.when)} in another"
                    yield Clash(Level.ERROR, f"two dates of {event}", sentence_of(person, why), why, other, one)


# ------------------------------------------------------------------------------------------------------------- ages


def born(person: Person) -> list[Said]:
    """What the draft says of a birth."""
    return person.of("birth")


def span(start: When, end: When) -> tuple[float, float] | None:
    """Fewest and most years from one date to another."""
    if start.earliest is None or start.latest is None or end.earliest is None or end.latest is None:
        return None
    give = (max(start.slack, end.slack) if start.stated != end.stated else 0) / YEAR
    return (end.earliest - start.latest) / YEAR - give, (end.latest - start.earliest) / YEAR + give


def whole(years: float) -> int:
    """Completed years, with a day's grace for the calendar's unequal years."""
    return int(years + 1.5 / YEAR)


def at_age(person: Person, options: Options) -> Iterator[Clash]:
    """Married, enlisted or dead at an age that is out of the question or unlikely."""
    for birth in born(person):
        assert birth.when is not None
        for event, never, usual in (("marriage", options["marriage_never"], options["marriage_from"]), ("enlist", 0, options["soldier_from"])):
            for said in person.of(event):
                assert said.when is not None
                years = span(birth.when, said.when)
                if years and years[1] >= 0 and whole(years[1]) < usual:
                    yield too_young(person, birth, said, whole(years[1]), never)
        for death in person.of("death", "burial"):
            assert death.when is not None
            years = span(birth.when, death.when)
            if years and years[0] > options["life_usual"]:
                yield too_old(person, birth, death, years[0], options)
    last = born_by(person, options["parent_never"]) if not born(person) else None
    for death in person.of("death") if last is not None else ():
        assert death.when is not None
        if death.when.earliest is not None and (death.when.earliest - (last or 0)) / YEAR > options["life_usual"]:
            years_least = int((death.when.earliest - (last or 0)) / YEAR)
            why = f"the death is dated {shown(death.when)}, at an age of at least {years_least} by what else is told"
            yield Clash(Level.ERROR if years_least > options["life_never"] else Level.NOTE, "lifespan", sentence_of(person, why), why, death, None, years_least * YEAR)


def too_young(person: Person, birth: Said, said: Said, age: int, never: int) -> Clash:
    """Married or enlisted as a child."""
    why = f"{NAMES[said.event]} is dated {shown(said.when)} and the birth {shown(birth.when)}: at the age of {max(age, 0)}"
    level = Level.ERROR if age < never else Level.NOTE
    return Clash(level, f"{said.event} at {max(age, 0)}", sentence_of(person, why), why, said, birth, (15 - age) * YEAR)


def too_old(person: Person, birth: Said, death: Said, years: float, options: Options) -> Clash:
    """A life longer than lives are."""
    why = f"from the birth ({shown(birth.when)}) to {NAMES[death.event]} ({shown(death.when)}) are {int(years)} years"
    level = Level.ERROR if years > options["life_never"] else Level.NOTE
    return Clash(level, "lifespan", sentence_of(person, why), why, death, birth, (years - 80) * YEAR)


def stated_age(person: Person, options: Options) -> Iterator[Clash]:
    """An age that the dates contradict."""
    births = born(person)
    for said in person.said:
        if said.age is None or not said.sure:
            continue
        for birth in births:
            assert birth.when is not None
            then = when_of(said)
            if then is not None:
                yield from wrong_age(person, birth, said, then, options)
    if not births:
        yield from two_ages(person, options)


def when_of(said: Said) -> When | None:
    """The date of an age: its own, or that of the event it is told with."""
    if said.event == "lived":
        found = said.person.of("death")
        return found[0].when if found else None
    if said.at is not None:
        found = said.at[0].real.of(said.at[1])
        return found[0].when if found else None
    return said.when


def wrong_age(person: Person, birth: Said, said: Said, then: When, options: Options) -> Iterator[Clash]:
    """Compare a stated age with the years between two dates."""
    assert birth.when is not None
    assert said.age is not None
    years = span(birth.when, then)
    if years is None or years[1] < 0:
        return
    low, high = said.age.low / YEAR, said.age.high / YEAR
    out = max(years[0] - high, low - years[1])
    give = options["census_give"] if said.event == "census" else 2 if said.age.soft or not (birth.when.exact and then.exact) else 0
    if out <= (give or 0) + 0.02 or (said.age.years is None and out < 0.2):
        return
    first, last = whole(max(years[0], 0)), whole(years[1])
    right = str(first) if first == last else f"{first} or {last}" if last - first == 1 else f"between {first} and {last}"
    age = said.age.text
    why = f"'{age}' does not fit: from the birth ({shown(birth.when)}) to {shown(then)} are {right} years"
    if last < 2 and years[1] < 2:
        why = f"'{age}' does not fit: from the birth ({shown(birth.when)}) to {shown(then)} are {gap(years[1] * YEAR)}"
    level = Level.NOTE if out < 1.02 else Level.ERROR
    yield Clash(level, "age", sentence_of(person, why), why, said, birth)


def two_ages(person: Person, options: Options) -> Iterator[Clash]:
    """Two stated ages that can't belong to one birth, where the draft gives none."""
    aged = [(said, when) for said in person.said if said.age is not None and said.sure and (when := when_of(said)) is not None and when.closed]
    for at, (one, first) in enumerate(aged):
        for other, second in aged[at + 1 :]:
            assert one.age is not None
            assert other.age is not None
            assert first.earliest is not None and first.latest is not None and second.earliest is not None and second.latest is not None
            give = (options["census_give"] if "census" in (one.event, other.event) else 2) * YEAR
            a, b = (first.earliest - one.age.high, first.latest - one.age.low), (second.earliest - other.age.high, second.latest - other.age.low)
            if a[1] + give < b[0] or b[1] + give < a[0]:
                why = f"'{one.age.text}' in {shown(first)} means a birth about {year_of((a[0] + a[1]) // 2)}, '{other.age.text}' in {shown(second)} one about {year_of((b[0] + b[1]) // 2)}"
                yield Clash(Level.ERROR, "age", sentence_of(person, why), why, other, one)


# --------------------------------------------------------------------------------------------------- parents, children


def parents(person: Person, options: Options) -> Iterator[Clash]:
    """A child against its mother's and father's dates."""
    elders = [(elder, "parent") for elder in person.elders if elder.real not in (person.mother, person.father)]
    for parent, role in ((person.mother, "mother"), (person.father, "father"), *elders):
        if parent is None or parent.real is person:
            continue
        parent = parent.real
        for birth in born(person):
            for own in born(parent):
                yield from parent_age(person, parent, role, birth, own, options)
            for death in parent.of("death", "burial"):
                yield from after_death(person, parent, role, birth, death, options)
        for baptism in person.of("baptism") if not born(person) else ():
            for own in born(parent):
                yield from parent_age(person, parent, role, baptism, own, options, only_young=True)


def parent_age(child: Person, parent: Person, role: str, birth: Said, own: Said, options: Options, only_young: bool = False) -> Iterator[Clash]:
    """Born before a parent, or to one who was a child or past the age."""
    assert birth.when is not None
    assert own.when is not None
    years = span(own.when, birth.when)
    if years is None:
        return
    name = f"the {role}, {parent.called}," if parent.name else f"the {role}"
    low, high = years
    limits = role if role == "mother" else "father"
    if high < options[f"{limits}_from"]:
        level = Level.ERROR if high < options["parent_never"] else Level.NOTE
        tail = f"{gap(-high * YEAR)} before {name} was born ({shown(own.when)})" if high < 0 else f"when {name} born {shown(own.when)}, was {whole(high)}"
    elif low > options[f"{limits}_to"] and not only_young:
        level = Level.ERROR if low > (options["mother_never"] if role == "mother" else 100) else Level.NOTE
        tail = f"when {name} born {shown(own.when)}, was {int(low)}"
    else:
        return
    why = f"{NAMES[birth.event]} is dated {shown(birth.when)}, {tail}"
    out = options[f"{limits}_from"] - high if high < options[f"{limits}_from"] else low - 40
    yield Clash(level, f"age of {role}", sentence_of(child, why), why, birth, own, out * YEAR, parent)


def after_death(child: Person, parent: Person, role: str, birth: Said, death: Said, options: Options) -> Iterator[Clash]:
    """Born after the mother's death, or too long after the father's."""
    assert birth.when is not None
    assert death.when is not None
    days = before(death.when, birth.when)
    if days <= (1 if role == "mother" else options["posthumous"]):
        return
    name = f"the {role}, {parent.called}," if parent.name else f"the {role}"
    event = "died" if death.event == "death" else "was buried"
    why = f"the birth is dated {shown(birth.when)}, {gap(days)} after {name} {event} ({shown(death.when)})"
    yield Clash(Level.ERROR, f"born after the {role}'s death", sentence_of(child, why), why, birth, death, days, parent)


def families(facts: Facts) -> Iterator[list[Person]]:
    """The children of one mother: by their mother, or by a list that has one mother though her name is not known."""
    by_mother: dict[int, list[Person]] = {}
    for person in facts.people:
        if person.mother is not None:
            by_mother.setdefault(id(person.mother.real), []).append(person)
    yield from by_mother.values()
    for brood in facts.broods:
        if brood.one_mother and brood.mother is None:
            yield brood.children


def siblings(children: list[Person], options: Options) -> Iterator[Clash]:
    """Two children of one mother too close together; twins are born within three days."""
    dated = [said for child in children for said in born(child.real)[:1] if said.when and said.when.closed]
    dated.sort(key=lambda said: (said.when.earliest or 0) if said.when else 0)
    for one, other in zip(dated, dated[1:], strict=False):
        assert one.when is not None
        assert other.when is not None
        years = span(one.when, other.when)
        if years is None or one.person is other.person or years[0] * YEAR <= 3.5 or TWINS.search(one.text + other.text):
            continue
        most = round(years[1] * YEAR)
        if most < options["siblings_usual"]:
            level = Level.ERROR if most < options["siblings_never"] else Level.NOTE
            why = f"born {shown(other.when)}, {gap(most)} after {one.person.called} ({shown(one.when)}), of the same mother"
            yield Clash(level, "siblings too close", f"{other.person.called}: {why}.", why, other, one)


TWINS = re.compile(r"\b(?:twin|triplet|adopted|step|foster)", re.IGNORECASE)


def born_by(person: Person, never: int, deep: bool = True) -> int | None:
    """The last day on which a person can have been born: from the birth, or from marriages and children."""
    found = [said.when.latest for said in born(person) if said.when and said.when.latest is not None]
    if not found:
        births = sorted((said.when for child in person.children for said in born(child.real) if said.when and said.when.latest), key=lambda when: when.latest or 0)
        later = [said.when for said in person.of("marriage")] + births[len(births) > 2 :]  # one odd child proves nothing
        found = [when.latest - round(never * YEAR) for when in later if when is not None and when.latest is not None]
        if deep:
            younger = [born_by(child.real, never, False) for child in person.children if not born(child.real)]
            found += [day - round(never * YEAR) for day in younger if day is not None]
    return min(found, default=None)


def active_late(person: Person, options: Options) -> Iterator[Clash]:
    """A deed at an age at which nobody does anything."""
    last = born_by(person, options["parent_never"])
    if last is None or person.of("death", "burial"):
        return
    for said in reversed(person.of("act", "marriage", "census", "enlist")):
        assert said.when is not None
        if not said.deed or said.when.year is None or said.when.earliest is None or AFTERLIFE.search(said.text):
            continue
        years = (day_number(said.when.year, 7, 1) - last) / YEAR
        if years > options["active_to"]:
            why = f"{person.called} is told of in {shown(said.when)}, at an age of at least {int(years)} by what else is told"
            yield Clash(Level.NOTE, "active too late", sentence_of(person, why), why, said, None, years * YEAR)
            return


def late_burial(person: Person, options: Options) -> Iterator[Clash]:
    """A burial long after the death."""
    for death in person.of("death"):
        for burial in person.of("burial"):
            assert death.when is not None
            assert burial.when is not None
            if death.when.exact and burial.when.exact and before(death.when, burial.when) > options["burial_days"] and not re.search(r"rebur|remov|body|brought|vault|remains|bones|ashes", burial.text):
                why = f"the burial is dated {shown(burial.when)}, {gap(before(death.when, burial.when))} after the death ({shown(death.when)})"
                yield Clash(Level.NOTE, "burial late", sentence_of(person, why), why, burial, death)


def moments(moment: Moment) -> list[tuple[When, Said | None]]:
    """The dates of a moment, with the statement each comes from where that is another sentence."""
    if isinstance(moment, When):
        return [(moment, None)]
    person, event = moment
    assert isinstance(person, Person)
    found = person.real.of(event) or (person.real.of("burial") if event == "death" else [])
    return [(said.when, said) for said in found if said.when is not None]


def wrong_length(said: Said, length: Length) -> Iterator[Clash]:
    """A stated length of time against the dates of its two ends. Of several dates one that fits is enough."""
    pairs = [(first, last, source_a or source_b) for first, source_a in moments(length.first) for last, source_b in moments(length.last)]
    spans = [(years, first, last, source) for first, last, source in pairs if (years := span(first, last)) is not None]
    if not spans or any(years[1] * YEAR >= length.low and years[0] * YEAR <= length.high for years, *_ in spans):
        return
    years, first, last, source = spans[0]
    low, high = max(0, round(years[0] * YEAR)), round(years[1] * YEAR)
    if first.form == last.form == "year" and first.year and last.year:
        low = high = round((last.year - first.year) * YEAR)
    much = gap(high) if gap(low) == gap(high) or low == 0 else f"{gap(low)} to {gap(high)}"
    why = f"'{length.text}' does not fit: from {shown(first)} to {shown(last)} are {much if high > 0 else 'no days at all'}"
    yield Clash(Level.ERROR, "interval", f"{why[0].upper()}{why[1:]}.", why, said, source)


PERSON: tuple[Callable[[Person, Options], Iterator[Clash]], ...] = (order, twice, at_age, stated_age, parents, active_late, late_burial)


# -------------------------------------------------------------------------------------------------- within a sentence

UNREAL = re.compile(r"\b(?:no such (?:day|date)|does not exist|did not exist|never (?:was|existed)|there (?:is|was) no|sic)\b")
TO_COME = re.compile(r"\b(?:will|until|till|expires?|runs?|due|plan(?:s|ned)?|next|closed|embargo\w*|sealed|opens?|opened in|release\w*|reunion|by then|shall|hopes?|intends?)\b")


def today(options: Options) -> int:
    """The day on which the draft is read."""
    now = date.fromisoformat(options["today"]) if options.get("today") else date.today()
    return day_number(now.year, now.month, now.day, GREGORIAN)


def in_sentence(section: StudiedSection, telling: Telling, facts: Facts, options: Options) -> Iterator[Finding]:
    """Dates that are wrong by themselves: no day of the calendar, the wrong weekday, years that run backwards, the future."""
    sentence = telling.sentence
    where = (words_at(section.section, sentence.block, sentence.start, sentence.end),)
    for when in telling.whens:
        if when.fault and not UNREAL.search(sentence.text):
            yield faulty(when, where)
        elif when.earliest is not None and when.earliest > today(options) and when.qualifier not in ("to", "before", "by") and not TO_COME.search(sentence.text):
            yield in_future(when, where, options)


def faulty(when: When, where: tuple[Place, ...]) -> Finding:
    """A date that can't be a date."""
    doubtful = "names two years" in when.fault
    problem = next(name for words, name in PROBLEMS if words in when.fault)
    fix = f"Was it {when.likely}? Go back to the source." if when.likely else "Go back to the source; if it says so, quote it and say that it can't be."
    details = {"problem": problem, "why": when.fault} | ({"likely": when.likely} if when.likely else {})
    return Finding("dates", Level.NOTE if doubtful else Level.ERROR, f"'{when.words}': {when.fault}.", fix, where, details)


PROBLEMS = (("was a ", "weekday"), ("backwards", "years reversed"), ("two years", "double date"), ("follow each other", "double date"), ("", "no such day"))


def in_future(when: When, where: tuple[Place, ...], options: Options) -> Finding:
    """A date that has not come yet."""
    now = year_of(today(options))
    guess = likely_year(when, 1500, now)
    why = f"{shown(when)} is still to come (this is {now})"
    fix = f"Was it {guess}? Go back to the source." if guess else "Go back to the source."
    return Finding("dates", Level.ERROR, f"{why[0].upper()}{why[1:]}.", fix, where, {"problem": "future", "why": why, "likely": guess})
