"""What one life allows: the order of its events, ages, a stated age against the dates."""

from __future__ import annotations

import re
from collections.abc import Iterator

from storylint.findings import Level
from storylint.rule import Options
from storylint.study.calendars import day_number
from storylint.study.clash import (
    NAMES,
    YEAR,
    Clash,
    before,
    born,
    gap,
    in_the_world,
    sentence_of,
    shown,
    span,
    whole,
    year_of,
)
from storylint.study.dates import When
from storylint.study.persons import Person, Said

# What must not come before what. Common practice, no source: nothing is done before birth or after death.
ORDER = (
    *(
        ("birth", later)
        for later in (
            "baptism",
            "marriage",
            "death",
            "burial",
            "enlist",
            "discharge",
            "arrival",
            "citizen",
            "census",
            "will",
            "act",
        )
    ),
    *(("death", later) for later in ("burial", "obituary", "probate", "inquest")),
    ("will", "probate"),
    ("birth", "registration"),
    *(
        (earlier, "death")
        for earlier in ("baptism", "marriage", "enlist", "arrival", "citizen", "census", "will", "act")
    ),
    *(
        (earlier, "burial")
        for earlier in ("baptism", "marriage", "enlist", "arrival", "citizen", "census", "will", "act")
    ),
)
ONCE = (("enlist", "discharge"), ("arrival", "citizen"))
DIRECTORY = re.compile(r"\b(?:director(?:y|ies)|voters?|electoral|rates?|poll)\b", re.IGNORECASE)
LATER_GRAVE = r"rebur|remov|body|brought|vault|remains|bones|ashes|\bagain\b"
BURIED = re.compile(r"\b(?:buried|interred|laid|committed to)\b")
WAKE = 14  # days to a burial told by its day only, as 'the 17th'; common practice, no source
STALE = 730  # days that a printed directory may lag behind; common practice, no source
AFTERLIFE = re.compile(
    r"\b(?:in memory|memorial|monument|headstone|gravestone|tombstone|posthum\w+|estate|heirs?|descend\w+"
    r"|named (?:after|for)|reburied|remains|is (?:remembered|buried|said)|inducted|published|reprinted"
    r"|republished|unveiled|lies|in honou?r of|dug up|exhumed|disinterred)\b",
    re.IGNORECASE,
)


def order(person: Person, options: Options) -> Iterator[Clash]:
    """Two events of one life in an order that can't be."""
    of = {event: person.of(event) for event in {said.event for said in person.said}}
    for earlier, later in ORDER:
        for first in of.get(earlier, ()):
            for second in of.get(later, ()):
                yield from out_of_order(person, first, second)
    for burial in of.get("burial", ()) if not of.get("death") else ():
        for second in person.of("probate", "obituary", "inquest"):
            assert burial.when is not None
            assert second.when is not None
            if before(second.when, burial.when) > options["burial_days"]:
                yield from out_of_order(person, burial, second)
    for earlier, later in ONCE:  # a man may enlist again: only if every start is after the end
        firsts = of.get(earlier, [])
        for second in of.get(later, ()):
            if firsts and all(before(second.when, first.when) for first in firsts if second.when and first.when):
                yield from out_of_order(person, firsts[0], second)


def out_of_order(person: Person, first: Said, second: Said) -> Iterator[Clash]:
    """``second`` is dated before ``first``, which must come before it."""
    assert first.when is not None
    assert second.when is not None
    days = before(second.when, first.when)
    if not days or (first.event == "census" and days < STALE and DIRECTORY.search(first.text)):
        return
    if first.event == "act" or second.event == "act":
        deed = first if first.event == "act" else second
        assert deed.when is not None
        if deed.when.qualifier == "to" or (first.event == "act" and (not deed.deed or AFTERLIFE.search(deed.text))):
            return
    one, other = shown(first.when), shown(second.when)
    why = f"{NAMES[second.event]} is dated {other}, {NAMES[first.event]} {one}: {gap(days)} too early"
    if first.event == "act":
        why = f"{person.called} is told of in {one}, {gap(days)} after {NAMES[second.event]} ({other})"
    elif second.event == "act":
        why = f"{person.called} is told of in {other}, {gap(days)} before {NAMES[first.event]} ({one})"
    yield Clash(Level.ERROR, f"{second.event} before {first.event}", sentence_of(person, why), why, second, first, days)


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


TWO_WEDDINGS = re.compile(
    r"\b(?:second\w*|2nd|2d|again|third|3rd|re-?marr\w+|divorc\w+|twice|church|chapel|civil\w*|mayor|registr\w+|bless\w+"
    r"|banns|licen[cs]e\w*|bonds?|contract\w*|intention\w*|renew\w+|also|widow\w*)\b",
    re.IGNORECASE,
)
VOWS = 60  # days from one wedding of a couple to another, as before mayor and priest; common practice, no source


def wed_twice(person: Person, options: Options) -> Iterator[Clash]:
    """One wedding with two dates: of the only husband or wife, named in both places."""
    spouse = person.spouses[0].real if len(person.spouses) == 1 else None
    if spouse is None or not spouse.name or (person.name and person.name[0] > spouse.name[0] and spouse.section):
        return  # where both have an entry, one of the two reports it
    found = [
        said for said in person.of("marriage") if spouse.name[0] in said.text and not TWO_WEDDINGS.search(said.text)
    ]
    for at, one in enumerate(found):
        for other in found[at + 1 :]:
            assert one.when is not None
            assert other.when is not None
            days = before(one.when, other.when) or before(other.when, one.when)
            if days > VOWS and one.place != other.place:
                why = f"the marriage is dated {shown(one.when)} in one place and {shown(other.when)} in another"
                yield Clash(Level.ERROR, "two dates of marriage", sentence_of(person, why), why, other, one, days)


def at_age(person: Person, options: Options) -> Iterator[Clash]:
    """Married, enlisted or dead at an age that is out of the question or unlikely."""
    for birth in in_the_world(person):
        assert birth.when is not None
        for event, never, usual in (
            ("marriage", options["marriage_never"], options["marriage_from"]),
            ("enlist", 0, options["soldier_from"]),
        ):
            for said in person.of(event):
                assert said.when is not None
                years = span(birth.when, said.when)
                if birth.event == "birth" and years and years[1] >= 0 and whole(years[1]) < usual:
                    yield too_young(person, birth, said, whole(max(years[0], 0)), whole(years[1]), never)
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
            yield Clash(
                Level.ERROR if years_least > options["life_never"] else Level.NOTE,
                "lifespan",
                sentence_of(person, why),
                why,
                death,
                None,
                years_least * YEAR,
            )


def too_young(person: Person, birth: Said, said: Said, least: int, age: int, never: int) -> Clash:
    """Married or enlisted as a child, of ``age`` years at most."""
    dated, since = shown(said.when), shown(birth.when)
    why = f"{NAMES[said.event]} is dated {dated} and the birth {since}: at the age of {'' if least == age else 'at most '}{max(age, 0)}"
    level = Level.ERROR if age < never else Level.NOTE
    return Clash(level, f"{said.event} at {max(age, 0)}", sentence_of(person, why), why, said, birth, (15 - age) * YEAR)


def too_old(person: Person, birth: Said, death: Said, years: float, options: Options) -> Clash:
    """A life longer than lives are."""
    why = f"from {NAMES[birth.event]} ({shown(birth.when)}) to {NAMES[death.event]} ({shown(death.when)}) are {int(years)} years"
    level = Level.ERROR if years > options["life_never"] else Level.NOTE
    return Clash(level, "lifespan", sentence_of(person, why), why, death, birth, (years - 80) * YEAR)


def stated_age(person: Person, options: Options) -> Iterator[Clash]:
    """An age that the dates contradict."""
    births = in_the_world(person)
    for said in person.said:
        if said.age is None or not said.sure:
            continue
        for birth in births:
            assert birth.when is not None
            then = when_of(said)
            if then is not None:
                yield from wrong_age(person, birth, said, then, options)
    if not born(person):
        yield from two_ages(person, options)


def when_of(said: Said) -> When | None:
    """The date of an age: its own, or that of the event it is told with."""
    if said.event == "lived":
        found = said.person.of("death")
        return found[0].when if found else None
    if said.at is not None:
        found = said.at[0].real.of(said.at[1])
        return found[0].when if found else None
    return said.when or when_else(said)


def when_else(said: Said) -> When | None:
    """The date that another sentence gives the death, or the only marriage, of which this one tells at what age it was."""
    person = said.person.real
    if said.event == "death":
        found = person.of("death") or person.of("burial")
        found = [each for each in found if each.when is not None and each.when.exact][:1] or found
    elif said.event == "marriage" and len(person.spouses) == 1 and not TWO_WEDDINGS.search(said.text):
        found = person.of("marriage")
    else:
        return None
    return found[0].when if len(found) == 1 else None


def wrong_age(person: Person, birth: Said, said: Said, then: When, options: Options) -> Iterator[Clash]:
    """Compare a stated age with the years between two dates."""
    assert birth.when is not None
    assert said.age is not None
    years = span(birth.when, then)
    if years is None or years[1] < 0:
        return
    low, high = said.age.low / YEAR, said.age.high / YEAR
    out = max(years[0] - high, low - years[1] if birth.event == "birth" else 0.0)  # a baptism may be late
    give = (
        options["census_give"]
        if said.event == "census"
        else 2
        if said.age.soft or not (birth.when.exact and then.exact)
        else 0
    )
    if out <= (give or 0) + 0.02 or (said.age.years is None and out < 0.2):
        return
    if (birth.when.month, birth.when.day) == (2, 29) and said.age.years == years[0] // 4:
        return  # 'married at the age of six', as those say who were born on a leap day
    first, last = whole(max(years[0], 0)), whole(years[1])
    right = (
        str(first) if first == last else f"{first} or {last}" if last - first == 1 else f"between {first} and {last}"
    )
    age = said.age.text
    since = f"'{age}' does not fit: from {NAMES[birth.event]} ({shown(birth.when)}) to {shown(then)} are"
    why = f"{since} {right} years"
    if last < 2 and years[1] < 2:
        why = f"{since} {gap(years[1] * YEAR)}"
    level = Level.NOTE if out < 1.02 else Level.ERROR
    yield Clash(level, "age", sentence_of(person, why), why, said, birth, out * YEAR)


def two_ages(person: Person, options: Options) -> Iterator[Clash]:
    """Two stated ages that can't belong to one birth, where the draft gives none."""
    aged = [
        (said, when)
        for said in person.said
        if said.age is not None and said.sure and (when := when_of(said)) is not None and when.closed
    ]
    for at, (one, first) in enumerate(aged):
        for other, second in aged[at + 1 :]:
            assert one.age is not None
            assert other.age is not None
            assert first.earliest is not None
            assert first.latest is not None
            assert second.earliest is not None
            assert second.latest is not None
            give = (options["census_give"] if "census" in (one.event, other.event) else 2) * YEAR
            a, b = (
                (first.earliest - one.age.high, first.latest - one.age.low),
                (second.earliest - other.age.high, second.latest - other.age.low),
            )
            if a[1] + give < b[0] or b[1] + give < a[0]:
                about, instead = year_of((a[0] + a[1]) // 2), year_of((b[0] + b[1]) // 2)
                why = (
                    f"'{one.age.text}' in {shown(first)} means a birth about {about}, "
                    f"'{other.age.text}' in {shown(second)} one about {instead}"
                )
                yield Clash(Level.ERROR, "age", sentence_of(person, why), why, other, one)


def active_late(person: Person, options: Options) -> Iterator[Clash]:
    """A deed at an age at which nobody does anything."""
    last = born_by(person, options["parent_never"])
    if last is None or person.of("death", "burial"):
        return
    for said in reversed(person.of("act", "marriage", "census", "enlist")):
        assert said.when is not None
        idle = AFTERLIFE.search(said.text) or re.search(r"\b(?:lived|lives|survived|alive|living)\b", said.text)
        if not said.deed or said.when.year is None or said.when.earliest is None or idle:
            continue
        years = (day_number(said.when.year, 7, 1) - last) / YEAR
        if years > options["active_to"]:
            age = f"at an age of at least {int(years)} by what else is told"
            why = f"{person.called} is told of in {shown(said.when)}, {age}"
            yield Clash(Level.NOTE, "active too late", sentence_of(person, why), why, said, None, years * YEAR)
            return


def late_burial(person: Person, options: Options) -> Iterator[Clash]:
    """A burial long after the death."""
    for death in person.of("death"):
        for burial in person.of("burial"):
            assert death.when is not None
            assert burial.when is not None
            second = death.text != burial.text and BURIED.search(
                death.text
            )  # 'died and was buried there the same night'
            if not death.when.exact or burial.when.latest is None or second or re.search(LATER_GRAVE, burial.text):
                continue
            counted = re.fullmatch(
                r"the \d{1,2}(?:st|nd|rd|th)", burial.when.words
            )  # 'died on 19 October and was buried on the 17th'
            late = burial.when.latest - (death.when.latest or 0)
            if late > (WAKE if counted else options["burial_days"]) and (burial.when.exact or counted):
                why = f"the burial is dated {shown(burial.when)}, {gap(late)} after the death ({shown(death.when)})"
                if counted:
                    why = f"the burial is dated {shown(burial.when)}, {gap(late)} after the death or before it"
                yield Clash(Level.NOTE, "burial late", sentence_of(person, why), why, burial, death)


def born_by(person: Person, never: int, deep: bool = True) -> int | None:
    """The last day on which a person can have been born: from the birth, or from marriages and children."""
    found = [said.when.latest for said in in_the_world(person) if said.when and said.when.latest is not None]
    if not found:
        births = sorted(
            (said.when for child in person.children for said in born(child.real) if said.when and said.when.latest),
            key=lambda when: when.latest or 0,
        )
        later = [said.when for said in person.of("marriage")] + births[
            len(births) > 2 :
        ]  # one odd child proves nothing
        found = [when.latest - round(never * YEAR) for when in later if when is not None and when.latest is not None]
        if deep:
            younger = [born_by(child.real, never, False) for child in person.children if not born(child.real)]
            found += [day - round(never * YEAR) for day in younger if day is not None]
    return min(found, default=None)
