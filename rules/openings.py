"""Sentence after sentence that opens with the same words.

'He … He … He …' or the full name time after time beats like a drum. A teller varies the first words, or means the beat.
"""

from __future__ import annotations

from collections.abc import Iterator

from storylint.findings import Finding, Level, Share
from storylint.rule import Card, Example, Option, Options, place
from storylint.study.study import FINITE, Book, Sentence, StudiedSection
from storylint.study.words import STOP

CARD = Card(
    name="openings",
    version=2,
    summary="sentences in a row with the same first words",
    options=(
        Option("at_least", 3, "how many sentences in a row (common practice, no source)"),
        Option(
            "brisk", 25, "words a sentence up to which so few are heard; of longer ones it takes one more (proposed)"
        ),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nHe went up the hill before light.[^1] He came down after dark.[^1] He saw his house on Sundays.[^1]"
            "\n\n[^1]: Diary.",
            ("He went up the hill before light.",),
            "three times the same word",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nHe went up the hill before light.[^1] By the time he came down it was dark.[^1] His house he saw on "
            "Sundays.[^1]\n\n[^1]: Owen Prydderch, diary, 1871.",
        ),
    ),
    sources=("Common practice, no source",),
)


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """One note for each run within a paragraph."""
    for paragraph in section.paragraphs:
        run: list[Sentence] = []
        for sentence in [*paragraph, None]:
            if sentence is not None and run and opening(sentence) == opening(run[-1]):
                run.append(sentence)
                continue
            if is_heard(run, options) and not is_list(run):
                yield finding(section, run)
            run = [sentence] if sentence is not None else []


def opening(sentence: Sentence) -> str:
    """The first word, in small letters; two where the first says nothing by itself."""
    words = (word for word, tag in zip(sentence.lower, sentence.tags, strict=True) if tag != STOP)
    first = next(words, "")
    return f"{first} {next(words, '')}".rstrip() if first in ("the", "a", "an", "in", "on", "at", "by") else first


def is_heard(run: list[Sentence], options: Options) -> bool:
    """True for a run that a reader hears: one sentence more than the least, or no fewer and brisk ones."""
    least = options["at_least"]
    return len(run) > least or bool(len(run) == least and sum(s.words for s in run) <= least * options["brisk"])


def is_list(run: list[Sentence]) -> bool:
    """True where half of them have no verb: 'At the left, Mrs. Rowe. At the right, her sister.' explains a picture."""
    return 2 * sum(not FINITE.search(sentence.text) for sentence in run) >= len(run)


def finding(section: StudiedSection, run: list[Sentence]) -> Finding:
    """One run as a note."""
    word = " ".join(run[0].tokens[: len(opening(run[0]).split())])
    return Finding(
        "openings",
        Level.NOTE,
        f"{len(run)} sentences in a row open with “{word}”.",
        "Open one of them with its time, its place or its cause, or join two.",
        tuple(place(section.section, sentence) for sentence in run),
        {"opening": word, "count": len(run)},
    )
