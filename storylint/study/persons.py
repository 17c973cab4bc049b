"""The people of a draft and the statements about them: plain data, and what makes two names one person's."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from difflib import SequenceMatcher

from storylint.draft.forenames import FORENAMES
from storylint.draft.model import Block
from storylint.study.ages import Age
from storylint.study.dates import When
from storylint.study.given_names import sex_by_descent, sex_of
from storylint.study.items import name_words
from storylint.study.lengths import Length
from storylint.study.lexicon import CHILD, PARENT, SEVERAL, SIBLING, SPOUSE
from storylint.study.people import NO_NAME
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.telling import Telling


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
    spelled: str = ""  # the name as the draft spells it, with its particles

    @property
    def real(self) -> Person:
        """This person, or the one that it turned out to be."""
        return self if self.same is None else self.same.real

    @property
    def called(self) -> str:
        """The name as a reader would say it."""
        return self.spelled or " ".join(self.name) or {"f": "she", "m": "he"}.get(self.sex, "the child")

    def of(self, *events: str) -> list[Said]:
        """The sure dated statements of these events in reading order, each date once."""
        if not self.said:
            return []
        found: dict[object, Said] = {}
        for said in self.said:
            if said.event in events and said.sure and said.when is not None:
                found.setdefault(
                    (said.event, said.when.earliest, said.when.latest, said.when.qualifier, said.deed), said
                )
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
    mine: dict[object, Person] = field(default_factory=dict)  # the author's relatives; see ``cast.key_of_kin``
    lengths: list[tuple[Said, Length]] = field(default_factory=list)  # stated lengths of time, each with its sentence
    count: int = 0

    def person(self, section: StudiedSection) -> Person | None:
        """Whom the section is about."""
        return self.own.get(id(section))


def bare(name: str) -> tuple[str, ...]:
    """The words of a name without titles, digits and brackets."""
    return name_words(tuple(re.sub(r"[()\[\]*_,]", " ", name).split()))


def alike(a: tuple[str, ...], b: tuple[str, ...]) -> bool:
    """True when two names can be one person's: the same forename, and no two different surnames."""
    if not a or not b or a[0][:1] != b[0][:1] or not _same_word(a[0], b[0]):
        return False
    return len(a) == 1 or len(b) == 1 or set(a) <= set(b) or set(b) <= set(a) or same_surname(a[-1], b[-1])


def same_surname(a: str, b: str) -> bool:
    """The same surname, give or take its spelling: Hallock and Hallick."""
    return a == b or (
        len(a) > 4 and len(b) > 4 and a[0] == b[0] and SequenceMatcher(None, a.lower(), b.lower()).ratio() > 0.8
    )


# Forenames as clerks shortened them; common practice, no source.
CLERKS = dict(
    pair.split("=")
    for pair in """Jas=James Wm=William Thos=Thomas Geo=George Chas=Charles Jno=John Robt=Robert Saml=Samuel Danl=Daniel
    Benj=Benjamin Jos=Joseph Edw=Edward Edwd=Edward Eliz=Elizabeth Margt=Margaret Richd=Richard Nathl=Nathaniel
    Alexr=Alexander Fredk=Frederick Hy=Henry Jona=Jonathan""".split()
)


def _same_word(a: str, b: str) -> bool:
    return (
        CLERKS.get(a, a) == CLERKS.get(b, b) or (len(a) == 1 and b.startswith(a)) or (len(b) == 1 and a.startswith(b))
    )


OF_PLACES = frozenset("County Township Parish Street Road Avenue Church Chapel Cemetery Churchyard".split())


def is_person(words: tuple[str, ...], book: Book) -> bool:
    """True when a run of capitals names a person and not a place, a month or a ship."""
    if not words or words[0] in NO_NAME or words[-1] in OF_PLACES or max(map(len, words)) < 3:
        return False
    return (
        words[0] in FORENAMES
        or bool(sex_of(words[0]))
        or words[0] in book.people.forenames
        or " ".join(words) in book.people.full
        or words[-1] in book.people.surnames
    )


SEX_OF_KIN = SPOUSE | CHILD | PARENT | SIBLING


def sex_of_kin(word: str) -> str:
    """'f', 'm' or '' for a word of kinship."""
    last = word.lower().split("-in-")[0].rsplit("-", 1)[-1]
    if last in SEVERAL:
        return "p"  # several: no pronoun of one person means them
    if last in SEX_OF_KIN:
        return SEX_OF_KIN[last]
    if last.endswith(("mother", "daughter", "sister", "niece", "aunt")):
        return "f"
    return "m" if last.endswith(("father", "son", "brother", "nephew", "uncle")) else ""


PRONOUN = re.compile(r"\b(?:(he|him|his|himself)|(she|her|hers|herself))\b", re.IGNORECASE)
SON_OF = re.compile(r"\b(?:son|(daughter))\s+(?:and heir\s+)?of\b")


def sex_in(section: StudiedSection, name: tuple[str, ...]) -> str:
    """A person's sex from the words of her section: 'daughter of', the forename, the pronouns of its opening."""
    text = " ".join(sentence.text for sentence, _ in zip(section.sentences, range(12), strict=False))
    of = SON_OF.search(text[:160])
    if of and section.section.person:
        return "f" if of.group(1) else "m"
    known = (sex_by_descent(name) or sex_of(name[0])) if name else ""
    if known:
        return known
    found = PRONOUN.findall(text)
    men = sum(1 for man, _ in found if man)
    return "m" if men > 2 * (len(found) - men) else "f" if len(found) - men > 2 * men else ""


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


def merge(one: Person, into: Person) -> None:
    """Two entries are one person: all statements go to the second."""
    one.same = into
    into.said += [replace(said, person=into) for said in one.said]
    into.said.sort(key=lambda said: said.order)
    into.spouses += [
        spouse
        for spouse in one.spouses
        if not any(alike(spouse.name, known.name) for known in into.spouses if known.name)
    ]
    into.children += [
        child for child in one.children if not any(alike(child.name[:1], known.name[:1]) for known in into.children)
    ]
    into.sex, into.entry = into.sex or one.sex, into.entry or one.entry
    into.father, into.mother = one.father or into.father, one.mother or into.mother
    into.parents, into.elders = into.parents or one.parents, into.elders or one.elders
