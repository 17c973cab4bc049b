"""Who may be living: everyone the book names, judged from what the whole book says of her and of her relatives.

A death that is stated anywhere wins. Without one a person counts as living for 110 years after her birth; where the
birth is not known, for 95 years after her marriage or a child's birth; where nothing is dated, what is said of her
parents, husband or wife, brothers and sisters decides. A large shared family tree publishes these three limits in its
help pages; they can be set. Nobody can tell from a draft who has died: what is said here is a presumption.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from storylint.draft.model import Kind
from storylint.study.circle import (
    BIRTHS,
    POSTAL,
    REACHED,
    Circle,
    Someone,
    Told,
    birth_years,
    build,
    circle_in,
    in_passing,
    last_year,
    related,
)
from storylint.study.dates import find
from storylint.study.facts import facts_of
from storylint.study.items import in_speech
from storylint.study.lexicon import CHILD, PARENT, SPOUSE
from storylint.study.persons import Facts, Said
from storylint.study.study import Book

DEATHS = frozenset(("death", "burial", "probate", "obituary", "inquest"))
LATE_SHARE = 0.02  # of all years a book names; above it they are no misprints (proposed for this tool, no source)
ADULT_SPAN = 80  # years since somebody was active, without any other date, for which she may be living (proposed here)
PARENT_SPAN = 150  # years since a parent's birth within which a child without dates counts as living (proposed here)
YOUNGER = frozenset(
    """son daughter child children sons daughters boy girl baby twins grandson granddaughter grandchild grandchildren
    grandsons granddaughters nephews nieces stepson stepdaughter stepchild son-in-law daughter-in-law nephew niece great-grandson
    great-granddaughter great-grandchild youngest eldest oldest firstborn foster-son godson goddaughter""".split()
)
EQUALS = frozenset(
    "wife husband widow widower partner spouse brother sister half-brother half-sister cousin cousins brothers sisters ex-wife "
    "ex-husband boyfriend girlfriend fiancé fiancée twin".split()
)


NEAR_KIN = YOUNGER | EQUALS | frozenset(CHILD) | frozenset(SPOUSE)


@dataclass(frozen=True, slots=True)
class Limits:
    """The year it is, and for how many years people count as living: from birth, marriage, a child's birth."""

    year: int
    born: int = 110
    married: int = 95
    parent: int = 95


def circle_of(book: Book, limits: Limits) -> Circle:
    """The book's circle for that year, worked out once."""
    key = f"circle {limits}"
    return book.once(key, lambda: gather(book, limits))


def year_of(today: str) -> int:
    """The year of an ISO date; of the day of the run where it is empty."""
    return date.fromisoformat(today).year if today else date.today().year


def gather(book: Book, limits: Limits) -> Circle:
    """Put the people together, find whom each sentence means, then who has died and who may be living."""
    other = any(key.startswith("circle Limits") for key in book.memo)
    circle = build(book) if other else circle_in(book)
    circle.year, circle.oldest = limits.year, limits.year - limits.born
    bury(circle)
    read_lists(circle, book)
    date_acts(circle)
    speak_of_now(circle, limits)
    presume(circle, facts_of(book), limits, told_today(circle, book, limits))
    for name, group in circle.by_forename.items():
        living = [one for one in group if one.why and len(one.name) > 1]
        if living:
            circle.living[name] = living
    return circle


LISTED_BIRTH = re.compile(
    r"\W*(?:date of birth|date and place of birth|birthday|birth date|birthdate|birth|born|dob|b\.)(?!\w)", re.I
)
LISTED_DEATH = re.compile(r"(?:date of death|death|died|d\.|buried|burial|cremated|funeral)(?!\w)", re.I)


def read_lists(circle: Circle, book: Book) -> None:
    """Take down births and deaths that only a list of facts in somebody's own section gives ('Born: 9 June 1950')."""
    for section in book.sections:
        lead = circle.leads.get(id(section))
        if lead is None:
            continue
        known = bool(lead.births) or any(birth_years(person) for person in lead.persons)
        for block in section.section.of_kind(Kind.ITEM, Kind.TABLE):
            line = block.text.lstrip("*_–— ")
            dates = find(line) if LISTED_BIRTH.match(line) or LISTED_DEATH.match(line) else []
            if dates and LISTED_DEATH.match(line):
                lead.dead = True
            elif not known:
                lead.births += [when.year for when in dates[:1] if when.year is not None]


# ------------------------------------------------------------------------------------------------------ who has died


def bury(circle: Circle) -> None:
    """Note every death that is stated anywhere, with a date or without."""
    for one in circle.everyone:
        one.dead = any(said.event in DEATHS and said.sure for said in one.said)
    for told in circle.told.values():
        for each in told:
            for one in deaths_in(each, circle):
                one.dead = True
    gone = {one.word for one in circle.everyone if one.mine and one.dead and one.word in PARENT}
    for one in circle.everyone:
        one.dead = one.dead or (one.mine and one.word in gone)  # 'my mother' is one, whatever section speaks of her


def deaths_in(told: Told, circle: Circle) -> Iterator[Someone]:
    """Of whom a sentence says that she is dead."""
    telling = told.telling
    meant = defaultdict(list)
    for item, one in told.people:
        meant[id(item)].append(one)
    for event in telling.events:
        if event.name == "widowed":
            yield from (other for item in event.subjects for one in meant[id(item)] for other in spouse_of(one, circle))
        if event.name not in DEATHS:
            continue
        last = event.subjects[-1:]
        one_of_many = last and WHO.search(telling.sentence.text[last[0].end : event.item.start])
        for item in last if one_of_many else event.subjects:
            yield from meant[id(item)]
        if event.how in ("initial", "default") and not event.subjects and told.lead is not None:
            yield told.lead
    text = telling.sentence.text
    ending = AND_LIVED.search(text)
    for _, one in [each for each in told.people if ending and each[0].end <= ending.start()][-1:]:
        yield one
    for item, one in told.people if MAY_TELL.search(text.lower()) else ():
        before, after = text[: item.start].rstrip().lower(), text[item.end :].lower()
        owned = after[:1] in ("'", "’") and after.lstrip("'’s ").startswith(GONE)
        if owned or before.endswith(GONE_BEFORE) or DECEASED.match(after) or LIVED_UNTIL.match(after):
            yield one
        if WIDOWED.match(after):
            yield from spouse_of(one, circle)


def spouse_of(one: Someone, circle: Circle) -> list[Someone]:
    """The husband or wife, where there is only one."""
    spouses = list({id(other): other for other in map(circle.of, one.kin("spouses"))}.values())
    return spouses if len(spouses) == 1 else []


WHO = re.compile(r"\bwho\b")
WIDOWED = re.compile(r"[^.;]{0,80}\b(?:was|became|been|is) (?:\w+ )?(?:a widower|a widow|widowed)\b")


DECEASED = re.compile(r"\s?(?:\([^)]*\))?[ ,(]*(?:now |since |long )?(?:deceased|(?:is|are) dead)\b")
# The end of a life, and not of a stay somewhere: 'Dilys lived until 1979', 'she lived to be ninety', 'he outlived her by ten years'.
_UNTIL = (
    r"(?:lived|survived|lasted|lingered)(?:\son)?\s(?:until|till|to|into)\s"
    r"(?:be\s(?:\w+[\s-]){0,2}(?:\d\d|ninety|eighty|hundred|old)\b|(?:[\w’']+\s){0,4}?(?:1[5-9]|20)\d\d\b)"
)
LIVED_UNTIL = re.compile(rf",?\s(?:who\s)?(?:\w+self\s)?(?:had\s)?(?:{_UNTIL}|outlived\s(?:\w+\s){{1,3}}by\b)")
AND_LIVED = re.compile(rf"\b(?:and|but)\s{_UNTIL}")
GONE_BEFORE = (
    *(f"{whose} late" for whose in ("the", "my", "our", "his", "her", "their")),
    *("widow of", "widower of", "in memory of", "relict of"),
)
GONE = tuple("widow|grave|funeral|ashes|headstone|gravestone|obituary|death |death,|death.|estate".split("|"))
# One of these stands in every sentence that tells in those ways of a death: the others need not be gone through.
MAY_TELL = re.compile(
    "|".join(map(re.escape, (*GONE, *GONE_BEFORE, "deceased", "dead", "lived ", "survived ", "lasted ", "lingered ")))
)


# --------------------------------------------------------------------------------------------------- who may be living


def presume(circle: Circle, facts: Facts, limits: Limits, today: bool) -> None:
    """First who can be judged by her own dates, then the others by those of their relatives, until nothing changes."""
    for one in circle.everyone:
        date_birth(one)
    open_ = [one for one in circle.everyone if not one.dead and not judge_alone(one, circle, limits)]
    for one in open_:
        if one.reached:
            one.why = "no death is stated, and the draft prints how to reach her or him"
    broods = siblings(circle, facts)
    open_ = spread([one for one in open_ if not one.why], circle, broods, limits)
    recent = is_recent(circle, limits)
    for one in open_:
        if not may_live_by_kin(one, limits):
            continue
        acted = bool(one.acts) and limits.year - min(one.acts) <= ADULT_SPAN
        one.passing = not (one.now or belongs(one, facts))
        if recent and (one.now or (acted and (len(one.name) > 1 or not one.passing))):
            one.why = "no death is stated, and the draft speaks of her or him as of somebody living or lately active"
        elif today and one.today and one.word:
            one.why = "no death is stated, and the draft speaks of her or him as of somebody living"
        elif today and one.mine and one.word in NEAR_KIN:
            one.why = "no death is stated, and the author's near kin may be living"
    open_ = spread([one for one in open_ if not one.why], circle, broods, limits)
    for one in beside(circle, open_, limits):
        one.why = "no death is stated, and the draft tells of it beside people who may be living"


def spread(open_: list[Someone], circle: Circle, broods: dict[int, list[Someone]], limits: Limits) -> list[Someone]:
    """Judge by relatives until nothing changes; gives those who are still undecided."""
    while True:
        waiting = [one for one in open_ if not judge_by_kin(one, circle, broods, limits)]
        if len(waiting) == len(open_):
            return open_
        open_ = waiting


def is_recent(circle: Circle, limits: Limits) -> bool:
    """True for a book that tells of years within a lifetime: then its present is ours. One misprint is no year."""
    years: Counter[int] = Counter()
    for told in circle.every():
        years.update({year for when in told.telling.whens if (year := last_year(when)) is not None})
    late = {year for year in years if limits.year - ADULT_SPAN <= year <= limits.year}
    return not years or len(late) > 1 or sum(years[year] for year in late) > LATE_SHARE * years.total()


# Years after the birth of somebody until which a relative can have been born: a quarter of a century between brothers and
# sisters, seventy-five years to each generation. Proposed here, after the usual ages of parents in the rule ``dates``.
SAME, NEXT = 25, 75


def may_live_by_kin(one: Someone, limits: Limits) -> bool:
    """False for a relative who can't have been born late enough: the brother of somebody born in 1833."""
    word = one.word
    if one.mine:
        return not word.startswith("great-") or word.endswith(tuple(YOUNGER))
    if one.of is None or one.of.last is None:
        return True
    young = word in YOUNGER or word.endswith(tuple(YOUNGER))
    older = word in PARENT or word.endswith(("father", "mother", "uncle", "aunt", "parents"))
    if young and not ASIDE.search(word):
        last = last_child(one.of) + NEXT * (word.count("great-") + ("grand" in word))
    else:
        last = one.of.last + (0 if older else SAME) + NEXT * young
    return limits.year - last <= limits.born


GENERATION = 28  # years from one generation to the next, three to four a century (common practice, no source)


def usual_birth(one: Someone) -> int | None:
    """The year in which a grandchild or great-grandchild of somebody with dates was born, as generations go."""
    young = one.word.endswith(("son", "daughter", "child"))
    if one.of is None or one.of.last is None or not young or "grand" not in one.word or one.acts:
        return None
    return one.of.last + GENERATION * (2 + one.word.count("great-"))


ASIDE = re.compile("nephew|niece|in-law|step|god|foster")  # younger, and no descendants


def last_child(one: Someone) -> int:
    """The last year in which a child of somebody can have been born, whose own birth is dated."""
    died = [year for said in one.said if said.event in DEATHS and said.sure and (year := last_of(said)) is not None]
    return min([(one.last or 0) + NEXT, *(year + 1 for year in died)])


def last_of(said: Said) -> int | None:
    """The last year of a statement's date."""
    return last_year(said.when) if said.when is not None else None


FEW_YEARS = 60  # years named in a draft, below which they say nothing of when it was written (proposed here, no source)


def told_today(circle: Circle, book: Book, limits: Limits) -> bool:
    """True where the present tense can be ours although no sentence names a late year: in a short draft, and where the
    notes name one. An old book that is read again names many years, and none of our time."""
    years = [year for told in circle.every() for when in told.telling.whens if (year := last_year(when)) is not None]
    drafts = {id(section.section.draft): section.section.draft for section in book.sections}.values()
    notes = (note.text for draft in drafts if draft is not None for note in draft.notes)
    if len(years) < FEW_YEARS:
        return True
    cited = {int(year) for text in notes for year in A_YEAR.findall(text)}
    return len([year for year in cited if limits.year - ADULT_SPAN <= year <= limits.year]) > 1  # one may be a number


A_YEAR = re.compile(r"\b(?:19|20)\d\d\b")


def belongs(one: Someone, facts: Facts) -> bool:
    """True for one of the family: with an entry, a section or a relative."""
    return any(related(person) for person in one.persons) or one.of is not None or bool(one.word)


def beside(circle: Circle, open_: Iterable[Someone], limits: Limits) -> Iterator[Someone]:
    """Those without any date or relative, of whom every sentence that names them speaks of somebody who may be
    living."""
    named = {id(one): one for one in open_ if one.name}
    company: dict[int, list[bool]] = defaultdict(list)
    for told in circle.every():
        people = [one for _, one in told.people if id(one) in named]
        if not people:
            continue
        years = [year for when in told.telling.whens if (year := last_year(when)) is not None]
        old = bool(years) and limits.year - max(years) > limits.married
        for one in people:
            others = [other for _, other in told.people if other is not one]
            alive = any(other.why for other in others) or (told.lead is not None and bool(told.lead.why))
            company[id(one)].append(alive and not old)
    yield from (one for one in named.values() if company[id(one)] and all(company[id(one)]))


def date_acts(circle: Circle) -> None:
    """Note the years in which somebody is said to have acted, where the sentence names or means her as its subject."""
    for told in circle.every():
        meant = {id(item): one for item, one in told.people}
        text = told.telling.sentence.text
        for item, one in told.people:
            year = in_passing(text, item)
            if year is not None:
                one.births.append(year)
        for event in told.telling.events:
            if event.when is None or event.when.year is None or event.name in (*DEATHS, *BIRTHS):
                continue
            for item in event.subjects:
                if id(item) in meant and event.how in ("said", "apposed", "same"):
                    meant[id(item)].acts.append(event.when.year)


# What a present tense says of the living; 'is buried', 'is said to', 'appears in' it says of the dead as well.
PRESENT = re.compile(
    r"^(?:,[^,]{1,50},|,?\swho|\sof\s[A-Z]\w+|\sof\s\d[\w ,]{1,60},)?\s(?:still |now |also |always |never |already )*(?:is|are|has|have|'s|can|will|do|live|work|keep|"
    r"(?!(?:was|as|his|this|us|appears|stands|signs|marries|dies|leaves|figures|occurs|features|comes|descends|lies|rests|makes|"
    r"gives|sails|settles|inherits|buys)\b)[a-z]+[^\Ws]s)\b(?!(?<!has)(?<!have)\s(?:been |also |here |still )?(?:buried|said|supposed|believed|thought|named|listed|"
    r"recorded|mentioned|found|entered|described|called|known|remembered|reported|counted|given|shown|in the (?:census|register|list|"
    r"roll)|an? (?:son|daughter) of|the (?:son|daughter) of))"
)
# The present tense of what is told as a story; 'he appears in the census of 1851' is said of a paper.
STAGED = re.compile(
    r"^\s(?:also |now |never |then |soon )*(?!(?:was|as|his|this|us|is|has|does|appears|stands|signs|figures|occurs|features|comes|"
    r"descends|lies|rests|says|tells|writes|gives|seems|witnesses|makes)\b)[a-z]{2,}[a-rt-z]s\b"
)
# What brings somebody into the author's own time.
WITH_ME = re.compile(
    r"^\s(?:\w+ ){0,2}(?:told|gave|lent|showed|sent|wrote to|let|allowed|asked|took|drove|helped|reminded) (?:me|us)\b|"
    r"^\s(?:has |have )?(?:read|seen|passed|approved|checked|corrected) (?:this|these|the) (?:page|pages|chapter|chapters|draft|proofs?|book)\b|"
    r"^, my (?:\w+ )?(?:sister|brother|cousin|mother|father|aunt|uncle|niece|nephew|friend|wife|husband)\b"
)
LIVING = re.compile(
    r"\b(?:living|surviving) (?:children|sons|daughters|grandchildren|descendants|relatives|cousins)\b|\bsurvived by\b"
)


def speak_of_now(circle: Circle, limits: Limits) -> None:
    """Note of whom a sentence speaks in the present; with a date of long ago the present tense is the teller's, and then
    that of the sentences around it may be too."""
    for tellings in circle.told.values():
        speak_in(tellings, limits, is_staged(tellings, limits))


def is_staged(tellings: Iterable[Told], limits: Limits) -> bool:
    """True where a section tells what happened long ago as if it happened now: 'In 1846 she buys the mill'."""
    return any(
        STAGED.match(told.telling.sentence.text[item.end :])
        for told in tellings
        if is_old(told, limits)
        for item, _ in told.people
        if item.low not in ("his", "her", "their")
    )


def is_old(told: Told, limits: Limits) -> bool:
    """True for a sentence that names years, and all of them long ago."""
    years = [year for when in told.telling.whens if (year := last_year(when)) is not None]
    return bool(years) and limits.year - max(years) > limits.married


def speak_in(tellings: Iterable[Told], limits: Limits, staged: bool) -> None:
    """The same of one section."""
    for told in tellings:
        text = told.telling.sentence.text
        if reach := REACHED.search(text):
            for one in [one for item, one in told.people if item.end <= reach.start() and one.name][-1:]:
                one.reached = True
        for item, one in told.people:
            one.reached = one.reached or bool(one.name and POSTAL.match(text, item.end))
        if is_old(told, limits):
            continue
        living = LIVING.search(text)
        for item, one in told.people:
            if item.kind == "pron" and item.low not in ("he", "she"):  # "they" may be anybody
                continue
            after, before = text[item.end :], text[: item.start]
            plain = after.removeprefix(",") if item.kind == "kin" and item.words else after  # 'my aunt, Ann, lives'
            if (
                PRESENT.match(plain)
                or PRESENT.match(after)
                or WITH_ME.match(plain)
                or (living and item.words and LIVING.search(before))
            ):
                one.now = True
                one.today = one.today or not (staged or told.telling.theirs or in_speech(text, item.start))


def date_birth(one: Someone) -> None:
    """Note the years in which somebody can have been born, of the dead too: their children are judged by them."""
    years = [year for person in one.persons for year in birth_years(person)] or one.births or list(by_age(one))
    if years:
        one.first, one.last = min(years), max(years)


def judge_alone(one: Someone, circle: Circle, limits: Limits) -> bool:
    """Judge by her own dates; True when they decide."""
    if one.last is not None:
        wed = min(years_of(one, ("marriage",)), default=limits.year)  # earlier than that a year of birth is a misprint
        if limits.year - one.last <= limits.born and limits.year - wed <= limits.born:
            one.why = f"no death is stated, and the birth is less than {limits.born} years ago"
        return True
    grown = [(year, limits.married, "a marriage is") for year in years_of(one, ("marriage",))]
    grown += [(year, limits.parent, "a child was born") for child in one.kin("children") for year in birth_years(child)]
    grown += [(year, limits.married, "what is told is") for year in one.acts if limits.year - year > limits.married]
    if not grown:
        return False
    year, limit, what = min(grown)
    if limits.year - year <= limit:
        one.why = f"no death is stated, and {what} less than {limit} years ago"
    return True


def by_age(one: Someone) -> Iterator[int]:
    """Years of birth that a stated age and its date give."""
    for said in one.said:
        if said.sure and said.age is not None and said.age.years is not None and said.when and said.when.year:
            yield said.when.year - said.age.years


def years_of(one: Someone, events: Iterable[str]) -> Iterator[int]:
    """The years of her sure statements of these events."""
    for said in one.said:
        if said.event in events and said.sure and said.when is not None and said.when.year is not None:
            yield said.when.year


def siblings(circle: Circle, facts: Facts) -> dict[int, list[Someone]]:
    """For everyone in a list of children the others in it."""
    found: dict[int, list[Someone]] = defaultdict(list)
    for brood in facts.broods:
        group = [circle.of(child) for child in brood.children]
        for one in group:
            found[id(one)] += [other for other in group if other is not one]
    return found


def judge_by_kin(one: Someone, circle: Circle, broods: dict[int, list[Someone]], limits: Limits) -> bool:
    """Judge one without dates by those who have some; True when they decide."""
    spouses = [circle.of(each) for each in one.kin("spouses")]
    if any(other.why for other in spouses):
        one.why = "no death is stated, and the husband or wife may be living"
    elif any(other.last and limits.year - other.last <= limits.born for other in (*spouses, *broods[id(one)])):
        one.why = "no death is stated, and a husband, wife, brother or sister would be of an age to live"
    parents = [circle.of(each) for each in one.kin("parents")]
    if not one.why and any(other.why for other in parents):
        one.why = "no death is stated, and a parent may be living"
    elif not one.why and any(
        other.last and limits.year - other.last <= PARENT_SPAN and limits.year - last_child(other) <= limits.born
        for other in parents
    ):
        one.why = f"no death is stated, and a parent was born less than {PARENT_SPAN} years ago"
    if not one.why and one.of is not None and one.of.why and one.word in NEAR_KIN:
        one.why = "no death is stated, and a near relative may be living"
    if not one.why and (born := usual_birth(one)) is not None and limits.year - born <= limits.born:
        one.why = (
            f"no death is stated, and by the generations between a birth less than {limits.born} years ago is likely"
        )
    return bool(one.why)
