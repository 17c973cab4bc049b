"""What the draft says of each person: dated statements, each with the words it came from, and who belongs to whom.

Section by section the sentences are told (``study.telling``), pronouns and names find their person, and the lists of
children are tied to the children's own sections. Where a pronoun could mean two people the statement is kept but not
``sure``, and no contradiction is built on it. Worked out once a book.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher

from storylint.draft.forenames import FORENAMES
from storylint.draft.model import Block, Kind
from storylint.study import calendars
from storylint.study.calendars import Where
from storylint.study.dates import When
from storylint.study.given_names import sex_of
from storylint.study.lengths import Length, lengths
from storylint.study.people import NO_NAME
from storylint.study.study import Book, Sentence, StudiedSection, Tagger, cut, whole
from storylint.study.telling import CHILD, LIGHT, MAN, OTHER_KIN, PARENT, PLURAL, SIBLING, SPOUSE, TITLES, WOMAN, Age, Event, Item, Telling, tell


@dataclass(eq=False, slots=True)
class Person:
    """Someone the draft names. ``section`` is her own, ``entry`` her line in the parents' list, ``sex`` f, m or ''.

    ``kin`` is False for people who are only mentioned. ``parents`` are the names that 'son of ...' gives, for linking.
    """

    name: tuple[str, ...]
    sex: str = ""
    section: StudiedSection | None = None
    entry: Sentence | None = None
    said: list[Said] = field(default_factory=list)
    father: Person | None = None
    mother: Person | None = None
    spouses: list[Person] = field(default_factory=list)
    children: list[Person] = field(default_factory=list)
    parents: tuple[tuple[str, ...], ...] = ()
    elders: list[Person] = field(default_factory=list)  # parents of whom it is not known which they are
    same: Person | None = None  # the entry into which this one has been merged

    @property
    def real(self) -> Person:
        """This person, or the one that it turned out to be."""
        return self if self.same is None else self.same.real

    @property
    def called(self) -> str:
        """The name as a reader would say it."""
        return " ".join(self.name) or {"f": "she", "m": "he"}.get(self.sex, "the child")

    def of(self, *events: str) -> list[Said]:
        """The sure dated statements of these events in reading order, each date once."""
        found: dict[object, Said] = {}
        for said in self.said:
            if said.event in events and said.sure and said.when is not None:
                found.setdefault((said.event, said.when.earliest, said.when.latest, said.when.qualifier, said.deed), said)
        return list(found.values())


@dataclass(frozen=True, eq=False, slots=True)
class Said:
    """One statement about one person.

    ``when`` is the date, ``age`` the age given with it; ``at`` the event of another person that dates it ('Peter was
    born when she was forty-four'). ``start`` and ``end`` are the sentence's offsets in ``block``. ``deed`` is True for
    what only the living do.
    """

    event: str
    person: Person
    when: When | None
    age: Age | None
    section: StudiedSection
    block: Block
    start: int
    end: int
    order: int
    sure: bool
    deed: bool = False
    other: Person | None = None
    at: tuple[Person, str] | None = None

    @property
    def text(self) -> str:
        """The sentence, or the child's entry."""
        return self.block.text[self.start : self.end]

    @property
    def place(self) -> tuple[str, int, int]:
        """Where it stands, for telling two sentences apart."""
        return (self.section.section.draft.path if self.section.section.draft else "", self.block.index, self.start)


@dataclass(slots=True)
class Brood:
    """One list of children: ``mother`` and ``father`` where they are certain."""

    section: StudiedSection
    parent: Person
    children: list[Person]
    mother: Person | None = None
    father: Person | None = None
    one_mother: bool = False  # all of them have the same mother, known or not
    unsexed: list[Person] = field(default_factory=list)  # parents of whom it is not known which they are


@dataclass(slots=True)
class Facts:
    """All persons of the book, the lists of children, and every sentence as it was told, section by section."""

    people: list[Person] = field(default_factory=list)
    own: dict[int, Person] = field(default_factory=dict)  # id of a StudiedSection → its person
    broods: list[Brood] = field(default_factory=list)
    tellings: dict[int, list[tuple[Telling, list[Said]]]] = field(default_factory=dict)
    lengths: list[tuple[Said, Length]] = field(default_factory=list)  # stated lengths of time, each with its sentence
    count: int = 0

    def person(self, section: StudiedSection) -> Person | None:
        """Whom the section is about."""
        return self.own.get(id(section))


def facts_of(book: Book) -> Facts:
    """The book's facts, worked out once."""
    if "facts" not in book.memo:
        book.memo["facts"] = gather(book)
    found = book.memo["facts"]
    assert isinstance(found, Facts)
    return found


# ------------------------------------------------------------------------------------------------------------- names


def bare(name: str) -> tuple[str, ...]:
    """The words of a name without titles, digits and brackets."""
    from storylint.study.telling import _name_words

    return _name_words(re.sub(r"[()\[\]*_,]", " ", name).split())


def alike(a: tuple[str, ...], b: tuple[str, ...]) -> bool:
    """True when two names can be one person's: the same forename, and no two different surnames."""
    if not a or not b or not _same_word(a[0], b[0]):
        return False
    return len(a) == 1 or len(b) == 1 or set(a) <= set(b) or set(b) <= set(a) or same_surname(a[-1], b[-1])


def same_surname(a: str, b: str) -> bool:
    """The same surname, give or take its spelling: Hallock and Hallick."""
    return a == b or (len(a) > 4 and len(b) > 4 and a[0] == b[0] and SequenceMatcher(None, a.lower(), b.lower()).ratio() > 0.8)


def _same_word(a: str, b: str) -> bool:
    return a == b or (len(a) == 1 and b.startswith(a)) or (len(b) == 1 and a.startswith(b))


def is_person(words: tuple[str, ...], book: Book) -> bool:
    """True when a run of capitals names a person and not a place, a month or a ship."""
    if not words or words[0] in NO_NAME or max(map(len, words)) < 3:
        return False
    return words[0] in FORENAMES or bool(sex_of(words[0])) or words[0] in book.people.forenames or " ".join(words) in book.people.full or words[-1] in book.people.surnames


SEX_OF_KIN = SPOUSE | CHILD | PARENT | SIBLING


def sex_of_kin(word: str) -> str:
    """'f', 'm' or '' for a word of kinship."""
    last = word.lower().split("-in-")[0].rsplit("-", 1)[-1]
    if last in ("sons", "daughters", "brothers", "sisters", "children", "parents", "grandparents"):
        return "p"  # several: no pronoun of one person means them
    if last in SEX_OF_KIN:
        return SEX_OF_KIN[last]
    if last.endswith(("mother", "daughter", "sister", "niece", "aunt")):
        return "f"
    return "m" if last.endswith(("father", "son", "brother", "nephew", "uncle")) else ""


# ---------------------------------------------------------------------------------------------------------- the cast


PRONOUN = re.compile(r"\b(?:(he|him|his|himself)|(she|her|hers|herself))\b", re.IGNORECASE)
SON_OF = re.compile(r"\b(?:son|(daughter))\s+(?:and heir\s+)?of\b")


def sex_in(section: StudiedSection, name: tuple[str, ...]) -> str:
    """A person's sex from the words of her section: 'daughter of', the forename, the pronouns of its opening."""
    text = " ".join(sentence.text for sentence, _ in zip(section.sentences, range(12), strict=False))
    of = SON_OF.search(text[:160])
    if of and section.section.person:
        return "f" if of.group(1) else "m"
    known = sex_of(name[0]) if name else ""
    if known:
        return known
    found = PRONOUN.findall(text)
    men = sum(1 for man, _ in found if man)
    return "m" if men > 2 * (len(found) - men) else "f" if len(found) - men > 2 * men else ""


@dataclass(slots=True)
class Cast:
    """Who is who in one section or one entry of a list of children.

    ``lead`` is the person it is about; ``met`` everyone named so far, the latest last; ``before`` the people of the
    sentence before, its subject first.
    """

    book: Book
    section: StudiedSection
    lead: Person | None
    met: list[Person] = field(default_factory=list)
    before: list[Person] = field(default_factory=list)
    topic: Person | None = None  # the subject of the sentence before
    here: list[Person] = field(default_factory=list)
    known: dict[int, tuple[Person | None, bool]] = field(default_factory=dict)  # id of an item → whom it means
    aside: set[int] = field(default_factory=set)  # ids of items that name parents only
    meant: bool = False  # a pronoun of this sentence means the lead
    elders: list[Person] = field(default_factory=list)  # named only as somebody's parents

    def named(self, words: tuple[str, ...]) -> Person | None:
        """The person of that name, or a new one; None for a name of no person."""
        if not words:
            return None
        lead = self.lead
        if lead is not None and lead.name and (alike(words, lead.name) or self._married_name(words, lead) or (len(words) == 1 and words[0] == lead.name[-1])):
            return lead
        family = [*lead.spouses, *lead.children, lead.father, lead.mother] if lead else []
        for person in (*family, *reversed(self.met)):
            if person is not None and (alike(words, person.name) or (person.sex == "f" and len(words) == 1 == len(person.name[:1]) and words == person.name[:1])):
                if len(words) > len(person.name):
                    person.name = words
                return person
        return self.stranger(words) if is_person(words, self.book) else None

    def stranger(self, words: tuple[str, ...]) -> Person:
        """Someone named for the first time."""
        person = Person(words, sex_of(words[0]))
        self.met.append(person)
        return person

    @staticmethod
    def _married_name(words: tuple[str, ...], lead: Person) -> bool:
        """'Kaliopi Mavrellis' for Kaliopi Magkou, whose husband is a Mavrellis."""
        return words[0] == lead.name[0] and any(spouse.name and words[-1] == spouse.name[-1] for spouse in lead.spouses)

    def pronoun(self, word: str) -> tuple[Person | None, bool]:
        """Whom 'he' or 'she' means, and whether nobody else can be meant."""
        sex = "m" if word in MAN else "f"
        fits = [person for person in self.here if person.sex in (sex, "")]
        known = [person for person in fits if person.sex == sex]
        lead = self.lead if self.lead is not None and self.lead.sex in (sex, "") else None
        earlier = [person for person in self.before if person.sex == sex]
        pool = known or ([self.topic] if self.topic is not None and self.topic.sex == sex else []) or ([lead] if lead else []) or earlier or fits
        if not pool:  # only one such person has been named in the whole section
            named = [*self.met, *(self.lead.spouses if self.lead else [])]
            others = list({id(person): person for person in named if person.sex in (sex, "") and person not in self.elders}.values())
            return (others[0], others[0].sex == sex) if len(others) == 1 else (None, False)
        chosen = pool[0]
        vague = [self.topic] if self.topic is not None and not self.topic.sex else []
        rivals = {id(person) for person in (*known, *vague, *earlier, *([lead] if lead else []), *[p for p in fits if p.sex == ""])} - {id(chosen)}
        self.meant = self.meant or chosen is self.lead
        steady = chosen is self.lead and chosen is self.topic and not (self.here and self.here[0] is not chosen and self.here[0].sex == sex)
        return chosen, not rivals or steady

    def resolve(self, item: Item) -> tuple[Person | None, bool]:
        """The person that an item means; each item is asked once, where it stands."""
        if id(item) not in self.known:
            self.known[id(item)] = self._resolve(item)
        return self.known[id(item)]

    def _resolve(self, item: Item) -> tuple[Person | None, bool]:
        low = item.low
        if item.kind == "name":
            if item.vague:
                return Person(item.words), False
            person = self.named(item.words)
            if person is None and len(item.words) > 1 and item.text.split()[0].rstrip(".") in TITLES:
                person = self.stranger(item.words)
            if person is not None and person is self.lead:
                return person, not self.meant  # in 'he had Joseph, born 1705' Joseph may be a son of the same name
            return person, person is not None
        if item.kind == "kin":
            return self.relative(item)
        if low in MAN or low in WOMAN:
            return self.pronoun(low)
        return None, False

    def relative(self, item: Item) -> tuple[Person | None, bool]:
        """'his wife', 'her eldest son John', 'the widow of John Lee'."""
        word = item.low.split()[0]
        owner, sure = self.resolve(item.owner) if item.owner is not None else (None, False)
        if item.borne and owner is None and self.here:
            owner, sure = self.here[0], len(self.here) == 1 and self.here[0] is self.lead
        if item.owner is not None and item.owner.low == "their":
            owner, sure = self.lead, True
        if word in SPOUSE:
            return self._spouse(owner, sure, word, item.words)
        if word in CHILD:
            return self._child(owner, sure, word, item.words, item.owner.low if item.owner is not None else "")
        if word in PARENT and owner is not None:
            return self._parent(owner, sure, word, item.words)
        if item.words:
            person = self.named(item.words) or self.stranger(item.words)
            person.sex = person.sex or sex_of_kin(word)
            return person, True
        return Person((), sex_of_kin(word)), False

    def _spouse(self, owner: Person | None, sure: bool, word: str, words: tuple[str, ...]) -> tuple[Person | None, bool]:
        if owner is None:
            return (self.named(words), True) if words else (None, False)
        found = next((spouse for spouse in owner.spouses if words and alike(words, spouse.name)), None)
        if found is None and not words and len(owner.spouses) == 1:
            found = owner.spouses[0]
        if found is None and (words or not owner.spouses):
            nameless = next((spouse for spouse in owner.spouses if not spouse.name), None)
            found = nameless or Person(words, SPOUSE[word])
            found.name = found.name or words
            if nameless is None:
                self.wed(owner, found)
        if found is None:
            return None, False
        found.sex = found.sex or SPOUSE[word]
        return found, sure

    def wed(self, one: Person, other: Person) -> None:
        """Note a couple."""
        if other not in one.spouses:
            one.spouses.append(other)
        if one not in other.spouses:
            other.spouses.append(one)
        if other not in self.met:
            self.met.append(other)
        for known, new in ((one, other), (other, one)):
            if known.sex and not new.sex:
                new.sex = "m" if known.sex == "f" else "f"

    def _child(self, owner: Person | None, sure: bool, word: str, words: tuple[str, ...], whose: str = "") -> tuple[Person | None, bool]:
        if owner is None or not words:
            return Person(words[:1] and words, CHILD[word]), False
        found = next((child for child in owner.children if child.name and alike(words[:1], child.name[:1])), None)
        if found is None:
            found = Person(words, CHILD[word] or sex_of(words[0]))
            beget(owner, found)
            if whose == "their" and len(owner.spouses) == 1:
                beget(owner.spouses[0], found)
            self.met.append(found)
        return found, sure

    def _parent(self, owner: Person, sure: bool, word: str, words: tuple[str, ...]) -> tuple[Person | None, bool]:
        parent = owner.father if word == "father" else owner.mother
        if parent is None:
            parent = Person(words, PARENT[word])
            if word == "father":
                owner.father = parent
            else:
                owner.mother = parent
            self.met.append(parent)
        parent.name = parent.name or words
        return parent, sure


def beget(parent: Person, child: Person) -> None:
    """Note a parent and child."""
    if child not in parent.children:
        parent.children.append(child)
    if parent.sex == "m" and child.father is None:
        child.father = parent
    elif parent.sex == "f" and child.mother is None:
        child.mother = parent
    elif not parent.sex and parent not in child.elders:
        child.elders.append(parent)


# ------------------------------------------------------------------------------------------------------ the statements


AWAY = frozenset("in at near from on off to after before through outside beside".split())
PAPERS = frozenset(("discharge", "will", "citizen", "obituary", "enlist", "probate"))
VITAL = frozenset(("birth", "baptism", "death", "burial", "marriage"))
DEEDS = frozenset(("act", "state", "enlist", "arrival", "citizen", "marriage", "census", "retired", "divorce", "bore"))


@dataclass(slots=True)
class Hearing:
    """Turns the tellings of one section, or of one child's entry, into statements."""

    cast: Cast
    facts: Facts
    said: list[Said] = field(default_factory=list)
    noun: tuple[str, list[tuple[Person, bool]]] | None = None  # the paper that the sentence before is about, and whose

    def hear(self, telling: Telling, opening: bool) -> list[Said]:
        """The statements of one sentence."""
        cast = self.cast
        cast.here, cast.known, cast.aside, cast.meant = [], {}, set(), False
        start = len(self.said)
        topic: Person | None = None
        at = 0
        self.refer(telling)
        for event in sorted(telling.events, key=lambda e: e.item.start):
            while at < len(telling.items) and telling.items[at].start < event.item.start:
                self.meet(telling.items, at)
                at += 1
            people = list(self.whose(event, telling, opening))
            if people and topic is None and event.how in ("said", "apposed"):
                topic = people[0][0]
            elif topic is None and event.how == "said" and len(event.subjects[0].words) > 1 and event.subjects[0].kind == "name":
                topic = Person(event.subjects[0].words)  # a person or a ship: 'she' may mean it
            self.put(event, people, telling)
        while at < len(telling.items):
            self.meet(telling.items, at)
            at += 1
        for item, when in telling.loose:
            named = next((person for person in cast.met if person.name == item.words), None)
            if named is not None:
                self.add("act", named, when, None, telling, telling.hedged is None, True)
        self.put_ages(telling)
        self.put_lengths(telling)
        cast.topic = topic if topic is not None else (cast.lead if any(person is cast.lead for person in cast.here) else cast.topic if not cast.here else None)
        cast.before = list(cast.here)
        return self.said[start:]

    def refer(self, telling: Telling) -> None:
        """'I have his discharge. It is dated 9 June 1862': the event of the sentence before."""
        nouns = [event for event in telling.events if event.item.kind == "noun"]
        first = telling.events[0] if telling.events else None
        if self.noun is not None and first is not None and telling.sentence.lower[:1] == ["it"] and LIGHT.match(first.item.low) and first.when is not None:
            people = self.noun[1]
            self.put(Event(self.noun[0], first.item, how="said", when=first.when), people, telling)
        undated = [event for event in nouns if event.when is None and event.how == "said" and event.name in PAPERS]
        self.noun = None
        if len(undated) == 1:
            found = [self.cast.resolve(item) for item in undated[0].subjects]
            self.noun = (undated[0].name, [(person, sure) for person, sure in found if person is not None])

    def meet(self, items: list[Item], at: int) -> None:
        """Take note of a person as she is named, and of 'son of X and Y'."""
        item, cast = items[at], self.cast
        if not item.person or item.low in PLURAL or in_lineage(items, at) or id(item) in cast.aside:
            return
        if item.kind == "name" and at and items[at - 1].low in AWAY and not any(alike(item.words, person.name) for person in (*cast.met, *([cast.lead] if cast.lead else []))):
            return
        if item.kind == "kin" and item.low in SPOUSE and item.owner is None and not item.words and self.wife_of(items, at):
            return
        if item.kind == "kin" and item.low in ("son", "daughter", "child") and not item.words and self.parentage(items, at):
            return
        person, _ = cast.resolve(item)
        if person is not None and not person.name and item.low in CHILD and item.owner is None:
            return
        if person is not None and not (item.kind == "pron" and item.low in ("his", "her", "their")):
            if person in cast.here:
                return
            cast.here.append(person)

    def wife_of(self, items: list[Item], at: int) -> bool:
        """'Ann Lee was the wife of John Lee': a couple."""
        if at + 2 >= len(items) or items[at + 1].low != "of" or items[at + 2].kind != "name" or not self.cast.here:
            return False
        one, other = self.cast.here[-1], self.cast.named(items[at + 2].words) or self.cast.stranger(items[at + 2].words)
        if one is other:
            return False
        one.sex = one.sex or SPOUSE[items[at].low]
        self.cast.wed(one, other)
        self.cast.aside.add(id(items[at + 2]))
        return True

    def parentage(self, items: list[Item], at: int) -> bool:
        """'son of Joseph Horton and Jane Budd' after a name: the parents of that person."""
        if at + 2 >= len(items) or items[at + 1].low != "of" or items[at + 2].kind != "name":
            return False
        names = [items[at + 2].words]
        if at + 4 < len(items) and items[at + 3].low in ("and", "&") and items[at + 4].kind == "name":
            names.append(items[at + 4].words)
        child = self.cast.here[-1] if self.cast.here else self.cast.lead
        if child is None:
            return False
        cast = self.cast
        cast.aside |= {id(other) for other in items[at + 2 : at + 5] if other.kind == "name"}
        child.sex = child.sex or CHILD[items[at].low]
        if not child.parents and all(names):
            child.parents = tuple(names)
            for name, sex in zip(names, ("m", "f"), strict=False):
                self.parent(child, name, sex_of(name[0]) or sex)
        return True

    def parent(self, child: Person, name: tuple[str, ...], sex: str) -> None:
        """A father or mother known by name only."""
        place = "mother" if sex == "f" else "father"
        if getattr(child, place) is None:
            person = Person(name, sex)
            setattr(child, place, person)
            self.cast.elders.append(person)
            if child is not self.cast.lead:
                self.cast.met.append(person)
                person.children.append(child)

    def whose(self, event: Event, telling: Telling, opening: bool) -> Iterator[tuple[Person, bool]]:
        """The persons of an event, each with whether it is sure."""
        cast = self.cast
        sure = not event.many and telling.sure(event.item.start) and not _quoted(telling.sentence.text, event.item.start)
        if event.how == "unknown":
            return
        if event.how == "initial":
            alone = opening or event.name not in VITAL or all(person is cast.lead for person in cast.before)
            if cast.lead is not None:
                yield cast.lead, sure and alone
            return
        if event.how == "default" and not event.subjects:
            if cast.lead is not None and (cast.topic in (None, cast.lead)):
                spoken = event.name != "census" or any(item.kind in ("name", "pron") and cast.resolve(item)[0] is cast.lead for item in telling.items if item.low not in PLURAL)
                yield cast.lead, sure and spoken and not self.names_another(telling)
            return
        for item in event.subjects:
            if item.low in PLURAL and event.name == "marriage" and cast.lead is not None:
                yield cast.lead, sure and len(cast.lead.spouses) < 2
                continue
            person, clear = cast.resolve(item)
            if person is None and item.kind == "name" and item.words and event.name in VITAL and (len(item.words) > 1 or item.start == 0):
                person, clear = cast.stranger(item.words), True
                cast.here.append(person)
            if person is not None:
                yield person, sure and clear and not (event.how == "after" and person is cast.lead)

    def names_another(self, telling: Telling) -> bool:
        """True when the sentence names somebody else: its 'a burial in 1853' may be his."""
        names = (item for item in telling.items if item.words and item.kind in ("name", "kin"))
        return any(is_person(item.words, self.cast.book) and self.cast.resolve(item)[0] is not self.cast.lead for item in names)

    def put(self, event: Event, people: list[tuple[Person, bool]], telling: Telling) -> None:
        """Add an event's statements for each of its persons."""
        if event.name == "marriage":
            people = self.couple(event, people)
        if event.name == "bore":
            self.put_birth(event, people, telling)
            return
        if event.name == "widowed":
            people = [(person.spouses[0], sure) for person, sure in people if len(person.spouses) == 1]
        for item in event.subjects:
            unowned = item.owner is None and any(other.given_to for other in event.objects)
            if event.name == "birth" and item.kind == "kin" and item.low.split()[0] in CHILD and (unowned or not item.words):
                self.put_birth(event, self.parents_of(event, item, telling), telling, item.words)
                return
        for parent in (item for item in event.objects if event.name == "birth" and item.given_to and people):
            found, clear = self.cast.resolve(parent)  # 'Lars was born to her'
            if found is not None and clear and found is not people[0][0]:
                beget(found, people[0][0])
        name = {"widowed": "death", "state": "act", "retired": "act", "divorce": "act"}.get(event.name, event.name)
        for person, sure in people:
            if event.when is None and event.age is None:
                continue
            if event.when is not None and not event.when.given and event.when.form == "part":
                sure = False
            if event.when is not None and not event.when.given and name not in ("baptism", "act"):
                sure = sure and all(said.when is None or said.when.year != event.when.year for said in person.said if said.event == "birth")
            age = event.age if event.age_of is None or self.cast.resolve(event.age_of)[0] is person else None
            deed = event.name in DEEDS and (event.active or event.name in ("marriage", "state", "census")) and sure
            self.add(name, person, event.when, age if len(people) == 1 else None, telling, sure, deed)

    def add(self, event: str, person: Person, when: When | None, age: Age | None, telling: Telling, sure: bool, deed: bool = False, at: tuple[Person, str] | None = None) -> None:
        sentence = telling.sentence
        self.facts.count += 1
        said = Said(event, person, when, age, self.cast.section, sentence.block, sentence.start, sentence.end, self.facts.count, sure, deed, at=at)
        person.said.append(said)
        self.said.append(said)

    def put_lengths(self, telling: Telling) -> None:
        """Stated lengths of time between two moments that are sure."""
        if telling.hedged is not None:
            return

        def resolve(item: Item) -> Person | None:
            if item.low in ("their", "they"):
                return self.cast.lead
            person, sure = self.cast.resolve(item)
            return person if sure else None

        for length in lengths(telling, resolve, self.cast.lead):
            owner = self.cast.lead or Person(())
            sentence = telling.sentence
            self.facts.count += 1
            said = Said("length", owner, None, None, self.cast.section, sentence.block, sentence.start, sentence.end, self.facts.count, True)
            self.facts.lengths.append((said, length))

    def couple(self, event: Event, people: list[tuple[Person, bool]]) -> list[tuple[Person, bool]]:
        """Bride and groom: two subjects, or a subject and the first person named after the verb."""
        if len(people) >= 2:
            self.cast.wed(people[0][0], people[1][0])
            return people[:2]
        if not people:
            return people
        one, sure = people[0]
        for item in event.objects:
            if item.kind == "pron" or (item.kind == "kin" and not item.words):
                continue
            other = self.cast.named(item.words) if is_person(item.words, self.cast.book) else None
            if other is None and item.kind == "name" and len(item.words) > 1 and max(map(len, item.words)) > 2 and (event.direct is item or item.given_to):
                other = Person(item.words)
            if other is not None and other is not one:
                self.cast.wed(one, other)
                return [(one, sure), (other, sure)]
        only = one.spouses[0] if any(item.low in PLURAL for item in event.subjects) and len(one.spouses) == 1 else None
        return [(one, sure), (only, sure)] if only else people

    def parents_of(self, event: Event, item: Item, telling: Telling) -> list[tuple[Person, bool]]:
        """Whose nameless child was born: 'his first child', 'a daughter was born to them', 'to his widow'."""
        if item.owner is not None:
            if item.owner.low == "their":
                return [(self.cast.lead, True)] if self.cast.lead else []
            person, sure = self.cast.resolve(item.owner)
        else:
            to = next((other for other in event.objects if other.given_to), None)
            person, sure = self.cast.resolve(to) if to is not None else (self.cast.lead, bool(event.objects))
        return [(person, sure)] if person is not None else []

    def put_birth(self, event: Event, parents: list[tuple[Person, bool]], telling: Telling, name: tuple[str, ...] = ()) -> None:
        """The birth of a child that is named only by its parents, or after 'gave birth to'."""
        if event.name == "bore":
            name = next((item.words for item in event.objects if item.words and item.kind in ("kin", "name")), ())
        for parent, sure in parents[:1]:
            lead = self.cast.lead
            if name and lead is not None and lead is not parent and alike(name, lead.name):
                self.add("birth", lead, event.when, None, telling, sure) if event.when else None
                continue
            child = Person(name)
            known = next((c for c in parent.children if name and alike(name[:1], c.name[:1])), None)
            child = known or child
            if not known:
                beget(parent, child)
                self.facts.people.append(child)
            if event.when is not None:
                self.add("birth", child, event.when, None, telling, sure)

    def put_ages(self, telling: Telling) -> None:
        """Ages that stand by themselves: 'who was seventeen', 'when she was forty-four', 'lived to be a hundred'."""
        for item, age in telling.ages:
            person, sure = self.cast.resolve(item) if item is not None else (None, False)
            if item is None and self.cast.here and len(self.cast.here) == 1 and age.text.lower().startswith(("lived", "reached")):
                person, sure = self.cast.here[0], True
            if person is None:
                continue
            sure = sure and telling.hedged is None
            if age.text.lower().startswith("lived"):
                self.add("lived", person, None, age, telling, sure)
                continue
            self.put_age(person, age, telling, sure)

    def put_age(self, person: Person, age: Age, telling: Telling, sure: bool) -> None:
        """An age of a person at the one dated thing she does in the sentence, or at another's birth or death."""
        text, cast = telling.sentence.text, self.cast
        at = text.find(age.text)
        closed = [when for when in telling.whens if when.closed]
        if "birthday" in age.text:
            end = at + len(age.text)
            beside = [when for when in closed if re.fullmatch(r",?\s(?:on\s)?", text[end : when.start] if when.start >= end else text[when.end : at])]
            if beside:
                self.add("aged", person, beside[0], age, telling, sure)
            return
        clock = re.search(r"\bwhen \w+ $", text[:at] + age.text[: age.text.find(" ") + 1]) if at >= 0 else None
        onward = text[at + len(age.text) :].lstrip().startswith("when")
        whens = [event for event in telling.events if event.subjects and (event.item.start > at or not onward)]
        mine = [event for event in whens if event.when is not None and event.when.closed and event.name not in ("birth", "baptism") and not event.many]
        mine = [event for event in mine if cast.resolve(event.subjects[0])[0] is person]
        if len(mine) == 1:
            self.add("aged", person, mine[0].when, age, telling, sure)
            return
        if not mine and len(closed) == 1 and cast.here == [person] and not any(event.name in ("birth", "baptism") for event in telling.events):
            self.add("aged", person, closed[0], age, telling, sure)
            return
        undated = [event for event in whens if event.when is None and event.name in ("birth", "death", "marriage")]
        other = cast.resolve(undated[0].subjects[0])[0] if len(undated) == 1 and (clock or onward) else None
        if other is not None and other is not person and (other.name or other in (person.father, person.mother)):
            self.add("aged", person, None, age, telling, sure, at=(other, undated[0].name))


def in_lineage(items: list[Item], at: int) -> bool:
    """True inside a bracket of names only: a line of descent."""
    if items[at].kind != "name":
        return False
    low = at
    while low >= 0 and (items[low].kind == "name" or items[low].text in (",", "_", "*", ".")):
        low -= 1
    return low >= 0 and items[low].text == "("


def _quoted(text: str, at: int) -> bool:
    """True inside quotation marks: somebody else's statement."""
    before = text[:at]
    return before.count("“") > before.count("”") or before.count('"') % 2 == 1


# ------------------------------------------------------------------------------------------------------------ the book


LIFESPAN = re.compile(r"\(\s*(?:b\.?\s|born\s)?[^()]{0,24}?\b1[0-9]\d\d[^()]{0,30}\)")
HEADER = re.compile(r"\b(?:children|child|issue|wife|husband|marriage|sons|daughters)\b", re.IGNORECASE)


def gather(book: Book) -> Facts:
    """Read every section, then tie the lists of children to the children's own sections."""
    facts = Facts()
    late = calendars.late(calendars.where(" ".join(sentence.text for sentence in book.sentences)))
    for section in book.sections:
        read_section(section, book, facts, late)
    link(book, facts)
    return facts


def read_section(section: StudiedSection, book: Book, facts: Facts, late: Where) -> None:
    """One section in reading order: its heading, its prose, its lists of children."""
    own = section.section
    name = bare(own.person) if own.person else titled(section)
    lead = Person(name, sex_in(section, name), section) if name else None
    if lead is not None:
        facts.people.append(lead)
        facts.own[id(section)] = lead
    where = late | calendars.where(" ".join(sentence.text for sentence in section.sentences))
    reader = Reader(section, Hearing(Cast(book, section, lead), facts), where)
    for block, sentences in blocks_of(section, book):
        if block.kind is Kind.CHILD:
            reader.child(sentences[0])
        else:
            reader.prose(block, sentences)
    reader.close()
    facts.tellings[id(section)] = reader.tellings


def titled(section: StudiedSection) -> tuple[str, ...]:
    """The name in a heading that was not taken for an entry, where the text goes on about somebody of that name."""
    own = section.section
    words = bare(own.title) if own.entry is not None and own.entry.kind is Kind.HEADING else ()
    opening = " ".join(sentence.text for sentence, _ in zip(section.sentences, range(3), strict=False))
    plain = 1 < len(words) < 5 and words[0] not in NO_NAME and len(own.title.split()) <= len(words) + 2
    return words if plain and re.search(rf"\b{re.escape(words[0])}\b", opening) else ()


def blocks_of(section: StudiedSection, book: Book) -> Iterator[tuple[Block, list[Sentence]]]:
    """The section's blocks in order with their sentences: also its entry, where that is a heading with dates or an item of a
    list, and a paragraph that ends by announcing the list of children, which the study counts to the list."""
    tagger = Tagger(book.people, set())
    own = section.section
    if own.entry is not None and own.person is not None and own.entry.kind is Kind.HEADING and re.search(r"\d{4}", own.entry.text):
        yield own.entry, [whole(own.entry, tagger)]
    known = {id(paragraph[0].block): paragraph for paragraph in section.paragraphs} | {id(child.block): [child] for child in section.children}
    for block in own.body:
        if id(block) in known:
            yield block, known[id(block)]
        elif block.kind is Kind.PARAGRAPH or (block is own.entry and block.kind is Kind.ITEM and own.person is not None):
            yield block, cut(block, tagger)
        elif block.kind is not Kind.QUOTATION:
            yield block, []


CAPITALS = re.compile(r"(?:\d+\.?\s+|[IVXLC]+\.\s+)?([A-Z][A-Z'’-]+(?:\s+(?:[A-Z][A-Z'’-]+|[A-Z]\.?|Mc[A-Z]+|[A-Z]-+))+),")


@dataclass(slots=True)
class Reader:
    """Goes through one section. An entry that the draft does not set apart, but which opens with another name in capitals,
    is read as that person's."""

    section: StudiedSection
    hearing: Hearing
    where: Where
    tellings: list[tuple[Telling, list[Said]]] = field(default_factory=list)
    header: str = ""
    brood: Brood | None = None

    def prose(self, block: Block, sentences: list[Sentence]) -> None:
        """A paragraph, or a block that is no prose and can only head a list."""
        self.header, self.brood = block.text[-200:], None
        if not sentences:
            return
        other = CAPITALS.match(block.text)
        lead = self.hearing.cast.lead
        if other and lead is not None and not alike(bare(other.group(1)), lead.name):
            self.close()
            person = Person(bare(other.group(1)))
            person.sex = sex_of(person.name[0]) if person.name else ""
            self.hearing = Hearing(Cast(self.hearing.cast.book, self.section, person), self.hearing.facts)
            self.hearing.facts.people.append(person)
            self.tellings += hear_paragraph(self.hearing, sentences, self.where, True)
        else:
            self.tellings += hear_paragraph(self.hearing, sentences, self.where, not self.tellings)

    def child(self, sentence: Sentence) -> None:
        """A line of a list of children."""
        cast, facts = self.hearing.cast, self.hearing.facts
        if cast.lead is None:
            return
        if self.brood is None:
            self.brood = start_brood(self.section, cast, self.header, facts)
        person, told = read_child(sentence, self.section, cast.book, facts, self.where)
        self.tellings += told
        if person is not None:
            adopt(self.brood, person, cast)

    def close(self) -> None:
        """Count the people that the prose has met."""
        facts = self.hearing.facts
        facts.people += [person for person in self.hearing.cast.met if person not in facts.people]


def hear_paragraph(hearing: Hearing, paragraph: list[Sentence], where: Where, first: bool) -> Iterator[tuple[Telling, list[Said]]]:
    """The sentences of one paragraph; a new paragraph speaks of the section's person again."""
    cast = hearing.cast
    cast.before, cast.topic = [], cast.lead if cast.lead is not None else cast.topic
    latest: When | None = None
    for sentence in paragraph:
        telling = tell(sentence, latest, where)
        yield telling, hearing.hear(telling, first)
        first = False
        latest = next((when for when in reversed(telling.whens) if when.year is not None and not when.fault), latest)


# -------------------------------------------------------------------------------------------------- lists of children


OF_COUPLE = re.compile(r"\b(?:[Cc]hildren|[Ii]ssue|[Cc]hild|CHILDREN|ISSUE)\b[^.;:]{0,30}?\b(?:of|by|with|born to)\s+(?P<names>(?:his |her |the )?[A-Z][^.;:\d]{1,80})")
HAVE = re.compile(r"^(?P<names>[A-Z][\w.]*(?: [A-Z][\w.]*)* and [A-Z][\w.]*(?: [A-Z][\w.]*)*) (?:had|have)\b")
BY_WIFE = re.compile(r"\b(?:wife|husband|marriage|married)\b", re.IGNORECASE)
NTH = {"first": 0, "1st": 0, "second": 1, "2nd": 1, "2d": 1, "third": 2, "3rd": 2, "3d": 2, "fourth": 3}


def start_brood(section: StudiedSection, cast: Cast, header: str, facts: Facts) -> Brood:
    """A new list of children: of the section's person, or of the couple that its header names."""
    assert cast.lead is not None
    parent, other = cast.lead, None
    named = OF_COUPLE.search(header) or HAVE.search(header)
    names = [name for part in re.split(r"\s+and\s+|,", named.group("names")) if (name := bare(part))][:2] if named else []
    if names and not any(alike(name, parent.name) for name in names) and not any(alike(names[0], spouse.name) for spouse in parent.spouses):
        parent = next((child for child in parent.children if alike(names[0], child.name)), Person(names[0]))
    for name in names:
        if not alike(name, parent.name):
            other = next((spouse for spouse in parent.spouses if spouse.name and alike(name, spouse.name)), None)
            if other is None and len(names) == 2:
                other = Person(name, sex_of(name[0]))
                cast.wed(parent, other)
    nth = next((NTH[word] for word in re.findall(r"\w+", header.lower()) if word in NTH), None) if BY_WIFE.search(header) else None
    if other is None and nth is not None and nth < len(parent.spouses):
        other = parent.spouses[nth]
    if other is None and len(parent.spouses) == 1 and nth in (None, 0):
        other = parent.spouses[0]
    pair = {person.sex: person for person in (other, parent) if person is not None and person.sex}
    brood = Brood(section, parent, [], pair.get("f"), pair.get("m"), one_mother=other is not None or parent.sex == "f")
    brood.unsexed = [person for person in (parent, other) if person is not None and not person.sex]
    facts.broods.append(brood)
    return brood


def read_child(child: Sentence, section: StudiedSection, book: Book, facts: Facts, where: Where) -> tuple[Person | None, list[tuple[Telling, list[Said]]]]:
    """One line of a list of children."""
    telling = tell(child, None, where)
    first = next((item for item in telling.items if item.kind not in ("bound", "word") or item.text.isalpha()), None)
    if first is None or first.kind != "name":
        return None, []
    person = Person(first.words, sex_of(first.words[0]) if first.words else "", entry=child)
    hearing = Hearing(Cast(book, section, person), facts)
    told = [(telling, hearing.hear(telling, True))]
    facts.people += [person, *hearing.cast.met]
    return person, told


def adopt(brood: Brood, person: Person, cast: Cast) -> None:
    """Add a child to its list; if the prose has named it already, the two are one."""
    adopted = re.search(r"\b(?:adopted|step|foster|illegitimate|natural (?:son|daughter)|reputed)", person.entry.text if person.entry else "")
    told = [child for child in brood.parent.children if child.entry is None] or []
    told += [met for met in cast.met if len(met.name) == 1 and met.entry is None and met not in told and met is not cast.lead and met not in brood.parent.spouses]
    known = next((child for child in told if child.name and person.name and alike(child.name[:1], person.name[:1])), None)
    if known is not None and not adopted:
        merge(known, person)
        brood.parent.children = [child for child in brood.parent.children if child is not known]
        cast.met[:] = [person if met is known else met for met in cast.met]
    brood.children.append(person)
    for parent in {id(p): p for p in (brood.parent, brood.father, brood.mother) if p is not None}.values():
        parent.children.append(person)
    if adopted:
        brood.one_mother = False
    else:
        person.father, person.mother = brood.father or person.father, brood.mother or person.mother
        person.elders = brood.unsexed


def merge(one: Person, into: Person) -> None:
    """Two entries are one person: all statements go to the second."""
    one.same = into
    into.said += [replace(said, person=into) for said in one.said]
    into.said.sort(key=lambda said: said.order)
    into.spouses += [spouse for spouse in one.spouses if not any(alike(spouse.name, known.name) for known in into.spouses if known.name)]
    into.children += [child for child in one.children if not any(alike(child.name[:1], known.name[:1]) for known in into.children)]
    into.sex, into.entry = into.sex or one.sex, into.entry or one.entry
    into.father, into.mother = one.father or into.father, one.mother or into.mother
    into.parents, into.elders = into.parents or one.parents, into.elders or one.elders


# ------------------------------------------------------------------------------------------------------------ linking


LABEL = re.compile(r"^\s*(?P<plus>\+)?\s*(?P<number>\d{1,4}(?:[.-]\d{1,2})*)?\.?\s*(?P<roman>[ivxl]{1,7}\.)?")


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
                if mentioned is not None and real is not None and mentioned is not real and (not mentioned.name or alike(mentioned.name, real.name)):
                    merge(mentioned, real)
            merge(child, own)
            brood.children[at] = own
            brood.parent.children = [own if each is child else each for each in brood.parent.children]
            if child in facts.people:
                facts.people.remove(child)
    link_couples(facts)
    facts.people = [person for person in facts.people if person.same is None]


def link_couples(facts: Facts) -> None:
    """A husband or wife who has a section under that very name, and nobody else has it, is that section's person."""
    by_name: dict[tuple[str, ...], list[Person]] = defaultdict(list)
    for person in facts.own.values():
        by_name[person.name].append(person)
    for person in facts.people:
        for spouse in person.spouses:
            found = by_name.get(spouse.name, [])
            if len(spouse.name) > 1 and len(found) == 1 and one_and_the_same(spouse, found[0], person):
                merge(spouse, found[0])
        person.spouses = [spouse.real for spouse in person.spouses]
    for brood in facts.broods:
        brood.mother, brood.father = brood.mother and brood.mother.real, brood.father and brood.father.real


def one_and_the_same(spouse: Person, own: Person, partner: Person) -> bool:
    """False where a namesake is likelier: other parents, another husband or wife, a birth that does not fit."""
    if spouse.section is not None or spouse.entry is not None or own is partner or spouse.name[-1:] == partner.name[-1:]:
        return False
    if spouse.parents and own.parents and not alike(spouse.parents[0], own.parents[0]):
        return False
    return not own.spouses or any(alike(partner.name, known.name) for known in own.spouses)


class Finder:
    """Finds a child's own section by number, by line of descent, by the parents it names, or by a name that is unique."""

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
        self.names = defaultdict(int)
        for brood in facts.broods:
            for child in brood.children:
                self.names[self.full(child, brood)] += 1

    @staticmethod
    def label(child: Person) -> dict[str, str | None]:
        """The parts of the number printed before a child."""
        block = child.entry.block if child.entry else None
        match = LABEL.match(f"{block.label} {block.text}" if block and block.label else block.text if block else "")
        return match.groupdict() if match else {"plus": None, "number": None, "roman": None}

    @staticmethod
    def full(child: Person, brood: Brood) -> tuple[str, ...]:
        """Forename and surname; a child whose line gives none has her father's."""
        father = brood.father or brood.parent
        family = father.name[-1] if father.name else ""
        last = child.name[-1] if len(child.name) > 1 else ""
        known = {family, brood.parent.name[-1] if brood.parent.name else "", *(s.name[-1] for s in brood.parent.spouses if s.name)}
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
        same = [person for person in self.by_forename[child.name[0]] if person.name[-1] == full[-1]]
        if not sure and len(same) == 1 and same[0] in rivals and self.names[full] == 1 and not same[0].parents and not (same[0].section and same[0].section.section.lineage):
            return same[0]
        return None

    def may_be(self, person: Person, child: Person, brood: Brood) -> bool:
        """False for a section that stands before the parents' or belongs to another generation."""
        assert person.section is not None
        here, there = brood.section.section, person.section.section
        if self.order[id(person.section)] <= self.order[id(brood.section)]:
            return False
        return here.generation is None or there.generation is None or there.generation == here.generation + 1

    @staticmethod
    def descends(person: Person, brood: Brood) -> bool:
        """True when the printed line of descent runs through the parent."""
        assert person.section is not None
        lineage = [bare(name) for name in person.section.section.lineage]
        above = [bare(name) for name in brood.section.section.lineage]
        if not lineage or not brood.parent.name or not alike(lineage[0][:1], brood.parent.name[:1]):
            return False
        return len(lineage) - 1 == len(above) and all(alike(a[:1], b[:1]) for a, b in zip(lineage[1:], above, strict=True))

    @staticmethod
    def names_parents(person: Person, brood: Brood) -> bool:
        """True when the section says 'son of' both parents of this list."""
        if len(person.parents) < 2 or brood.father is None or brood.mother is None:
            return False
        return all(any(alike(name, parent.name) and len(name) > 1 for name in person.parents) for parent in (brood.father, brood.mother))
