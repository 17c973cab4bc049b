"""A wall of text.

Relatives leaf before they read. A paragraph that fills a page, a sentence that loses its way, pages without a heading, a
picture or a voice from a letter: each is a place where the book gets closed. The rule says where to break and proposes a
heading from the stage of life and the years that follow.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import pairwise

from storylint.complaints import stopped
from storylint.draft.model import Block, Kind
from storylint.findings import Finding, Level, Reason, Share
from storylint.rule import Card, Example, Option, Options, place, words_at
from storylint.study.frame import HE, SHE
from storylint.study.frame import span as span_of
from storylint.study.life import years
from storylint.study.study import IN_TEXT, Book, Sentence, StudiedSection
from storylint.study.words import NAME

CARD = Card(
    name="unbroken",
    version=2,
    summary="over-long paragraphs, sentences and stretches without relief",
    measured="Words in paragraphs and stretches of good length, of all words of the section's prose.",
    options=(
        Option(
            "paragraph",
            150,
            "words in a paragraph from which it is a warning (US Federal Plain Language Guidelines 2011)",
        ),
        Option(
            "paragraph_most",
            250,
            "words in a paragraph from which it is an error (same; 15 printed lines are about 165 words)",
        ),
        Option(
            "sentence",
            40,
            "words in a sentence from which it is a note (29 and more are very difficult: Flesch's bands)",
        ),
        Option(
            "stretch",
            600,
            "words without heading, list, table, picture or quotation (two printed pages; common practice, no source)",
        ),
        Option(
            "reference_work",
            False,
            "true for a compiled genealogy: an entry's vital paragraph may be as long as 'paragraph_most'",
        ),
        Option("section", 800, "words in a section without a sub-heading (common practice, no source)"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\n"
            + " ".join(
                f"In the {word} winter the snow lay on the galleries until the men gave up and went home."
                for word in (
                    "first",
                    "second",
                    "third",
                    "fourth",
                    "fifth",
                    "sixth",
                    "seventh",
                    "eighth",
                    "ninth",
                    "tenth",
                )
            ),
            ("In the first winter the snow lay on the galleries",),
            "170 words without a breath",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nThe snow lay on the galleries until March.[^1]\n\nThe men went home, and some of them stayed "
            "there.[^1]\n\n[^1]: Owen Prydderch, diary, 1879, in the author's keeping.",
            (),
            "short paragraphs",
        ),
    ),
    sources=(
        "US Federal Plain Language Guidelines (rev. May 2011): paragraphs of at most 150 words, never over 250 (from memory)",
        "G. Mokotoff, 'Five Steps to Publishing a Family History', Avotaynu Online (2015): at most 15 lines a paragraph",
    ),
)
STAGES = ((0, 13, "Childhood"), (14, 29, "Setting out"), (30, 54, "Middle years"), (55, 200, "Later years"))
QUOTED = re.compile(r"(?<!\w)[\"“](?=\w)[^\"“”]{80,}[\"”]?")
ROOM = 2  # so many times the longest paragraph a section must have before it wants a sub-heading; ours, no source
TURNS = frozenset("in by then after when before at on during but meanwhile soon later next that".split())
Prose = dict[int, list[Sentence]]  # a block's index → its sentences
RELIEF = frozenset({Kind.HEADING, Kind.ITEM, Kind.CHILD, Kind.TABLE, Kind.PICTURE, Kind.QUOTATION})


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """Paragraphs, sentences, stretches and headings, in that order."""
    prose = {paragraph[0].block.index: paragraph for paragraph in section.paragraphs}
    runs = stretches(section, prose)
    strained = {b.index for run in runs if words_of(run, prose) > options["stretch"] for b in run}
    reasons: list[Reason] = []
    for index, paragraph in prose.items():
        block, words = paragraph[0].block, length(paragraph)
        long = words > (options["paragraph_most"] if is_vital(section, block, options) else options["paragraph"])
        clean = not long and index not in strained
        why = "too long a paragraph" if long else "in too long a stretch" if index in strained else "a good length"
        reasons.append(Reason(index, 0, len(block.text), words, clean, f"{words} words: {why}"))
        if long:
            yield long_paragraph(section, paragraph, options, book)
    yield Share(sum(r.weight for r in reasons if r.clean), sum(r.weight for r in reasons), "words", tuple(reasons))
    for sentence in section.sentences:
        words = breath(section, sentence)
        if words > options["sentence"]:
            yield long_sentence(section, sentence, words, options)
    yield from long_stretches(section, runs, prose, options, book)
    yield from no_headings(section, prose, options, book)


def is_vital(section: StudiedSection, block: Block, options: Options) -> bool:
    """True for the paragraph with which an entry of a reference work opens."""
    entry = section.section.entry
    return bool(options["reference_work"]) and entry is not None and entry.index == block.index


def breath(section: StudiedSection, sentence: Sentence) -> int:
    """Words of a sentence without what it quotes at length and the source that it names at its end; of the vital line
    with which an entry opens those of its longest part, since in the Register style ';' ends a fact there as a full stop
    does; none where it lists names."""
    source = IN_TEXT.search(sentence.text)
    text = sentence.text[: source.start()] if source and source.end() >= len(sentence.text) - 2 else sentence.text
    if 2 * sentence.count(NAME) > len(sentence.tokens):  # a list of names
        return 0
    opens = sentence.first and section.section.person is not None and NAME in sentence.tags[:4]
    if not (opens and {"born", "b", "b."} & set(sentence.lower)):
        return len(QUOTED.sub("", text).split())
    return max(len(part.split()) for part in text.split(";"))


def length(paragraph: list[Sentence]) -> int:
    """Words of a paragraph, without what it quotes at length."""
    return sum(sentence.words for sentence in paragraph)


def words_of(blocks: list[Block], prose: Prose) -> int:
    """Words of these paragraphs together."""
    return sum(length(prose[block.index]) if block.index in prose else block.words for block in blocks)


def stretches(section: StudiedSection, prose: Prose) -> list[list[Block]]:
    """Runs of paragraphs with nothing between them that lets the eye rest; a letter or a long quotation does."""
    quoted = {paragraph[0].block.index for paragraph in section.quoted} - prose.keys()
    runs: list[list[Block]] = [[]]
    for block in section.section.body:
        if block.kind in RELIEF or block.index in quoted:
            runs.append([])
        elif block.kind is Kind.PARAGRAPH:
            runs[-1].append(block)
    return [run for run in runs if run]


def long_paragraph(section: StudiedSection, paragraph: list[Sentence], options: Options, book: Book) -> Finding:
    """One paragraph over the limit, with the best place to break it."""
    block, words = paragraph[0].block, length(paragraph)
    most = words > options["paragraph_most"]
    limit = options["paragraph_most"] if most else options["paragraph"]
    details: dict[str, object] = {"problem": "paragraph", "words": words}
    fix = "It is one sentence: break it into several first."
    at = break_at(paragraph)
    if at is not None:
        details["break_after"] = paragraph[at].text
        details["heading"] = proposed = heading(paragraph[at + 1 :], section, book)
        after = f"Break after “{tail(paragraph[at].text)}”"
        fix = stopped(after)
        if ROOM * options["paragraph"] < sum(s.words for s in section.sentences) and "," in proposed:
            fix = f"{after}; for a sub-heading there: {proposed}."
    return Finding(
        "unbroken",
        Level.ERROR if most else Level.WARNING,
        f"A paragraph of {words} words; a reader's eye wants a rest by {limit}.",
        fix,
        (words_at(section.section, block, 0, len(block.text)),),
        details,
        mends=words,
    )


def tail(text: str, words: int = 7) -> str:
    """The last words of a sentence, to find it by."""
    parts = text.split()
    return text if len(parts) <= words else "… " + " ".join(parts[-words:])


def break_at(paragraph: list[Sentence]) -> int | None:
    """The sentence after which to break: near the middle, better where a new time, name or turn begins."""
    if len(paragraph) < 2:
        return None
    total, before, best = sum(s.words for s in paragraph), 0, (-1.0, 0)
    for i, (sentence, following) in enumerate(pairwise(paragraph)):
        before += sentence.words
        balance = 1 - abs(2 * before / total - 1)
        turn = (
            0.3 * (following.lower[0] in TURNS)
            + 0.2 * bool(years(following.text[:60]))
            + 0.1 * (following.tags[:1] == "N")
        )
        best = max(best, (balance + turn * balance, -i))
    return -best[1]


def heading(sentences: list[Sentence], section: StudiedSection, book: Book) -> str:
    """A plain heading from the stage of life and the years told there; the author will find a better one."""
    told = [year for sentence in sentences for year in years(sentence.text)]
    if not told:
        return "name what changes here"
    first, last = min(told), max(told)
    dates = f"{first}–{last}" if last != first else f"{first}"
    span = span_of(section, book)
    stage = None
    if span.birth is not None and first >= span.birth and not of_another(sentences, section):
        stages = [
            next((n for low, high, n in STAGES if low <= year - span.birth <= high), None) for year in (first, last)
        ]
        stage = stages[0] if stages[0] == stages[1] else None
    if span.death is not None and first > span.death:
        stage = "Afterwards"
    return f"{stage}, {dates}" if stage else dates


def of_another(sentences: list[Sentence], section: StudiedSection) -> bool:
    """True when these sentences say 'he' where the section says 'she', or the other way about."""

    def woman(those: Iterable[Sentence]) -> int:
        words = [word for sentence in those for word in sentence.lower]
        return sum((word in SHE) - (word in HE) for word in words)

    return woman(sentences) * woman(section.sentences) < 0


def long_sentence(section: StudiedSection, sentence: Sentence, words: int, options: Options) -> Finding:
    """A sentence over the limit: a note, since a good teller may mean it."""
    return Finding(
        "unbroken",
        Level.NOTE,
        f"A sentence of {words} words; past {options['sentence']} most readers lose the beginning.",
        f"Read it aloud; where you breathe, end it{joint(sentence)}.",
        (place(section.section, sentence),),
        {"problem": "sentence", "words": words},
    )


def joint(sentence: Sentence) -> str:
    """The word near the middle at which the sentence would come apart."""
    middle = len(sentence.text) / 2
    cuts = [
        (abs(at - middle), word)
        for word, before, at in zip(sentence.tokens[1:], sentence.tokens, sentence.at[1:], strict=False)
        if word == ";"
        or (before == "," and word in ("and", "but", "so", "which", "who", "because", "while", "although", "for"))
    ]
    return f", for instance at “{min(cuts)[1]}” near its middle" if cuts else ""


def long_stretches(
    section: StudiedSection, runs: list[list[Block]], prose: Prose, options: Options, book: Book
) -> Iterator[Finding]:
    """Stretches of prose with nothing else on the page."""
    for run in runs:
        words = words_of(run, prose)
        if words <= options["stretch"] or len(run) < 2:
            continue
        block, rest = middle_of(run, prose)
        sentences = [s for b in rest for s in prose.get(b.index, [])]
        proposed = heading(sentences, section, book)
        yield Finding(
            "unbroken",
            Level.NOTE,
            f"{words} words with no heading, picture, table, list or voice from a document.",
            f"Set a sub-heading{f' ({proposed})' if ',' in proposed else ''}, a picture or a quotation before the "
            "paragraph named here.",
            (words_at(section.section, block, 0, len(block.text)),),
            {"problem": "stretch", "words": words, "heading": proposed},
            mends=words,
        )


def middle_of(run: list[Block], prose: Prose) -> tuple[Block, list[Block]]:
    """The paragraph of a run that begins nearest its middle, and it with all after it."""
    total, before, best, at = words_of(run, prose), 0, float("inf"), 1
    for i, block in enumerate(run):
        if i and abs(before - total / 2) < best:
            best, at = abs(before - total / 2), i
        before += words_of([block], prose)
    return run[at], run[at:]


def no_headings(section: StudiedSection, prose: Prose, options: Options, book: Book) -> Iterator[Finding]:
    """A long section with no sub-heading at all."""
    blocks = [paragraph[0].block for paragraph in section.paragraphs]
    words = words_of(blocks, prose)
    if words <= options["section"] or len(blocks) < 2 or any(True for _ in section.section.of_kind(Kind.HEADING)):
        return
    block, rest = middle_of(blocks, prose)
    proposed = heading([s for b in rest for s in prose.get(b.index, [])], section, book)
    yield Finding(
        "unbroken",
        Level.NOTE,
        f"A section of {words} words without a sub-heading.",
        f"One or two would help; a first could stand before the paragraph named here"
        f"{f': {proposed}' if ',' in proposed else ''}.",
        (words_at(section.section, block, 0, len(block.text)),),
        {"problem": "no headings", "words": words, "heading": proposed},
    )
