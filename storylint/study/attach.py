"""Gives each date and each age of a sentence to the event it belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from storylint.study.ages import Age
from storylint.study.dates import When, find
from storylint.study.items import Item
from storylint.study.lexicon import (
    STATES,
)
from storylint.study.study import Sentence


@dataclass(slots=True)
class Event:
    """One event that a sentence tells.

    ``subjects`` are the items of those it happened to, ``objects`` those named after it (a bride, a child; not of a mere
    deed). ``how`` says how the subject was found: said (it stands there), after (the verb), apposed, same (as the verb before),
    initial (a sentence without a subject), default (an event noun that names nobody), or unknown.
    """

    name: str
    item: Item
    subjects: list[Item] = field(default_factory=list)
    objects: list[Item] = field(default_factory=list)
    how: str = "unknown"
    when: When | None = None
    age: Age | None = None
    age_of: Item | None = None
    active: bool = True
    many: bool = False  # more than one date belongs to it
    # Of a marriage the name that stands next to the verb, dates apart: 'married, 3 May 1850, Ann Lee'.
    direct: Item | None = None


@dataclass(slots=True)
class Telling:
    """A sentence, read: its items, its events, and the ages that belong to none of them."""

    sentence: Sentence
    items: list[Item]
    events: list[Event]
    whens: list[When]
    ages: list[tuple[Item | None, Age]] = field(default_factory=list)
    loose: list[tuple[Item, When]] = field(default_factory=list)  # 'William Wells, one of the first settlers, 1650'
    theirs: bool = False  # somebody else spoke or wrote it
    hedged: int | None = None  # where hearsay or doubt begins; 0 for the whole sentence

    def sure(self, at: int) -> bool:
        """True when what stands at this offset is told as a fact."""
        return self.hedged is None or at < self.hedged


def _nearest(items: Sequence[Item], i: int, step: int) -> int | None:
    """The nearest event before (-1) or after (1) item ``i``."""
    j = i + step
    while 0 <= j < len(items):
        if items[j].text == (")" if step < 0 else "("):
            j = _past_brackets(items, j, step)
            continue
        if items[j].kind in ("verb", "noun"):
            return j
        if items[j].text == ";":
            return None
        j += step
    return None


def _past_brackets(items: Sequence[Item], j: int, step: int) -> int:
    """The first item beyond the bracket that begins at ``j``."""
    other = "(" if step < 0 else ")"
    while 0 <= j < len(items) and items[j].text != other:
        j += step
    return j + step


def _opens_clause(items: Sequence[Item], i: int) -> str | None:
    """What opens the clause, where only a preposition or adverb stands between that and the item; '' for the
    sentence.
    """
    j = i - 1
    while j >= 0 and (
        items[j].kind in ("prep", "adv") or items[j].low in ("the", "early", "late", "sometime", "once", "some")
    ):
        j -= 1
    if j < 0 or items[j].text in ('"', "“", "*"):
        return ""
    return items[j].low if items[j].kind == "bound" else None


def _runs_on(items: Sequence[Item], i: int, n: int) -> bool:
    """True when no boundary but one comma at once stands between item ``i`` and the event at ``n``."""
    between = items[i + 1 : n]
    if between and between[0].text == ",":
        between = between[1:]
    return not any(item.kind == "bound" for item in between)


_PARTS_OF_TIME = frozenset(
    """date morning night evening afternoon day days eve dawn spring summer autumn fall winter month week weeks end course
    hours""".split()
)
_GOVERNS = frozenset("till until to before after since at from upon following by on".split())


def _led(items: Sequence[Item], n: int) -> bool:
    """True for an event noun after a preposition: 'till his death', 'after the wedding'."""
    return any(item.low in _GOVERNS for item in items[max(0, n - 4) : n])


def _event_for(items: Sequence[Item], i: int) -> Item | None:
    """The event to which the date or age at ``i`` belongs."""
    before, after = _nearest(items, i, -1), _nearest(items, i, 1)
    if i + 1 < len(items) and items[i + 1].kind == "noun" and items[i].kind == "date":
        return items[i + 1]
    if i > 1 and items[i].kind == "date" and items[i - 1].low == "of" and items[i - 2].low not in _PARTS_OF_TIME:
        return items[i - 2] if items[i - 2].kind == "noun" else None
    if before is not None and _ends_phrase(items, before, i):
        return items[before]
    opening = _opens_clause(items, i)
    if (
        after is not None
        and items[after].kind == "noun"
        and items[after - 1].low in _GOVERNS | {"his", "her", "their"}
        and _led(items, after)
    ):
        after = None
    if opening is not None and not (before is not None and _beside(items, before, i)):
        if after is not None and _runs_on(items, i, after):
            return items[after]
        if opening in ("and", "but", "or", ";", "while"):
            return None
    if (
        before is not None
        and after is not None
        and items[before].event == "state"
        and before
        and items[before - 1].low == "it"
    ) and any(item.low == "that" for item in items[i:after]):  # 'it was in 1869 that she won'
        return items[after]
    if before is not None and items[before].event in ("act", "state"):
        main = _around(items, before, i)
        before = main if main is not None else before
    if before is not None and items[before].kind == "noun" and _led(items, before) and not _beside(items, before, i):
        earlier = _nearest(items, before, -1)
        before = earlier if earlier is not None else before
    if before is not None:
        return items[before]
    while after is not None and _in_apposition(items, after, i):
        after = _nearest(items, after, 1)
    return items[after] if after is not None else None


def _in_apposition(items: Sequence[Item], n: int, i: int) -> bool:
    """True for the birth in 'second, on 5 September 1922, Ann Lee, born in 1893': the date is not of it."""
    apposed = n > 2 and items[n].kind == "verb" and items[n - 1].text == "," and items[n - 2].person
    return apposed and items[n].event in ("birth", "baptism") and i < n - 2


_NEW = frozenset(
    "and but that which who whom whose where so for until till".split()
)  # what opens a statement of its own


def _around(items: Sequence[Item], inner: int, i: int) -> int | None:
    """The vital event of which a verb between commas says something on the way: 'she died, as she had lived, on 9
    June'.
    """
    if not any(item.text == "," for item in items[inner + 1 : i]):
        return None
    start = next((j for j in range(inner - 1, -1, -1) if items[j].text in (",", ";")), None)
    if start is None or items[start].text == ";" or items[start + 1].low in _NEW:
        return None
    main = _nearest(items, start, -1)
    if (
        main is None
        or items[main].event not in ("birth", "baptism", "death", "burial", "marriage")
        or items[main].kind != "verb"
    ):
        return None
    return main if not any(item.kind == "date" for item in items[main:inner]) else None


def _beside(items: Sequence[Item], before: int, i: int) -> bool:
    """True when nothing but points and prepositions stands between an event and its date ('died, 3 May 1850, and
    left').
    """
    return all(item.kind in ("prep", "adv") or item.text in (",", "(") for item in items[before + 1 : i])


_OF_PHRASE = frozenset(("name", "word", "prep", "adv"))


def _ends_phrase(items: Sequence[Item], before: int, i: int) -> bool:
    """True for a date that closes what is said of the event before it: between commas, after nothing but the event's
    places ('born in Duluth, Minnesota, on 4 June 1938, keeps bees').
    """
    if items[i].kind != "date" or i + 1 == len(items) or items[i + 1].text != ",":
        return False
    if i + 2 < len(items) and items[i + 2].kind in ("age", "date"):
        return False  # 'born in Wales, in 1820, aged ten, he sailed'
    between = items[before + 1 : i]
    names = [at for at in range(before + 1, i) if items[at].kind == "name"]
    if not names or not all(item.kind in _OF_PHRASE or item.text == "," for item in between):
        return False
    # 'Born in Wales, Peter, in 1820, sailed': what opens the sentence has its subject after it.
    return before > 0 or not items[names[-1]].person or items[names[-1] - 1].text != ","


def _in_brackets(items: Sequence[Item], i: int) -> bool:
    """True for a date that stands alone in brackets."""
    return 0 < i < len(items) - 1 and items[i - 1].text in ("(", "[") and items[i + 1].text in (")", "]")


def _vital_before(items: Sequence[Item], i: int, by_item: dict[int, Event]) -> bool:
    """A year in brackets dates a birth, marriage or death that has no other date; a book, a ship and the like
    otherwise.
    """
    target = _event_for(items, i)
    event = by_item.get(id(target)) if target is not None else None
    return (
        event is not None and event.name in ("birth", "baptism", "marriage", "death", "burial") and event.when is None
    )


def give_date(telling: Telling, i: int, by_item: dict[int, Event]) -> None:
    """Hand a date to its event; the first one counts."""
    items, when = telling.items, telling.items[i].when
    assert when is not None
    if _in_brackets(items, i) and (items[i - 2].person or not _vital_before(items, i, by_item)):
        return
    target = _event_for(items, i)
    if target is not None and target.tells is not None:
        target = target.tells
    event = by_item.get(id(target)) if target is not None else None
    if event is None or (event.name in ("act", "state") and _aside(items, i)):
        return
    if event.when is None:
        event.when = when
        return
    gapped = _gapped(items, i)
    if gapped is not None and event.name in ("birth", "baptism", "death", "marriage"):
        telling.events.append(Event(event.name, items[i], [gapped], how="said", when=when))
        return
    named = next((item for item in reversed(items[:i]) if item.kind == "date" or _is_full_name(item)), None)
    if named is not None and named.kind == "name":
        telling.loose.append((named, when))
    else:
        event.many = True


def _aside(items: Sequence[Item], i: int) -> bool:
    """'The song she sang, popular in 1862, was sad': the date of a description."""
    return (
        i > 2
        and items[i - 1].kind == "prep"
        and items[i - 2].kind == "word"
        and items[i - 3].text == ","
        and (i + 1 == len(items) or items[i + 1].text in (",", "."))
    )


def _gapped(items: Sequence[Item], i: int) -> Item | None:
    """'John was born on 8 May 1901 and Helen on 2 October 1903': whom the second date is of."""
    j = i - 1
    while j > 0 and items[j].kind in ("prep", "adv"):
        j -= 1
    first = (
        j - 1 if items[j].kind == "kin" and j > 0 and items[j].owner is items[j - 1] else j
    )  # 'and his brother Neil'
    named = (
        first > 0 and items[j].person and items[j].kind != "pron" and items[first - 1].low in ("and", ",", ";", "but")
    )
    return items[j] if named else None


def _is_full_name(item: Item) -> bool:
    return item.kind == "name" and len(item.words) > 1


_BESIDE = frozenset("under with by for to against beside".split())  # 'enlisted under Capt. Lee at the age of twenty'
_PLACED = frozenset("in at from near on aboard".split())  # before a name: a place or a ship


def _places(items: Sequence[Item], event: Event) -> set[int]:
    """The names that stand right after 'b.' or 'd.': 'd. Fryeburg, Me., 4 Jan. 1829, aged 78' (ids of items)."""
    found: set[int] = set()
    if event.name in ("birth", "baptism", "death", "burial") and event.item in items:
        for item in items[items.index(event.item) + 1 :]:
            if item.kind != "name" and item.text not in (",", "."):
                break
            found.add(id(item))
    return found


def give_age(telling: Telling, i: int, by_item: dict[int, Event]) -> None:
    """Hand an age to its person and, where it goes with one, to its event."""
    items, age = telling.items, telling.items[i].age
    assert age is not None
    owner = None
    whose = re.match(r"(?:in )?(his|her)\b", age.text, re.IGNORECASE)
    if whose and "birthday" in age.text:
        telling.ages.append((Item("pron", items[i].start, items[i].start + 3, whose[1], whose[1].lower()), age))
        return
    if i and " as " in age.text and items[i - 1].kind == "pron":  # 'put her down as fifty'
        telling.ages.append((items[i - 1], age))
        return
    if i and items[i - 1].low in ("from", "since", "until", "till", "by", "before", "after", "between", "to"):
        return
    named = i - 2
    while (
        named > 1
        and items[named + 1].text == ","
        and items[named].kind == "word"
        and items[named - 1].kind in ("word", "bound")
    ):
        named -= 1 if items[named - 1].kind == "word" else 2
    if i > 1 and items[i - 1].text == "," and items[named].kind == "name" and items[named - 1].low in ("of", "from"):
        named -= 2  # 'Barend Roos, bachelor, of Hoorn, aged 26'
        while named > 0 and (items[named].kind in ("word", "adv") or items[named].text == ","):
            named -= 1
    if i > 1 and items[i - 1].text == "," and items[named].person:
        owner = items[named]
    elif i and (items[i - 1].kind == "aux" or items[i - 1].event == "state"):
        j = i - 2
        while j >= 0 and items[j].kind in ("aux", "adv"):
            j -= 1
        if j >= 0 and items[j].low == "who":
            j -= 2 if j > 1 and items[j - 1].text == "," else 1
        owner = items[j] if j >= 0 and items[j].person else None
        telling.ages.append((owner, age))
        return
    of_verb = age.text.lower().startswith("at ")  # 'He was married to Ann Dormer, at the age of 24 years'
    target = _event_for(items, i) if not age.text.lower().startswith(("lived", "reached", "turned")) else None
    if target is not None and target.tells is not None:
        target = target.tells
    event = by_item.get(id(target)) if target is not None else None
    if owner is None and event is not None:
        behind = items[: i - 2] if items[i - 1].low == "of" and items[i - 2].low in STATES else items[:i]
        places = _places(items, event)
        owner = next(
            (
                item
                for at, item in reversed(list(enumerate(behind)))
                if item is event.item
                or item.low in (";", "and", "but")
                or (
                    item.kind in ("name", "kin")
                    and not item.thing
                    and not (at and behind[at - 1].low in (_PLACED | _BESIDE if of_verb else _PLACED))
                    and id(item) not in places
                )
            ),
            None,
        )
        owner = (
            owner
            if owner is not None and owner.person and not any(owner is subject for subject in event.subjects)
            else None
        )
    if event is not None and event.name == "marriage" and re.match(r"\w+ of ", age.text) and event.item in items[:i]:
        return  # 'married a man of fifty'
    if (
        event is not None
        and of_verb
        and event.name == "marriage"
        and len(event.subjects) == 1
        and event.item in items[:i]
    ):
        owner = event.subjects[0]
    if event is not None and owner is None and event.name == "marriage" and len(event.subjects) == 1:
        between = items[items.index(event.item) + 1 : i] if event.item in items[:i] else []
        owner = event.subjects[0] if not any(item.person for item in between) else None  # 'at twenty she married John'
    if (
        owner is None
        and event is not None
        and event.name == "state"
        and event.item.low in ("is", "was")
        and event.subjects
    ):
        between = items[items.index(event.item) + 1 : i]
        plain = all(item.kind in ("word", "adv") for item in between) or age.text.lower().startswith(
            ("at the age", "at age")
        )
        owner = event.subjects[0] if plain else None
    if event is not None and event.age is None and event.name != "state":
        event.age, event.age_of = age, owner
    else:
        telling.ages.append((owner, age))


def lifespan(items: Sequence[Item], i: int) -> Iterator[Event]:
    """Birth and death in 'Helen Tsourakis (1920–2003)'."""
    when = items[i].when
    if (
        when is None
        or when.last is None
        or when.year is None
        or i < 2
        or not items[i - 2].person
        or not _in_brackets(items, i)
    ):
        return
    first = find(str(when.year))
    if first and when.last.year is not None and when.last.year - when.year > 3:
        yield Event("birth", items[i], [items[i - 2]], how="said", when=first[0])
        yield Event("death", items[i], [items[i - 2]], how="said", when=when.last)


# 'Gwen Prydderch (1950– )', 'Gwen Prydderch, 1950–'; common practice of libraries' catalogues and of indexes, no source.
STILL_OPEN = re.compile(r"\s?[–—-]\s*(?:[)\],;.]|$)")


def open_lifespan(items: Sequence[Item], i: int, text: str) -> Event | None:
    """The birth in a life that is written as still going on."""
    when = items[i].when
    if when is None or when.form != "year" or when.year is None or i < 2 or not items[i - 2].person:
        return None
    if items[i - 1].text not in ("(", "[", ",") or not STILL_OPEN.match(text, when.end):
        return None
    return Event("birth", items[i], [items[i - 2]], how="said", when=when)


def share_when(items: list[Item], events: list[Event]) -> None:
    """'When the railroad reached Blair in 1869 Tilda was there': the date holds for both."""
    if not items or items[0].low != "when" or not events or events[0].when is None:
        return
    at = next(
        (event for event in events[1:] if event.how == "said" and event.subjects[0].kind in ("name", "pron")), None
    )
    if at is not None and at.when is None and at.name in ("act", "state"):
        at.when = events[0].when
