"""Where what a sentence tells is usually recorded: by its events, and by deeds together with what they were done to.

A word alone tells little: a meeting house is no house that changed hands, and who never married is in no register of
marriages. Which record answers for which event is common practice, no source.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence

from storylint.study.attach import Event, Telling
from storylint.study.items import Item
from storylint.study.lexicon import AUX, CUES
from storylint.study.study import Sentence
from storylint.study.telling import tell
from storylint.study.words import NAME, PRONOUN

BIRTH = "a birth certificate or baptismal register"
MARRIAGE = "a marriage register, licence or announcement"
DEATH = "a death certificate, burial register or newspaper notice"
WILL = "a will or probate file"
CENSUS = "the census page, with piece, folio and household"
CROSSING = "a passenger list or a letter of the crossing"
SERVICE = "a service record or muster roll"
DEED = "a deed, lease or rate book"
OF_EVENT = (
    dict.fromkeys(("birth", "bore", "baptism"), BIRTH)
    | {"marriage": MARRIAGE, "census": CENSUS, "arrival": CROSSING}
    | dict.fromkeys(("death", "burial", "obituary", "inquest"), DEATH)
    | dict.fromkeys(("will", "probate"), WILL)
    | dict.fromkeys(("enlist", "discharge"), SERVICE)
)
# Deeds that are recorded where they were done to or in one of these things; with none, whatever they were done to.
OF_DEED: tuple[tuple[frozenset[str], frozenset[str], str], ...] = (
    (frozenset("sailed embarked emigrated crossed".split()), frozenset(), CROSSING),
    (frozenset("inherited bequeathed".split()), frozenset(), WILL),
    (
        frozenset("served fought".split()),
        frozenset(
            """army navy marines militia regiment battalion company infantry cavalry artillery volunteers fusiliers
            guards rifles engineers corps fleet war campaign campaigns""".split()
        ),
        SERVICE,
    ),
    (
        frozenset("bought sold purchased leased rented mortgaged owned conveyed".split()),
        frozenset(
            """land lands acre acres farm farms lot lots house houses cottage homestead property tenement field fields
            quarry mill shop estate tract tracts""".split()
        ),
        DEED,
    ),
)
DEEDS = frozenset(("left",)).union(*(verbs for verbs, _, _ in OF_DEED))
HOUSEHOLD = frozenset("lodger lodgers boarder boarders household".split())
NOT = frozenset("never not nor no n't neither hardly".split())
DONE_TO = frozenset(("burial", "baptism"))  # somebody does it to somebody
NEAR = 3  # items before a verb among which a 'never' is its own


def recorded_in(sentence: Sentence) -> str:
    """The record to look for, of the first event that has one; "" where none is likely."""
    words, cue = set(sentence.lower), CUES.search(sentence.text)
    if words.isdisjoint(DEEDS) and cue is None:  # as of most: nothing is to be read in it
        return "" if words.isdisjoint(HOUSEHOLD) else CENSUS
    if cue and (record := plainly(sentence, cue)):
        return record
    telling = tell(sentence)
    for event in telling.events:
        found = of_deed(event, telling) if event.name == "act" else OF_EVENT.get(event.name, "")
        if found and happened(event, telling.items):
            return found
    return "" if words.isdisjoint(HOUSEHOLD) else CENSUS


def plainly(sentence: Sentence, cue: re.Match[str]) -> str:
    """The record of what a plain sentence says first, which need not be read for it: 'Owen was born', 'he had married'."""
    kind, event = (cue.lastgroup or "__").split("_", 1)
    at, after = bisect_left(sentence.at, cue.start()), bisect_left(sentence.at, cue.end())
    subject = at - 1
    while subject > 0 and sentence.lower[subject] in AUX:
        subject -= 1
    if kind != "v" or subject < 0 or sentence.tags[subject] not in (NAME, PRONOUN):
        return ""
    if not (NOT | DEEDS).isdisjoint(sentence.lower[:at]) or sentence.lower[after : after + 1] == ["to"]:
        return ""
    return OF_EVENT.get(event, "") if event not in DONE_TO or subject < at - 1 else ""


def of_deed(event: Event, telling: Telling) -> str:
    """The record of a deed; of what somebody left to somebody a will."""
    items = telling.items[place_of(event, telling.items) + 1 :]
    if event.item.low == "left" and any(is_given(items, at) for at in range(len(items))):
        return WILL
    words = {word for item in items for word in item.low.split()}
    for verbs, things, record in OF_DEED:
        if event.item.low in verbs and (not things or words & things):
            return record
    return ""


def place_of(event: Event, items: Sequence[Item]) -> int:
    """Where the word that tells an event stands among the items."""
    return next((at for at, item in enumerate(items) if item is event.item), 0)


def is_given(items: Sequence[Item], at: int) -> bool:
    """True for 'to' before a person: 'to his son', 'to them', and not 'to his work'."""
    who = items[at + 1 : at + 3]
    told = any(item.kind in ("name", "kin") for item in who) or any(item.low in ("him", "them") for item in who[:1])
    return items[at].low == "to" and told


def happened(event: Event, items: Sequence[Item]) -> bool:
    """True unless it is denied ('never married'), befell a thing ('the engine died', 'buried the money') or is a figure of
    speech ('born to trouble')."""
    at = place_of(event, items)
    before, after = items[max(0, at - NEAR) : at], items[at + 1 : at + 4]
    if not NOT.isdisjoint(item.low for item in before):
        return False
    if event.item.kind != "verb" or event.name == "act" or event.when is not None:
        return event.item.text != "Testament"  # the New one
    if after and after[0].low == "to" and not is_given(items, at + 1):
        return False
    if event.subjects or any(item.person for item in after[:2]):
        return True
    subject = next((item for item in reversed(before) if item.kind not in ("aux", "adv")), None)
    befell = subject is not None and subject.kind == "word" and subject.low.isalpha()
    return not befell and not (event.active and after and after[0].kind == "word" and event.name in DONE_TO)
