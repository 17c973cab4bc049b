"""Drafts of an invented family whose faults are known, because sentences of a clean draft are moved, deleted or
doubled.

A draft is a list of sentences with the numbers they call, and a list of notes. It can be printed in each form that
marks take. Digits that are no marks stand in the sentences on purpose.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

# Sentences of two lives; each has one mark in the clean draft. Years, ages, money, house and lot numbers, verses,
# decimals, ordinals and generations tempt the reader.
LIVES = (
    "He was carried to the chapel at Llanllechid on 3 May 1841.",
    "His father owed £3 10s. at the shop that winter.",
    "At 10 he rode the trucks down the incline at Penrhyn.",
    "The crew of 4 took a bargain on the Red Lion gallery.",
    "A block of 2.5 tons slid past him on the 2nd of June 1866.",
    "He signed for lot 14 with a cross.",
    "The house was No. 7, and it had one window.",
    "He married Ellen Thomas at Bethesda on 4 June 1866.",
    "She chose Psalm 23:4 and sang it without the book.",
    "They kept a pig, a clock, and 11 hens.",
    "The strike of 1874 cost them the clock.",
    "A cousin, John² Gethin, sent two sovereigns from Granville.",
    "She wrote down every loaf from 1874 to 1877.",
    "The doctor came 3 times, and charged for 2 of them.",
    "Their first child was buried on 9 March 1869, aged 2.",
    "He went out alone on the barque Hannah in 1882.",
    "The passage took 41 days.",
    "He found the red rock harder than the blue.",
    "He boarded at 12 Church Street with six others.",
    "In 1884 he sent for her.",
    "She came with 5 children and a hymn book.",
    "The company housed them in the second row.",
    "She took in the washing of 9 men.",
    "Their son Hugh fell from a derrick on 11 August 1891.",
    "The inquest sat for 20 minutes.",
    "He never went up the hill again.",
    "She learned English from the back of a flour sack.",
    "The dust settled in his chest about 1900.",
    "He died on 9 July 1903, in his 63rd year.",
    "She lived to hear the quarry whistle stop.",
)
PLACES = ("Llanllechid", "Bethesda", "Gerlan", "Granville", "Poultney", "Fair Haven")
KINDS = (
    "{place} parish, baptisms 18{n}–18{m}, p. {p}, no. {q}; Gwynedd Archives, Caernarfon",
    "{place} rate book, 18{n}, p. {p}; Gwynedd Archives, Caernarfon",
    "Penrhyn Quarry wages book, March 18{n}, p. {p}; Gwynedd Archives, Caernarfon",
    "Ellen Thomas to Jane Roberts, {p} May 18{n}; family copy held by the author",
    "{place} town meeting minutes, {p} April 18{n}; town clerk, {place}, Vermont",
    "North Wales Chronicle, {p} June 18{n}, p. 3",
    "Certified copy of death, Hugh Prydderch, {p} August 18{n}, no. {q}; town clerk, {place}, Vermont",
)


@dataclass
class Marked:
    """A draft: ``told`` are (sentence, number called or ""), ``notes`` (number, text), ``truth`` (problem, number)."""

    told: list[tuple[str, str]]
    notes: list[tuple[str, str]]
    truth: set[tuple[str, str]] = field(default_factory=set)
    form: str = "raised"


def clean(seed: int) -> Marked:
    """A draft with a mark on each sentence and its notes in order."""
    chance = random.Random(seed)
    told = [(sentence, str(number)) for number, sentence in enumerate(LIVES, 1)]
    notes = []
    for number in range(1, len(LIVES) + 1):
        kind = KINDS[chance.randrange(len(KINDS))]
        n = chance.randrange(40, 90)
        text = kind.format(place=chance.choice(PLACES), n=n, m=n + 9, p=chance.randrange(2, 28), q=100 + number)
        notes.append((str(number), text + "."))
    return Marked(told, notes)


def distinct_spots(chance: random.Random, count: int, apart: int = 5) -> list[int]:
    """Places in the draft, each some sentences from the next, so that what is done to them stays apart."""
    step = (len(LIVES) - 2 * apart) // count
    return [apart + turn * step + chance.randrange(max(step - apart, 1)) for turn in range(count)]


# --- what is done to a clean draft --------------------------------------------------------------------------------


def move(draft: Marked, at: int, by: int) -> None:
    """A sentence moves by three places or more and takes its typed mark along."""
    sentence = draft.told.pop(at)
    draft.told.insert(at + by, sentence)
    draft.truth.add(("order", sentence[1]))


def delete_sentence(draft: Marked, at: int) -> None:
    """A sentence is cut; its note stays in the list."""
    _, number = draft.told.pop(at)
    draft.truth.add(("unused note", number))


def delete_note(draft: Marked, at: int) -> None:
    """A note is lost from the list."""
    number = draft.told[at][1]
    draft.notes = [note for note in draft.notes if note[0] != number]
    draft.truth.add(("missing note", number))


def double_note(draft: Marked, at: int) -> None:
    """A number heads two notes."""
    number = draft.told[at][1]
    place = next(turn for turn, note in enumerate(draft.notes) if note[0] == number)
    draft.notes.insert(
        place + 1, (number, "Bangor petty sessions, court register, June 1868, p. 90; Gwynedd Archives.")
    )
    draft.truth.add(("duplicate note", number))


def double_sentence(draft: Marked, at: int) -> None:
    """A sentence stands twice in a row with the same mark, which is no fault."""
    draft.told.insert(at + 1, draft.told[at])


def double_far(draft: Marked, at: int) -> None:
    """A sentence stands again further on in the same section: it was copied, and its mark came along. Near the end of
    the first section it is moved into the second."""
    sentence = draft.told.pop(at) if at < len(LIVES) // 2 + 2 <= at + 7 else draft.told[at]
    draft.told.insert(at + 4, sentence)
    draft.truth.add(("order", sentence[1]))


def lose_mark(draft: Marked, at: int) -> None:
    """A mark is lost on the way; its note stays."""
    sentence, number = draft.told[at]
    draft.told[at] = (sentence, "")
    draft.truth.add(("unused note", number))


FAULTS = (
    lambda draft, at: move(draft, at, 4),
    lambda draft, at: move(draft, at, -4),
    delete_sentence,
    delete_note,
    double_note,
    double_sentence,
    double_far,
    lose_mark,
)


# --- how it is printed --------------------------------------------------------------------------------------------

_RAISE = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
FORMS = ("raised", "bracketed", "plain", "caret", "tag", "live")


def mark(number: str, form: str) -> str:
    """A mark in one of the forms that writers and programs use."""
    return {
        "raised": number.translate(_RAISE),
        "bracketed": f"[{number}]",
        "plain": number,
        "caret": f"^{number}^",
        "tag": f"<sup>{number}</sup>",
        "live": f"[^{number}]",
    }[form]


def markdown(draft: Marked) -> str:
    """The draft as Markdown, two persons, three sentences a paragraph, the notes at the end."""
    sentences = [sentence + (mark(number, draft.form) if number else "") for sentence, number in draft.told]
    half = len(sentences) // 2
    parts = ["# The Prydderchs of Gerlan", "## 1. Owen¹ Prydderch", *paragraphs(sentences[:half])]
    parts += ["## 2. Ellen Thomas", *paragraphs(sentences[half:])]
    if draft.form == "live":
        return "\n\n".join([*parts, *(f"[^{number}]: {text}" for number, text in draft.notes)]) + "\n"
    return "\n\n".join([*parts, "# Notes", *(f"{number}. {text}" for number, text in draft.notes)]) + "\n"


def paragraphs(sentences: list[str]) -> list[str]:
    """Three sentences a paragraph."""
    return [" ".join(sentences[at : at + 3]) for at in range(0, len(sentences), 3)]
