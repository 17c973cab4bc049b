"""Ties each child of a list to its own section, and a wife to hers, where there is no doubt which it is."""

from __future__ import annotations

import re
from collections import defaultdict

from storylint.study.persons import Brood, Facts, Person, alike, bare, merge
from storylint.study.study import Book

LABEL = re.compile(r"^\s*(?P<plus>\+)?\s*(?P<number>\d{1,4}(?:[.-]\d{1,2})*)?\.?\s*(?P<roman>[ivxl]{1,7}\.)?")


IN_FRONT = 16  # letters: a child further on in its block belongs to a list that runs on in a paragraph


def link(book: Book, facts: Facts) -> None:
    """Tie each child of a list to its own section, where there is no doubt which it is."""
    order = {id(section): at for at, section in enumerate(book.sections)}
    finder = Finder(facts, order)
    for brood in facts.broods:
        for at, child in enumerate(brood.children):
            own = finder.section_of(child, brood)
            if own is None or own is child or own is brood.parent:
                continue
            for parent in ("father", "mother"):
                mentioned, real = getattr(own, parent), getattr(child, parent)
                if (
                    mentioned is not None
                    and real is not None
                    and mentioned is not real
                    and (not mentioned.name or alike(mentioned.name, real.name))
                ):
                    merge(mentioned, real)
            merge(child, own)
            brood.children[at] = own
            brood.parent.children = [own if each is child else each for each in brood.parent.children]
            if child in facts.people:
                facts.people.remove(child)
    link_couples(facts)
    facts.people = [person for person in facts.people if person.same is None]


def patronymic(last: str, brood: Brood) -> bool:
    """True where a name is the father's forename with or without an ending: Hendriksz, Olsen, Gruffydd."""
    father = brood.father or brood.parent
    stem = father.name[0].lower().rstrip("aeiou") if father.name else ""
    ending = last.lower().removeprefix(stem) if len(stem) > 1 and last.lower().startswith(stem) else None
    return ending is not None and bool(PATRONYMIC.fullmatch(ending))


# From memory: Norwegian and Danish -sen and -datter, Dutch -s, -sz, -szoon, -dr, Welsh none or -s.
PATRONYMIC = re.compile(r"[aeiou]?(?:s?(?:en|on|datter|dotter|z|zoon|dr|x)?)")


def link_couples(facts: Facts) -> None:
    """A husband or wife who has a section under that very name, and nobody else has it, is that section's person."""
    by_name: dict[tuple[str, ...], list[Person]] = defaultdict(list)
    for person in facts.own.values():
        by_name[person.name].append(person)
    for person in facts.people:
        for spouse in person.spouses:
            found = by_name.get(spouse.name, [])
            if (
                len(spouse.name) == 1 and person.section is not None
            ):  # 'her husband, Jakob', in the entry of Anna Zeller
                found = [own for own in by_name.get((*spouse.name, *person.name[-1:]), []) if names_back(own, person)]
                if len(found) == 1 and found[0] is not person and spouse.section is None and spouse.entry is None:
                    merge(spouse, found[0])
            elif len(spouse.name) > 1 and len(found) == 1 and one_and_the_same(spouse, found[0], person):
                merge(spouse, found[0])
        person.spouses = [spouse.real for spouse in person.spouses]
    for brood in facts.broods:
        brood.mother, brood.father = brood.mother and brood.mother.real, brood.father and brood.father.real


def names_back(own: Person, partner: Person) -> bool:
    """True when the husband's or wife's own section names this partner too."""
    return any(known.name[:1] == partner.name[:1] for known in own.spouses)


def one_and_the_same(spouse: Person, own: Person, partner: Person) -> bool:
    """False where a namesake is likelier: other parents, another husband or wife, a birth that does not fit."""
    if (
        spouse.section is not None
        or spouse.entry is not None
        or own is partner
        or spouse.name[-1:] == partner.name[-1:]
    ):
        return False
    if spouse.parents and own.parents and not alike(spouse.parents[0], own.parents[0]):
        return False
    return not own.spouses or any(alike(partner.name, known.name) for known in own.spouses)


class Finder:
    """Finds a child's own section by number, by line of descent, by the parents it names, or by a name that is
    unique.
    """

    def __init__(self, facts: Facts, order: dict[int, int]) -> None:
        self.order = order
        self.people = [person for person in facts.people if person.section is not None]
        self.by_number: dict[str, list[Person]] = defaultdict(list)
        self.by_forename: dict[str, list[Person]] = defaultdict(list)
        for person in self.people:
            assert person.section is not None
            if person.section.section.number:
                self.by_number[person.section.section.number].append(person)
            if person.name:
                self.by_forename[person.name[0]].append(person)
        labels = [self.label(child)["number"] for brood in facts.broods for child in brood.children]
        given = [label for label in labels if label]
        self.running = len(set(given)) == len(given)  # numbers that never start again number the whole book
        self.names: dict[tuple[str, ...], int] = defaultdict(int)
        for brood in facts.broods:
            for child in brood.children:
                self.names[self.full(child, brood)] += 1

    @staticmethod
    def label(child: Person) -> dict[str, str | None]:
        """The parts of the number printed before a child."""
        block = child.entry.block if child.entry else None
        text = f"{block.label} {block.text}" if block and block.label else block.text if block else ""
        match = LABEL.match(text if child.entry and child.entry.start < IN_FRONT else "")
        return match.groupdict() if match else {"plus": None, "number": None, "roman": None}

    @staticmethod
    def full(child: Person, brood: Brood) -> tuple[str, ...]:
        """Forename and surname; a child whose line gives none has her father's."""
        father = brood.father or brood.parent
        family = father.name[-1] if father.name else ""
        last = child.name[-1] if len(child.name) > 1 else ""
        known = {
            family,
            brood.parent.name[-1] if brood.parent.name else "",
            *(s.name[-1] for s in brood.parent.spouses if s.name),
        }
        return (child.name[0], last if last in known else family) if child.name else ()

    def section_of(self, child: Person, brood: Brood) -> Person | None:
        """The child's own section, or None."""
        if not child.name:
            return None
        label = self.label(child)
        if label["number"] and (label["plus"] or label["roman"] or self.running or "." in label["number"]):
            found = [person for person in self.by_number[label["number"]] if alike(child.name[:1], person.name[:1])]
            if len(found) == 1:
                return found[0]
        rivals = [person for person in self.by_forename[child.name[0]] if self.may_be(person, child, brood)]
        sure = [person for person in rivals if self.descends(person, brood) or self.names_parents(person, brood)]
        if len(sure) == 1:
            return sure[0]
        full = self.full(child, brood)
        same = [
            person
            for person in self.by_forename[child.name[0]]
            if person is not brood.parent and (person.name[-1] == full[-1] or patronymic(person.name[-1], brood))
        ]
        if (
            not sure
            and len(same) == 1
            and same[0] in rivals
            and self.names[full] == 1
            and not same[0].parents
            and not (same[0].section and same[0].section.section.lineage)
        ):
            return same[0]
        return None

    def may_be(self, person: Person, child: Person, brood: Brood) -> bool:
        """False for a section that belongs to another generation, or stands before the parents' with another birth."""
        assert person.section is not None
        here, there = brood.section.section, person.section.section
        if person.section is brood.section:
            return False
        if self.order[id(person.section)] < self.order[id(brood.section)] and not self.nearly_born(person, child):
            return False
        return here.generation is None or there.generation is None or there.generation == here.generation + 1

    @staticmethod
    def nearly_born(person: Person, child: Person) -> bool:
        """True where the two births agree in the year, or in day and month: one of them may be a slip."""
        return any(
            one.when is not None
            and other.when is not None
            and (
                one.when.year == other.when.year
                or (one.when.day is not None and (one.when.day, one.when.month) == (other.when.day, other.when.month))
            )
            for one in person.of("birth")
            for other in child.of("birth")
        )

    @staticmethod
    def descends(person: Person, brood: Brood) -> bool:
        """True when the printed line of descent runs through the parent."""
        assert person.section is not None
        lineage = [bare(name) for name in person.section.section.lineage]
        above = [bare(name) for name in brood.section.section.lineage]
        if not lineage or not brood.parent.name or not alike(lineage[0][:1], brood.parent.name[:1]):
            return False
        return len(lineage) - 1 == len(above) and all(
            alike(a[:1], b[:1]) for a, b in zip(lineage[1:], above, strict=True)
        )

    @staticmethod
    def names_parents(person: Person, brood: Brood) -> bool:
        """True when the section says 'son of' both parents of this list."""
        if len(person.parents) < 2 or brood.father is None or brood.mother is None:
            return False
        return all(
            any(alike(name, parent.name) and len(name) > 1 for name in person.parents)
            for parent in (brood.father, brood.mother)
        )
