"""A sentence that only renders facts of the tree.

Take out the names, the dates, the places, the kin and the verbs of birth, marriage and death: where nothing is left that a
person would have told, the reader is reading a database. One such sentence does no harm; forty of them are why relatives
look up their own entry and close the book.

How it is judged. Every word is sorted into classes; what remains are the told words. A sentence with few of them, with the
words of records instead, and with a pattern that returns elsewhere in the book, speaks in the machine's voice. Its
neighbours are heard too: a bare date inside a told life is the teller's, and an odd fact inside a list of facts is the
machine's; in a short section they count for less. Where hardly a word of a person's section is told, nobody tells at all,
and every sentence of bare facts is flagged, however sure its voice is. The vital paragraph with which a Register-style
entry opens is left alone where a told life follows, and so is the only bare fact of a told life: there the teller was in a
hurry.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from storylint.findings import Finding, Level, Share
from storylint.rule import Card, Example, Option, Options, place, reason
from storylint.study.study import Book, Sentence, StudiedSection, names_source
from storylint.study.unfinished import is_reminder
from storylint.study.voice import Voice, heads_children, hollow, told_alone, voices_in
from storylint.study.words import DATE, KIN, NAME, NUMBER, RECORD, TOLD, VITAL, WORK

CARD = Card(
    name="boilerplate",
    version=4,
    summary="a sentence that only renders facts of the tree",
    measured="Words outside such sentences, of all words of the section's prose.",
    scope="book",
    options=(
        Option("threshold", 0.6, "how sure the rule must be, from 0 to 1, before it flags a sentence"),
        Option(
            "opening", 0.7, "share of told words after the opening paragraph from which a dense vital opening is right"
        ),
        Option(
            "bare", 0.05, "share of told words below which nobody tells, and each sentence of bare facts is flagged"
        ),
        Option("alone", 0.95, "how sure the rule must be before it flags the only such sentence of a told life"),
        Option("reference_work", False, "true for a compiled genealogy: only sentences without any fact are flagged"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire. He was the son of "
            "William Prydderch and Jane Roberts. He married Ellen Thomas on 4 June 1866 at Bethesda. He died on 9 July 1899.",
            ("He married Ellen Thomas on 4 June 1866 at Bethesda.", "He died on 9 July 1899."),
            "four facts in a row and nobody telling them",
        ),
        Example(
            "# Lowri Prydderch\n\nLowri Prydderch was baptised on 9 June 1850 at Llandegai, Caernarfonshire. She was a servant in 1871 "
            "at Bangor, Caernarfonshire. Lowri died of typhus on 2 March 1880 at Bangor, at the age of 29. She never married.",
            (
                "She was a servant in 1871 at Bangor, Caernarfonshire.",
                "Lowri died of typhus on 2 March 1880 at Bangor, at the age of 29.",
                "She never married.",
            ),
            "no wording returns, and still nobody tells",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nOwen went up the incline at Penrhyn at ten, with his father's second-best hammer in his belt "
            "and a promise to his mother that he would not ride the trucks.[^1] No law yet kept a boy in school when a quarry "
            "would pay fourpence a day for him.[^2] He rode the trucks the first week. He was born in 1841, the year the new "
            "chapel was roofed with slates that nobody had paid for.[^3]\n\n[^1]: Owen Prydderch to Ellen Thomas, letter, "
            "4 May 1903, in the author's keeping.\n\n[^2]: Royal Commission on Children's Employment (Mines), First Report "
            "(London, 1842), 391.\n\n[^3]: Jerusalem Chapel, Bethesda, building accounts, 1841, Gwynedd Archives, "
            "Caernarfon.",
            (),
            "the birth is told for a reason",
        ),
    ),
    sources=("E. S. Mills, 'Good Genealogical Writing', OnBoard 4 (May 1998): 16, on prose written by programs",),
)

FRONT_MATTER = 0.8  # in a preface or an imprint a bare statement is more often right; ours, no source
TOLD_LIFE = 60  # words of prose besides, from which a section is a told life; ours, no source
BARELY = 2  # told words below which a sentence is bare; ours, no source
SEVERAL = 3  # sentences from which a section is no mere line; ours, no source
SHORT = re.compile(r"[A-Za-z]\.?|[IVXLC]+\.?")  # 'd.', 'III'
FEW = 7  # sentences: in a shorter section the others can't outvote a sentence that by itself is told; ours, no source

Heard = list[tuple[Sentence, Voice]]


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """Flag the machine's sentences and give the share of words outside them."""
    heard = list(zip(section.sentences, voices_in(book, section), strict=True))
    sure = options["threshold"] if section.section.person else max(options["threshold"], FRONT_MATTER)
    bare = untold(section, heard, options)
    bad = [(s, v) for s, v in heard if v.machine >= sure or (bare and s.words > 1 and len(told_words(s)) < BARELY)]
    stands = {id(s): "a source in brackets, or the head of a list" for s, _ in bad if outside_prose(s, section)}
    stands |= {id(s): "a note to yourself: see rule 'leftovers'" for s, _ in bad if is_reminder(s.text)}
    bad = [(s, v) for s, v in bad if id(s) not in stands]
    stands |= left_standing(section, heard, bad, options)
    if sure > options["threshold"]:
        heard_elsewhere = (s for s, v in heard if options["threshold"] <= v.machine < sure)
        stands |= {id(s): f"in front matter flagged from {sure:.0%}" for s in heard_elsewhere}
    flagged = {id(s) for s, _ in bad} - stands.keys()
    yield Share(
        sum(s.words for s, _ in heard if id(s) not in flagged),
        sum(s.words for s, _ in heard),
        "words",
        tuple(reason(s, s.words, id(s) not in flagged, why(s, v, stands.get(id(s), ""))) for s, v in heard),
    )
    for sentence, voice in bad:
        if id(sentence) not in flagged:
            continue
        yield Finding(
            "boilerplate",
            Level.WARNING,
            message(sentence, voice),
            fix(sentence, section),
            (place(section.section, sentence),),
            {"sure": round(voice.machine, 2), "told": told_words(sentence)},
            mends=sentence.words,
        )


def untold(section: StudiedSection, heard: Heard, options: Options) -> bool:
    """True for a person's section in which hardly a word is told. The machine is known by wordings that return, and in a
    draft of one section none does."""
    told, words = sum(len(told_words(s)) for s, _ in heard), sum(s.words for s, _ in heard)
    return section.section.person is not None and len(heard) >= SEVERAL and told < options["bare"] * words


def outside_prose(sentence: Sentence, section: StudiedSection) -> bool:
    """True for a source in brackets, '(See Rowe's History, p. 9.)', and for what heads the list of children without a
    colon, 'Children, all born at Gerlan.'"""
    return (sentence.text.startswith("(") and names_source(sentence)) or heads_children(sentence, section)


def left_standing(section: StudiedSection, heard: Heard, bad: Heard, options: Options) -> dict[int, str]:
    """Of the bad sentences those that are right where they are (by ``id``), and why."""
    if options["reference_work"]:
        return {id(s): "a fact, and this is a reference work" for s, v in bad if not formula(v)}
    few = len(heard) < FEW
    kept = {id(s): "told by itself, and few stand around it" for s, v in bad if few and by_itself(s, v)}
    bad = [(s, v) for s, v in bad if id(s) not in kept]
    opening = vital_opening(section, heard, options)
    stands = kept | {id(s): "in the vital paragraph that opens a told life" for s, _ in bad if s.block is opening}
    rest = [(s, v) for s, v in bad if id(s) not in stands]
    told = sum(s.words for s, _ in heard) - sum(s.words for s, _ in bad)
    if len(rest) == 1 and told >= TOLD_LIFE and rest[0][1].machine < options["alone"]:
        stands[id(rest[0][0])] = "the one bare fact of a told life"
    return stands


def formula(voice: Voice) -> bool:
    """True for an empty slot, and for 'No further facts are known of her' where it comes again: said once, that somebody
    is not known is what a genealogist found."""
    return voice.empty_slot or (hollow(voice) and voice.returns)


def by_itself(sentence: Sentence, voice: Voice) -> bool:
    """True for a sentence that has two told words and, heard by itself, a teller's voice."""
    return told_alone(voice) and len(told_words(sentence)) > 1 and not hollow(voice)


def vital_opening(section: StudiedSection, heard: Heard, options: Options) -> object | None:
    """The opening paragraph's block, where it is the one dense vital paragraph of a Register entry before a told life.

    In that style the entry *is* the paragraph: it opens with the number and the name.
    """
    if not section.paragraphs or section.section.person is None:
        return None
    block = section.paragraphs[0][0].block
    if section.section.entry is None or section.section.entry.index != block.index:
        return None
    rest = [(s, v) for s, v in heard if s.block is not block]
    words = sum(s.words for s, _ in rest)
    told = sum(s.words for s, v in rest if v.machine < options["threshold"])
    return block if words >= TOLD_LIFE and told / words >= options["opening"] else None


def told_words(sentence: Sentence) -> list[str]:
    """What is left when names, dates, places, kin, work, vital and record words are taken out."""
    return [
        word
        for word, tag in zip(sentence.tokens, sentence.tags, strict=True)
        if tag == TOLD and not SHORT.fullmatch(word)
    ]


def why(sentence: Sentence, voice: Voice, stands: str) -> str:
    """The measure in words, for the author who wants to disagree, and why a sentence ``stands`` that has it."""
    told = told_words(sentence)
    left = f"told words: {', '.join(told[:6])}{' …' if len(told) > 6 else ''}" if told else "no told words"
    returns = "; its pattern comes again" if voice.returns else ""
    return f"{left}{returns}; machine's voice {voice.machine:.0%}{f'; left alone: {stands}' if stands else ''}"


def message(sentence: Sentence, voice: Voice) -> str:
    """What is wrong, from what the sentence shows."""
    told = told_words(sentence)
    if not told:
        return "Take out the names, dates and kin, and nothing is left that anyone told."
    if len(told) == 1:
        return f"A record put into a sentence: besides its facts only “{told[0]}” is left."
    return "A record put into a sentence, in the wording of the ones around it."


def fix(sentence: Sentence, section: StudiedSection) -> str:
    """What to write instead, by the kind of fact."""
    tags, has = sentence.tags, set(sentence.lower)
    if has & {"born", "birth", "baptised", "baptized", "christened", "baptism", "christening"}:
        return "Tell what the birth came into: the house, the parents' work, the year; or let the date ride in another sentence."
    if has & {"married", "marriage", "wed", "wedding", "matrimony", "wife", "husband"}:
        return "Say how they knew each other or what the marriage changed; keep the date as a clause."
    if has & {"died", "death", "buried", "burial", "interred", "grave", "cemetery"}:
        return "Say what the death left behind, or join date and place to the last thing told."
    if has & {"census", "enumerated", "enumerator", "household"}:
        return "Let the census show something: who had left, who had come, what the work had become since the last one."
    if WORK in tags or has & {"occupation", "trade", "employed"}:
        return "Show the work: what hands, hours and place it meant, from a source of the time."
    if KIN in tags and not {RECORD, VITAL} & set(tags):
        return "Fold the relationship into a sentence in which somebody does something."
    if DATE in tags or NUMBER in tags or NAME in tags:
        return "Join the fact to its cause or its consequence, or move it to a note or a table."
    return "Cut it: it tells the reader nothing."
