"""Everyone a book names, each as one person, and whom every sentence means.

``study.facts`` keeps apart what it can't tie for certain, because a contradiction must be certain. Here a name that the
book gives to one person alone means that person wherever it stands, and a pronoun means whoever was spoken of last: for
asking who has died, or of whom a particular is printed, the likely reading is the right one.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice

from storylint.study.calendars import date_of
from storylint.study.cast import key_of_kin
from storylint.study.dates import When
from storylint.study.facts import facts_of
from storylint.study.given_names import sex_of
from storylint.study.items import DESCENDANTS, Item, is_mine
from storylint.study.lexicon import MAN, PARENT, PLURAL, SPOUSE, TITLES, WOMAN
from storylint.study.persons import Facts, Person, Said, alike, sex_of_kin
from storylint.study.placenames import NOT_A_PLACE, is_place
from storylint.study.study import Book, StudiedSection
from storylint.study.telling import Telling

BIRTHS = ("birth", "baptism")
MOST = 300  # relatives in which a name is looked for; a person with more is several whom the draft does not tell apart
FEW = 40  # persons of one forename among whom a name that nobody bears as it is written is looked for


@dataclass(eq=False, slots=True)
class Someone:
    """One person of the book, with all entries and mentions together.

    ``why`` says why she may be living, without any particular; "" where she is not presumed to be. ``of`` and ``word``
    are for one who has no name here: whose relative she is, and which.
    """

    name: tuple[str, ...]
    sex: str = ""
    persons: list[Person] = field(default_factory=list)
    dead: bool = False
    why: str = ""
    first: int | None = None  # first and last year in which she can have been born
    last: int | None = None
    births: list[int] = field(default_factory=list)  # years of birth that a sentence gives in passing ('Luc (1949)')
    acts: list[int] = field(default_factory=list)  # years in which a sentence says that she did something
    now: bool = False  # a sentence speaks of what she does or is at the time of writing
    passing: bool = False  # none of the family: all that is known of her is what she did, and when
    reached: bool = False  # a sentence tells by what number or address to reach her
    today: bool = False  # that time may be ours, by all that the section tells
    of: Someone | None = None
    word: str = ""
    mine: bool = False  # ``word`` says what she is to the author

    @property
    def known(self) -> bool:
        """True for one of whom it can be told who she is: by her name, or as the author's mother."""
        return bool(self.name) or self.mine

    @property
    def called(self) -> str:
        """The name as a reader would say it; for one without a name that of her relative."""
        if self.mine and not self.name:
            return f"your {self.word}"
        if self.persons and self.persons[0].spelled:
            return self.persons[0].spelled
        if self.of is not None and not self.name:
            return self.of.called
        return " ".join(self.name) or (f"the {self.word}" if self.word else "somebody")

    @property
    def sections(self) -> list[StudiedSection]:
        """Her own sections."""
        return [person.section for person in self.persons if person.section is not None]

    def kin(self, relation: str) -> Iterator[Person]:
        """The persons of one relation ('spouses', 'children', 'parents')."""
        for person in self.persons:
            if relation == "parents":
                yield from (each.real for each in (person.father, person.mother, *person.elders) if each is not None)
            else:
                yield from (each.real for each in getattr(person, relation))

    @property
    def said(self) -> Iterator[Said]:
        """All statements about her."""
        return (said for person in self.persons for said in person.said)


@dataclass(slots=True)
class Told:
    """A sentence with whom its items mean."""

    telling: Telling
    said: list[Said]
    people: list[tuple[Item, Someone]]
    lead: Someone | None


@dataclass(slots=True)
class Circle:
    """Everyone of the book, and every sentence with whom it means, section by section."""

    everyone: list[Someone]
    of_person: dict[int, Someone]
    by_forename: dict[str, list[Someone]]
    told: dict[int, list[Told]] = field(default_factory=dict)
    living: dict[str, list[Someone]] = field(default_factory=dict)  # by forename, who may be living and has a surname
    leads: dict[int, Someone] = field(default_factory=dict)  # whom a section (its id) is about
    year: int = 0  # for which it is asked who may be living
    oldest: int = 0  # the first year in which she can have been born

    def every(self) -> Iterator[Told]:
        """Every sentence of the book."""
        return (told for tellings in self.told.values() for told in tellings)

    def of(self, person: Person) -> Someone:
        """The one that a person of the facts belongs to."""
        person = person.real
        if id(person) not in self.of_person:  # somebody whom a single sentence mentions
            self.of_person[id(person)] = Someone(person.name, person.sex, [person])
        return self.of_person[id(person)]


def circle_in(book: Book) -> Circle:
    """The book's people and whom each sentence means, worked out once."""
    return book.once("circle", lambda: build(book))


def build(book: Book) -> Circle:
    """Put the people of the book together and find whom each sentence means."""
    facts = facts_of(book)
    circle = together(facts)
    entries = {id(person.entry.block): one for one in circle.everyone for person in one.persons if person.entry}
    for section in book.sections:
        if (own := facts.person(section)) is not None:
            circle.leads[id(section)] = circle.of(own)
        circle.told[id(section)] = list(Reader(circle, facts, section, entries).read())
    return circle


# ------------------------------------------------------------------------------------------------ who is one person


@dataclass(slots=True)
class Ties:
    """What tells two bearers of one name apart, of all mentions of one of them."""

    sections: set[int] = field(default_factory=set)
    births: set[int] = field(default_factory=set)
    kin: set[tuple[str, ...]] = field(default_factory=set)
    related: bool = False

    @classmethod
    def of(cls, person: Person) -> Ties:
        """Those of one mention."""
        sections = {id(person.section)} if person.section is not None else set()
        return cls(sections, set(birth_years(person)), relatives_of(person), related(person))

    def may_be(self, other: Ties) -> bool:
        """False where both have a section of their own, births that differ, or relatives and none in common."""
        if other.sections and self.sections and self.sections.isdisjoint(other.sections):
            return False
        if self.births and other.births and min(abs(a - b) for a in self.births for b in other.births) > 2:
            return False
        if not (self.related and other.related):
            return True  # one of them is only mentioned
        return not self.kin.isdisjoint(other.kin)

    def join(self, other: Ties) -> None:
        """Take in those of one more mention."""
        self.sections |= other.sections
        self.births |= other.births
        self.kin |= other.kin
        self.related = self.related or other.related


def together(facts: Facts) -> Circle:
    """One entry for each person: mentions under a whole name join the one who bears it.

    Who has a section comes first, and is nobody who has another: among namesakes only that section's are looked at.
    """
    circle = Circle([], {}, defaultdict(list))
    by_name: dict[tuple[tuple[str, ...], int | None], list[tuple[Someone, Ties]]] = defaultdict(list)
    persons = list({id(person): person for person in closure(facts)}.values())
    for person in sorted(persons, key=lambda each: (each.section is None, each.entry is None, not related(each))):
        own = Ties.of(person)
        place = id(person.section) if person.section is not None else None
        bearers = by_name[person.name, place] if len(person.name) > 1 else []
        fits = list(islice((each for each in bearers if each[1].may_be(own)), 2))  # two are as many as more
        one, ties = fits[0] if len(fits) == 1 or (fits and own.related) else (Someone(person.name), Ties())
        if not one.persons:
            circle.everyone.append(one)
            for key in {place, None}:
                by_name[person.name, key].append((one, ties))
            if person.name:
                circle.by_forename[person.name[0]].append(one)
        one.persons.append(person)
        ties.join(own)
        one.sex = one.sex or person.sex or (sex_of(person.name[0]) if person.name else "")
        circle.of_person[id(person)] = one
    join_forenames(circle)
    return circle


def join_forenames(circle: Circle) -> None:
    """A forename by itself, without relatives, is the one person of the book who has it with a surname."""
    for group in circle.by_forename.values():
        whole = [one for one in group if len(one.name) > 1]
        for one in [
            one for one in group if len(one.name) == 1 and len(whole) == 1 and not any(map(related, one.persons))
        ]:
            whole[0].persons += one.persons
            circle.of_person.update({id(person): whole[0] for person in one.persons})
            circle.everyone.remove(one)
            group.remove(one)


def related(person: Person) -> bool:
    """True when the draft gives the person any relative, an entry or a section."""
    return bool(
        person.section
        or person.entry
        or person.spouses
        or person.children
        or person.father
        or person.mother
        or person.elders
    )


def closure(facts: Facts) -> Iterator[Person]:
    """All persons: those of the facts, and their relatives who are only named beside them."""
    waiting = [person.real for person in (*facts.people, *facts.own.values())]
    waiting += [child.real for brood in facts.broods for child in brood.children]
    seen: set[int] = set()
    while waiting:
        person = waiting.pop()
        if id(person) in seen:
            continue
        seen.add(id(person))
        yield person
        near = (*person.spouses, *person.children, *person.elders, person.father, person.mother)
        waiting += [each.real for each in near if each is not None]


def relatives_of(person: Person) -> set[tuple[str, ...]]:
    """The whole names of a person's nearest; a forename alone says too little."""
    near = (*person.spouses, *person.children, *person.elders, person.father, person.mother)
    return {each.real.name for each in near if each is not None and len(each.real.name) > 1}


def birth_years(person: Person) -> list[int]:
    """The years in which the draft says that she was born or baptised."""
    return [year for said in person.of(*BIRTHS) if said.when and (year := last_year(said.when)) is not None]


def last_year(when: When) -> int | None:
    """The latest year that a date can mean."""
    return date_of(when.latest)[0] if when.latest is not None else when.year


def first_year(when: When) -> int | None:
    """The earliest year that a date can mean."""
    return date_of(when.earliest)[0] if when.earliest is not None else when.year


# ---------------------------------------------------------------------------------------------- whom a sentence means


PASSING = re.compile(
    r"^(?:\s(?:at|in|near)\s[A-Z][\w’'-]+)?\W{0,2}(?:\((?:b\.|born)?\s?|,?\s(?:born\s)?in\s|,?\s?b\.\s)(?P<year>1[5-9]\d\d|20\d\d)\b"
)
CHILDREN = re.compile(r"\b(?:had|have|has|bore|raised|children|sons|daughters|twins)\b", re.IGNORECASE)


def in_passing(text: str, item: Item) -> int | None:
    """The year of birth that a sentence gives a child in passing: 'They had Luc in 1949 and Claire (1953)'."""
    found = PASSING.match(text[item.end :]) if item.kind == "name" else None
    return int(found["year"]) if found and CHILDREN.search(text[: item.start]) else None


def is_apposed(items: list[Item], at: int, found: list[tuple[Item, Someone]]) -> bool:
    """True for the 'his' of 'Dafydd Rees, his nephew': it does not mean Dafydd."""
    own = items[at].kind == "pron" and items[at].low in ("his", "her")
    return own and at > 1 and items[at - 1].text == "," and bool(found) and found[-1][0] is items[at - 2]


def is_there(items: list[Item], at: int) -> bool:
    """True for a name that says where: after 'in' and the like, after ', of', and after an address ('14 Mill Lane, Florence')."""
    before = items[max(0, at - 3) : at]
    last = before[-1].low if before else ""
    if last in ("in", "at", "near") or (last == "of" and [item.text for item in before[-2:-1]] == [","]):
        return True
    return last == "," and len(before) > 2 and before[-2].kind == "name" and before[-3].low.isdigit()


# Who is reached in these ways is of our own time, whatever else the draft says of her.
REACHED = re.compile(
    r"@(?<=\w@)\w[\w-]*\.\w|\b\d{3}\)?[ .-]\d{3}[ .-]\d{4}\b|\b(?:can|may) be (?:reached|contacted|phoned|e-?mailed)\b"
)
# An address of our time behind a name: American ones have had five digits since 1963, British ones their letters since 1974 (from memory).
POSTAL = re.compile(
    r",? \(?(?:of |at )?\d{1,5}[A-Za-z]? (?:[A-Z][\w.’'-]*,? ){1,7}(?:[A-Z]{2} \d{5}|[A-Z]{1,2}\d[\dA-Z]? \d[A-Z]{2})\b"
)


def is_reached(item: Item, text: str) -> bool:
    """True where the words behind a name tell how to reach somebody today."""
    return bool(REACHED.search(text, item.end) or POSTAL.match(text, item.end))


def is_person(item: Item) -> bool:
    """True for what may be a forename and a surname: 'Nia Hughes', and neither 'Slate Museum' nor 'Mill Lane'."""
    return len(item.words) > 1 and not item.thing and not is_place(item.text) and NOT_A_PLACE.isdisjoint(item.words)


# 'Nia Hughes, a great-granddaughter of his, lives ...'
OF_KIN = re.compile(
    r", (?:an?|the|one of (?:his|her|their)|his|her|their) (?:\w+ )?"
    r"(?P<kin>(?:great-)*grand(?:son|daughter|child)|great-(?:nephew|niece)|nephew|niece)\b"
)


@dataclass(slots=True)
class Reader:
    """Goes through the sentences of a section and notes whom names, pronouns and words of kinship mean."""

    circle: Circle
    facts: Facts
    section: StudiedSection
    entries: dict[int, Someone]  # id of a block of a list of children → whose line it is
    topic: dict[str, Someone] = field(default_factory=dict)  # by sex, of whom the sentences before spoke
    pair: list[Someone] = field(default_factory=list)  # whom 'they' means
    block: int = -1
    nearest: dict[int, dict[str, list[Someone]]] = field(default_factory=dict)

    def read(self) -> Iterator[Told]:
        """Every sentence of the section, with its list of children."""
        own = self.facts.person(self.section)
        lead = self.circle.of(own) if own is not None else None
        for telling, said in self.facts.tellings.get(id(self.section), []):
            block = telling.sentence.block
            here = self.entries.get(id(block), lead)
            if block.index != self.block:
                self.block, self.topic, self.pair = block.index, {}, []
                if here is not None:
                    self.topic[here.sex] = here
            people = list(self.people(telling, here))
            self.remember(people)
            yield Told(telling, said, people, here)

    def people(self, telling: Telling, lead: Someone | None) -> Iterator[tuple[Item, Someone]]:
        """The items of a sentence that mean somebody."""
        found: list[tuple[Item, Someone]] = []
        for at, item in enumerate(telling.items):
            if not item.person:
                continue
            apart = found[:-1] if is_apposed(telling.items, at, found) else found
            there = item.kind == "name" and is_there(telling.items, at)
            meant = self.meant(item, apart, lead, there)
            if not (meant or there) and item.words and in_passing(telling.sentence.text, item) is not None:
                meant = [self.child(item, lead)]
            if not (meant or there) and is_person(item) and is_reached(item, telling.sentence.text):
                meant = [self.stranger(item)]
            for one in meant:
                self.tie(one, item, lead, telling.sentence.text)
                found.append((item, one))
        yield from found

    def meant(self, item: Item, found: list[tuple[Item, Someone]], lead: Someone | None, there: bool) -> list[Someone]:
        """Whom an item means; two for 'they'. ``there`` is True after 'in' and the like."""
        if item.kind == "name":
            if there and len(item.words) == 1:
                return []
            one = self.named(item.words, lead, [other for _, other in found])
            if one is not None:
                return [one]
            return [Someone(item.words)] if item.text.split()[0].rstrip(".") in TITLES else []
        if item.kind == "pron":
            return self.pronoun(item.low, [one for _, one in found], lead)
        if item.apposed is not None:
            named = [one for other, one in found if other is item.apposed][-1:]
            for one in named:
                one.mine, one.word = True, one.word or item.low.split()[0]
            return named
        if is_mine(item):
            return [self.of_author(item, lead)]
        owner = self.owner(item, found, lead)
        one = self.relative(item, owner, lead)
        return [one] if one is not None else []

    def tie(self, one: Someone, item: Item, lead: Someone | None, text: str) -> None:
        """Note in 'Nia Hughes, a granddaughter,' whose granddaughter she is."""
        relation = OF_KIN.match(text, item.end) if one.known and not one.word else None
        if relation is not None:
            one.of, one.word = one.of or lead, relation["kin"].lower()

    def child(self, item: Item, lead: Someone | None) -> Someone:
        """Somebody who is first named as a child in passing: 'They had Luc in 1949'."""
        one = self.stranger(item)
        one.of, one.word = lead, "child"
        return one

    def stranger(self, item: Item) -> Someone:
        """Somebody who is named nowhere else: 'I thank Nia Hughes (518-555-0143)'."""
        one = Someone(item.words, sex_of(item.words[0]))
        self.circle.everyone.append(one)
        self.circle.by_forename[item.words[0]].append(one)
        return one

    def owner(self, item: Item, found: list[tuple[Item, Someone]], lead: Someone | None) -> Someone | None:
        """Whose relative a word of kinship means; the section's person's, where 'a nephew, Rhys Hughes,' does not say."""
        if item.owner is None:
            return lead if item.words and item.low in DESCENDANTS else None
        known = next((one for other, one in found if other is item.owner), None)
        if known is not None:
            return known
        if item.owner.kind == "name":
            return self.named(item.owner.words, lead, [])
        meant = self.pronoun(item.owner.low, [one for _, one in found], lead)
        return meant[0] if meant else None

    def pronoun(self, word: str, here: list[Someone], lead: Someone | None) -> list[Someone]:
        """Whom he, she or they means: one of the sentence, or of whom the last ones spoke, or the section's person."""
        if word in PLURAL:
            named = list({id(one): one for one in here}.values())
            if len(named) > 1:
                return named[-2:]
            if self.pair:
                return self.pair
            if lead is None:
                return []
            spouses = [self.circle.of(each) for each in lead.kin("spouses")]
            return [lead, spouses[-1]] if spouses else [lead]
        sex = "m" if word in MAN else "f" if word in WOMAN else ""
        for one in reversed(here):
            if one.sex == sex and one.known:
                return [one]
        if sex in self.topic:
            return [self.topic[sex]]
        return [lead] if lead is not None and lead.sex in (sex, "") else []

    def named(self, words: tuple[str, ...], lead: Someone | None, here: list[Someone]) -> Someone | None:
        """The person whom a name means in this section: one who is near, else the one of the book who bears it."""
        if not words:
            return None
        if lead is not None and lead.name and words == lead.name[-1:]:
            return lead
        family = self.family(lead).get(words[0], [])
        near: list[Someone] = [*here, *self.topic.values(), *([lead] if lead is not None else []), *family]
        for one in near:
            if alike(words, one.name) or self.is_married_name(words, one):
                return one
        fits = self.circle.by_forename.get(words[0], [])
        if len(words) > 1:
            fits = [one for one in fits if one.name == words] or [
                one for one in fits[:FEW] if alike(words, one.name) or self.is_married_name(words, one)
            ]
        whole = [one for one in fits if len(one.name) > 1]
        return (whole or fits)[0] if len(whole) == 1 or len(fits) == 1 else None

    @staticmethod
    def is_married_name(words: tuple[str, ...], one: Someone) -> bool:
        """True for a woman under her husband's surname."""
        if len(words) < 2 or not one.name or one.name[0] != words[0]:
            return False
        return any(each.name and each.name[-1] == words[-1] for each in one.kin("spouses"))

    def family(self, lead: Someone | None) -> dict[str, list[Someone]]:
        """The section's person's nearest by forename: husband or wife, children, parents, then theirs; worked out
        once."""
        if lead is None:
            return {}
        if id(lead) not in self.nearest:
            found: dict[str, list[Someone]] = defaultdict(list)
            for one in islice(self.relatives(lead), MOST):
                if one.name and one not in found[one.name[0]]:
                    found[one.name[0]].append(one)
            self.nearest[id(lead)] = dict(found)
        return self.nearest[id(lead)]

    def relatives(self, lead: Someone) -> Iterator[Someone]:
        """The same, afresh."""
        for relation in ("spouses", "children", "parents"):
            yield from (self.circle.of(each) for each in lead.kin(relation))
        for child in lead.kin("children"):
            for relation in ("spouses", "children"):
                yield from (self.circle.of(each) for each in self.circle.of(child).kin(relation))
        for parent in lead.kin("parents"):
            yield from (self.circle.of(each) for each in self.circle.of(parent).kin("children"))

    def of_author(self, item: Item, lead: Someone | None) -> Someone:
        """'my mother', 'our daughter Nia'."""
        word = item.low.split()[0]
        one = self.relative(item, None, lead) if item.words else None
        if one is None:
            person = self.facts.mine.get(key_of_kin(item, self.section), Person((), sex_of_kin(word))).real
            new = id(person) not in self.circle.of_person
            one = self.circle.of(person)
            if new:
                self.circle.everyone.append(one)
        one.mine, one.word = True, one.word or word
        return one

    def relative(self, item: Item, owner: Someone | None, lead: Someone | None) -> Someone | None:
        """'his wife', 'her brother Tom', 'their granddaughter Kayleigh'; without a name, a relative of somebody."""
        word = item.low.split()[0]
        if item.words:
            one = self.named(item.words, lead, [owner] if owner else [])
            if one is None:
                one = Someone(item.words, sex_of_kin(word) or sex_of(item.words[0]), of=owner, word=word)
                self.circle.everyone.append(one)
                self.circle.by_forename[item.words[0]].append(one)
            if one.of is None and owner is not one:
                one.of, one.word = owner, word
            one.sex = one.sex or sex_of_kin(word)
            return one
        if owner is None:
            return None
        relation = "spouses" if word in SPOUSE else "parents" if word in PARENT else ""
        known = [self.circle.of(each) for each in owner.kin(relation)] if relation else []
        known = [one for one in known if one.name and (relation == "spouses" or one.sex == PARENT[word])]
        if len(known) == 1:
            return known[0]
        return Someone((), sex_of_kin(word), of=owner, word=word)

    def remember(self, people: list[tuple[Item, Someone]]) -> None:
        """Of whom the next sentence's pronouns speak: the first of each sex; two who are told of together."""
        seen: set[str] = set()
        for _, one in people:
            if one.known and one.sex not in seen:
                seen.add(one.sex)
                self.topic[one.sex] = one
        named = list({id(one): one for item, one in people if one.known and item.low not in ("his", "her")}.values())
        if len(named) == 2:
            self.pair = named
