"""What cannot have happened as it is written.

A relative who opens the book looks for her own people first, and the first thing she finds is the child who was born
before its mother. Such slips come from a year typed twice, from two sources copied into two places, from a paragraph
that was moved; and no spelling checker sees them. This rule reads every date as the days it can mean, collects what
the draft says of each person, in prose, in lists of children and in her own entry, and reports where two statements
can't both be true. What is only unlikely is a note. Inexact dates are ranges: only a contradiction that no day in the
range escapes is an error.

It can't know which of two dates is wrong. It shows both places and the sum.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from storylint.findings import Finding, Level, Place
from storylint.rule import Card, Example, Option, Options, words_at
from storylint.study.clash import YEAR, Clash, shown, today, year_of
from storylint.study.clashes import clashes_of, guess, likely_year
from storylint.study.dates import When
from storylint.study.facts import facts_of
from storylint.study.persons import Said
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.telling import Telling

COMMON = "common practice, no source"
CARD = Card(
    name="dates",
    summary="dates, ages and intervals that cannot be true together",
    scope="book",
    version=4,
    options=(
        Option("today", "", "the day on which the draft is read, as an ISO date; empty: the day of the run"),
        Option("mother_from", 15, f"youngest usual age of a mother, in years; {COMMON}"),
        Option(
            "mother_to",
            50,
            "oldest usual age of a mother, in years; births above it were rare in every parish rebuilt from its "
            "registers (E. A. Wrigley et al., English Population History, 1997, from memory)",
        ),
        Option("father_from", 15, f"youngest usual age of a father, in years; {COMMON}"),
        Option("father_to", 75, f"oldest usual age of a father, in years; {COMMON}"),
        Option("parent_never", 12, f"age below which nobody is a parent, in years; {COMMON}"),
        Option("mother_never", 60, f"age above which no mother gives birth, in years; {COMMON}"),
        Option("marriage_from", 15, f"youngest usual age at marriage, in years; {COMMON}"),
        Option(
            "marriage_never",
            12,
            "age below which no marriage was lawful: 12 for girls, 14 for boys in England until the Age of Marriage "
            "Act 1929 (19 & 20 Geo. V c. 36)",
        ),
        Option("life_usual", 110, f"age above which a life is doubted, in years; {COMMON}"),
        Option(
            "life_never", 122, "the longest life on record, 122 years 164 days (J. Calment, 1875–1997), from memory"
        ),
        Option("active_to", 95, f"age above which a deed is doubted, in years; {COMMON}"),
        Option(
            "posthumous",
            300,
            "days after the father's death within which a child can be his: Code Napoléon, art. 315, after Buchanan, "
            "Text-Book of Forensic Medicine",
        ),
        Option(
            "siblings_never",
            180,
            "days between the births of two children of one mother, twins apart: the shortest pregnancy that the "
            "Roman-Dutch law allowed, the 182nd day",
        ),
        Option("siblings_usual", 240, f"days between such births below which the list is doubted; {COMMON}"),
        Option("soldier_from", 12, f"youngest usual age at enlistment, in years; {COMMON}"),
        Option("burial_days", 60, f"days from death to burial above which the dates are doubted; {COMMON}"),
        Option(
            "census_give",
            5,
            "years by which an age in a census may be out; the 1841 census of England rounded ages down to five years",
        ),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen was born at Gerlan on 4 May 1861.[^1] He was baptised at Jerusalem chapel on "
            "2 March 1861.[^1]\n\n[^1]: Chapel register.",
            ("He was baptised at Jerusalem chapel on 2 March 1861.",),
            "a baptism before the birth",
        ),
        Example(
            "# Ellen Prydderch\n\nEllen was born on 3 June 1840 and died on 9 June 1902, aged fifty-four.[^1]\n\n"
            "[^1]: Stone.",
            ("Ellen was born on 3 June 1840 and died on 9 June 1902, aged fifty-four.",),
            "the dates make her sixty-two",
        ),
        Example(
            "# Robert Prydderch\n\nHe went up to the quarry on 31 April 1873.[^1]\n\n[^1]: Wages book.",
            ("He went up to the quarry on 31 April 1873.",),
            "April has thirty days",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nHe died on 3 May 1871, under a fall of rock that the steward had been warned of twice. "
            "Hugh, who was born on 11 December 1871, had his father's left-handed way with a spoon all the same.[^1]\n\n"
            "[^1]: Llanllechid parish, burials 1861–1880, p. 52, and baptisms 1863–1877, p. 118; Gwynedd Archives, "
            "Caernarfon.",
            (),
            "a posthumous child, within three hundred days",
        ),
        Example(
            "# Lowri Prydderch\n\nThe curate wrote 11 February 1731/2 against Lowri's baptism and then, because the ink had "
            "frozen, blew on the page and spoiled the rest of the week.[^1]\n\n"
            "[^1]: Llanllechid parish, baptisms 1720–1745, p. 31; Gwynedd Archives, Caernarfon.",
            (),
            "a double date before 1752",
        ),
    ),
    sources=(
        "Calendar (New Style) Act 1750, 24 Geo. II c. 23",
        "Buchanan, Text-Book of Forensic Medicine: limits of pregnancy in European law",
        "Larimer County Genealogical Society, 5 June 2020: children of one mother can't come every six months",
        "H. Hatcher, 'Estimating Dates and Ages in Genealogical Writing', New York Researcher, Spring 2010",
    ),
)  # fmt: skip


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """The contradictions whose wrong or later statement stands in this section."""
    yield from book.once("dates", lambda: by_section(book, options)).get(id(section), ())


def by_section(book: Book, options: Options) -> dict[int, list[Finding]]:
    """All findings of the book, by the section they belong to."""
    facts, now = facts_of(book), today(options)
    out: dict[int, list[Finding]] = {}
    for section in book.sections:
        tellings = (telling for telling, _ in facts.tellings.get(id(section), ()))
        out[id(section)] = [finding for telling in tellings for finding in in_sentence(section, telling, now)]
    for group in merged(clashes_of(facts, options)):
        out.setdefault(id(group[0].wrong.section), []).append(finding(group))
    return out


def merged(clashes: Iterable[Clash]) -> list[list[Clash]]:
    """What is reported together: all that one wrong statement of a person clashes with, the gravest first, and of
    each pair of sentences only the gravest.
    """
    best: dict[frozenset[object], Clash] = {}
    for clash in sorted(clashes, key=lambda c: -c.level.rank):
        pair = frozenset((clash.wrong.place, clash.right.place if clash.right else clash.wrong.place))
        best.setdefault(pair, clash)
    groups: dict[tuple[object, ...], list[Clash]] = {}
    for clash in best.values():
        groups.setdefault((clash.wrong.place, clash.wrong.person.name, clash.wrong.event), []).append(clash)
    return sorted(groups.values(), key=lambda group: group[0].wrong.order)


def softened(clash: Clash) -> Level:
    """An error, but a note where one of the dates is only about right and they miss each other by less than ten
    years.
    """
    inexact = any(
        said is not None and said.when is not None and said.when.qualifier in ("about", "say", "perhaps")
        for said in (clash.wrong, clash.right)
    )
    return Level.NOTE if inexact and clash.days < 10 * YEAR else clash.level


def finding(group: list[Clash]) -> Finding:
    """One wrong statement as it is reported, with up to four that it clashes with."""
    clash, places = group[0], [place(group[0].wrong)]
    for each in group[:4]:
        if each.right is not None and (there := place(each.right)) not in places:
            places.append(there)
    also = [message for each in group[1:4] if (message := each.message) != clash.message]
    message = " ".join([clash.message, *(f"Also: {each}" for each in dict.fromkeys(also))])
    fix = "Go back to the sources of both, and mend the one that is wrong." if clash.right else "Go back to the source."
    likely = guess(clash)
    if likely:
        fix = f"Was it {likely}? {fix}"
    details = {"problem": clash.problem, "why": clash.why} | ({"likely": likely} if likely else {})
    return Finding("dates", softened(clash), message, fix, tuple(places), details)


def place(said: Said) -> Place:
    """The sentence or line a statement stands in."""
    return words_at(said.section.section, said.block, said.start, said.end)


UNREAL = re.compile(
    r"\b(?:no such (?:day|date)|does not exist|did not exist|never (?:was|existed)|there (?:is|was) no|sic)\b"
)
TO_COME = re.compile(
    r"\b(?:will|until|till|expires?|runs?|due|plan(?:s|ned)?|next|embargo\w*|sealed|opens?|release\w*|(?:is|are) to"
    r"|reunion|by then|shall|hopes?|intends?)\b"
)


def in_sentence(section: StudiedSection, telling: Telling, now: int) -> Iterator[Finding]:
    """Dates that are wrong by themselves: no day of the calendar, the wrong weekday, years that run backwards, the
    future (after the day number ``now``).
    """
    sentence = telling.sentence
    for when in telling.whens:
        if when.fault and not UNREAL.search(sentence.text):
            yield faulty(when, where_of(section, sentence))
        elif (
            when.earliest is not None
            and when.earliest > now
            and when.qualifier not in ("to", "before", "by")
            and not TO_COME.search(sentence.text)
        ):
            yield in_future(when, where_of(section, sentence), now)


def where_of(section: StudiedSection, sentence: Sentence) -> tuple[Place, ...]:
    """The sentence as the only place of a finding."""
    return (words_at(section.section, sentence.block, sentence.start, sentence.end),)


def faulty(when: When, where: tuple[Place, ...]) -> Finding:
    """A date that can't be a date."""
    doubtful = "names two years" in when.fault or "in Sweden" in when.fault
    problem = next(name for words, name in PROBLEMS if words in when.fault)
    fix = (
        f"Was it {when.likely}? Go back to the source."
        if when.likely
        else "Go back to the source; if it says so, quote it and say that it can't be."
    )
    details = {"problem": problem, "why": when.fault} | ({"likely": when.likely} if when.likely else {})
    return Finding(
        "dates", Level.NOTE if doubtful else Level.ERROR, f"'{when.words}': {when.fault}.", fix, where, details
    )


PROBLEMS = (
    ("was a ", "weekday"),
    ("backwards", "years reversed"),
    ("two years", "double date"),
    ("follow each other", "double date"),
    ("", "no such day"),
)


def in_future(when: When, where: tuple[Place, ...], now: int) -> Finding:
    """A date that has not come yet."""
    guess = likely_year(when, 1500, year_of(now))
    why = f"{shown(when)} is still to come (this is {year_of(now)})"
    fix = f"Was it {guess}? Go back to the source." if guess else "Go back to the source."
    return Finding(
        "dates",
        Level.ERROR,
        f"{why[0].upper()}{why[1:]}.",
        fix,
        where,
        {"problem": "future", "why": why, "likely": guess},
    )
