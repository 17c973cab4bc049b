"""All statements of a draft that cannot be true together, or are unlikely to be, and which of two is likelier to be
wrong.

The ages and days they are held against are the options of the rule ``dates``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import islice

from storylint.rule import Options
from storylint.study.clash import (
    YEAR,
    Clash,
    born,
    first_year,
    last_year,
)
from storylint.study.dates import When
from storylint.study.kinlaws import families, far_apart, parents, siblings, wrong_length
from storylint.study.lifelaws import active_late, at_age, late_burial, order, stated_age, twice, wed_twice
from storylint.study.persons import Facts, Person, Said

# Clashes of one kind that are looked at in what is told of one person: of more it is a list, not a life. Ours, no source.
MOST = 500


def clashes_of(facts: Facts, options: Options) -> list[Clash]:
    """All clashes of the book, each with the statement that is likelier to be wrong first."""
    clashes = [clash for person in facts.people for rule in PERSON for clash in islice(rule(person, options), MOST)]
    clashes += [clash for said, length in facts.lengths for clash in wrong_length(said, length)]
    clashes += [clash for children in families(facts) for clash in siblings(children, options)]
    for brood in facts.broods:
        clashes += far_apart(brood.children, options, brood.mother is not None or brood.one_mother)
    blame(clashes)
    return clashes


def blame(clashes: list[Clash]) -> None:
    """Decide which of two statements is shown as the wrong one.

    A parent's date is wrong rather than a child's where it clashes with more than half of the dated children. Of
    other pairs the one that is wrong at least twice more often than its partner; else the later one.
    """
    guilt: dict[int, int] = {}
    children: dict[tuple[int, int], set[int]] = defaultdict(set)  # who clashes with a parent's date
    dates = {id(clash.parent): dated_children(clash.parent) for clash in clashes if clash.parent is not None}
    for clash in clashes:
        children[id(clash.parent), id(clash.right)].add(id(clash.wrong.person))
    for clash in clashes:
        if clash.parent is not None and clash.right is not None:
            dated, against = dates[id(clash.parent)], children[id(clash.parent), id(clash.right)]
            clash.turned = 2 * len(against) > len(dated) > 1 or (
                len(dated) == 1 and clash.right.order > clash.wrong.order
            )
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


def dated_children(parent: Person) -> set[int]:
    """A parent's children whose birth is told."""
    return {id(child.real) for child in parent.children if born(child.real)}


def likely_year(when: When, low: int, high: int) -> str:
    """The year that a slip of the hand turned into this one and that lies between two others: another century or two
    digits crossed (1984 for 1884 or 1894), else one digit mistaken. Nothing where there is too much choice.
    """
    if when.year is None or when.year < 1000:
        return ""
    text = str(when.year)
    crossed = {
        when.year - 100,
        when.year + 100,
        int(text[0] + text[2] + text[1] + text[3]),
        int(text[:2] + text[3] + text[2]),
    }
    mistaken = {int(text[:2] + digit + text[3]) for digit in "0123456789"} | {
        int(text[:3] + digit) for digit in "0123456789"
    }
    for slips, most in ((crossed, 2), (mistaken, 1)):
        fits = [year for year in slips if low <= year <= high and year != when.year]
        if fits:
            return " or ".join(str(year) for year in sorted(fits)) if len(fits) <= most else ""
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
        if (
            other.sure
            and other.when is not None
            and other is not said
            and other.event not in ("birth", "will", "probate", "obituary")
        ):
            low, high = (
                max(low, first_year(other) - 90),
                min(high, last_year(other) - (15 if other.event == "marriage" else 0)),
            )
    return low, high


def life_range(said: Said) -> tuple[int, int]:
    """First and last year of the rest of a life."""
    own = [other for other in said.person.said if other.sure and other.when is not None and other is not said]
    births = [first_year(other) for other in own if other.event in ("birth", "baptism")]
    ends = [last_year(other) for other in own if other.event in ("death", "burial")]
    deeds = [first_year(other) for other in own if other.deed]
    low = max(births, default=max(deeds, default=min(ends, default=1000) - 90))
    return low, min(ends, default=low + 90)


PERSON: tuple[Callable[[Person, Options], Iterator[Clash]], ...] = (
    order,
    twice,
    wed_twice,
    at_age,
    stated_age,
    parents,
    active_late,
    late_burial,
)
