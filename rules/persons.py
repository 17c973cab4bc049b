"""Who is who, across the whole book.

A family history stands on its numbers. A reader who meets "+ 9 i." in a list of children turns to number 9; if nobody
is there, or somebody else, she doubts the rest. Numbers and lines of descent slip when an entry is moved, taken out
or added late; one person gets two entries or two names when two files are joined; and where father, son and cousin
are all called Owen, a sentence that says only "Owen Prydderch" may be about any of them.

What can't be otherwise is a warning: a number that heads two entries, a child carried forward to nowhere, a line of
descent that contradicts the parents' list. What may have its reasons is a note.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from storylint.draft.model import Block, Kind
from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Options, place, words_at
from storylint.study.circle import circle_in
from storylint.study.facts import facts_of
from storylint.study.persons import Facts, Person, alike, bare
from storylint.study.study import Book, Sentence, StudiedSection

CARD = Card(
    name="persons",
    summary="numbers, lines of descent and names by which people can't be told apart",
    scope="book",
    version=2,
    bad=(
        Example(
            "# The Prydderchs\n\n## 1. Owen Prydderch\n\nOwen split slate.\n\nChildren of Owen Prydderch:\n\n- \\+ 2 i. Hugh "
            "Prydderch.\n- \\+ 3 ii. Jane Prydderch.\n\n## 2. Hugh Prydderch\n\nHugh sailed.\n",
            ("Jane Prydderch.",),
            "Jane is carried forward, and no entry has her number",
        ),
        Example(
            "# The Prydderchs\n\n## 1. Owen¹ Prydderch\n\nOwen split slate.\n\nChildren of Owen Prydderch:\n\n- \\+ 2 i. Hugh "
            "Prydderch.\n\n## 2. Hugh² Prydderch (William¹)\n\nHugh sailed.\n",
            ("2. Hugh² Prydderch (William¹)",),
            "the line of descent names another father",
        ),
    ),
    good=(
        Example(
            "# The Prydderchs\n\n## 1. Owen¹ Prydderch\n\nOwen went up the incline at ten, with his father's hammer in his belt."
            "[^1]\n\nChildren of Owen Prydderch:\n\n- \\+ 2 i. Owen Prydderch.\n- 3 ii. Jane Prydderch.\n\n## 2. Owen² Prydderch "
            "(Owen¹)\n\nThe younger Owen never split a slate in his life, and said that it was all in the wrist.[^1]\n\n[^1]: "
            "Letter of Ellen Thomas to her sister, 4 May 1901; in the author's collection.",
            (),
            "father and son of one name, told apart by number and generation",
        ),
    ),
    sources=(
        "J. F. Curran, M. C. Crane and J. H. Wray, Numbering Your Genealogy (National Genealogical Society, 2008), from "
        "memory: each child who is carried forward has an entry of the same number",
        "Common practice, no source, for the rest",
    ),
)
PART_OF_A_BOOK = 0.5  # share of children carried forward to nowhere from which the draft is only a part of its book
MOST_PLACES = 6
NEAR = 0.7  # likeness from which the forenames of two born on one day are two spellings (proposed here, no source)
ALIKE = 0.6  # likeness from which two forenames are two spellings of one (proposed for this tool, no source)
LABEL = re.compile(r"^\s*(?P<plus>\+)?\s*(?P<number>\d{1,4})?\.?\s*(?P<roman>[ivxl]{1,7}\.)?", re.IGNORECASE)
TOLD_APART = re.compile(
    r"\b(?:junior|senior|jr|sr|the (?:elder|younger|first|second|third)|[ivx]+|grandfather|grandson|father|son|uncle|nephew|"
    r"cousin|born|b\.|died|d\.|no\.)\b|\d|[¹²³⁴-⁹]",
    re.IGNORECASE,
)


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """The findings whose place is in this section."""

    def work_out() -> dict[int, list[Finding]]:
        register = read(book)
        found: dict[int, list[Finding]] = defaultdict(list)
        for where, finding in (*numbers(register), *descents(register, book), *names(register, book), *namesakes(book)):
            found[id(where)].append(finding)
        return found

    yield from book.once("persons", work_out).get(id(section), ())


# ------------------------------------------------------------------------------------------------------- the register


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a list of children: its number, whether it is carried forward, whose child it is."""

    section: StudiedSection
    sentence: Sentence
    number: str
    plus: bool
    name: tuple[str, ...]


@dataclass(slots=True)
class Register:
    """The book's numbers: entries and lines of children, in reading order."""

    entries: list[StudiedSection] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)

    def by_number(self) -> dict[str, list[StudiedSection]]:
        """The entries that bear each number."""
        found: dict[str, list[StudiedSection]] = defaultdict(list)
        for section in self.entries:
            if section.section.number:
                found[section.section.number].append(section)
        return found

    @property
    def runs(self) -> bool:
        """True where figures number the whole book: nearly all entries have one, and hardly any comes twice."""
        figures = [s.section.number for s in self.entries if s.section.number and s.section.number.isdigit()]
        counts = Counter(figures)
        twice = sum(count - 1 for count in counts.values())
        once = len(figures) > 3 or (len(figures) == 3 and counts["1"] < 2)  # a second number 1 begins another family
        return (
            len(figures) >= 2
            and len(figures) >= 0.8 * len(self.entries)
            and twice <= max(int(once), 0.1 * len(figures))
        )


def read(book: Book) -> Register:
    """Gather entries and lines."""
    register = Register([section for section in book.sections if section.section.person])
    for section in register.entries:
        for child in section.children:
            label = LABEL.match(f"{child.block.label} " if child.block.label else child.block.text)
            first = re.match(r"[^,;:\d(¹²³⁴-⁹]+", child.text)
            if label and label["number"] and first:
                line = Line(section, child, label["number"], bool(label["plus"]), bare(first.group()))
                register.lines.append(line)
    return register


Found = Iterator[tuple[StudiedSection, Finding]]


def finding(level: Level, problem: str, message: str, fix: str, places: Iterable[Place], **details: object) -> Finding:
    """One finding."""
    return Finding(CARD.name, level, message, fix, tuple(places), {"problem": problem} | details)


def entry_place(section: StudiedSection) -> Place:
    """The line with which a section begins."""
    block: Block = section.section.entry or section.section.body[0]
    end = len(block.text)
    if block.kind is not Kind.HEADING and section.paragraphs and section.paragraphs[0][0].block.index == block.index:
        end = section.paragraphs[0][0].end
    return words_at(section.section, block, 0, end)


def same_name(one: StudiedSection, other: StudiedSection) -> bool:
    """True when two entries can be one person's by their names."""
    return alike(bare(one.section.person or ""), bare(other.section.person or ""))


def called(section: StudiedSection) -> str:
    """A person with her number."""
    own = section.section
    return f"{own.person} ({own.number})" if own.number else str(own.person)


# ------------------------------------------------------------------------------------------------------------- numbers


def numbers(register: Register) -> Found:
    """Numbers that stand twice, lead nowhere, or are left out."""
    if not register.runs:
        return
    entries = register.by_number()
    for number, sections in entries.items():
        others = [each for each in sections[1:] if not same_name(each, sections[0])]
        for second in others:
            yield (
                second,
                finding(
                    Level.WARNING,
                    "number twice",
                    f"Number {number} heads two entries: {sections[0].section.person} and {second.section.person}.",
                    "Give one of them her own number, here and in her parents' list.",
                    (entry_place(second), entry_place(sections[0])),
                    number=number,
                ),
            )
        again = [each for each in sections[1:] if each not in others]
        if again:
            yield (
                again[0],
                finding(
                    Level.NOTE,
                    "two entries",
                    f"{called(sections[0])} has {len(again) + 1} entries.",
                    "Join them, or let the later ones be sub-headings of the first.",
                    map(entry_place, (again[0], sections[0], *again[1:MOST_PLACES])),
                    number=number,
                ),
            )
    yield from lines_twice(register)
    yield from carried_nowhere(register, entries)
    yield from gaps(register, entries)


def lines_twice(register: Register) -> Found:
    """One number for two children."""
    seen: dict[str, Line] = {}
    for line in register.lines:
        first = seen.setdefault(line.number, line)
        if first is not line and not alike(first.name[:1], line.name[:1]):
            yield (
                line.section,
                finding(
                    Level.WARNING,
                    "number twice",
                    f"Number {line.number} is given to two children: {' '.join(first.name)} and {' '.join(line.name)}.",
                    "Give one of them another number.",
                    (place(line.section.section, line.sentence), place(first.section.section, first.sentence)),
                    number=line.number,
                ),
            )


def carried_nowhere(register: Register, entries: dict[str, list[StudiedSection]]) -> Found:
    """Children carried forward to a number that no entry has; in a part of a book one note for all."""
    carried = [line for line in register.lines if line.plus]
    missing = [line for line in carried if line.number not in entries]
    if not missing:
        return
    part = len(missing) > PART_OF_A_BOOK * len(carried)
    for line in missing[:1] if part else missing:
        others = f" So are {len(missing) - 1} more; is this a part of the book?" if part and len(missing) > 1 else ""
        yield (
            line.section,
            finding(
                Level.NOTE if part else Level.WARNING,
                "no entry",
                f"{' '.join(line.name)} is carried forward as number {line.number}, and no entry has that number.{others}",
                "Write the entry, or take the plus sign away and tell here what is known of the life.",
                (place(line.section.section, line.sentence),),
                number=line.number,
            ),
        )


def gaps(register: Register, entries: dict[str, list[StudiedSection]]) -> Found:
    """Numbers between the first and the last that nobody has, where children are numbered through."""
    given = {int(number) for number in entries if number.isdigit()} | {int(line.number) for line in register.lines}
    if not register.lines or len(given) < 3:
        return
    left = sorted(set(range(min(given), max(given))) - given)
    if not left or len(left) > PART_OF_A_BOOK * len(given):
        return
    after = [s for s in register.entries if (s.section.number or "").isdigit() and int(s.section.number or 0) > left[0]]
    where = after[0] if after else register.entries[-1]
    shown = ", ".join(map(str, left[:MOST_PLACES])) + (" …" if len(left) > MOST_PLACES else "")
    yield (
        where,
        finding(
            Level.NOTE,
            "numbers left out",
            f"Nobody has the number{'s' if len(left) > 1 else ''} {shown}, though the numbers run from {min(given)} to {max(given)}.",
            "Was somebody taken out? Then tell readers, or number anew; old numbers live on in letters and indexes.",
            (entry_place(where),),
            numbers=left[:20],
        ),
    )


# ------------------------------------------------------------------------------------------------------------- descent


def descents(register: Register, book: Book) -> Found:
    """Entries that do not fit the list of children in which they stand."""
    lines, entries = {line.number: line for line in register.lines}, register.by_number()
    swapped: set[str] = set()
    owners = parent_of(facts_of(book))
    for section in register.entries if register.runs else ():
        number, line = section.section.number or "", lines.get(section.section.number or "")
        if line is None or line.section is section or number in swapped:
            continue
        if not line.name or is_called(section, line.name):
            yield from descent(section, line, book, owners.get(id(line.sentence)))
            continue
        other = next(
            (each for each in register.lines if is_called(section, each.name) and each.section is line.section), None
        )
        swapped |= {other.number} if other is not None else set()
        if said_by(section, line.name[:1]):
            continue  # 'Margaret, whom nobody called anything but Peggy'
        there = entries.get(other.number, [None])[0] if other is not None else None
        if other is not None and there is not None and is_called(there, line.name):
            yield section, exchanged(section, there, line, other)
            continue
        near = max(likeness(word, line.name[0]) for word in bare(section.section.person or "?"))
        yield section, two_names(section, line, "spelling" if near > ALIKE else "two names")


def is_called(section: StudiedSection, name: tuple[str, ...]) -> bool:
    """True when a line's forenames can be those of an entry."""
    own = bare(section.section.person or "")
    return any(alike((word,), (other,)) for word in name for other in own[:-1] or own)


def likeness(one: str, other: str) -> float:
    """How much two words are alike, from 0 to 1."""
    return SequenceMatcher(None, one.lower(), other.lower()).ratio()


def named_by(text: str, name: str) -> bool:
    """True when a name stands in a text as a word."""
    return re.search(rf"\b{re.escape(name)}\b", text) is not None


def said_by(section: StudiedSection, name: tuple[str, ...]) -> bool:
    """True when an entry's opening names the person so."""
    opening = " ".join(sentence.text for sentence, _ in zip(section.sentences, range(3), strict=False))
    return bool(name) and named_by(opening, name[0])


def exchanged(section: StudiedSection, other: StudiedSection, line: Line, second: Line) -> Finding:
    """Two brothers or sisters who have each other's number in their parents' list."""
    return finding(
        Level.NOTE,
        "numbers exchanged",
        f"In the list of {called(line.section)}, {' '.join(line.name)} is number {line.number} and {' '.join(second.name)} "
        f"number {second.number}; their entries have it the other way round.",
        "Exchange the two numbers in the list, or those of the entries.",
        (
            entry_place(section),
            place(line.section.section, line.sentence),
            entry_place(other),
            place(second.section.section, second.sentence),
        ),
        number=section.section.number,
    )


def two_names(section: StudiedSection, line: Line, problem: str) -> Finding:
    """One number under two names. It may be a slip of the pen or of the number: a note."""
    own = section.section
    return finding(
        Level.NOTE,
        problem,
        f"Number {own.number} is {' '.join(line.name)} in the list of {called(line.section)}, and {own.person} here.",
        "Keep to one spelling; say once how else it is spelt."
        if problem == "spelling"
        else "One of the two numbers is wrong, or one person has two names: say so where she is first named.",
        (entry_place(section), place(line.section.section, line.sentence)),
        number=own.number,
    )


def descent(section: StudiedSection, line: Line, book: Book, owner: Person | None) -> Found:
    """The printed line of descent against that of the parents in whose list the person stands."""
    printed = [bare(name) for name in section.section.lineage]
    parent = line.section.section
    facts = facts_of(book).person(line.section)
    if not printed:
        yield from other_parents(section, line, book, owner)
    if not printed or not parent.person:
        return
    spouses = [spouse.name[:1] for spouse in facts.spouses if spouse.name] if facts is not None else []
    if any(alike(printed[0][:1], name) for name in spouses) or printed[0][0] in parent.title.split():
        return  # the line runs through the husband or wife, who stands elsewhere
    above = [bare(parent.person), *(bare(name) for name in parent.lineage)]
    wrong = next((pair for pair in zip(printed, above, strict=False) if not alike(pair[0][:1], pair[1][:1])), None)
    if wrong is None:
        return
    yield (
        section,
        finding(
            Level.WARNING,
            "descent",
            f"The line of descent here has {' '.join(wrong[0])} where the list of {called(line.section)} makes it "
            f"{' '.join(wrong[1])}.",
            "Mend the line of descent, or move the child to the list of the right parents.",
            (entry_place(section), place(parent, line.sentence)),
        ),
    )


def parent_of(facts: Facts) -> dict[int, Person]:
    """Whose list each child's line stands in; an entry that the draft does not set apart may have its own list."""
    return {id(child.entry): brood.parent for brood in facts.broods for child in brood.children if child.entry}


def other_parents(section: StudiedSection, line: Line, book: Book, parent: Person | None) -> Found:
    """'Ann, daughter of William Quayle' in an entry whose number stands in the list of Robert Quayle."""
    person = facts_of(book).person(section)
    if person is None or parent is None or not person.parents:
        return
    couple = [parent.name, *(spouse.name for spouse in parent.spouses)]
    names = [said[0] for said in person.parents]
    if any(len(said) < 3 or likeness(said, name[0]) > ALIKE for said in names for name in couple if name):
        return  # a parent by name, give or take its spelling, or by initials
    if person.parents[0][-1] == person.name[-1] != parent.name[-1]:
        return  # a stepchild with its father's name
    said = " and ".join(" ".join(name) for name in person.parents)
    yield (
        section,
        finding(
            Level.WARNING if person.parents[0][-1:] == parent.name[-1:] else Level.NOTE,  # else it may be a stepchild
            "descent",
            f"{called(section)} is the child of {said} here, and stands in the list of {called(line.section)}.",
            "Mend the names of the parents, or move the child to the list of the right ones.",
            (
                *(named_in(section, person.parents[:1]) or (entry_place(section),)),
                place(line.section.section, line.sentence),
            ),
        ),
    )


# --------------------------------------------------------------------------------------------------------------- names


def names(register: Register, book: Book) -> Found:
    """One person in two entries; a wife under two surnames."""
    facts = facts_of(book)
    born: dict[int, list[StudiedSection]] = defaultdict(list)
    for section in register.entries:
        person = facts.person(section)
        days = [said.when.earliest for said in person.of("birth") if said.when and said.when.exact] if person else []
        for day in days[:1]:
            others = [(first, level) for first in born[day or 0] if (level := one_life(first, section, facts))]
            born[day or 0].append(section)
            for first, level in others[:1]:
                yield (
                    section,
                    finding(
                        level,
                        "two entries",
                        f"{called(first)} and {called(section)} were born on one day: two entries for one person?",
                        "Join them; if they are twins or cousins, say so in both.",
                        (entry_place(section), entry_place(first)),
                    ),
                )
        if person is not None:
            yield from two_surnames(section, person)


TWINS = re.compile(r"\b(?:twins?|triplets?)\b", re.IGNORECASE)


def one_life(first: StudiedSection, second: StudiedSection, facts: Facts) -> Level | None:
    """How likely two entries with one day of birth are one person's: of one name, of one name in two spellings, or of a
    woman's name before and after her wedding. None for two people.
    """
    one, other = facts.person(first), facts.person(second)
    names = [bare(section.section.person or "") for section in (first, second)]
    if one is None or other is None or not all(names):
        return None
    if any(TWINS.search(sentence.text) for section in (first, second) for sentence in section.sentences):
        return None
    if names[0] == names[1]:
        return Level.WARNING
    (mine, hers) = names
    if one.sex and other.sex and one.sex != other.sex:
        return None
    if mine[-1] == hers[-1]:
        return Level.NOTE if likeness(mine[0], hers[0]) > NEAR else None
    text = [" ".join(block.text for block in section.section.body) for section in (first, second)]
    married = named_by(text[0], hers[-1]) or named_by(text[1], mine[-1])
    return Level.NOTE if mine[0] == hers[0] and married else None


def two_surnames(section: StudiedSection, person: Person) -> Found:
    """A husband or wife whose forename comes with two surnames."""
    whole = [spouse.name for spouse in person.spouses if len(spouse.name) > 1]
    for at, one in enumerate(whole):
        for other in whole[at + 1 :]:
            married = person.name[-1:] in (one[-1:], other[-1:])
            middle = len(one) == len(other) > 2 and one[1] != other[1]
            if (
                one[0] != other[0]
                or one[-1] == other[-1]
                or married
                or middle
                or len(one[-1]) < 3
                or len(other[-1]) < 3
            ):
                continue
            near = likeness(one[-1], other[-1]) > ALIKE
            if not near and two_weddings(section, one, other):
                continue
            yield (
                section,
                finding(
                    Level.NOTE,
                    "spelling" if near else "two surnames",
                    f"{' '.join(one)} and {' '.join(other)}: one person under two names, or two people?",
                    "Keep to one spelling; say once how else it is spelt."
                    if near
                    else "If one person, say once how she came by both names and keep to one; if two, tell of both marriages.",
                    named_in(section, (other, one)) or (entry_place(section),),
                ),
            )


SECOND_WEDDING = re.compile(
    r"\b(?:secondly|second (?:wife|husband)|again|2n?d|remarri\w+|died|d\.|dead|death|widow\w*|divorc\w+)|\bmarried (?:first|second)"
)


def two_weddings(section: StudiedSection, one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """True when what stands between the two names tells of a second marriage."""
    text = " ".join(block.text for block in section.section.body)
    first, second = (re.search(r"\s+".join(map(re.escape, name)), text, re.IGNORECASE) for name in (one, other))
    if first is None or second is None:
        return False
    return (
        SECOND_WEDDING.search(text[max(0, min(first.start(), second.start()) - 40) : max(first.end(), second.end())])
        is not None
    )


def named_in(section: StudiedSection, names: Iterable[tuple[str, ...]]) -> tuple[Place, ...]:
    """The first sentence of a section in which each of these names stands."""
    wanted = (" ".join(name) for name in names)
    found = (next((s for s in section.sentences if name in s.text), None) for name in wanted)
    return tuple(dict.fromkeys(place(section.section, sentence) for sentence in found if sentence is not None))


def namesakes(book: Book) -> Found:
    """Sentences that name somebody by a name that two persons of the book bear, and do not say which is meant."""
    circle = circle_in(book)
    bearers: dict[tuple[str, ...], int] = Counter(
        one.name for one in circle.everyone if len(one.name) > 1 and one.sections
    )
    shared = {name for name, count in bearers.items() if count > 1}
    if not shared:
        return
    found: dict[tuple[str, ...], list[tuple[StudiedSection, Place]]] = defaultdict(list)
    for section in book.sections:
        for told in circle.told.get(id(section), []):
            for item in told.telling.items:
                named = item.kind == "name" and item.words in shared
                unclear = named and all(item is not other for other, _ in told.people)
                if unclear and not TOLD_APART.search(told.telling.sentence.text.replace(" ".join(item.words), "")):
                    found[item.words].append((section, place(section.section, told.telling.sentence)))
    for name, places in found.items():
        yield (
            places[0][0],
            finding(
                Level.NOTE,
                "namesakes",
                f"{bearers[name]} people of this book are called {' '.join(name)}, and here it is not said which is meant.",
                "Add the number, the parents, a year or ‘the elder’.",
                (where for _, where in places[:MOST_PLACES]),
            ),
        )
