"""A family story that nobody has weighed.

Every family has them: the brothers who parted at the harbour, the count's daughter, the horse thief. They are worth
printing, because they tell what a family wanted to be; but a story that is printed as a fact becomes one, and the
next genealogist copies it with your name under it. Say who told it and how it came down, then what record there would
be if it were true, whether you looked, and what you think. That takes two sentences, and the story is often better
for them.

The rule knows tradition by how it is told: by family talk as the source, by a passive that names nobody, by a
storyteller's word, by a claim to a great forefather. Public rumour, custom, a witness named in the note and the
legend on a coin are none. A story is weighed where evidence and a verdict stand beside it, in its paragraph, in the
next one or in its note. What the family tells may hurt people who are living: ask them before you print it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from storylint.findings import Finding, Level
from storylint.rule import Card, Example, Option, Options, place
from storylint.study.hearsay import Plot, Way, Where, content, lexicon, normal, plot_of, way_of, weighed, weighed_in
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.words import DATE, RECORD

CARD = Card(
    name="legend",
    version=4,
    summary="a family story told as fact, or passed on and left unweighed",
    scope="book",
    options=(Option("speculation", True, "false to allow guesses at what somebody felt"),),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen split slate at Gerlan for forty years.[^1] They say in the family that he once carried a "
            "harmonium up the incline on his back.\n\n[^1]: Wages books.",
            ("They say in the family that he once carried a harmonium up the incline on his back.",),
            "who says so, and could it be?",
        ),
        Example(
            "# Lowri Prydderch\n\nThe Prydderchs descend from a prince of Gwynedd.",
            ("The Prydderchs descend from a prince of Gwynedd.",),
            "a great forefather, and no line to him",
        ),
        Example(
            "# Lowri Prydderch\n\nLowri's grandmother was a Mohegan princess.",
            ("Lowri's grandmother was a Mohegan princess.",),
            "a story that many families have of some nation",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nThey say in the family that he once carried a harmonium up the incline on his back. The chapel's "
            "account book has the carter's bill for it, three shillings, and I think that Owen walked behind the cart.[^1]\n\n"
            "[^1]: Account book of Jerusalem chapel.",
            (),
            "told, tested and judged",
        ),
        Example(
            "# Owen Prydderch\n\nIt was said in the valley that the quarry would close by Christmas.[^1]\n\n[^1]: *Herald*, 1900.",
            (),
            "a public rumour is history",
        ),
    ),
    sources=(
        "Common practice, no source: write down every version, ask who told it and could have seen it, ask what record would "
        "exist if it were true, and look for that record",
    ),
)
WINDOW = 8  # sentences of the paragraph after a story in which it may be weighed (proposed for this tool, no source)
FOLLOWING = 5  # the same for the paragraph that follows


@dataclass(slots=True)
class Tale:
    """A story: its sentences, the way it is told, where in the section it stands."""

    sentences: list[Sentence]
    way: Way
    paragraph: int
    at: int
    texts: list[str] = field(default_factory=list)


def get_ready() -> None:
    """Read the ways of telling."""
    lexicon()


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding]:
    """Find the stories, and let those pass that are weighed."""
    texts = [[normal(sentence, book) for sentence in paragraph] for paragraph in section.paragraphs]
    found = list(tales(section, book, texts))
    for at, tale in enumerate(found):
        after = found[at + 1] if at + 1 < len(found) else None
        until = after.at if after is not None and after.paragraph == tale.paragraph else None
        if not weighed(tale.sentences, around(section, texts, tale, until), book) and not weighed_in(
            notes(section, tale)
        ):
            yield finding(section, tale)
    if options["speculation"]:
        yield from guesses(section, texts)


def tales(section: StudiedSection, book: Book, texts: Sequence[Sequence[str]]) -> Iterator[Tale]:
    """Every story of the section with the sentences that go on with it."""
    for number, paragraph in enumerate(section.paragraphs):
        at = after = 0
        while at < len(paragraph):
            way = way_of(paragraph[at], texts[number][at])
            if way is None:
                at += 1
                continue
            begins = at - 1 if at > after and SAYS_SO.search(texts[number][at]) and not paragraph[at - 1].marks else at
            tale = Tale(list(paragraph[begins : at + 1]), way[0], number, begins, list(texts[number][begins : at + 1]))
            while at + 1 < len(paragraph) and goes_on(tale, paragraph[at + 1], texts[number][at + 1], book):
                at += 1
                tale.sentences.append(paragraph[at])
                tale.texts.append(texts[number][at])
            yield tale
            at = after = at + 1


ON = re.compile(
    r"^\W*(?:then|so|and|after that|the next|next|one of (?:the|them)|at last|in the end|when (?:he|she|they)|it took|he carried|she carried|what is more)\b|\b(?:it seems|it appears|by this account|in this version)\b"
)


# 'Her granddaughter used to say so': the story is what stands before.
SAYS_SO = re.compile(
    r"^(?:\S+ ){1,8}?(?:say|says|said|tell|tells|told|swear|swore|sworn|claim|claimed|maintained|insisted|believed?|repeat|repeated)"
    r" (?:so|it|as much|this)\b(?! (?:was|is|had|that|how))(?: [\w'’]+){0,6} ?[.;!]?$"
)
OTHER = re.compile(r"^\W*(?:another|others|the other|a second|also|or|some)\b|\balso\b")
PRESENT = re.compile(r"\b(?:is|are|has|have|does|do|grows?|stands?|says?)\b")


def goes_on(tale: Tale, sentence: Sentence, text: str, book: Book) -> bool:
    """True when the next sentence tells more of the story: no mark, date or record of its own, and it takes up the
    thread."""
    if sentence.marks or sentence.count(DATE + RECORD) or lexicon().has("verdict", text) or tale.sentences[-1].marks:
        return False
    if way_of(sentence, text) is not None:
        return bool(OTHER.match(text) or SAYS_SO.search(text))
    shared = content(sentence, book) & set().union(*(content(each, book) for each in tale.sentences))
    return not PRESENT.search(text) and bool(ON.search(text) or shared)


def around(
    section: StudiedSection, texts: Sequence[Sequence[str]], tale: Tale, until: int | None
) -> list[tuple[Sentence, str, Where]]:
    """The sentences that may weigh a story: those around it in its paragraph, what its own add, the next paragraph.

    What follows the next story of the paragraph (from ``until`` on) weighs this one only if it speaks of it.
    """
    pairs = list(zip(section.paragraphs[tale.paragraph], texts[tale.paragraph], strict=True))
    start, end = tale.at, tale.at + len(tale.sentences)
    near = len(pairs) if until is None else until
    found = [(s, t, Where.AFTER) for s, t in pairs[end:near][:WINDOW]]
    found += [(s, more, Where.OWN) for s, t in pairs[start:end] if (more := after_cue(t))]
    found += [(s, t, Where.BEFORE) for s, t in pairs[max(0, start - 2) : start]]
    found += [(s, t, Where.NEXT) for s, t in pairs[near:][:WINDOW]]
    for paragraph, own in zip(
        section.paragraphs[tale.paragraph + 1 :][:1], texts[tale.paragraph + 1 :][:1], strict=True
    ):
        found += [(s, t, Where.NEXT) for s, t in zip(paragraph[:FOLLOWING], own[:FOLLOWING], strict=True)]
    return found


def after_cue(text: str) -> str:
    """What the story's own sentence says after a semicolon or 'but': a verdict may stand there."""
    parts = re.split(r";|\bbut\b|\bthough\b|\balthough\b|\bwhich (?:is|was|cannot|can)\b", text, maxsplit=1)
    return parts[1] if len(parts) > 1 else ""


def notes(section: StudiedSection, tale: Tale) -> Iterator[str]:
    """The texts of the notes that the story's sentences call."""
    every = section.section.draft.notes
    for sentence in tale.sentences:
        yield from (every[mark.note].text for mark in sentence.marks if mark.note is not None)


def finding(section: StudiedSection, tale: Tale) -> Finding:
    """One finding for the whole story."""
    told = zip(tale.sentences, tale.texts, strict=True)
    plot: Plot | None = next((found for sentence, text in told if (found := plot_of(sentence, text))), None)
    look = f" This one is known from many families ({plot.called}); it can be tested by {plot.test}." if plot else ""
    return Finding(
        CARD.name,
        Level.WARNING,
        f"A family story that nobody has weighed; {tale.way.called}.",
        "Say who told it and how it came down, what you looked for, and what you think; or call it a story and stop there."
        + look,
        tuple(place(section.section, sentence) for sentence in tale.sentences),
        {"problem": "unweighed", "plot": plot.called if plot else ""},
    )


def guesses(section: StudiedSection, texts: Sequence[Sequence[str]]) -> Iterator[Finding]:
    """Feelings that are guessed, with no ground given in the sentence, beside it or in a note."""
    known = lexicon()
    for paragraph, own in zip(section.paragraphs, texts, strict=True):
        for at, (sentence, text) in enumerate(zip(paragraph, own, strict=True)):
            match = known.words["guess"].search(text)
            if match is None or sentence.covered or not known.has("inner", text[match.end() :]):
                continue
            if not any(known.has("basis", each) for each in own[at : at + 2]):
                yield Finding(
                    CARD.name,
                    Level.NOTE,
                    "What somebody felt is guessed here, and nothing says from what.",
                    "Give the ground (a letter, the dates, what others wrote of the same thing), or leave the feeling to "
                    "the reader.",
                    (place(section.section, sentence),),
                    {"problem": "speculation"},
                )
