"""What the draft says of each person: dated statements, each with the words it came from, and who belongs to whom.

Section by section the sentences are told (``study.telling``) and heard (``study.hearing``), and the lists of children
are tied to the children's own sections (``study.kinship``). Worked out once a book.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import reduce
from operator import or_

from storylint.draft.model import Block, Kind, Mark
from storylint.study import calendars
from storylint.study.calendars import Where
from storylint.study.cast import Cast, kin_of_author
from storylint.study.dates import When
from storylint.study.given_names import sex_of
from storylint.study.hearing import Hearing
from storylint.study.items import Item, disown
from storylint.study.kinship import link
from storylint.study.lengths import first_of
from storylint.study.lexicon import CUES
from storylint.study.people import NO_NAME
from storylint.study.persons import Brood, Facts, Person, Said, alike, bare, merge, sex_in
from storylint.study.spelling import Spelling
from storylint.study.study import Book, Sentence, StudiedSection, Tagger, cut, tokens_of, whole
from storylint.study.study import sentence as put_together
from storylint.study.telling import Event, Telling, tell


def facts_of(book: Book) -> Facts:
    """The book's facts, worked out once."""
    return book.once("facts", lambda: gather(book))


def gather(book: Book) -> Facts:
    """Read every section, then tie the lists of children to the children's own sections."""
    facts = Facts(mine=kin_of_author(book))
    wheres = [calendars.where(" ".join(sentence.text for sentence in section.sentences)) for section in book.sections]
    late = calendars.late(reduce(or_, wheres, calendars.ANYWHERE))
    tagger = Tagger(book.people, set())
    for section, where in zip(book.sections, wheres, strict=True):
        read_section(section, book, facts, late | where, tagger)
    link(book, facts)
    spelling = Spelling.of(block.text for section in book.sections for block in written(section))
    for person in facts.people:
        for each in (person, *person.spouses, *person.children):
            each.spelled = spelling.name(each.name) if each.name else ""
    return facts


def written(section: StudiedSection) -> Iterator[Block]:
    """A section's blocks with its heading."""
    own = section.section
    return iter([own.entry, *own.body] if own.entry else own.body)


def read_section(section: StudiedSection, book: Book, facts: Facts, where: Where, tagger: Tagger) -> None:
    """One section in reading order: its heading, its prose, its lists of children."""
    own = section.section
    name = bare(own.person) if own.person else titled(section)
    lead = Person(name, sex_in(section, name), section) if name else None
    if lead is not None:
        facts.people.append(lead)
        facts.own[id(section)] = lead
    theirs = {(each.block.index, each.start) for paragraph in section.quoted for each in paragraph}
    reader = Reader(section, Hearing(Cast(book, section, lead), facts), where, tagger, theirs)
    for block, sentences in blocks_of(section, tagger):
        if block.kind is Kind.CHILD:
            reader.child(sentences[0])
        else:
            reader.prose(block, sentences)
    reader.close()
    facts.tellings[id(section)] = reader.tellings


def titled(section: StudiedSection) -> tuple[str, ...]:
    """The name in a heading that was not taken for an entry, where the text goes on about that name or 'he'."""
    own = section.section
    words = bare(own.title) if own.entry is not None and own.entry.kind is Kind.HEADING else ()
    opening = " ".join(block.text[:200] for block in own.body[:2] if block is not own.entry)
    plain = 1 < len(words) < 5 and words[0] not in NO_NAME and len(own.title.split()) <= len(words) + 2
    of_her = rf"\b{re.escape(words[0])}\b|^(?:He|She|His|Her)\b" if words else ""
    if plain and sex_of(words[0]):
        of_her += r"|\b(?:[Hh]e|[Ss]he|[Hh]is|[Hh]er|[Hh]im)\b"
        if any(block.kind is Kind.CHILD for block in own.body[:2]):
            return words if plain else ()
    return words if plain and re.search(of_her, opening) else ()


def blocks_of(section: StudiedSection, tagger: Tagger) -> Iterator[tuple[Block, list[Sentence]]]:
    """The section's blocks in order with their sentences: also its entry, where that is a heading with dates or an
    item of a list, and a paragraph that ends by announcing the list of children, which the study counts to the list.
    """
    own = section.section
    if (
        own.entry is not None
        and own.person is not None
        and own.entry.kind is Kind.HEADING
        and re.search(r"\d{4}", own.entry.text)
    ):
        yield own.entry, [whole(own.entry, tagger)]
    known = {id(paragraph[0].block): paragraph for paragraph in section.paragraphs} | {
        id(child.block): [child] for child in section.children
    }
    quoted = {id(paragraph[0].block): paragraph for paragraph in section.quoted}
    for block in own.body:
        if id(block) in known and (block.kind is not Kind.PARAGRAPH or id(block) in quoted):
            yield block, mended(known[id(block)], tagger)
        elif id(block) in known:
            yield block, mended(list(with_scraps(block, known[id(block)], tagger)), tagger)
        elif block.kind is Kind.PARAGRAPH or (
            block is own.entry and block.kind is Kind.ITEM and own.person is not None
        ):
            theirs = [replace(each, tags=tagger.tag(each.tokens)[1]) for each in quoted.get(id(block), ())]
            yield block, mended(list(with_scraps(block, theirs or cut(block, tagger), tagger)), tagger)
        elif block.kind is not Kind.QUOTATION:
            yield block, []


def with_scraps(block: Block, sentences: list[Sentence], tagger: Tagger) -> Iterator[Sentence]:
    """The sentences of a paragraph with the scraps between them that tell an event: 'Owen Gethin, b. Gerlan 1836.'"""
    at = 0
    for after in (*sentences, None):
        scrap = block.text[at : after.start if after else len(block.text)]
        if NUMBER.search(scrap) and CUES.search(scrap.strip()):
            start = at + len(scrap) - len(scrap.lstrip())
            yield _within(block, start, at + len(scrap.rstrip()), (), tagger)
        if after is not None:
            yield after
            at = after.end


NUMBER = re.compile(r"\d{3}")
BROKEN = re.compile(r"\b(?:mo|da|Mon|Tues?|Wed|Thurs?|Fri|Sat|Sun|[æÆ]t?|[aA]et?)\.$")


def mended(sentences: list[Sentence], tagger: Tagger) -> list[Sentence]:
    """The sentences, put together again where one was cut within a date: '12th of 3rd mo. | 1752'."""
    if not any(BROKEN.search(sentence.text, len(sentence.text) - 7) for sentence in sentences):
        return sentences
    found: list[Sentence] = []
    for at, piece in enumerate(sentences):
        last = found[-1] if found else None
        broken = last is not None and BROKEN.search(last.text) and last.block.text[last.end : piece.start].isspace()
        if last is not None and broken and piece.text[0].isdigit():
            found[-1] = _from_to(last, piece.end, last.marks + piece.marks, tagger)
        else:
            found.append(piece)
        text, until = piece.block.text, sentences[at + 1].start if at + 1 < len(sentences) else len(piece.block.text)
        if BROKEN.search(piece.text) and re.match(r"\s\d", text[piece.end : until]):  # '4th of 9th mo. | 1838.'
            found[-1] = _from_to(found[-1], len(text[:until].rstrip()), found[-1].marks, tagger)
    return found


def _from_to(first: Sentence, end: int, marks: tuple[Mark, ...], tagger: Tagger) -> Sentence:
    """A sentence from where ``first`` begins to ``end``."""
    return _within(first.block, first.start, end, marks, tagger)


def _within(block: Block, start: int, end: int, marks: tuple[Mark, ...], tagger: Tagger) -> Sentence:
    """A sentence of a block from ``start`` to ``end``."""
    tokens = [(token, at + start) for token, at in tokens_of(block.text[start:end])]
    return put_together(block, start, end, tokens, marks, tagger)


CAPITALS = re.compile(
    r"(?:\d+\.?\s+|[IVXLC]+\.\s+)?([A-Z][A-Z'’-]+(?:\s+(?:[A-Z][A-Z'’-]+|[A-Z]\.?|Mc[A-Z]+|[A-Z]-+))+),"
)


@dataclass(slots=True)
class Reader:
    """Goes through one section. An entry that the draft does not set apart, but which opens with another name in
    capitals, is read as that person's.
    """

    section: StudiedSection
    hearing: Hearing
    where: Where
    tagger: Tagger
    theirs: set[tuple[int, int]]  # where a sentence begins that somebody else spoke or wrote: block and offset
    tellings: list[tuple[Telling, list[Said]]] = field(default_factory=list)
    header: str = ""
    brood: Brood | None = None

    def prose(self, block: Block, sentences: list[Sentence]) -> None:
        """A paragraph, or a block that is no prose and can only head a list."""
        self.header, self.brood = block.text[-200:], None
        if not sentences:
            return
        before, children, after = run_in(block, sentences, self.tagger)
        self.told(block, before)
        if children:
            self.header = block.text[: children[0].start][-200:]
        for child in children:
            self.child(child)
        self.told(block, after)

    def told(self, block: Block, sentences: list[Sentence]) -> None:
        """The sentences of a paragraph that are no list."""
        if not sentences:
            return
        other = CAPITALS.match(block.text)
        lead = self.hearing.cast.lead
        if other and lead is not None and not alike(bare(other.group(1)), lead.name):
            self.close()
            person = Person(bare(other.group(1)))
            person.sex = sex_of(person.name[0]) if person.name else ""
            self.hearing = Hearing(Cast(self.hearing.cast.book, self.section, person), self.hearing.facts)
            self.hearing.facts.people.append(person)
            self.tellings += hear_paragraph(self.hearing, sentences, self.where, True, self.theirs)
        else:
            self.tellings += hear_paragraph(self.hearing, sentences, self.where, not self.tellings, self.theirs)

    def child(self, sentence: Sentence) -> None:
        """A line of a list of children."""
        cast, facts = self.hearing.cast, self.hearing.facts
        if cast.lead is None:
            return
        if self.brood is None:
            self.brood = start_brood(self.section, cast, self.header, facts)
        person, told = read_child(sentence, self.section, cast.book, facts, self.where)
        self.tellings += told
        if person is not None:
            adopt(self.brood, person, cast)

    def close(self) -> None:
        """Count the people that the prose has met."""
        facts = self.hearing.facts
        facts.people += [person for person in self.hearing.cast.met if person not in facts.people]


# A list of children that runs on in a paragraph: 'Issue: Abraham, b. 1795; Henry, b. 1799.' Common practice, no source.
RUN_IN = re.compile(
    r"\b(?:[Cc]hild(?:ren)?|CHILD(?:REN)?|[Ii]ssue|ISSUE|[Oo]ffspring|[Cc]hn|[Ii]ss)\b\.?[^.;:\d]{0,60}[:—–]\s*"
    r"|\b(?:had|have) (?:issue|the following|by [A-Z][\w' ]{1,30}|(?:\w+ ){1,3}children)\b[^.;:\d]{0,40}[:,—–]\s*"
)
_FORENAME = r"(?:\(?(?:\d{1,3}|[ivxl]{1,7})[.)]\s*)?[A-ZÀ-ÖØ-Þ][\w'’-]+"
_BORN = r"(?:\s\([a-z ]+\))?,?\s\(?(?:b\.|born|bp\.|bap|c\.|chr|d\.|died|\d)"
_LISTED = rf"{_FORENAME}(?:(?:\s[A-Z][\w.'’-]*){{0,3}}|\sthe\s\w+|\sand\s[A-Z]\w+){_BORN}"
LISTED = re.compile(_LISTED)
NEXT_LISTED = re.compile(rf"[;.]\s+(?:and\s+)?(?={_LISTED})|,\s+(?:and\s+)?(?={_FORENAME}{_BORN})")
NUMERAL = re.compile(r"\(?(?:\d{1,3}|[ivxl]{1,7})[.)]\s*")


def run_in(
    block: Block, sentences: list[Sentence], tagger: Tagger
) -> tuple[list[Sentence], list[Sentence], list[Sentence]]:
    """A paragraph's sentences before a list of children that runs on in it, the children, and the sentences after."""
    text = block.text
    head = RUN_IN.search(text)
    at = head.end() if head else 0
    children: list[Sentence] = []
    while head and (entry := LISTED.match(text, at)):
        following = NEXT_LISTED.search(text, entry.end())
        end = (
            following.start()
            if following
            else min((s.end for s in sentences if s.end > entry.end()), default=len(text))
        )
        numeral = NUMERAL.match(text, at)
        children.append(_within(block, numeral.end() if numeral else at, end, (), tagger))
        at = following.end() if following else end
        if not following:
            break
    if head is None or not children:
        return sentences, [], []
    before = [sentence for sentence in sentences if sentence.end <= head.start()]
    broken = next((sentence for sentence in sentences if sentence.start < head.start() < sentence.end), None)
    if broken is not None:
        before.append(_within(block, broken.start, len(text[: head.start()].rstrip()), broken.marks, tagger))
    return before, children, [sentence for sentence in sentences if sentence.start >= at]


def hear_paragraph(
    hearing: Hearing, paragraph: list[Sentence], where: Where, first: bool, theirs: set[tuple[int, int]]
) -> Iterator[tuple[Telling, list[Said]]]:
    """The sentences of one paragraph; a new paragraph speaks of the section's person again. ``theirs`` are the places of
    those that somebody else spoke or wrote: 'my mother' is not the author's there."""
    cast = hearing.cast
    hearing.last = None
    cast.before, cast.topic = [], cast.lead if cast.lead is not None else cast.topic
    latest: When | None = None
    for sentence in paragraph:
        telling = tell(sentence, latest, where)
        if (sentence.block.index, sentence.start) in theirs:
            telling.theirs = True
            disown(telling.items)
        yield telling, hearing.hear(telling, first)
        first = False
        latest = next((when for when in reversed(telling.whens) if when.year is not None and not when.fault), latest)


OF_COUPLE = re.compile(
    r"\b(?:[Cc]hildren|[Ii]ssue|[Cc]hild|CHILDREN|ISSUE)\b[^.;:]{0,30}?\b(?P<how>of|by|with|born to)\s+"
    r"(?P<names>(?:his |her |the )?[A-Z][^.;:\d]{1,80})"
)
HAVE = re.compile(r"^(?P<names>[A-Z][\w.]*(?: [A-Z][\w.]*)* and [A-Z][\w.]*(?: [A-Z][\w.]*)*) (?:had|have)\b")
BY_WIFE = re.compile(r"\b(?:wife|husband|marriage|married)\b", re.IGNORECASE)
NTH = {"first": 0, "1st": 0, "second": 1, "2nd": 1, "2d": 1, "third": 2, "3rd": 2, "3d": 2, "fourth": 3}


BORN_AS = re.compile(r"\(([^()]+)\)(?: [^\W\d_][\w’'-]*)+$")  # Gwen (Parry) Trefnant was born Gwen Parry


def start_brood(section: StudiedSection, cast: Cast, header: str, facts: Facts) -> Brood:
    """A new list of children: of the section's person, or of the couple that its header names."""
    assert cast.lead is not None
    parent, other = cast.lead, None
    named = OF_COUPLE.search(header) or HAVE.search(header)
    parts = re.split(r"\s+and\s+|,", named.group("names")) if named else []
    names = [name for part in parts if (name := bare(part))][:2]
    born = {bare(part): bare(BORN_AS.sub(r"\1", part)) for part in parts}
    with_her = named is not None and named.re is OF_COUPLE and named["how"] in ("by", "with") and len(names) == 1
    if (
        names
        and not with_her
        and not any(alike(name, parent.name) for name in names)
        and not any(alike(names[0], spouse.name) for spouse in parent.spouses)
    ):
        parent = next((child for child in parent.children if alike(names[0], child.name)), Person(names[0]))
    for name in names:
        if not alike(name, parent.name):
            known = [spouse for spouse in parent.spouses if spouse.name]
            other = next(
                (spouse for spouse in known if alike(name, spouse.name) or alike(born[name], spouse.name)), None
            )
            if other is None and (len(names) == 2 or with_her):
                other = Person(name, sex_of(name[0]))
                cast.wed(parent, other)
    nth = (
        next((NTH[word] for word in re.findall(r"\w+", header.lower()) if word in NTH), None)
        if BY_WIFE.search(header)
        else None
    )
    if other is None and nth is not None and nth < len(parent.spouses):
        other = parent.spouses[nth]
    if other is None and len(parent.spouses) == 1 and nth in (None, 0):
        other = parent.spouses[0]
    pair = {person.sex: person for person in (other, parent) if person is not None and person.sex}
    one_mother = (
        other is not None or parent.sex == "f" or bool(re.search(r"\b(?:and|with) his (?:\w+ )?wife\b", header))
    )
    brood = Brood(section, parent, [], pair.get("f"), pair.get("m"), one_mother=one_mother)
    brood.unsexed = [person for person in (parent, other) if person is not None and not person.sex]
    facts.broods.append(brood)
    return brood


def read_child(
    child: Sentence, section: StudiedSection, book: Book, facts: Facts, where: Where
) -> tuple[Person | None, list[tuple[Telling, list[Said]]]]:
    """One line of a list of children."""
    telling = tell(child, None, where)
    first = next((item for item in telling.items if item.kind not in ("bound", "word") or item.text.isalpha()), None)
    if first is None or first.kind != "name":
        return None, []
    person = Person(first.words, sex_of(first.words[0]) if first.words else "", entry=child)
    if not telling.events:
        telling.events += bare_dates(telling, first)
    hearing = Hearing(Cast(book, section, person), facts)
    told = [(telling, hearing.hear(telling, True))]
    facts.people += [person, *hearing.cast.met]
    return person, told


def bare_dates(telling: Telling, name: Item) -> Iterator[Event]:
    """'Anne, 3 February 1788' and 'Margarethe, 1849–1850' in a list of children: her birth, and her death."""
    when = telling.whens[0] if telling.whens else None
    if when is None or not re.fullmatch(r",?\s\(?", telling.sentence.text[name.end : when.start]):
        return
    first = first_of(when)
    yield Event("birth", name, [name], how="said", when=first)
    if when.last is not None:
        yield Event("death", name, [name], how="said", when=when.last)


def adopt(brood: Brood, person: Person, cast: Cast) -> None:
    """Add a child to its list; if the prose has named it already, the two are one."""
    adopted = re.search(
        r"\b(?:adopted|step|foster|illegitimate|natural (?:son|daughter)|reputed)",
        person.entry.text if person.entry else "",
    )
    told = [child for child in brood.parent.children if child.entry is None] or []
    told += [
        met
        for met in cast.met
        if len(met.name) == 1
        and met.entry is None
        and met not in told
        and met is not cast.lead
        and met not in cast.kinsfolk
        and met not in brood.parent.spouses
    ]
    known = next(
        (child for child in told if child.name and person.name and alike(child.name[:1], person.name[:1])), None
    )
    if known is not None and not adopted:
        merge(known, person)
        brood.parent.children = [child for child in brood.parent.children if child is not known]
        cast.met[:] = [person if met is known else met for met in cast.met]
    brood.children.append(person)
    for parent in {id(p): p for p in (brood.parent, brood.father, brood.mother) if p is not None}.values():
        parent.children.append(person)
    if adopted:
        brood.one_mother = False
    else:
        person.father, person.mother = brood.father or person.father, brood.mother or person.mother
        person.elders = brood.unsexed
