"""Sentences cut from one pattern.

A program has one wording for each kind of fact. The reader notices at the third time, and from then on hears the pattern
and not the person. This rule finds sentences that are alike once names, dates, numbers and kin are taken out, in the
section and across the whole book. In a long book it takes more of them, unless one section has three. In a compiled genealogy
that states its facts by a fixed formula, as the Register style does, only the formulas that state nothing are named.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from storylint.findings import Finding, Level, Share
from storylint.rule import Card, Example, Option, Options, place, reason
from storylint.study.patterns import SLOTS, Family, Patterns
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.voice import first_index, heads_children, hollow, patterns_of, voices_of

CARD = Card(
    name="templates",
    version=4,
    summary="sentences that share one wording pattern",
    measured="Sentences outside such families, of all sentences of the section's prose.",
    scope="book",
    options=(
        Option("at_least", 3, "how many sentences of the book make a family"),
        Option(
            "words_each",
            3000,
            "words of the book's prose for which one more is wanted: in a long book three alike are not heard",
        ),
        Option(
            "threshold",
            0.5,
            "how sure the reader must be that it is the machine's voice, from 0 to 1; told refrains stay",
        ),
        Option("reference_work", False, "true for a compiled genealogy: its facts have one wording by custom"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen was living at Tregarth in 1871 as a slate splitter. Owen was living at Gerlan in 1881 as a "
            "rockman. Owen was living at Carneddi in 1891 as a quarry labourer.",
            ("Owen was living at Gerlan in 1881 as a rockman.",),
            "the same sentence three times",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nHe hated the cold of the galleries. He hated the steward who weighed the slates. He hated, "
            "above all, the bell, and when it was sold for scrap he walked six miles to see it broken.[^1]\n\n[^1]: Owen Prydderch, diary.",
            (),
            "a refrain that a teller meant",
        ),
    ),
    sources=("Common practice, no source: an editor's ear for the third time",),
)
ALWAYS = 12  # so many alike are heard in a book of any length; ours, no source


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """One finding for each family that has sentences in this section."""
    found = patterns_of(book)
    base = first_index(book, section)
    sentences = list(section.sentences)
    families, wanted = big_families(book, found, options), wanted_in(book, options)
    mine: dict[int, list[Sentence]] = {}
    reasons = []
    for i, sentence in enumerate(sentences):
        family = found.of[base + i]
        caught = family is not None and base + i in families.get(family, ()) and not heads_children(sentence, section)
        if caught and family is not None:
            mine.setdefault(family, []).append(sentence)
        size = len(families[family] if caught else found.families[family]) if family is not None else 1
        reasons.append(reason(sentence, 1, not caught, why(size, caught, wanted)))
    yield Share(sum(r.clean for r in reasons), len(sentences), "sentences", tuple(reasons))
    for family, members in mine.items():
        yield finding(section, pattern_of(book, found, family), len(families[family]), members)


def why(alike: int, caught: bool, wanted: int) -> str:
    """How many sentences of the book have the pattern, and why they may still be no fault."""
    if caught or alike < 2:
        return f"one of {alike} alike" if caught else "a wording of its own"
    return f"one of {alike} alike, {'too few to be heard' if alike < wanted else 'and a teller may say it so'}"


def wanted_in(book: Book, options: Options) -> int:
    """How many alike are heard in a book of this length."""
    words = book.once("words of the prose", lambda: sum(sentence.words for sentence in book.sentences))
    least: int = max(options["at_least"], min(ALWAYS, words // options["words_each"]))
    return least


def big_families(book: Book, found: Patterns, options: Options) -> dict[int, frozenset[int]]:
    """Family → the sentences (indices in the book) that make it one; worked out once a book."""
    key = f"families {options['at_least']} {options['threshold']} {options['words_each']} {options['reference_work']}"

    def work_out() -> dict[int, frozenset[int]]:
        voices = voices_of(book)
        least = wanted_in(book, options)
        big = {}
        for number, family in enumerate(found.families):
            members = [i for i in family.members if voices[i].machine >= options["threshold"]]
            if options["reference_work"]:
                members = [i for i in members if hollow(voices[i])]
            if len(members) >= least or here_again(book, members, options["at_least"]):
                big[number] = frozenset(members)
        return big

    return book.once(key, work_out)


def here_again(book: Book, members: list[int], at_least: int) -> bool:
    """True when as many of them as make a family stand in one section."""
    section_of = book.once(
        "section of each", lambda: [number for number, each in enumerate(book.sections) for _ in each.sentences]
    )
    return max(Counter(section_of[i] for i in members).values(), default=0) >= at_least


def pattern_of(book: Book, found: Patterns, family: int) -> str:
    """The family's pattern as it is shown; worked out once, because a family may stand in every section."""
    known = book.memo.setdefault("patterns shown", {})
    assert isinstance(known, dict)
    if family not in known:
        known[family] = show(shared(found.families[family]))
    shown: str = known[family]
    return shown


def finding(section: StudiedSection, pattern: str, count: int, members: list[Sentence]) -> Finding:
    """The family as one finding, with a place for each of the section's sentences."""
    here = len(members)
    where = f"{here} here, {count} in the book" if count > here else f"{count} times in this section"
    return Finding(
        "templates",
        Level.WARNING,
        f"One wording pattern, {where}: “{pattern}”",
        "Keep it once at most. Merge the facts of one kind into one sentence, or put them in a table, and let the rest open "
        "with what changed.",
        tuple(place(section.section, sentence) for sentence in members),
        {"pattern": pattern, "count": count},
        mends=here,
    )


def shared(family: Family) -> tuple[str, ...]:
    """The family's commonest wording without the words that no more than half of its sentences have."""
    having: Counter[str] = Counter()
    for words, count in family.exact.items():
        having.update(dict.fromkeys(words, count))
    kept = [word for word in family.typical if 2 * having[word] > len(family)]
    return tuple(word for i, word in enumerate(kept) if i == 0 or word not in SLOTS or word != kept[i - 1])


def show(words: tuple[str, ...]) -> str:
    """A pattern as a reader sees it: the fixed words, with the kind of slot between."""
    names = {"NAME": "[name]", "DATE": "[date or number]", "KIN": "[kin]", "WORK": "[work]"}
    return " ".join(names.get(word, word) for word in words)
