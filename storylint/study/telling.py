"""What a sentence tells: events with their dates and ages, and whose they are.

No parser is used. A sentence is first cut into items (``study.items``); then each event looks for its subject before
it, and each date and age for its event near it (``study.attach``). Who cannot be told for certain is left open: a
wrong guess here would be a false alarm later.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from storylint.study.attach import Event as Event
from storylint.study.attach import Telling as Telling
from storylint.study.attach import give_age, give_date, lifespan, open_lifespan, share_when
from storylint.study.calendars import Where
from storylint.study.dates import When, find
from storylint.study.items import Item, items_of, owner_of
from storylint.study.lexicon import (
    ARTICLES,
    AUX,
    CHILD,
    GOING,
    HEARSAY,
    LIGHT,
    LIVING,
    MADE,
    SEVERAL,
    STATES,
    SUBORDINATE,
    WEIGHED,
)
from storylint.study.study import Sentence


def tell(sentence: Sentence, before: When | None = None, where: Where | None = None) -> Telling:
    """Read one sentence; ``before`` is the date that its yearless dates lean on."""
    whens = find(sentence.text, before, where) if where else find(sentence.text, before)
    items = items_of(sentence, whens)
    events = list(_events(items))
    _look_ahead(items, events)
    telling = Telling(sentence, items, events, whens, hedged=_hedged(sentence.text))
    by_item = {id(event.item): event for event in events}
    for i, item in enumerate(items) if whens else ():
        if item.kind == "date" and (birth := open_lifespan(items, i, sentence.text)) is not None:
            events.append(birth)
        elif item.kind == "date":
            give_date(telling, i, by_item)
            events += lifespan(items, i)
    share_when(items, events)
    days = [when for when in whens if when.form == "day" and when.year]
    for event in events:
        if event.name == "obituary" and event.when is None and len(days) == 1:
            event.when = days[0]  # 'the Leader of 3 March has his obituary'
    for i, item in enumerate(items):
        if item.kind == "age" and item.age and telling.sure(item.start):
            give_age(telling, i, by_item)
    return telling


def _look_ahead(items: list[Item], events: list[Event]) -> None:
    """'Born at Leith in 1801, she went out at twelve': the subject comes after the comma."""
    for at, event in enumerate(events):
        begun = items[0] is event.item or items[0].low in ("having", "being")
        if event.how != "initial" or not begun:
            continue
        later = next((other for other in events[at + 1 :] if other.how == "said" and other.name != "age"), None)
        if later is None or ";" in {item.text for item in items[: items.index(later.item)]}:
            return
        first = items.index(later.subjects[0]) if later.subjects[0] in items else 0
        if first and items[first - 1].text == ",":
            event.subjects, event.how = later.subjects, "said"
        return


def _hedged(text: str) -> int | None:
    """Where hearsay begins; 0 where the sentence weighs what it says."""
    if WEIGHED.search(text):
        return 0
    match = HEARSAY.search(text)
    return match.start() if match else None


@dataclass(slots=True)
class _Clause:
    """Whom the clause is about so far: the subject, one named in apposition, and whether a verb has been seen."""

    main: list[Item] = field(default_factory=list)
    apposed: list[Item] = field(default_factory=list)
    verb: bool = False
    under: bool = False  # in a subordinate clause
    who: list[Item] = field(default_factory=list)  # whom the last 'who' took up
    relative: list[Item] = field(default_factory=list)  # the subject of the verb at ``relative_at``, after a 'who'
    relative_at: int = -2
    lost: int = -1  # the last finite verb whose subject nobody can tell: 'the first was born in 1701 and died'
    passive: bool = False  # the last verb was one
    initial: bool = False  # the sentence has no subject: 'Moved to Rye in 1664; married Mary Hallick'
    own_born: bool = False  # the sentence has told the birth of its subject
    other_born: bool = False  # only of the bride: 'he married Ann Lee, born 1780; died 1845'
    listed: bool = False  # after 'Children:' the subject of a bare participle is not the section's person


def _events(items: list[Item]) -> Iterator[Event]:
    """The events of a sentence in order, each with its subject."""
    clause = _Clause()
    outside: list[_Clause] = []  # what the sentence was about before a bracket
    noun: Item | None = None
    head: list[Item] = []  # whom the sentence is about
    dead: set[int] = set()
    for k, item in enumerate(items):
        if item.kind in _IDLE:
            continue
        low = item.low
        if item.kind == "bound":
            if low == "(":
                outside.append(replace(clause))
            elif low == ")" and outside:
                clause = outside.pop()
            elif low in (";", ":"):
                clause.apposed, clause.under = [], False
                clause.listed = clause.listed or low == ":"
            elif low in ("and", "but", "or", ","):
                clause.under = clause.under and low != ","
            elif low in SUBORDINATE:
                clause.under = True
        elif item.person and not clause.verb and not clause.main and not _governed(items, k) and not _owns(items, k):
            clause.main = _coordinated(items, k)
        elif item.kind == "aux":
            subjects, how = _subject(items, k, clause)
            if how == "said":
                _take(clause, subjects)
        elif (
            item.person
            and items[k - 1].text == ","
            and k > 1
            and item.kind == "kin"
            and item.low in CHILD
            and items[k - 2].kind == "name"
        ):
            clause.apposed = [items[k - 2]]
        elif (
            item.kind == "noun"
            and not _of_place(items, k)
            and not _compound(items, k)
            and not (item.event == "act" and k and items[k - 1].kind == "prep")
        ):
            noun = item
            name = LATER.get(item.event, item.event) if _reported(items, k) else item.event
            yield Event(name, item, *_of_noun(items, k, clause))
        elif item.kind == "verb":
            subjects, objects, how, active = _of_verb(items, k, clause)
            if item.event == "birth":
                apposed = how == "apposed" and clause.verb and subjects[0] not in clause.main
                clause.own_born, clause.other_born = clause.own_born or not apposed, apposed and not clause.own_born
            clause.verb = True
            head = head or clause.main
            if item.event == "death":
                dead |= {id(subject) for subject in subjects}
            elif item.event == "marriage" and how == "same" and subjects and id(subjects[0]) in dead and head:
                subjects = head  # 'she died in 1843; married second': he did
            if noun is not None and how != "said" and _tells(items, k, noun, active):
                item.tells = noun
                continue
            if item.event == "probate" and noun is not None and noun.event == "will":
                subjects, objects, how = _of_noun(items, items.index(noun), clause)
            of_will = noun is not None and noun.event == "will"
            by_executor = item.low == "proved" and active and how in ("said", "same") and not of_will
            name = "act" if by_executor else item.event
            direct = _direct(items, k) if name == "marriage" else None
            yield Event(name, item, subjects, objects, how, active=active, direct=direct)


_IDLE = frozenset("word adv prep date age".split())  # kinds of item that neither tell nor divide


def _tells(items: Sequence[Item], k: int, noun: Item, active: bool) -> bool:
    """True for a verb that only says when there was what the noun names: 'his will is dated 1734'."""
    item = items[k]
    if (noun.event == "will" and item.low not in _WILLED) or _led_by_time(items, noun):
        return False
    if item.event == "state":
        return _stands_before(items, k) is noun
    passive = not active and not any(other.kind == "verb" for other in items[items.index(noun) : k])
    return item.event == "act" and (passive or bool(LIGHT.match(item.low)))


_TIMES = frozenset("after before since until till".split())


def _led_by_time(items: Sequence[Item], noun: Item) -> bool:
    """'The ship, launched the year after his father's death, was broken up in 1870': the ship was."""
    at = items.index(noun)
    return any(item.low in _TIMES for item in items[max(0, at - 4) : at])


_PLACES = frozenset("place country county parish land town village house home farm city".split())


def _of_place(items: Sequence[Item], k: int) -> bool:
    """'the place of his birth' is no event."""
    return any(item.low in _PLACES for item in items[max(0, k - 4) : k]) and any(
        item.low == "of" for item in items[max(0, k - 3) : k]
    )


_WILLED = frozenset("dated signed sealed made drawn written sworn executed attested witnessed was is bears".split())
LATER = {"death": "obituary", "birth": "registration"}
_NEWS = frozenset("news word tidings notice report telegram telegraph announcement message letter".split())
_REPORTED = frozenset("reported announced notified registered certified".split())


def _reported(items: Sequence[Item], k: int) -> bool:
    """'the news of his death on 3 May', 'his death was reported in 1903': the day of the report, not of the death."""
    news = any(item.low in _NEWS for item in items[max(0, k - 4) : k]) and "of" in (i.low for i in items[k - 2 : k])
    told = next((item for item in items[k + 1 :] if item.kind not in ("aux", "adv")), None)
    return news or (told is not None and told.low in _REPORTED and items[k + 1].kind == "aux")


_HEADS = frozenset(
    """society ground place plot register registers bond bonds licence license settlement duty bed taker book books
    entry index rate roll day vow vows portion site mask toll march mound fees club fund insurance rites customs parish
    benefit row party
    certificate certificates record records stone money feast breakfast""".split()
)


def _compound(items: Sequence[Item], k: int) -> bool:
    """'the burial society', 'a marriage bond' are no events."""
    return k + 1 < len(items) and items[k + 1].low in _HEADS and items[k].event != "census"


def _stands_before(items: Sequence[Item], k: int) -> Item:
    """What a verb follows, dates apart: 'the census of 1920 has'."""
    j = k - 1
    while j > 0 and items[j].kind in ("date", "prep", "adv"):
        j -= 1
    return items[max(j, 0)]


def _of_author(items: Sequence[Item], k: int) -> bool:
    """'I was married', 'I married'."""
    j = k - 1
    while j > 0 and items[j].kind in ("aux", "adv"):
        j -= 1
    return j >= 0 and items[j].text == "I"


def _take(clause: _Clause, subjects: list[Item]) -> None:
    """A subject with its verb: the clause is about it."""
    clause.verb, clause.other_born = True, False
    if not clause.under:
        clause.main, clause.apposed = subjects, []
    elif not clause.main:
        clause.apposed = []


def _owns(items: Sequence[Item], k: int) -> bool:
    """True for 'his', 'their', and for 'her' where something of hers follows."""
    if items[k].low != "her" or items[k].kind != "pron":
        return items[k].low in ("his", "their")
    after = items[k + 1] if k + 1 < len(items) else None
    return (
        after is not None
        and after.kind in ("word", "kin", "noun", "adv", "name", "age")
        and after.text not in (".", "!", "?")
        and not after.low.endswith(("ing", "down"))  # 'found her living with a niece', 'put her down as fifty'
        and after.low not in ("a", "an", "as")
    )


def _governed(items: Sequence[Item], k: int) -> bool:
    """True when a preposition governs the item, or it is only the owner of something."""
    j = k - 1
    while j >= 0 and (items[j].kind in ("word", "adv", "age") or items[j].low in ("his", "her", "their")):
        j -= 1
    before = items[j] if j >= 0 else None
    after = items[k + 1] if k + 1 < len(items) else None
    return bool((before and before.kind == "prep") or (after and after.low in ("'s", "’s", "'", "’")))


def _coordinated(items: Sequence[Item], k: int) -> list[Item]:
    """'Peter and Lori Stamas', 'he and Helen Tsourakis (1920–2003)': all that stand before the verb."""
    found = [items[k]]
    j = _before_brackets(items, k - 1)
    while j > 0 and items[j].low in ("and", "&") and (i := _before_apposition(items, j - 1)) >= 0 and items[i].person:
        found.append(items[i])
        j = _before_brackets(items, i - 1)
    return found[::-1]


def _before_calling(items: Sequence[Item], i: int) -> int:
    """Step back over ', a cooper' or ', yeoman' to the name: 'Morris Pugh, yeoman, who had died'."""
    j = i
    while j > 0 and items[j].kind in ("word", "adv") and items[j].text not in (",", ";", ":"):
        j -= 1
    return j - 1 if j < i and j > 0 and items[j].text == "," and items[j - 1].kind == "name" else i


def _before_callings(items: Sequence[Item], i: int) -> int:
    """The person of 'Hector Ferguson, a carpenter, of Granville, born': step back over what he was and where he lived."""
    at = i
    for _ in range(3):
        if at >= 0 and items[at].person and items[at - 1].low not in ("of", "at", "from", "in"):
            return at
        start = at
        while at > 0 and (
            items[at].kind in ("word", "adv")
            or (items[at].kind == "prep" and items[at].low in ("of", "at", "from", "in"))
            or (items[at].kind == "name" and items[at - 1].low in ("of", "at", "from", "in"))
        ):
            at -= 1
        if at == start or at <= 0 or items[at].text != ",":
            return i
        at -= 1
    return at if items[at].person else i


def _before_apposition(items: Sequence[Item], j: int) -> int:
    """Step back over a bracket, or over ', born 6 July 1831,'."""
    if j > 1 and items[j].text == ",":
        i = j - 1
        while i > 0 and items[i].text != "," and not items[i].person:
            i -= 1
        if items[i].text == "," and items[i - 1].person and items[i + 1].low != "who":
            return i - 1
    return _before_brackets(items, j)


def _before_brackets(items: Sequence[Item], j: int) -> int:
    """Step back over a bracket that closes at ``j``."""
    if j >= 0 and items[j].text == ")":
        while j >= 0 and items[j].text != "(":
            j -= 1
        return j - 1
    return j


APPOSED = frozenset(("birth", "baptism", "death", "burial", "marriage", "act"))


def _subject(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], str]:
    """Who does or suffers the verb at ``k``: what stands before it, or whom the clause is about."""
    j, finite = k - 1, items[k].kind == "aux" or items[k].low.split()[0] in AUX
    while j >= 0 and items[j].kind in ("aux", "adv"):
        finite = finite or items[j].kind == "aux"
        j -= 1
    if not finite and _of_thing(items, k):
        return [], "unknown"
    j = _before_brackets(items, j)
    if j < 0 and items[0].low in ("having", "being"):
        return [], "initial"
    if j < 0:
        return _after(items, k) if finite else ([], "initial")
    if j and items[j].text == "," and items[j - 1].low == "who":  # 'a man who, born in 1899, was thought too old'
        j -= 1
    item = items[j]
    if item.text == "I" and j > 1 and items[j - 1].low == "and" and items[j - 2].person:
        return _head(items, j - 2, clause)  # 'Joan and I were married'
    if item.person:
        return _head(items, j, clause)
    if item.low in ("who", "whom"):
        i = j - 2 if j and items[j - 1].text == "," else j - 1
        i = _before_brackets(items, i)
        i = _before_calling(items, i)
        clause.who = _head(items, i, clause)[0] if i >= 0 and items[i].person else []
        if (
            not clause.who
            and i > 1
            and items[i].kind == "name"
            and items[i - 1].low == "of"
            and not items[i - 2].person
        ):
            clause.who = [items[i]]  # 'the goods of Morris Pugh, who had died'
        clause.relative, clause.relative_at = clause.who, k
        return clause.who, "said" if clause.who else "unknown"
    if (
        item.text in (",", "(", "—", "–", "--")
        and j
        and not finite
        and items[k].event in APPOSED
        and not items[k].low.endswith("ing")
    ):
        i = j - 2 if item.text == "(" and items[j - 1].text == "," else j - 1
        i = _before_brackets(items, i)
        i = _before_callings(items, i)
        if i >= 0 and items[i].person and items[i].kind != "pron":
            if not (i and items[i - 1].kind == "prep" and items[i - 1].low != "to") and not _ends_parentage(items, i):
                clause.apposed = [items[i]]
                return [items[i]], "apposed"
            head = _past_parentage(items, i)
            if head is not None:
                clause.apposed = [head]
                return [head], "apposed"
            if _ends_parentage(items, i):
                return [], "unknown"
    if item.text == "," and finite and clause.who:  # 'her first child, George, who died young, was born in 1850'
        subjects, clause.who = clause.who, []
        return subjects, "said"
    if item.text == "," and not finite and items[k].event == "birth" and _of_another(items, j):
        return [], "unknown"
    if item.text == "," and finite and _of_whose(items, j):
        return [], "unknown"
    if item.kind == "bound" and item.low not in ("which", "that", "whose"):
        if len(clause.main) < 2 and any(aux.low.split()[0] in ("were", "are") for aux in items[j + 1 : k + 1]):
            pair = _named_pair(items, j) or _named_pair(items, j + 1)
            return pair, "said" if pair else "unknown"
        opens = _opens(items, j) if item.text == "," else None
        if opens is not None:
            return _coordinated(items, opens), "said"
        found = _same(items, j, clause)
        return _after(items, k) if found[1] == "initial" and finite else found
    return [], "unknown"


def _named_pair(items: Sequence[Item], end: int) -> list[Item]:
    """Both of 'her parents, Peter Doyle and Honor Linnane,' before ``end``."""
    if (
        end < 5
        or items[end - 2].low != "and"
        or items[end - 4].text != ","
        or items[end - 5].low not in SEVERAL | {"twins"}
    ):
        return []
    return [items[end - 3], items[end - 1]] if items[end - 3].person and items[end - 1].person else []


def _of_another(items: Sequence[Item], j: int) -> bool:
    """'His debts were paid by a grandson whom he never saw, born in 1640': somebody stands before the last 'who'."""
    verb = next((i for i in range(j - 1, 0, -1) if items[i].kind == "verb"), j)
    if any(item.kind == "kin" for item in items[verb + 1 : j]):  # 'He had a son of twenty, born in 1820'
        return True
    who = next((i for i in range(j - 1, 0, -1) if items[i].low in ("who", "whom", "whose", ";")), 0)
    return items[who].low != ";" and who > 0 and any(i.kind in ("kin", "name") for i in items[max(0, who - 2) : who])


def _of_whose(items: Sequence[Item], j: int) -> bool:
    """'Jan Smit, whose first, also Catharina, was born in 1695': what 'whose' opens has its own subject."""
    last = next((items[i] for i in range(j - 1, 0, -1) if items[i].kind == "verb" or items[i].low == "whose"), None)
    return last is not None and last.low == "whose"


def _of_thing(items: Sequence[Item], k: int) -> bool:
    """'The house, built in 1820 and raised in 1840, was old when she bought it': a thing's own past, nobody's act."""
    alone = k + 1 == len(items) or items[k + 1].kind in ("prep", "date", "adv", "bound")
    if items[k].event != "act" or not alone:
        return False
    if k and items[k - 1].low in ("and", "or", "but"):
        earlier = next((j for j in range(k - 2, -1, -1) if items[j].kind in ("verb", "aux", "noun")), None)
        return (
            earlier is not None
            and items[earlier - 1].kind != "aux"
            and not any(item.text in (",", ";", ")") for item in items[earlier + 1 : k])
            and _of_thing(items, earlier)
        )
    if items[k].low in MADE:
        return True
    thing = k > 1 and items[k - 1].text == "," and (items[k - 2].kind == "word" or items[0].low in ARTICLES)
    return thing and items[k].low not in GOING


def _after(items: Sequence[Item], k: int) -> tuple[list[Item], str]:
    """'Here, in 1850, was born Zina': the subject comes after the verb."""
    return ([items[k + 1]], "after") if k + 1 < len(items) and items[k + 1].kind in ("name", "kin") else ([], "unknown")


def _opens(items: Sequence[Item], j: int) -> int | None:
    """'She was the tenth; Anna, the eldest, was born in 1867': who opens the clause that is taken up after ``j``."""
    for at in range(j - 1, 0, -1):
        item, between = items[at], items[at + 2 : j]
        if item.text in (";", ":"):
            return None
        named = item.person and item.kind != "pron" and (item.kind == "kin" or at < j - 1)
        if not named or items[at + 1].text != "," or items[at - 1].low == "of":
            continue
        relative = any(
            each.low in ("who", "whom", "whose") for each in between[:2]
        )  # 'her second husband, to whom she was'
        told = not relative and any(i.kind in ("verb", "aux") for i in between)
        return at if not told and _begins_clause(items, at) else None
    return None


_BEFORE_KIN = frozenset("his her their the second third fourth last next eldest youngest only late".split())


def _begins_clause(items: Sequence[Item], at: int) -> bool:
    """True when nothing but 'his first' stands between the person at ``at`` and the beginning of a clause."""
    j = at - 1
    while j > 0 and (items[j].kind == "adv" or items[j].low in _BEFORE_KIN):
        j -= 1
    joined = items[j].low == "and" and j and (items[j - 1].text == "," or items[j - 1].kind == "date")
    return bool(joined) or items[j].low in (";", ":", "while", "when", "but")


def _ends_parentage(items: Sequence[Item], i: int) -> bool:
    """True when the name at ``i`` is a parent's: 'son of Joseph Horton and Jane Budd'."""
    j = i - 1
    if j > 1 and items[j].low in ("and", "&") and items[j - 1].person:
        j -= 2
    while j >= 0 and items[j].kind in ("word", "adv"):
        j -= 1
    return j > 0 and items[j].low == "of" and items[j - 1].kind == "kin"


def _past_parentage(items: Sequence[Item], i: int) -> Item | None:
    """Whose parents they are, where her name stands before: 'Ann Lunn, the second daughter of Amos Lunn, born 1731'."""
    j = i
    while j >= 0 and items[j].kind != "kin":
        j -= 1
    j -= 1
    while j >= 0 and items[j].kind in ("word", "adv"):
        j -= 1
    j = _before_brackets(items, j - 1) if j >= 0 and items[j].text == "," else -1
    return items[j] if j >= 0 and items[j].kind == "name" else None


def _same(items: Sequence[Item], j: int, clause: _Clause) -> tuple[list[Item], str]:
    """A verb without a subject of its own goes on about the same person."""
    before = next((i for i in range(j - 1, -1, -1) if items[i].kind == "verb"), -1)
    this = next((i for i in range(j, len(items)) if items[i].kind == "verb"), -1)
    joined = items[j].text in ("and", "or", "but") and items[j - 1].text != ","
    if joined and before >= 0 and before == clause.lost:
        return [], "unknown"
    if joined and clause.relative_at in (before, this):  # 'Frank, who was born in 1899 and died in 1990'
        clause.relative_at = this
        return clause.relative, "same" if clause.relative else "unknown"
    if clause.apposed and items[j].text in (",", "and"):
        same = items[j].text == "," or clause.apposed[-1] in clause.main
        return clause.apposed, "same" if same else "unknown"
    if (clause.listed or clause.other_born) and items[j].text == ";":
        return [], "unknown"
    if clause.main:
        return clause.main, "same"
    if clause.initial:
        return [], "initial"
    return [], "initial" if not clause.verb and not any(item.person for item in items[:j]) else "unknown"


def _head(items: Sequence[Item], j: int, clause: _Clause) -> tuple[list[Item], str]:
    """The person of a phrase that ends at ``j``: 'John Lee', 'the widow of John Lee', 'John Lee of Bath'."""
    if j and items[j - 1].kind == "prep":
        head = items[j - 2] if j > 1 else None
        if items[j - 1].low == "of" and head is not None and head.person:
            if head.kind == "kin" and head.owner is None:
                head.owner = items[j]
            return [head], "said"
        return [], "unknown"
    return _coordinated(items, j), "said"


def _of_verb(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], list[Item], str, bool]:
    """Subjects and objects of a verb. The buried and the baptised are the objects of an active verb."""
    item = items[k]
    passive = item.low.split()[0] in AUX or any(
        before.kind == "aux" and before.low not in ("had", "has", "have", "did") for before in items[max(0, k - 3) : k]
    )
    subjects, how = _subject(items, k, clause)
    if how == "said":
        _take(clause, subjects)
    clause.initial = clause.initial or how == "initial"
    if how == "unknown" and passive and item.event in APPOSED:
        clause.lost = k
    clause.passive = passive or (how == "same" and clause.passive and item.low.endswith("ed") and item.low not in GOING)
    if item.event == "act":
        passive = clause.passive  # 'was killed in 1914 and gazetted captain in 1915'
    # Of most deeds nobody asks to whom they were done.
    objects = list(_objects(items, k)) if item.event not in ("act", "state") or item.low == "lost" else []
    if item.inner is not None:
        return [item.inner], [], "said", False
    if item.event == "marriage" and how == "unknown" and _of_author(items, k):
        return objects[:1], [], "said" if objects else "unknown", True  # 'I married Joan Lee in 1970'
    if (
        not passive
        and how in ("said", "same", "unknown")
        and item.low in ("buried", "christened", "burying", "baptised", "baptized", "killed")
    ):
        near = items[k + 1] if k + 1 < len(items) else None
        if near is not None and near.person and near.low != "them" and near.low not in ("his", "their"):
            return [near], [], "said", False
        if near is not None and near.kind == "word" and near.text.isalpha():  # 'had buried two wives'
            return [], [], "unknown", True
        if how == "said" and not (k > 1 and items[k - 2].low in ("has", "had", "have", "finds", "shows", "records")):
            return [], [], "unknown", True
    if (
        item.event == "birth"
        and any(before.low in ("had", "has") for before in items[max(0, k - 2) : k])
        and not item.low.startswith(("was", "were"))
        and not any(before.low == "been" for before in items[max(0, k - 2) : k])
    ):
        return [], [], "unknown", True
    if item.event == "discharge" and how == "said" and not passive and item.low == "discharged":
        return [], [], "unknown", True
    return subjects, objects, how, not passive or item.low in LIVING


_ENDS_CLAUSE = frozenset("; : who which when where while that but as".split())


def _objects(items: Sequence[Item], k: int) -> Iterator[Item]:
    """Persons named after a verb in its clause, but those whom a preposition other than 'to' governs."""
    for j in range(k + 1, len(items)):
        item = items[j]
        if item.kind in ("verb", "noun") or item.low in _ENDS_CLAUSE:
            return
        if item.person and not _owns(items, j):
            before = items[j - 2] if items[j - 1].low in ARTICLES and j > 1 else items[j - 1]
            item.given_to = before.low == "to"
            if (before.kind != "prep" or before.low == "to") and not (
                j + 1 < len(items) and items[j + 1].low in ("'s", "’s")
            ):
                yield item


def _direct(items: Sequence[Item], k: int) -> Item | None:
    j = k + 1
    while j < len(items) and (
        items[j].kind in ("date", "adv", "age")
        or items[j].text == ","
        or (
            items[j].low in ("to", "on", "in")
            and items[j + 1 : j + 2]
            and (items[j].low == "to" or items[j + 1].kind == "date")
        )
    ):
        j += 1
    return items[j] if j < len(items) and items[j].kind == "name" else None


def _of_noun(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], list[Item], str]:
    """Whose birth, death or will: 'his', 'John's', 'of John'; else whom the clause is about."""
    inner = items[k].inner
    owner = inner if inner is not None else owner_of(items[:k])
    if owner is not None:
        return [owner], list(_objects(items, k)) if items[k].event == "marriage" else [], "said"
    found = _governed_by(items, k) if items[k].event != "census" else None
    if found is not None:
        return found, [], "said" if found else "unknown"
    if items[k].event == "census":
        listed = _listed(items, k)
        return (listed, [], "said") if listed else (clause.main, [], "default")
    return ([] if items[k].event in ("obituary", "inquest", "probate") else clause.main), [], "default"


def _governed_by(items: Sequence[Item], k: int) -> list[Item] | None:
    """'death of Amos', 'death came to Amos', 'marriage between Ann and Amos', 'was reported for Amos'; None for
    nobody.
    """
    for j in range(k + 1, min(k + 14, len(items))):
        item = items[j]
        if item.low in (";", "who", "which", "when", "and", "but") or (
            item.kind == "verb" and item.event not in ("act", "state")
        ):
            return None
        if item.low not in ("of", "between", "for", "to", "by") or item.kind != "prep":
            continue
        i = j + 1
        while (
            i < len(items)
            and i < j + 4
            and (
                items[i].kind in ("word", "adv")
                or (items[i].low in ("his", "her", "their") and items[i].kind == "pron")
            )
        ):
            i += 1
        if i < len(items) and items[i].person:
            pair = i + 2 < len(items) and items[i + 1].low in ("and", "to", "with") and items[i + 2].person
            return [items[i], items[i + 2]] if pair else [items[i]]
        if item.low == "of" and j == k + 1:
            return [] if i < len(items) and items[i].kind == "word" else None
    return None


def _listed(items: Sequence[Item], k: int) -> list[Item]:
    """Whom a census lists: 'finds Ann and her mother', 'has him as a lodger', 'in 1851 she was'."""
    verb = next((j for j in range(k + 1, len(items)) if items[j].kind == "verb" or items[j].text == ";"), len(items))
    before = [
        items[j]
        for j in range(k + 1, verb)
        if items[j].person
        and not _governed(items, j)
        and not _owns(items, j)
        and (items[j].low not in STATES or items[j].words)
    ]
    return before[:1] or list(_objects(items, verb))[:2]
