"""A sentence in pieces: people, pronouns, words of kinship, events, verbs, dates, ages, boundaries."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from storylint.draft.names import PARTICLES, said
from storylint.study.ages import AGE, MAY_HAVE_AGE, Age, age_of
from storylint.study.dates import When
from storylint.study.given_names import sex_of
from storylint.study.lexicon import (
    ADVERB,
    AUX,
    BOUNDARY,
    CHILD,
    COMPOUND,
    CUES,
    GOING,
    IRREGULAR,
    LIVING,
    MADE,
    MAN,
    OTHER_KIN,
    PARENT,
    PLURAL,
    PREPOSITION,
    SEVERAL,
    SIBLING,
    SPOUSE,
    SUFFIXES,
    TITLES,
    WOMAN,
)
from storylint.study.placenames import is_area, is_place
from storylint.study.study import Sentence


@dataclass(eq=False, slots=True)
class Item:
    """A piece of a sentence: ``kind`` is name, pron, kin, verb, noun (of an event), aux, adv, bound, prep, date, age,
    word; ``low`` its text in small letters.

    ``event`` is the event of a verb or noun ("act" for any other verb). A word of kinship has its ``owner`` (the item
    before "'s", or a pronoun) and the ``words`` of a name that stands with it. ``tells`` is the event noun of which a
    light verb ("is dated") speaks.
    """

    kind: str
    start: int
    end: int
    text: str
    low: str
    event: str = ""
    owner: Item | None = None
    words: tuple[str, ...] = ()
    when: When | None = None
    age: Age | None = None
    tells: Item | None = None
    inner: Item | None = None  # the pronoun inside 'laid him to rest'
    given_to: bool = False  # 'to' stands before it
    thing: bool = False  # 'the Bush Advocate'
    vague: bool = False  # 'a Zwirn', 'another Gethin'
    borne: bool = False  # a word for a child after 'had', 'left', 'bore'
    apposed: Item | None = None  # of whom it says what she is to the author: 'Tom Hughes, my brother,'
    around: bool = False  # a place's name that says where the place before it lies: 'in Savannah, Georgia'

    @property
    def person(self) -> bool:
        """True for what can name a person."""
        return self.kind in ("name", "pron", "kin") and not self.around


def items_of(sentence: Sentence, whens: Sequence[When]) -> list[Item]:
    """Cut a sentence into items."""
    text = sentence.text
    spans = [Item("date", when.start, when.end, when.words, when.words.lower(), when=when) for when in whens]
    for match in AGE.finditer(text) if MAY_HAVE_AGE.search(text) else ():
        found = age_of(match)
        if found and not _overlaps(spans, found[0], found[1]):
            words = text[found[0] : found[1]]
            spans.append(Item("age", found[0], found[1], words, words.lower(), age=found[2]))
    for match in COMPOUND.finditer(text) if "-" in text else ():
        spans.append(Item("kin", match.start(), match.end(), match.group(), match.group().lower()))
    for match in CUES.finditer(text):
        if not _overlaps(spans, match.start(), match.end()):
            spans.append(_cue(match))
    spans.sort(key=lambda item: item.start)
    items = list(_filled(sentence, spans))
    _note_places(items)
    items = _with_states(_with_kin(items))
    if not MINE.isdisjoint(sentence.lower):
        disown(item for item in items if is_mine(item) and in_speech(text, item.start))
    return items


_WHERE = frozenset("in at from near to into around outside of on".split())
_THERE = frozenset(("birth", "baptism", "death", "burial"))  # 'b. Savannah, Georgia, 3 May 1850'


def _note_places(items: list[Item]) -> None:
    """Mark the states and countries, and the towns before them, that stand after a place: many are forenames too."""
    for i in range(2, len(items)):
        if items[i].kind == "name" and items[i - 1].text == "," and items[i - 2].kind == "name":
            items[i].around = _in_place(items, i - 2) and _lies_around(items, i)


def _in_place(items: Sequence[Item], i: int) -> bool:
    """True for the name of a place by what stands before it: 'in Savannah', 'at 12 Mill Lane', 'b. Savannah'."""
    j = i - 1
    while j > 0 and (items[j].low == "the" or items[j].text.isdigit()):
        j -= 1
    if j < 0 or items[i].around:
        return items[i].around
    of_kin = items[j].low == "of" and j > 0 and items[j - 1].kind == "kin"  # 'son of Charlotte'
    return (items[j].low in _WHERE and not of_kin) or (items[j].kind == "verb" and items[j].event in _THERE)


def _lies_around(items: Sequence[Item], i: int) -> bool:
    """True for the name of a state or country that closes a phrase, and of a town before one."""
    after = items[i + 1] if i + 1 < len(items) else None
    if after is not None and (after.kind in ("verb", "aux", "name", "kin") or after.text in ("'s", "’s", "and", "&")):
        return False  # 'At Savannah, Georgia met him'
    beyond = items[i + 2] if i + 2 < len(items) else None
    if sex_of(items[i].text) and _is_told_of(items, i):
        return False
    if is_area(items[i].text) or items[i].text.endswith((" County", " Township", " Parish")):
        return True
    chained = after is not None and after.text == "," and beyond is not None and beyond.kind == "name"
    return chained and beyond is not None and is_area(beyond.text) and is_place(items[i].text)


_OF_SOMEBODY = frozenset("who whom whose his her their the a an my our aged".split())


def _is_told_of(items: Sequence[Item], i: int) -> bool:
    """True where a forename that is a place's name too is somebody's: 'in Savannah, Georgia, their daughter, …', 'one
    lives in Ohio, Georgia in Maine'."""
    after, beyond = (items[j] if j < len(items) else None for j in (i + 1, i + 2))
    if is_area(items[i - 2].text) or after is None:
        return after is not None
    if after.text == "," and beyond is not None:
        return beyond.kind in ("kin", "age") or beyond.low in _OF_SOMEBODY
    return after.low in ("in", "at", "near") and beyond is not None and beyond.kind == "name"


def _cue(match: re.Match[str]) -> Item:
    """The verb or noun of an event."""
    group, words = match.lastgroup or "", match.group()
    item = Item("verb" if group[0] == "v" else "noun", *match.span(), words, words.lower(), event=group[2:])
    inner = _inside(group, words)
    if inner:
        at = match.start() + inner.start()
        item.inner = Item("pron", at, at + 3, inner.group(), inner.group().lower())
    return item


def of_persons(items: Sequence[Item]) -> list[Item]:
    """Of a sentence that has been heard the items that can mean somebody, each with the two before it, by which it is
    told whom it means: a third of them all, which are most of what a long book takes in memory."""
    kept = {near for at, item in enumerate(items) if item.person for near in (at - 2, at - 1, at)}
    return [items[at] for at in sorted(kept) if at >= 0]


def disown(items: Iterable[Item]) -> None:
    """'My mother' in somebody else's mouth is not the author's."""
    for item in items:
        if is_mine(item):
            item.owner = item.apposed = None


MINE = frozenset("my our author writer compiler".split())


def is_mine(item: Item) -> bool:
    """True for a word of kinship that says what somebody is to the author: 'my mother', 'our eldest son John', 'the
    author's wife'."""
    return item.owner is not None and item.owner.kind == "word" and item.owner.low in MINE


def in_speech(text: str, at: int) -> bool:
    """True inside quotation marks: somebody else's statement."""
    before = text[:at]
    return before.count("“") > before.count("”") or before.count('"') % 2 == 1


def _overlaps(spans: Sequence[Item], start: int, end: int) -> bool:
    return any(span.start < end and start < span.end for span in spans)


def _inside(group: str, words: str) -> re.Match[str] | None:
    """The pronoun inside 'laid him to rest', 'his days were ended', 'the administration of her goods'."""
    if group in ("v_burial", "v_baptism", "v_citizen"):
        return re.search(r"\b(?:him|her)\b", words)
    if group in ("v_death", "n_probate", "n_obituary"):
        return (
            re.search(r"\b(?:his|her)\b", words, re.IGNORECASE)
            if group[0] == "n"
            else re.search(r"^(?:his|her)\b|\b(?:him|her)$", words, re.IGNORECASE)
        )
    return None


_PRESENT = re.compile(r"[a-z]{2,}[a-rt-z]s$")


def _with_states(items: list[Item]) -> list[Item]:
    """'was president', 'had a shop', 'is sixteen': an auxiliary without a verb is one itself."""
    for i, item in enumerate(items):
        if (
            item.kind == "word"
            and i
            and (items[i - 1].kind == "name" or items[i - 1].low in ("he", "she", "who"))
            and _PRESENT.match(item.text)
        ):
            item.kind = "verb"  # the historic present: 'in 1846 she buys the mill'
        if item.low in ("himself", "herself") and i and items[i - 1].person:
            item.kind = "adv"
        if item.kind == "aux" and item.low not in ("being", "been", "having"):
            j = i + 1
            while j < len(items) and items[j].kind in ("aux", "adv"):
                j += 1
            if j == len(items) or items[j].kind != "verb":
                item.kind, item.event = "verb", "state"
    return items


def _filled(sentence: Sentence, spans: Sequence[Item]) -> Iterator[Item]:
    """The spans with the tokens between them."""
    at, done = 0, 0
    tokens, lower, tags, starts = sentence.tokens, sentence.lower, sentence.tags, sentence.at
    i = 0
    while i < len(tokens):
        while at < len(spans) and spans[at].end <= starts[i]:
            at += 1
        if at < len(spans) and spans[at].start <= starts[i]:
            if done <= at:
                yield spans[at]
                done = at + 1
            i += 1
            continue
        size = 0
        if "N" in tags[i : i + 2]:  # a name, or a title before one
            size = _name_length(tokens, tags, starts, i, spans[at].start if at < len(spans) else len(sentence.text) + 1)
        verb = i == 0 and size == 1 and _opens_with_verb(tokens, lower)
        if size and not verb:
            if lower[i + size : i + size + 1] == ["the"] and lower[i + size + 1 : i + size + 2] in BYNAMES:
                size += 2  # 'Roger the younger'
            yield _name(sentence, i, size)
            i += size
            continue
        token, low = tokens[i], lower[i]
        kind = _kind(low, token, "x" if verb else tags[i], i == 0)
        yield Item(kind, starts[i], starts[i] + len(token), token, low, "act")
        i += 1


def _name(sentence: Sentence, i: int, size: int) -> Item:
    """The name of ``size`` tokens from ``i`` on."""
    tokens, lower, start = sentence.tokens, sentence.lower, sentence.at[i]
    end = sentence.at[i + size - 1] + len(tokens[i + size - 1])
    text = sentence.text[start:end] if size > 1 else tokens[i]
    spelled = tokens[i : i + size] if "-" not in tokens[i : i + size] else text.split()
    article = lower[i - 1] if i else ""
    return Item(
        "name",
        start,
        end,
        text,
        text.lower() if size > 1 else lower[i],
        words=name_words(tuple(spelled)),
        vague=article in VAGUE,
        thing=article == "the" and tokens[i].rstrip(".") not in TITLES,
    )


BYNAMES = (["younger"], ["elder"], ["older"], ["second"], ["third"])


def _opens_with_verb(tokens: Sequence[str], lower: Sequence[str]) -> bool:
    """'Sailed from Bergen in the spring', 'Bought the mill': a sentence without a subject."""
    verb = lower[0] in GOING or (lower[0] in IRREGULAR and lower[0] not in MADE | LIVING)
    return verb and not sex_of(tokens[0]) and lower[1:2] == list(tokens[1:2]) and lower[1:2] not in (["and"], ["was"])


# Before a name these say that it is not the one whom the section is about: 'a Zwirn', 'the first Owen Gethin'.
VAGUE = frozenset("a an also another no every some first second third fourth fifth last other new elder older".split())
_DIGITS = str.maketrans("", "", "0123456789¹²³⁰⁴⁵⁶⁷⁸⁹^")


@lru_cache(maxsize=5000)  # a book names the same people again and again
def name_words(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """A name as a reader says it: no titles, digits or points."""
    words = [token.translate(_DIGITS).strip(".,'’\"") for token in tokens]
    if len(words) > 1 and re.fullmatch(r"[IVX]+", words[0]):  # the number of an entry: 'X. HENRY'
        words = words[1:]
    kept = [len(word) == 2 and word.casefold() not in PARTICLES for word in words]  # initials: JB
    words = [word if keep else spelled for word, spelled, keep in zip(words, said(words), kept, strict=True)]
    return tuple(word for word in words if word and word not in TITLES and word not in SUFFIXES and word[0].isupper())


def _name_length(tokens: Sequence[str], tags: str, starts: Sequence[int], i: int, limit: int) -> int:
    """How many tokens from ``i`` on are one name ('Rev. John van Dyke')."""
    forename = tokens[i] in ("Jan", "Per")  # a man, where a name follows; a month or a preposition otherwise
    named = tokens[i].rstrip(".") in TITLES or forename
    if not (tags[i] == "N" or (named and tags[i + 1 : i + 2] == "N")):
        return 0
    end = i + forename
    while end < len(tokens) and starts[end] < limit:
        if (
            (tags[end] in "NK" and tokens[end][:1].isupper())
            or (end > i and tokens[end] in ("May", "June", "April", "August") and tags[end + 1 : end + 2] == "N")
            or (
                tokens[end] in ("van", "von", "de", "der", "den", "du", "la", "le", "ap", "ab", "y", "ten", "ter", ".")
                and end + 1 < len(tokens)
                and tags[end + 1] == "N"
                and starts[end + 1] < limit
                and (tokens[end] != "." or len(tokens[end - 1]) == 1 or tokens[end - 1] in TITLES)
            )
        ):
            end += 1
        elif end > i and _joins(tokens, tags, starts, end):
            end += 2  # Anne-Marie
        else:
            break
    return max(end - i, 1)


def _joins(tokens: Sequence[str], tags: str, starts: Sequence[int], at: int) -> bool:
    """True for a hyphen that stands close between two parts of one name."""
    close = tokens[at] == "-" and starts[at] == starts[at - 1] + len(tokens[at - 1])
    return close and tags[at + 1 : at + 2] == "N" and starts[at + 1] == starts[at] + 1


_KINDS: dict[str, str] = {
    word: kind
    for kind, words in (  # of a word of two kinds the later one stays
        ("adv", ADVERB),
        ("prep", PREPOSITION),
        ("aux", AUX),
        ("kin", {*SPOUSE, *CHILD, *PARENT, *SIBLING, *OTHER_KIN}),
        ("bound", BOUNDARY),
        ("pron", MAN | WOMAN | PLURAL),
    )
    for word in words
}


@lru_cache(maxsize=5000)
def _kind(low: str, token: str, tag: str, first: bool) -> str:
    """The kind of a token that is in no date, age, event or name."""
    if low in _KINDS:
        return _KINDS[low]
    if low.endswith("ly") and len(low) > 4:
        return "adv"
    if (
        (token[:1].islower() or first)
        and tag in "xVRLO"
        and (low in IRREGULAR or (low.endswith("ed") and len(low) > 3))
    ):
        return "verb"
    return "word"


def _with_kin(items: list[Item]) -> list[Item]:
    """Join words of kinship with the name that stands with them and with their owner."""
    out: list[Item] = []
    skip = 0
    for i, item in enumerate(items):
        if skip:
            skip -= 1
            continue
        if item.kind == "kin":
            item.owner = owner_of(out)
            if item.low in ("youngest", "eldest", "oldest") and (
                item.owner is None or (items[i + 1 : i + 2] and items[i + 1].kind in ("kin", "word", "prep"))
            ):
                item.kind = "word"
                out.append(item)
                continue
            item.borne = item.low in CHILD and any(
                before.low in ("had", "have", "has", "left", "leaving", "bore") for before in out[-5:]
            )
            item.apposed = _apposed(out, items, i) if is_mine(item) else None
            after = items[i + 1 : i + 3]
            small = i + 2 if after and after[0].text == "," else i + 1
            if (
                item.low in CHILD
                and [x.low for x in items[small : small + 1]] in (["little"], ["young"], ["poor"])
                and [x.kind for x in items[small + 1 : small + 2]] == ["name"]
            ):  # 'their last child, little Veit'
                item.words, item.end, skip = items[small + 1].words, items[small + 1].end, small + 1 - i
            elif after and after[0].kind == "name":
                item.words, item.end, skip = after[0].words, after[0].end, 1
            elif (
                (set_ := _set_beside(items, i))
                and (item.owner is not None or (item.low in DESCENDANTS and _is_the(out)))
                and (item.low not in OTHER_KIN or is_mine(item) or item.low in YOUNG_KIN)
                and item.low not in SEVERAL
                and item.low != "twins"
                and item.apposed is None
            ):
                item.words, item.end, skip = items[set_].words, items[set_].end, set_ - i
        out.append(item)
    return out


YOUNG_KIN = frozenset("grandson granddaughter grandchild nephew niece great-grandson great-granddaughter".split())


DESCENDANTS = YOUNG_KIN | frozenset(CHILD)


def _is_the(before: Sequence[Item]) -> bool:
    """True after 'the', 'the youngest', 'a': somebody's child whose family goes without saying."""
    return any(item.low in ("the", "a", "one", "another") for item in before[-1:]) or [
        item.low for item in before[-2:-1]
    ] == ["the"]


def _set_beside(items: Sequence[Item], i: int) -> int:
    """Where the name is that is set beside a word of kinship, closed off behind: 'his nephew, Rhys Hughes,', 'a niece in
    Poultney, Nia Hughes,'; 0 where there is none."""
    at = i + 1
    if [item.kind for item in items[at : at + 2]] == ["prep", "name"] and items[at].low in ("in", "at", "of", "from"):
        at += 2
    beside = items[at : at + 2]
    there = len(beside) == 2 and beside[0].text == "," and beside[1].kind == "name" and _closed(items, at + 2)
    return at + 1 if there else 0


def _apposed(before: Sequence[Item], items: Sequence[Item], i: int) -> Item | None:
    """The name before ', my brother,'."""
    j = len(before) - 1
    while j > 0 and before[j].text != ",":
        j -= 1
    return before[j - 1] if j > 0 and before[j - 1].kind == "name" and _ends(items, i + 1) else None


def _ends(items: Sequence[Item], at: int) -> bool:
    """True at the end of a phrase between points."""
    return at >= len(items) or items[at].text in (",", ".", ";", ")", ":") or items[at].low == "who"


def _closed(items: Sequence[Item], at: int) -> bool:
    """True when what follows closes an apposition: a comma, a bracket or a full stop."""
    return at >= len(items) or items[at].text in (",", ".", ";", "(", ")") or items[at].kind in ("aux", "verb", "bound")


def owner_of(before: Sequence[Item]) -> Item | None:
    """Whose kin: 'his eldest', 'their', 'John's second'."""
    for back, item in enumerate(reversed(before[-4:])):
        if item.kind == "pron" and item.low in ("his", "her", "their"):
            couple = before[-back - 3 : -back - 1]
            both = len(couple) == 2 and couple[1].low == "and" and couple[0].kind == "name"
            return couple[0] if both else item
        if item.low in ("'s", "’s", "'", "’") and len(before) > back + 1:
            holder = before[-back - 2]
            return holder if holder.person or holder.low in MINE else None
        if item.kind == "word" and item.low in ("my", "our"):
            return item
        if item.text == "whose":
            return item
        if item.low in ("a", "an"):  # 'calls her a widow'
            return None
        if item.kind not in ("word", "adv", "age"):
            return None
    return None
