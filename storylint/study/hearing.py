"""From what sentences tell to statements about persons. What could be of somebody else is kept, but is not sure."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

from storylint.study.ages import Age
from storylint.study.cast import Cast
from storylint.study.dates import When
from storylint.study.given_names import sex_of
from storylint.study.items import Item, in_speech, is_mine, of_persons
from storylint.study.lengths import lengths
from storylint.study.lexicon import CHILD, LIGHT, MAN, PLURAL, SPOUSE
from storylint.study.persons import Facts, Person, Said, alike, beget, is_person, sex_of_kin
from storylint.study.telling import Event, Telling

AWAY = frozenset("in at near from on off to after before through outside beside".split())
PAPERS = frozenset(("discharge", "will", "citizen", "obituary", "enlist", "probate"))
VITAL = frozenset(("birth", "baptism", "death", "burial", "marriage"))
ELDERS = frozenset("father mother parents grandfather grandmother grandparents".split())
BEGINNINGS = frozenset(("birth", "baptism"))
# 'She died on 8 January 1958. She was eighty-two.'
ONLY_AGE = re.compile(
    r"^(?:He|She|[A-Z]\w+) was (?:then |only |just |but |not yet )?[\w-]+(?: years (?:old|of age))?\W*$"
)
ONWARD = re.compile(r";|,? (?:and|but) (?:\w+ )?[\w-]+ when\b")  # 'thirty when he married, and fifty when he left'
WHEN = re.compile(r"\swhen\b,?")
# Where the clause after 'He was twelve when' ends: what is told and dated from there on he need not have been twelve for.
TURN = re.compile(
    r"[;:—–(]|,(?!\s(?:in|on|at|about|early|late)\s|\s[A-Z]|\s\d)|\b(?:and|but|which|who|that|until|though|although|while)\b"
)
ASIDE = re.compile(
    r",? (?:and|but)\b(?! (?:a|an|the|still|yet|\w+ing|not)\b)|, (?:of |from |in |on |to |by )?(?:which|who|whom)\b"
)
NOW = frozenset("is are has".split())  # 'She is expecting a child in March': of the year of writing
DEEDS = frozenset(("act", "state", "enlist", "arrival", "citizen", "marriage", "census", "retired", "divorce", "bore"))


@dataclass(slots=True)
class Hearing:
    """Turns the tellings of one section, or of one child's entry, into statements."""

    cast: Cast
    facts: Facts
    said: list[Said] = field(default_factory=list)
    last: Said | None = None  # what the sentence before dates, where it dates one thing only
    # The paper that the sentence before is about, whose it is, and whether its date is told.
    noun: tuple[str, list[tuple[Person, bool]], bool] | None = None

    def hear(self, telling: Telling, opening: bool) -> list[Said]:
        """The statements of one sentence, which keeps of its items those that can mean somebody."""
        cast = self.cast
        cast.here, cast.known, cast.aside, cast.meant, cast.offspring = [], {}, set(), False, False
        items, start = telling.items, len(self.said)
        waiting = deque(at for at, item in enumerate(items) if item.person)
        topic: Person | None = None
        self.refer(telling)
        self.christen(items)
        for event in sorted(telling.events, key=lambda e: e.item.start):
            self.meet_before(event.item.start, items, waiting)
            people = list(self.whose(event, telling, opening))
            if people and topic is None and event.how in ("said", "apposed"):
                topic = people[0][0]
            elif (
                topic is None
                and event.how == "said"
                and len(event.subjects[0].words) > 1
                and event.subjects[0].kind == "name"
                and not event.subjects[0].thing
            ):
                topic = Person(event.subjects[0].words)  # a person or a ship: 'she' may mean it
            self.put(event, people, telling)
        self.meet_before(len(telling.sentence.text), items, waiting)
        for item, when in telling.loose:
            named = next((person for person in cast.met if person.name == item.words), None)
            if named is not None:
                self.add("act", named, when, None, telling, telling.hedged is None, True)
        self.put_ages(telling)
        self.put_lengths(telling)
        cast.topic = (
            topic
            if topic is not None
            else (
                cast.lead if any(person is cast.lead for person in cast.here) else cast.topic if not cast.here else None
            )
        )
        cast.before = list(cast.here)
        self.note_paper(telling)
        kin = [item.low.split()[0] for item in telling.items if item.kind == "kin"]
        cast.sexes_before = {CHILD.get(word) or sex_of_kin(word) for word in kin if word not in ELDERS}
        cast.of_parents = any(word in ELDERS for word in kin)
        telling.items = of_persons(telling.items)
        dated = [said for said in self.said[start:] if said.when is not None]
        self.last = dated[0] if len(dated) == len(telling.whens) == 1 and dated[0].sure else None
        return self.said[start:]

    def christen(self, items: list[Item]) -> None:
        """'She, Kunigunde, died': the name of the nameless wife of the sentence before."""
        if len(items) < 4 or items[0].low not in ("he", "she") or items[2].kind != "name":
            return
        person, sure = self.cast.resolve(items[0])
        if items[1].text == items[3].text == "," and person is not None and person is not self.cast.lead:
            person.name = person.name or items[2].words
            self.cast.known[id(items[2])] = (person, sure)

    def refer(self, telling: Telling) -> None:
        """'I have his discharge. It is dated 9 June 1862', 'His will is dated 1734. It was proved in 1735': the paper of the
        sentence before.
        """
        first = telling.events[0] if telling.events else None
        if (
            self.noun is not None
            and first is not None
            and telling.sentence.lower[:1] == ["it"]
            and first.when is not None
        ):
            name, people, dated = self.noun
            proved = name == "will" and first.name == "probate"
            if proved or (LIGHT.match(first.item.low) and not dated):
                self.put(Event("probate" if proved else name, first.item, how="said", when=first.when), people, telling)

    def note_paper(self, telling: Telling) -> None:
        """The one paper that this sentence is about, for the next."""
        nouns = [event for event in telling.events if event.item.kind == "noun"]
        papers = [event for event in nouns if event.how == "said" and event.name in PAPERS]
        self.noun = None
        if len(papers) == 1:
            found = [self.cast.resolve(item) for item in papers[0].subjects]
            owners = [(person, sure) for person, sure in found if person is not None]
            self.noun = (papers[0].name, owners, papers[0].when is not None)

    def meet_before(self, end: int, items: list[Item], waiting: deque[int]) -> None:
        """Meet those people of the sentence who have not been met and are named before the offset ``end``."""
        while waiting and items[waiting[0]].start < end:
            self.meet(items, waiting.popleft())

    def meet(self, items: list[Item], at: int) -> None:
        """Take note of a person as she is named, and of 'son of X and Y'."""
        item, cast = items[at], self.cast
        cast.offspring = cast.offspring or (item.kind == "kin" and item.low in ("children", "sons", "daughters"))
        if item.low in PLURAL or in_lineage(items, at) or id(item) in cast.aside:
            return
        if (
            item.kind == "name"
            and at
            and items[at - 1].low in AWAY
            and not any(alike(item.words, person.name) for person in (*cast.met, *([cast.lead] if cast.lead else [])))
        ):
            return
        if (
            item.kind == "kin"
            and item.low in SPOUSE
            and item.owner is None
            and not item.words
            and self.wife_of(items, at)
        ):
            return
        if (
            item.kind == "kin"
            and item.low in ("son", "daughter", "child")
            and not item.words
            and self.parentage(items, at)
        ):
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
        if event.how == "unknown":
            return
        sure = (
            not event.many and telling.sure(event.item.start) and not in_speech(telling.sentence.text, event.item.start)
        )
        if event.how == "initial":
            alone = opening or event.name not in VITAL or all(person is cast.lead for person in cast.before)
            if cast.lead is not None:
                yield cast.lead, sure and alone
            return
        if event.how == "default" and not event.subjects:
            if cast.lead is not None and (cast.topic in (None, cast.lead)):
                spoken = event.name != "census" or any(
                    item.kind in ("name", "pron") and cast.resolve(item)[0] is cast.lead
                    for item in telling.items
                    if item.low not in PLURAL
                )
                yield cast.lead, sure and spoken and not self.names_another(telling)
            return
        for item in event.subjects:
            if item.low in PLURAL and event.name == "marriage" and cast.lead is not None:
                yield cast.lead, sure and len(cast.lead.spouses) < 2 and not cast.of_parents
                continue
            person, clear = cast.resolve(item)
            if (
                person is None
                and item.kind == "name"
                and item.words
                and event.name in VITAL
                and (len(item.words) > 1 or item.start == 0)
            ):
                person, clear = cast.stranger(item.words), True
                cast.here.append(person)
            if person is not None:
                sex = "m" if item.low in MAN else "f"
                son = item.kind == "pron" and event.name == "birth" and sex in cast.sexes_before
                other = person is cast.lead and (event.how == "after" or (son and self.born_already(person)))
                yield person, sure and clear and not other

    def born_already(self, person: Person) -> bool:
        """True when the birth of this person has been told: 'one son, the heir. He was born in 1829' is the son's."""
        return any(said.event == "birth" and said.person is person for said in self.said)

    def names_another(self, telling: Telling) -> bool:
        """True when the sentence names somebody else: its 'a burial in 1853' may be his."""
        names = (item for item in telling.items if item.words and item.kind in ("name", "kin"))
        return any(
            is_person(item.words, self.cast.book) and self.cast.resolve(item)[0] is not self.cast.lead for item in names
        )

    def put(self, event: Event, people: list[tuple[Person, bool]], telling: Telling) -> None:
        """Add an event's statements for each of its persons; a deed without date and age makes none."""
        if event.when is None and event.age is None and event.name in ("act", "state"):
            return
        if event.name == "marriage":
            people = self.couple(event, people)
        if event.name == "bore":
            self.put_birth(event, people, telling)
            return
        if event.name == "widowed":
            people = [(person.spouses[0], sure) for person, sure in people if len(person.spouses) == 1]
        for item in event.subjects if event.name == "birth" else ():
            unowned = item.owner is None and any(other.given_to for other in event.objects)
            childs = item.kind == "kin" and item.low.split()[0] in CHILD and not is_mine(item)
            if childs and (unowned or not item.words):
                self.put_birth(event, self.parents_of(event, item, telling), telling, item.words)
                return
        for parent in (item for item in event.objects if event.name == "birth" and item.given_to and people):
            found, clear = self.cast.resolve(parent)  # 'Lars was born to her'
            if found is not None and clear and found is not people[0][0]:
                beget(found, people[0][0])
        if event.item.low == "lost" and event.when is not None and event.objects and people:
            gone, clear = self.cast.resolve(event.objects[0])
            if (
                gone is not None
                and gone is not people[0][0]
                and gone in (*people[0][0].spouses, *people[0][0].children)
            ):
                self.add("death", gone, event.when, None, telling, clear and people[0][1])
        name = {"widowed": "death", "state": "act", "retired": "act", "divorce": "act"}.get(event.name, event.name)
        for person, sure in people:
            if event.when is None and event.age is None:
                continue
            if event.when is not None and not event.when.given and (event.when.form == "part" or event.item.low in NOW):
                sure = False
            if event.when is not None and leans(event.when) and (name == "birth" or turn_of_year(event.when, telling)):
                sure = False
            if event.when is not None and not event.when.given and name not in ("baptism", "act"):
                sure = sure and all(
                    said.when is None or said.when.year != event.when.year
                    for said in person.said
                    if said.event == "birth"
                )
            age = event.age if event.age_of is None or self.cast.resolve(event.age_of)[0] is person else None
            deed = event.name in DEEDS and (event.active or event.name in ("marriage", "state", "census")) and sure
            alone = len(people) == 1 or event.age_of is not None
            self.add(name, person, event.when, age if alone else None, telling, sure, deed)

    def add(
        self,
        event: str,
        person: Person,
        when: When | None,
        age: Age | None,
        telling: Telling,
        sure: bool,
        deed: bool = False,
        at: tuple[Person, str] | None = None,
    ) -> None:
        sentence = telling.sentence
        self.facts.count += 1
        said = Said(
            event,
            person,
            when,
            age,
            self.cast.section,
            sentence.block,
            sentence.start,
            sentence.end,
            self.facts.count,
            sure,
            deed,
            at=at,
        )
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
            said = Said(
                "length",
                owner,
                None,
                None,
                self.cast.section,
                sentence.block,
                sentence.start,
                sentence.end,
                self.facts.count,
                True,
            )
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
            if (
                other is None
                and item.kind == "name"
                and len(item.words) > 1
                and max(map(len, item.words)) > 2
                and (event.direct is item or item.given_to)
            ):
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

    def put_birth(
        self, event: Event, parents: list[tuple[Person, bool]], telling: Telling, name: tuple[str, ...] = ()
    ) -> None:
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
            if (
                item is None
                and self.cast.here
                and len(self.cast.here) == 1
                and age.text.lower().startswith(("lived", "reached"))
            ):
                person, sure = self.cast.here[0], True
            if person is None:
                continue
            sure = sure and telling.sure(max(0, telling.sentence.text.find(age.text)))
            if age.text.lower().startswith("lived"):
                self.add("lived", person, None, age, telling, sure)
                continue
            self.put_age(person, age, telling, sure)

    def put_age(self, person: Person, age: Age, telling: Telling, sure: bool) -> None:
        """An age of a person at the one dated thing she does in the sentence, or at another's birth or death."""
        text, cast, last = telling.sentence.text, self.cast, self.last
        alone = all(other is person or other.sex not in (person.sex, "") for other in cast.before)
        own = last is not None and last.person is person and last.event not in BEGINNINGS
        if last is not None and own and alone and ONLY_AGE.match(text):
            self.add("aged", person, last.when, age, telling, sure)
            return
        at = text.find(age.text)
        other_age = ONWARD.search(text, at + len(age.text)) if at >= 0 else None
        stop = other_age.start() if other_age else len(text)
        if at >= 0:
            then = WHEN.match(text, at + len(age.text))
            turn = TURN.search(text, then.end(), stop) if then else ASIDE.search(text, at + len(age.text), stop)
            stop = turn.start() if turn else stop
        closed = [when for when in telling.whens if when.closed and when.start < stop]
        if age.years is None and len(closed) > 1:  # 'baptised on the day on which she was six weeks old, buried on ...'
            return
        if "birthday" in age.text:
            end = at + len(age.text)
            beside = [
                when
                for when in closed
                if re.fullmatch(r",?\s(?:on\s)?", text[end : when.start] if when.start >= end else text[when.end : at])
            ]
            if beside:
                self.add("aged", person, beside[0], age, telling, sure)
            return
        clock = re.search(r"\bwhen \w+ $", text[:at] + age.text[: age.text.find(" ") + 1]) if at >= 0 else None
        onward = text[at + len(age.text) :].lstrip().startswith("when")
        whens = [
            event
            for event in telling.events
            if event.subjects and event.item.start < stop and (event.item.start > at or not onward)
        ]
        mine = [
            event
            for event in whens
            if event.when is not None
            and event.when.closed
            and event.name not in ("birth", "baptism")
            and not event.many
        ]
        mine = [event for event in mine if cast.resolve(event.subjects[0])[0] is person]
        near = min(closed, key=lambda when: abs(when.start - at)) if closed else None
        if len(mine) == 1 and (mine[0].when is near or at < 0):
            name = "census" if mine[0].name == "census" else "aged"
            self.add(name, person, mine[0].when, age, telling, sure)
            return
        if (
            not mine
            and len(closed) == 1
            and closed[0].given
            and cast.here == [person]
            and not any(event.name in ("birth", "baptism") for event in telling.events)
        ):
            self.add("aged", person, closed[0], age, telling, sure)
            return
        told = [event for event in whens if event.when is not None and event.when.closed]
        if onward and len(told) == 1:  # 'was fifty-two when she buried her second husband, on 6 June 1925'
            self.add("aged", person, told[0].when, age, telling, sure)
            return
        undated = [event for event in whens if event.when is None and event.name in ("birth", "death", "marriage")]
        other = cast.resolve(undated[0].subjects[0])[0] if len(undated) == 1 and (clock or onward) else None
        if other is not None and other is not person and (other.name or other in (person.father, person.mother)):
            self.add("aged", person, None, age, telling, sure, at=(other, undated[0].name))


POINTS = re.compile(
    r"\b(?:same|that|this|following|next|later|after|before|earlier|inst|ult|prox)\b|\d{4}", re.IGNORECASE
)


def leans(when: When) -> bool:
    """True for a day or a feast whose year stands nowhere and is taken from the date before."""
    return not when.given and not POINTS.search(when.words)


def turn_of_year(when: When, telling: Telling) -> bool:
    """True for the last months beside the first ones: 'buried on 6 January 1912, six days after he died on New Year's Eve'."""
    beside = [other.month for other in telling.whens if other is not when and other.year == when.year]
    return (when.month or 0) > 10 and any(month is not None and month < 3 for month in beside)


def in_lineage(items: list[Item], at: int) -> bool:
    """True inside a bracket of names only: a line of descent."""
    if items[at].kind != "name":
        return False
    low = at
    while low >= 0 and (items[low].kind == "name" or items[low].text in (",", "_", "*", ".")):
        low -= 1
    return low >= 0 and items[low].text == "("
