"""What kinship allows: a child against its parents, brothers and sisters, a stated length of time between two
people's events.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from storylint.findings import Level
from storylint.rule import Options
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
)
from storylint.study.dates import When
from storylint.study.lengths import Length, Moment
from storylint.study.persons import Facts, Person, Said


def parents(person: Person, options: Options) -> Iterator[Clash]:
    """A child against its mother's and father's dates."""
    elders = [(elder, "parent") for elder in person.elders if elder.real not in (person.mother, person.father)]
    for parent, role in ((person.mother, "mother"), (person.father, "father"), *elders):
        if parent is None or parent.real is person:
            continue
        parent = parent.real
        for birth in born(person):
            for own in in_the_world(parent):
                yield from parent_age(person, parent, role, birth, own, options)
            for death in parent.of("death", "burial"):
                yield from after_death(person, parent, role, birth, death, options)
        for baptism in person.of("baptism") if not born(person) else ():
            for own in born(parent):
                yield from parent_age(person, parent, role, baptism, own, options, only_young=True)


def parent_age(
    child: Person, parent: Person, role: str, birth: Said, own: Said, options: Options, only_young: bool = False
) -> Iterator[Clash]:
    """Born before a parent, or to one who was a child or past the age."""
    assert birth.when is not None
    assert own.when is not None
    years = span(own.when, birth.when)
    if years is None:
        return
    name = f"the {role}, {parent.called}," if parent.name else f"the {role}"
    low, high = years
    limits = role if role == "mother" else "father"
    if high < options[f"{limits}_from"] and own.event == "birth":
        level = Level.ERROR if high < options["parent_never"] else Level.NOTE
        tail = (
            f"{gap(-high * YEAR)} before {name} was born ({shown(own.when)})"
            if high < 0
            else f"when {name} born {shown(own.when)}, was {whole(high)}"
        )
    elif low > options[f"{limits}_to"] and not only_young:
        level = Level.ERROR if low > (options["mother_never"] if role == "mother" else 100) else Level.NOTE
        was = "born" if own.event == "birth" else "baptised"
        tail = f"when {name} {was} {shown(own.when)}, was {int(low)}"
    else:
        return
    why = f"{NAMES[birth.event]} is dated {shown(birth.when)}, {tail}"
    out = options[f"{limits}_from"] - high if high < options[f"{limits}_from"] else low - 40
    yield Clash(level, f"age of {role}", sentence_of(child, why), why, birth, own, out * YEAR, parent)


def after_death(
    child: Person, parent: Person, role: str, birth: Said, death: Said, options: Options
) -> Iterator[Clash]:
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
    for one, other in pairwise(dated):
        assert one.when is not None
        assert other.when is not None
        years = span(one.when, other.when)
        if years is None or one.person is other.person or years[0] * YEAR <= 3.5 or TWINS.search(one.text + other.text):
            continue
        most = round(years[1] * YEAR)
        if most < options["siblings_usual"]:
            level = Level.ERROR if most < options["siblings_never"] else Level.NOTE
            elder = f"{one.person.called} ({shown(one.when)})"
            why = f"born {shown(other.when)}, {gap(most)} after {elder}, of the same mother"
            yield Clash(level, "siblings too close", f"{other.person.called}: {why}.", why, other, one)


def far_apart(children: list[Person], options: Options, one_mother: bool) -> Iterator[Clash]:
    """A child who cannot have had the mother, or the father, of the others in the list: the one farthest from the middle."""
    dated = [said for child in children for said in born(child.real)[:1] if said.when and said.when.closed]
    dated.sort(key=lambda said: (said.when.earliest or 0) if said.when else 0)
    most = (options["mother_never"] if one_mother else 100) - options["parent_never"]
    if len(dated) < 3:
        return
    middle = dated[len(dated) // 2]
    for said, near in ((dated[0], dated[1]), (dated[-1], dated[-2])):
        assert said.when is not None
        assert middle.when is not None
        years = max(span(said.when, middle.when) or (0, 0), span(middle.when, said.when) or (0, 0))[0]
        if years > most:
            of = "the mother" if one_mother else "the father"
            why = (
                f"the birth is dated {shown(said.when)}, {int(years)} years from that of {middle.person.called} "
                f"({shown(middle.when)}): more than {of} of both can have had children"
            )
            yield Clash(Level.ERROR, "siblings far apart", sentence_of(said.person, why), why, said, near, years * YEAR)


TWINS = re.compile(r"\b(?:twin|triplet|adopted|step|foster)", re.IGNORECASE)


def moments(moment: Moment) -> list[tuple[When, Said | None]]:
    """The dates of a moment, with the statement each comes from where that is another sentence."""
    if isinstance(moment, When):
        return [(moment, None)]
    person, event = moment
    assert isinstance(person, Person)
    found = person.real.of(event) or (person.real.of("burial") if event == "death" else [])
    if event == "marriage" and not found and len(person.real.spouses) == 1:
        found = person.real.spouses[0].real.of("marriage")
    return [(said.when, said) for said in found if said.when is not None]


def wrong_length(said: Said, length: Length) -> Iterator[Clash]:
    """A stated length of time against the dates of its two ends. Of several dates one that fits is enough."""
    pairs = [
        (first, last, source_a or source_b)
        for first, source_a in moments(length.first)
        for last, source_b in moments(length.last)
    ]
    spans = [(years, first, last, source) for first, last, source in pairs if (years := span(first, last)) is not None]
    if not spans or any(years[1] * YEAR >= length.low and years[0] * YEAR <= length.high for years, *_ in spans):
        return
    years, first, last, source = spans[0]
    low, high = max(0, round(years[0] * YEAR)), round(years[1] * YEAR)
    if first.form == last.form == "year" and first.year and last.year:
        low = high = round((last.year - first.year) * YEAR)
    much = gap(high) if gap(low) == gap(high) or low == 0 else f"{gap(low)} to {gap(high)}"
    much = much if high > 0 else "no days at all"
    why = f"'{length.text}' does not fit: from {shown(first)} to {shown(last)} are {much}"
    yield Clash(Level.ERROR, "interval", f"{why[0].upper()}{why[1:]}.", why, said, source)
