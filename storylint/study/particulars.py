"""Which particulars of people who may be living a draft prints, and of whom each is.

A particular is found by its date and event where there is one (birth, marriage), else by words. It belongs to the
person named nearest before it in the sentence, so that what is said of the dead in the same sentence stays theirs. A
sentence that itself says that leave was given is no fault.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from storylint.study.ages import NUMBER
from storylint.study.attach import Event
from storylint.study.circle import BIRTHS, Circle, Someone, Told, last_year
from storylint.study.dates import When
from storylint.study.persons import Said
from storylint.study.presumed import DEATHS, NEAR_KIN, Limits
from storylint.study.quick import compiled
from storylint.study.unfinished import is_reminder
from storylint.study.words import WORK

ADOPTION = "adoption or parentage"
WORKPLACE = "workplace"
BIRTH, MARRIAGE, AGE, MINOR, REMINDER = "birth date", "marriage or divorce", "age", "minor", "reminder"
OF_AGE = 18  # years; below it a named child is a minor (Convention on the Rights of the Child, 1989, art. 1)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of particular; see ``particulars.toml``."""

    name: str
    phrase: str
    fix: str
    patterns: str  # one expression; most books have nobody living for whom it would be compiled
    strong: bool = False
    alone: bool = False
    span: bool = False

    @property
    def pattern(self) -> re.Pattern[str]:
        """What is looked for."""
        return compiled(self.patterns, re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Particular:
    """One particular of one person: its kind, and the words in the sentence that give it (``start`` to ``end``).

    ``span`` is True where cutting these words is enough.
    """

    kind: str
    one: Someone
    start: int
    end: int
    span: bool


@cache
def kinds() -> tuple[tuple[Kind, ...], str]:
    """The kinds that are known by words, and the expression for what shows consent."""
    table = tomllib.loads((files("storylint.study") / "particulars.toml").read_text(encoding="utf-8"))

    def any_of(patterns: Sequence[str]) -> str:
        whole = "|".join(f"(?:{pattern})" for pattern in patterns)
        for name, piece in table["pieces"].items():
            whole = whole.replace(f"<{name}>", piece)
        return whole

    found = [Kind(**(kind | {"patterns": any_of(kind["patterns"])})) for kind in table["kind"]]
    return tuple(found), any_of(table["consent"]["patterns"])


# What may be printed of people who only pass through: the foreman's wages, the minister's chapel (proposed for this tool).
MILD = frozenset(("money", WORKPLACE, "school", "faith, politics or identity", "quarrel"))


def particulars_in(told: Told, circle: Circle, limits: Limits) -> list[Particular]:
    """All particulars of people who may be living in one sentence, each once."""
    sentence = told.telling.sentence
    living = [(item, one) for item, one in told.people if whose(one, told) is not None]
    lead = told.lead if told.lead is not None and told.lead.why else None
    if (not living and lead is None) or is_agreed(sentence.text):
        return []
    found = [
        *births(told, circle),
        *marriages(told, circle),
        *by_words(told, lead),
        *labelled(told, lead),
        *works(told),
        *ages(told, lead),
        *minors(told, limits),
    ]
    if living and is_reminder(sentence.text):
        found.append(Particular(REMINDER, living[0][1], 0, len(sentence.text), False))
    once: dict[tuple[str, int], Particular] = {}
    for each in found:
        one = whose(each.one, told)
        if one is not None and not (one.passing and each.kind in MILD):
            once.setdefault((each.kind, id(one)), replace(each, one=one))
    return list(once.values())


def whose(one: Someone, told: Told) -> Someone | None:
    """The one whose particular it is, if she may be living; for a relative without a name the one by whom she is known.

    An elder without a name ('Irene's mother') counts only where the sentence speaks of her in the present.
    """
    if one.known or one.of is None:
        return one if one.why else None
    if one.word not in NEAR_KIN and not speaks_of_now(told):
        return None
    return whose(one.of, told)


NOW = re.compile(r"\b(?:is|are|has|have|lives?|works?|runs|owns|keeps|goes)\b")


def speaks_of_now(told: Told) -> bool:
    """True for a sentence in the present tense that tells of no death."""
    dies = any(event.name in DEATHS for event in told.telling.events)
    return not dies and bool(NOW.search(told.telling.sentence.text))


def is_agreed(text: str) -> bool:
    """True where the sentence itself says that leave was given."""
    return bool(compiled(kinds()[1], re.IGNORECASE).search(text))


ARRIVED = re.compile(
    r"\b(?:came along|followed|arrived|joined (?:him|her|them)|was next|came next|appeared)\b(?=.{0,20}\b(?:19|20)\d\d\b)"
)
BORN = re.compile(r"\b(?:born|b\.|birth|birthday|brought into the world|came into the world)\b", re.IGNORECASE)


SETTING = re.compile(r"\b(?:in|at|on|during|near|aboard|under)\s\w")


def births(told: Told, circle: Circle) -> Iterator[Particular]:
    """Where and when somebody was born, however it is told."""
    yield from born_there(told)
    for said in told.said:
        if said.event in BIRTHS and said.when is not None:
            yield Particular(BIRTH, circle.of(said.person), said.when.start, said.when.end, True)
    yield from birthdays(told)
    whens = [when for when in told.telling.whens if when.year is not None]
    for item, one in told.people:
        for when in whens:
            if when.year in one.births and 0 <= when.start - item.end < CLOSE:
                yield Particular(BIRTH, one, when.start, when.end, True)
    if whens:
        yield from arrivals(told, whens[0])


CLOSE = 30  # characters between a child's name and the year of birth that a sentence gives in passing
PHRASE = re.compile(
    r"[^;.]*?(?=[;.]|,? (?:and|but|who|where|when|which|while|because)\b|, the\b|$)"  # to the end of what it says
)


def born_there(told: Told) -> Iterator[Particular]:
    """'was born at Hull on 4 May 1957': all that follows the word, date and place."""
    text = told.telling.sentence.text
    events = [event for event in told.telling.events if event.name in BIRTHS]
    for event in events:
        start = event.item.end
        phrase = PHRASE.match(text, max(start, event.when.end if event.when is not None else start))
        end = phrase.end() if phrase else len(text)
        if not SETTING.search(text, start, end):
            continue
        items = {id(item) for item in event.subjects}
        yield from (
            Particular(BIRTH, one, start, end, True) for item, one in told.people if id(item) in items and one.known
        )


def arrivals(told: Told, when: When) -> Iterator[Particular]:
    """'The second, Dale, followed in 1954'; 'the birth date is 4 May 1957'."""
    match = ARRIVED.search(told.telling.sentence.text) or BORN.search(told.telling.sentence.text)
    if match is None:
        return
    before = [one for item, one in told.people if item.end <= max(match.start(), 1)]
    child = next((one for one in reversed(before or [one for _, one in told.people]) if one.known), None)
    if child is not None and (child.last == last_year(when) or (child.of is not None and child.of.why)):
        yield Particular(BIRTH, child, when.start, when.end, True)


def birthdays(told: Told) -> Iterator[Particular]:
    """The day on which somebody of the sentence was born, in whatever words it is told."""
    for when in told.telling.whens:
        if when.exact:
            for _, one in told.people:
                if any(said.when and said.when.exact and said.when.earliest == when.earliest for said in born(one)):
                    yield Particular(BIRTH, one, when.start, when.end, True)


def born(one: Someone) -> Iterator[Said]:
    """The dated statements of her birth."""
    return (said for said in one.said if said.event in BIRTHS and said.when is not None)


def marriages(told: Told, circle: Circle) -> Iterator[Particular]:
    """Marriages and divorces, dated or not, of everyone they name."""
    telling = told.telling
    for event in telling.events:
        if event.name not in ("marriage", "divorce", "jubilee"):
            continue
        text = telling.sentence.text
        items = {
            id(item) for item in (*event.subjects, *event.objects) if text[item.end : item.end + 2] not in ("'s", "’s")
        }
        people = [one for item, one in told.people if id(item) in items]
        if event.how in ("initial", "same", "default") and told.lead is not None:
            people.append(told.lead)
        people += [circle.of(said.person) for said in told.said if said.event == "marriage" and said.sure and not items]
        start, end, whole = wedding(told, event)
        yield from (Particular(MARRIAGE, one, start, end, whole) for one in people if one.known)


_MONTH = "January|February|March|April|May|June|July|August|September|October|November|December"
_NAMED = rf"(?!(?:{_MONTH})\b)[A-ZÀ-ÖØ-Þ][\w’'-]*(?:\.(?=,?\s[A-Z]))?"
_SMALL = r"(?:of|in|at|the|church|chapel|parish|county|register|office)"
# 'at St. Mary's church in Rutland, Vermont': where a date's place is named, before it or after it.
AT = re.compile(
    r",?\s(?:in|at|near|aboard)\s(?:(?:the|a|an|his|her|their)\s)?(?:[a-z]+\s){0,4}"
    rf"{_NAMED}(?:,?\s(?:{_SMALL},?\s){{0,3}}{_NAMED})*(?:\s(?:church|chapel)\b)?"
)
BESIDE = re.compile(rf",\s{_NAMED}(?:,?\s{_NAMED})*")  # '4 May 1990, Rutland, Vermont'
TO_DATE = re.compile(r"(?:,?\s(?:on|in|about|during|c\.|circa)(?:\sthe)?|,)?\s$")


def wedding(told: Told, event: Event) -> tuple[int, int, bool]:
    """Where the date and the place of a marriage stand, and whether it is enough to cut them."""
    text, when, item = told.telling.sentence.text, event.when, event.item
    if when is None:
        return item.start, item.end, False
    start, end = when.start, when.end
    stop = min([person.start for person, one in told.people if one.name and person.start > end] + [len(text)])
    after = AT.match(text, end, stop) or BESIDE.match(text, end, stop)
    joint = TO_DATE.search(text[:start])
    near = next((match for match in AT.finditer(text, item.end, start) if joint and match.end() == joint.start()), None)
    first, last = near.start() if near else start, after.end() if after else end
    clause = PHRASE.match(text, max(last, item.end))
    until = clause.end() if clause else len(text)
    elsewhere = any(AT.search(text, *part) for part in ((item.end, first), (max(last, item.end), until)))
    dated = [event.when for event in told.telling.events]
    loose = any(other.year is not None and not any(other is each for each in dated) for other in told.telling.whens)
    return first, last, not (elsewhere or loose)


def by_words(told: Told, lead: Someone | None) -> Iterator[Particular]:
    """What the words give away, each of the person named nearest before it."""
    text = told.telling.sentence.text
    for kind in kinds()[0]:
        for match in kind.pattern.finditer(text):
            if OF_DEATH.search(text[: match.start()]):
                continue
            people = nearest(told, match.start(), lead, kind)
            if kind.name == ADOPTION:
                people += [one for item, one in told.people if item.start >= match.end() and one.known]
            for one in people:
                yield Particular(kind.name, one, match.start(), match.end(), kind.span)


# 'is a nurse', 'was for ten years the retired foreman's clerk' says what somebody does; 'the cooper's mark' does not.
CALLED = re.compile(r"\b(?:is|was|are|were|became|becomes?|been|as)\s(?:\w+\s){0,4}$")


# What the first words of a line in a list of facts say of the rest.
LABELS = tuple(
    (kind, re.compile(rf"(?<!\w)(?:{words})\b[ *_]{{0,3}}[:\t–—]", re.IGNORECASE))
    for kind, words in (
        (MARRIAGE, "marriages?|married(?: to)?|spouses?|husband|wife|partner|divorced?|wedding"),
        (
            WORKPLACE,
            "occupations?|professions?|employ(?:ment|er)s?|work|workplace|jobs?|career|military service|service",
        ),
        ("school", "education|schools?|schooling|college|university|degrees?"),
        ("address", "residences?|residing|home|address(?:es)?|lives(?: in| at)?|living(?: in| at)?|place of residence"),
        (
            "faith, politics or identity",
            "religion|faith|church|confirmation|confirmed|party|politics|nationality|citizenship",
        ),
        ("health", "health|medical|illness(?:es)?|disability|condition|blood (?:type|group)"),
        ("adoption or parentage", "adoption|adopted|dna|haplogroup|birth (?:mother|father|parents)"),
        ("money", "income|property|wealth|estate|probate"),
    )
)


def labelled(told: Told, lead: Someone | None) -> Iterator[Particular]:
    """A fact about the section's person in a line of its own, or after others in one: 'Born: 1950 Occupation: nurse'."""
    text = told.telling.sentence.text
    if (
        lead is None
        or ":" not in text
        or (told.people and told.people[0][1] is not lead and not told.people[0][0].start)
    ):
        return
    for kind, pattern in LABELS:
        for label in pattern.finditer(text):
            if label[0][-1] == ":" and label[0][0].isupper() and label.end() < len(text):
                yield Particular(kind, lead, 0, len(text), False)
                break


def works(told: Told) -> Iterator[Particular]:
    """An occupation in so many words: 'was a school nurse', 'is now the manager'."""
    sentence = told.telling.sentence
    for at, (tag, low) in enumerate(zip(sentence.tags, sentence.lower, strict=True)):
        owns = sentence.lower[at + 1 : at + 2] in (["'s"], ["’s"])
        if tag != WORK or owns or not CALLED.search(sentence.text[: sentence.at[at]]):
            continue
        before = [(item, one) for item, one in told.people if item.start < sentence.at[at]]
        if before and before[-1][0].low not in ("his", "her", "their"):
            start = sentence.at[at]
            yield Particular(WORKPLACE, before[-1][1], start, start + len(low), False)


LABEL = re.compile(r"^\W*[A-Z]\w+(?: \w+)?:\s")  # 'Medical: ...'
OF_DEATH = re.compile(r"\b(?:died|dead|dying|killed|carried off)\s(?:\w+\s){0,3}$", re.IGNORECASE)


JOINED = re.compile(r",? and (?:(?:his|her) (?:\w+ ){0,2})?")


def nearest(told: Told, at: int, lead: Someone | None, kind: Kind) -> list[Someone]:
    """Whose particular stands at this offset: of the last person before it, else of the next, else of the section's."""
    before = [item for item, _ in told.people if item.start < at]
    after = [item for item, _ in told.people if item.start >= at]
    item = before[-1] if before else after[0] if after else None
    text = told.telling.sentence.text
    if item is not None:
        pair = [item, *(other for other in before[-3:-1] if JOINED.fullmatch(text[other.end : item.start]))]
        return [one for other, one in told.people if any(other is each for each in pair)]
    sentence = told.telling.sentence
    loose = (
        kind.alone or kind.strong or sentence.lower[:1] in (["that"], ["this"], ["it"]) or LABEL.match(sentence.text)
    )
    return [lead] if lead is not None and loose else []


AGED_NOW = re.compile(
    rf"\b(?:is|are|turns|turned|will be|was)\s(?:now |nearly |almost |just |not yet |over |still )?(?P<age>{NUMBER})"
    r"(?: years (?:old|of age))?(?=[.,;:)]|\s(?:and|in|this|last|next|when|now|today|as)\b|$)"
)


AGED = re.compile(rf", (?:aged |now |who is )?(?P<age>{NUMBER}),")
LATELY = re.compile(r"\s(?:in|this|last|on)\s")


def ages(told: Told, lead: Someone | None) -> Iterator[Particular]:
    """Ages at the time of writing: 'is sixty-nine', 'was ten in March'. With a year it is of then, and of interest
    too."""
    text = told.telling.sentence.text
    for item, named in told.people:
        if item.words and (match := AGED.match(text[item.end :])):
            yield Particular(AGE, named, item.end + match.start("age"), item.end + match.end("age"), True)
    dated = any(when.year is not None and when.given for when in told.telling.whens)
    for match in AGED_NOW.finditer(text):
        if match.group().startswith(("was", "turned")) and (dated or not LATELY.match(text[match.end() :])):
            continue
        before = [one for item, one in told.people if item.start < match.start()]
        one = before[-1] if before else lead
        if one is not None:
            yield Particular(AGE, one, match.start("age"), match.end("age"), True)


def minors(told: Told, limits: Limits) -> Iterator[Particular]:
    """Children by name."""
    for item, one in told.people:
        if one.name and item.kind != "pron" and one.last is not None and limits.year - one.last < OF_AGE:
            yield Particular(MINOR, one, item.start, item.end, True)


WORD = re.compile(r"[^\W\d_]+")
