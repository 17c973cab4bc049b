"""Who is who in one section: names, pronouns and words of kinship find their person."""

from __future__ import annotations

from dataclasses import dataclass, field

from storylint.study.given_names import sex_of
from storylint.study.items import Item, is_mine
from storylint.study.lexicon import CHILD, MAN, PARENT, SPOUSE, TITLES, WOMAN
from storylint.study.persons import Person, alike, beget, is_person, merge, sex_of_kin
from storylint.study.study import Book, StudiedSection

TITLED = dict.fromkeys("Mr Sir Captain Capt Master Squire Rev".split(), "m")
BYNAMES = frozenset("Big Little Old Young".split())
# What a family calls one of its own: 'Long James'. Who is called so in his own section is its person.
EPITHETS = frozenset(
    """Long Short Tall Fat Black Red White Fair Dark Grey Gray Blind Lame Deaf Wild Mad Crazy Honest Good Great Strong Gentle
    Silent Wee Lucky Handsome Pretty Fighting Bold Blue""".split()
)
TITLED |= dict.fromkeys("Mrs Miss Ms Lady Widow".split(), "f")


# Of these the author has one, as far as one section goes; any other 'my brother' may be another.
ONLY_ONE = frozenset("father mother husband wife".split())


def kin_of_author(book: Book) -> dict[object, Person]:
    """The author's relatives by ``key_of_kin``, as they are met."""
    return book.once("kin of the author", dict[object, Person])


def key_of_kin(item: Item, section: StudiedSection) -> object:
    """What tells the author's relatives without a name apart."""
    word = item.low.split()[0]
    return (word, id(section)) if word in ONLY_ONE else id(item)


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
    nameless: set[str] = field(default_factory=set)  # the sex of each 'the boss's son' whom nothing names
    sexes_before: set[str] = field(default_factory=set)  # the sexes of the kin in the sentence before
    kinsfolk: list[Person] = field(default_factory=list)  # the lead's brothers, aunts and so on: no children of his
    of_parents: bool = False  # the sentence before told of somebody's parents: 'they' may mean them
    elders: list[Person] = field(default_factory=list)  # named only as somebody's parents
    offspring: bool = False  # this sentence has spoken of children

    def named(self, words: tuple[str, ...]) -> Person | None:
        """The person of that name, or a new one; None for a name of no person."""
        if not words:
            return None
        lead = self.lead
        if len(words) > 1 and words[0] in EPITHETS and self.bears(words[1:]):
            words = words[1:]
        if (
            lead is not None
            and lead.name
            and (
                alike(words, lead.name)
                or self._married_name(words, lead)
                or (len(words) == 1 and words[0] == lead.name[-1])
                or self._short_name(words, lead)
            )
        ):
            return lead
        family = [*lead.spouses, *lead.children, lead.father, lead.mother] if lead else []
        for person in (*family, *reversed(self.met)):
            if person is not None and (
                alike(words, person.name)
                or (person.sex == "f" and len(words) == 1 == len(person.name[:1]) and words == person.name[:1])
            ):
                if len(words) > len(person.name):
                    person.name = words
                return person
        return self.stranger(words) if is_person(words, self.book) else None

    def bears(self, words: tuple[str, ...]) -> bool:
        """True where somebody of the section has this name."""
        known = (*self.met, *((self.lead,) if self.lead is not None else ()))
        return any(alike(words, person.name) for person in known)

    def stranger(self, words: tuple[str, ...]) -> Person:
        """Someone named for the first time."""
        person = Person(words, sex_of(words[0]))
        self.met.append(person)
        return person

    def _short_name(self, words: tuple[str, ...], lead: Person) -> bool:
        """'Pat' for Patrick: the beginning of her forename that is no whole forename itself."""
        short = words[0]
        return (
            len(words) == 1
            and len(short) > 2
            and lead.name[0].startswith(short)
            and not sex_of(short)
            and short not in self.book.people
        )

    @staticmethod
    def _married_name(words: tuple[str, ...], lead: Person) -> bool:
        """'Kaliopi Mavrellis' for Kaliopi Magkou, whose husband is a Mavrellis."""
        return words[0] == lead.name[0] and any(spouse.name and words[-1] == spouse.name[-1] for spouse in lead.spouses)

    def pronoun(self, word: str) -> tuple[Person | None, bool]:
        """Whom 'he' or 'she' means, and whether nobody else can be meant."""
        sex = "m" if word in MAN else "f"
        fits = [person for person in self.here if person.sex in (sex, "")]
        known = [person for person in fits if person.sex == sex]
        earlier = [person for person in self.before if person.sex == sex]
        may_be = (sex,) if earlier else (sex, "")
        lead = self.lead if self.lead is not None and self.lead.sex in may_be else None
        pool = (
            known
            or ([self.topic] if self.topic is not None and self.topic.sex == sex else [])
            or ([lead] if lead else [])
            or earlier
            or fits
        )
        if not pool:  # only one such person has been named in the whole section
            named = [*self.met, *(self.lead.spouses if self.lead else [])]
            others = list(
                {
                    id(person): person for person in named if person.sex in (sex, "") and person not in self.elders
                }.values()
            )
            only = len(others) == 1
            return (others[0], others[0].sex == sex and sex not in self.nameless) if only else (None, False)
        chosen = pool[0]
        vague = [self.topic] if self.topic is not None and not self.topic.sex else []
        rivals = {
            id(person)
            for person in (*known, *vague, *earlier, *([lead] if lead else []), *[p for p in fits if p.sex == ""])
        } - {id(chosen)}
        self.meant = self.meant or chosen is self.lead
        steady = (
            chosen is self.lead
            and chosen is self.topic
            and not (self.here and self.here[0] is not chosen and self.here[0].sex == sex)
        )
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
            if item.thing and len(item.words) == 1:  # 'the Rees farm'
                return None, False
            title = item.text.split()[0].rstrip(".")
            if title in BYNAMES and not BYNAMES.isdisjoint({*self.section.section.title.split()[:1]} - {title}):
                return Person(item.words), False  # 'Little Rhys' in the entry of Big Rhys
            person = self.named(item.words)
            if person is None and len(item.words) > 1 and title in TITLES:
                person = self.stranger(item.words)
            if person is not None and not person.sex:
                person.sex = TITLED.get(title, "")
            if person is not None and person is self.lead and self.offspring and len(item.words) == 1:
                return person, False  # in 'their children were Asa and Submit' Asa is a son of the same name
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
        if item.apposed is not None:
            return self.resolve(item.apposed)
        if is_mine(item):
            return self.of_author(item, word), True
        owner, sure = self.resolve(item.owner) if item.owner is not None else (None, False)
        if item.borne and owner is None and self.here:
            owner, sure = self.here[0], len(self.here) == 1 and self.here[0] is self.lead
        if item.owner is not None and item.owner.low == "their":
            others = sum(person is not self.lead for person in self.here)
            owner, sure = (
                (self.lead, True) if others < 2 else (None, False)
            )  # 'Per, his wife Stina, and their son Nils'
        if word in SPOUSE:
            return self._spouse(owner, sure, word, item.words)
        if word in CHILD:
            return self._child(owner, sure, word, item.words, item.owner.low if item.owner is not None else "")
        if word in PARENT and owner is not None:
            return self._parent(owner, sure, word, item.words)
        if item.words:
            person = self.named(item.words) or self.stranger(item.words)
            if person is (owner or self.lead):  # 'his brother Owen', who was called so too
                person = self.stranger(item.words)
            person.sex = person.sex or sex_of_kin(word)
            if owner is self.lead and person is not self.lead:
                self.kinsfolk.append(person)
            return person, True
        return Person((), sex_of_kin(word)), False

    def of_author(self, item: Item, word: str) -> Person:
        """'my mother', 'our eldest son John': of the author's family, whoever the section is about."""
        kin, key = kin_of_author(self.book), key_of_kin(item, self.section)
        known = kin[key].real if key in kin else None
        person = (self.named(item.words) or self.stranger(item.words)) if item.words else known
        if known is not None and not known.name and person is not known and person is not None:
            merge(known, person)
            self.met = [each for each in self.met if each is not known]
        person = person or Person((), sex_of_kin(word))
        person.sex = person.sex or sex_of_kin(word)
        if person is not self.lead and person not in self.met:
            self.met.append(person)
        if person is not self.lead and person not in self.kinsfolk:
            self.kinsfolk.append(person)
        kin[key] = person
        return person

    def _spouse(
        self, owner: Person | None, sure: bool, word: str, words: tuple[str, ...]
    ) -> tuple[Person | None, bool]:
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

    def _child(
        self, owner: Person | None, sure: bool, word: str, words: tuple[str, ...], whose: str = ""
    ) -> tuple[Person | None, bool]:
        if not words:
            self.nameless.add(CHILD[word])
            return Person((), CHILD[word]), False
        if owner is None:  # 'Their elder daughter, Ann Lee, born 1954': whose she is may stay open, she is somebody
            found = next((person for person in self.met if person.name == words), None)
            return found or self.stranger(words), found is None
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
