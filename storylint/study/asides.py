"""Particulars of people who may be living in what is no prose: lists of facts, tables, captions, quotations, notes.

Such a text has no sentences that could be read for whom they mean. What it prints is of her whom it names in full, by
day or year of a birth that the draft gives her, or, in her own section, of her whom the section is about: a list of
facts ('Born: 9 June 1950', 'Occupation: nurse') names nobody, and a letter that is quoted calls her by her forename.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from storylint.draft.model import Block, Kind
from storylint.study import sentences
from storylint.study.attach import STILL_OPEN
from storylint.study.circle import Circle, Someone, last_year
from storylint.study.dates import When, find
from storylint.study.particulars import (
    BIRTH,
    LABELS,
    MARRIAGE,
    MINOR,
    OF_AGE,
    OF_DEATH,
    WORD,
    Particular,
    born,
    is_agreed,
    kinds,
)
from storylint.study.presumed import LISTED_BIRTH

ASIDE = (Kind.HEADING, Kind.CAPTION, Kind.TABLE, Kind.ITEM, Kind.QUOTATION, Kind.NOTES)
CLOSE = 30  # characters between a name and the year of birth that is printed beside it, as in ``particulars``
MARKED = re.compile(
    r"(?:\b(?:born|birth|b\.|baptised|baptized|christened|dob)\W{0,3}(?:(?:on|in|about|c\.|ca\.)\s)?|\(\s*)$", re.I
)
YEAR = re.compile(r"\b(?:1[0-9]|20)\d\d\b")
SHE = re.compile(r"\W*(She|He)\b")
MARRIED = re.compile(r"\b(?:married|wed)\b", re.IGNORECASE)
ENDED = re.compile(r"\b(?:died|d\.|bur(?:ied|\.)|deceased)(?!\w)", re.IGNORECASE)
AFTER_LABEL = re.compile(r"[\s:–—-]*")
# An address that belongs to an office, an archive or a church is nobody's home.
PUBLIC = re.compile(
    r"\b(?:society|library|archives?|office|museum|church|chapel|cemetery|college|university|hall|clerk|court|press|school|bank"
    r"|registry|department|division|center|centre|institute|newspaper|publish\w+|books?|inc|ltd|company)\b",
    re.I,
)  # fmt: skip


def in_block(block: Block, circle: Circle, lead: Someone | None) -> Iterator[Particular]:
    """What a block that is no prose prints of anybody; ``lead`` is whom the section is about. Places are those of the
    block's text; ``span`` is True: cutting these words is enough."""
    text = block.text
    found = list(in_text(text, circle))
    own = lead if lead is not None and lead.why else None
    if not is_agreed(text):
        if own is not None and block.kind in (Kind.ITEM, Kind.TABLE):
            found += fact(text, circle, own)
        if block.kind in (Kind.ITEM, Kind.TABLE, Kind.QUOTATION):
            found += told(text, circle, own, may_be_nameless=block.kind is not Kind.QUOTATION)
    seen: set[tuple[str, int, int]] = set()
    for each in found:
        key = (each.kind, id(each.one), each.start)
        if key not in seen:
            seen.add(key)
            yield each


def in_note(text: str, circle: Circle, lead: Someone | None) -> Iterator[Particular]:
    """What a note prints; in the section of somebody who may be living, an address without a name is hers."""
    found = list(in_text(text, circle))
    yield from found
    if found or lead is None or not lead.why or is_agreed(text) or PUBLIC.search(text):
        return
    for kind in kinds()[0]:
        if kind.strong and (match := kind.pattern.search(text)):
            yield Particular(kind.name, lead, match.start(), match.end(), True)


# ----------------------------------------------------------------------------------------------------------------- by name


@dataclass(frozen=True, slots=True)
class Named:
    """Where a text names somebody: ``whole`` with her surname, before or after the forename."""

    one: Someone
    start: int
    end: int
    whole: bool


def names_in(text: str, circle: Circle) -> Iterator[Named]:
    """Everyone who may be living whom a text may name."""
    for word in WORD.finditer(text):
        for one in circle.living.get(word[0], ()):
            whole = " ".join(one.name)
            last = f"{one.name[-1]}, {' '.join(one.name[:-1])}"
            if text.startswith(whole, word.start()):
                yield Named(one, word.start(), word.start() + len(whole), True)
            elif text.startswith(last, start := word.start() - len(one.name[-1]) - 2) and start >= 0:
                yield Named(one, start, start + len(last), True)
            else:
                yield Named(one, word.start(), word.end(), False)


def in_text(text: str, circle: Circle) -> Iterator[Particular]:
    """What a text prints of somebody whom it names: how to reach her, numbers, a street address, where she is named in
    full; the day of her birth; its year, where it stands beside her name or is marked as such."""
    named = list(names_in(text, circle))
    if not named or is_agreed(text):
        return
    whole = list({id(name.one): name for name in reversed(named) if name.whole}.values())[::-1]
    for name in whole:
        for kind in kinds()[0]:
            if kind.strong and (match := kind.pattern.search(text)):
                yield Particular(kind.name, name.one, match.start(), match.end(), True)
        if name.one.last is not None and circle.year - name.one.last < OF_AGE:
            yield Particular(MINOR, name.one, name.start, name.end, True)
    whens = [when for when in find(text) if when.year is not None]
    for when in whens:
        for name in named:
            if is_birth(when, name, text):
                yield Particular(BIRTH, name.one, when.start, when.end, True)
                break


def years_of(one: Someone) -> set[int | None]:
    """The years in which the draft has somebody born."""
    return {*one.births, *(last_year(said.when) for said in born(one) if said.when)}


def is_day_of(when: When, one: Someone) -> bool:
    """Whether a date is the day of somebody's birth."""
    days = (said.when for said in born(one) if said.when and said.when.exact)
    return when.exact and any(day.earliest == when.earliest for day in days)


def is_birth(when: When, name: Named, text: str) -> bool:
    """Whether a date beside a name is that of the birth."""
    if when.exact:
        return is_day_of(when, name.one)
    if when.year not in years_of(name.one) or not 0 <= when.start - name.end < CLOSE:
        return False
    return name.whole or bool(MARKED.search(text[: when.start])) or bool(STILL_OPEN.match(text, when.end))


# --------------------------------------------------------------------------------------------------- in her own section


def fact(text: str, circle: Circle, lead: Someone) -> Iterator[Particular]:
    """A line of a list of facts about her whom the section is about: all that follows its label."""
    first = WORD.search(text)
    if first is None or (first[0] in circle.by_forename and lead not in circle.by_forename[first[0]]):
        return
    for kind, pattern in ((BIRTH, LISTED_BIRTH), *LABELS):
        label = pattern.match(text, first.start())
        start = AFTER_LABEL.match(text, label.end()).end() if label else len(text)  # type: ignore[union-attr]
        if start < len(text):
            yield Particular(kind, lead, start, len(text), True)


def told(text: str, circle: Circle, lead: Someone | None, may_be_nameless: bool) -> Iterator[Particular]:
    """What the sentences of an item, a cell or a quotation say in so many words of somebody who is named in full, or of
    her whom the section is about, with no other name nearer before it."""
    for start, end in parts(text):
        part = text[start:end]
        if is_old(part, circle.oldest):
            continue
        people = list(people_in(part, circle, lead))
        nameless = lead if may_be_nameless and not people else None
        pronoun = SHE.match(part) if may_be_nameless and lead is not None else None
        if pronoun and lead is not None and lead.sex in ("", "f" if pronoun[1] == "She" else "m"):
            people.insert(0, (0, lead))
        if nameless is None and not any(one for _, one in people):
            continue
        yield from dated(part, start, people)
        for kind in kinds()[0]:
            for match in kind.pattern.finditer(part):
                one = nearest(people, match.start(), nameless if kind.alone or kind.strong else None)
                if one is not None and not OF_DEATH.search(part[: match.start()]):
                    yield Particular(kind.name, one, start, end, True)
                    break


def parts(text: str) -> Iterator[tuple[int, int]]:
    """Where the sentences of a text, or of the cells of a row, stand."""
    at = 0
    for cell in text.split("\t"):
        yield from ((at + start, at + end) for start, end in sentences.split(cell))
        at += len(cell) + 1


def nearest(people: list[tuple[int, Someone | None]], at: int, otherwise: Someone | None) -> Someone | None:
    """Who is named last before a place; where nobody is named at all, ``otherwise``."""
    before = [one for start, one in people if start <= at]
    return before[-1] if before else otherwise if not people else None


def dated(part: str, at: int, people: list[tuple[int, Someone | None]]) -> Iterator[Particular]:
    """Births and marriages of those whom a sentence names; ``at`` is where it begins."""
    for when in find(part) if people and not ENDED.search(part) else ():
        one = nearest(people, when.start, None)
        if one is None or when.year is None:
            continue
        marked = MARKED.search(part[: when.start]) and when.year in (years_of(one) or {when.year})
        if is_day_of(when, one) or marked:
            yield Particular(BIRTH, one, at + when.start, at + when.end, True)
    for match in MARRIED.finditer(part):
        one = nearest(people, match.start(), None)
        if one is not None:
            yield Particular(MARRIAGE, one, at, at + len(part), True)
            break


def is_old(text: str, oldest: int) -> bool:
    """Whether a text names years, and none of a lifetime ago: then it tells of the dead, though their names live on."""
    years = [int(each) for each in YEAR.findall(text)]
    return bool(years) and max(years) < oldest


def people_in(text: str, circle: Circle, lead: Someone | None) -> Iterator[tuple[int, Someone | None]]:
    """Where a text names somebody, and who it is where that is sure and she may be living."""
    whole = {name.start: name.one for name in names_in(text, circle) if name.whole}
    for word in WORD.finditer(text):
        if word.start() in whole:
            yield word.start(), whole[word.start()]
        elif bearers := circle.by_forename.get(word[0]):
            yield word.start(), lead if lead is not None and lead in bearers else None
