"""What a section prints that is not its author's prose, although it is set like it: speech and writing quoted over
several paragraphs, letters, and documents announced by a heading.

By printers' custom a quotation over several paragraphs has its opening mark at the head of each, and the closing mark
at the end of the last alone (Chicago Manual of Style, 17th ed., 13.32, from memory). A letter runs from its salutation
to its valediction; where one of the two is missing nothing is taken for a letter, so that prose is never lost.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from storylint.draft.model import Block, Kind

Spans = dict[int, tuple[int, int]]  # index of a block → the part of its text that is quoted

OPEN, CLOSE = "“„«", "”»"
ALONE = 25  # words from which a paragraph that is one quotation, and nothing else, is a document; ours, no source
LETTER_MOST = 14  # paragraphs between a salutation and its valediction; ours, no source
SALUTATION = re.compile(
    r"^[\"“‘']?(?:my (?:own |very )?)?(?:dear(?:est)?|honou?red|beloved|respected|gentlemen|sirs?|madam|reverend)"
    r"(?: (?!said|was|had|in|to|of)[\w.'’&]+){0,4}\s*[,:;.!–—-]",
    re.IGNORECASE,
)
VALEDICTION = re.compile(
    r"\b(?:yours|y(?:ou)?rs?\.? (?:most |very |ever |own |humble |obed\w*'?\w*,? |affectionate |loving |devoted |dutiful |faithful )*"
    r"(?:servants?|serv'?ts?|friend|brother|sister|son|daughter|mother|father|husband|wife|cousin|uncle|aunt|nephew|niece)"
    r"|(?:i|we) (?:am|are|remain|have the hono\w+ to be),? (?:[\w'’]+,? ){0,4}(?:sirs?|gentlemen|madam)"
    r"|(?:with|much|all my|fond) love (?:from|to (?:you )?all)|your ever loving)\b[^.!?]{0,60}[.,!]?$",
    re.IGNORECASE,
)
DOCUMENT = re.compile(
    r"^(?:[\dIVXLC]+[.)]\s*)?(?:the |a )?(?:letters? (?:from|to|of|addressed)|(?:true )?cop(?:y|ies) of|extracts? (?:from|of)"
    r"|transcript(?:ion)?s? of|text of|(?:the )?last will and testament|deposition of|petition of|inventory of)\b",
    re.IGNORECASE,
)


def quoted(body: Sequence[Block], entry: Block | None = None) -> Spans:
    """The parts of a section's paragraphs that are quoted at length; ``entry`` is the block that opens the section."""
    spans: Spans = {}
    spans.update(under_headings([entry, *body] if entry is not None and entry not in body[:1] else body))
    spans.update(letters(body))
    for index, span in running(body):
        spans.setdefault(index, span)
    return spans


def whole(block: Block) -> tuple[int, int]:
    """All of a block's text."""
    return 0, len(block.text)


def under_headings(body: Sequence[Block]) -> Iterator[tuple[int, tuple[int, int]]]:
    """The paragraphs under a heading that announces a document, to the next heading that is not below it."""
    level = 0
    for block in body:
        if block.kind is Kind.HEADING and (not level or block.level <= level):
            level = block.level if DOCUMENT.match(block.text) else 0
        elif level and block.kind is Kind.PARAGRAPH:
            yield block.index, whole(block)


def letters(body: Sequence[Block]) -> Iterator[tuple[int, tuple[int, int]]]:
    """The paragraphs of letters, from the salutation to the valediction."""
    at = 0
    while at < len(body):
        end = end_of_letter(body, at) if opens_letter(body[at]) else None
        for block in body[at : end or at]:
            if block.kind is Kind.PARAGRAPH:
                yield block.index, whole(block)
        at = end or at + 1


def opens_letter(block: Block) -> bool:
    """True for 'Dear Mother,' by itself or at the head of a paragraph."""
    return block.kind in (Kind.PARAGRAPH, Kind.QUOTATION) and bool(SALUTATION.match(block.text))


def end_of_letter(body: Sequence[Block], start: int) -> int | None:
    """Where the letter that opens at ``start`` is over: after its valediction and a signature; None if it has none."""
    for at in range(start, min(len(body), start + LETTER_MOST)):
        block = body[at]
        if block.kind not in (Kind.PARAGRAPH, Kind.QUOTATION) or (at > start and opens_letter(block)):
            return None
        if VALEDICTION.search(block.text[-140:]) or (
            at > start and block.words <= 12 and VALEDICTION.search(block.text)
        ):
            signed = at + 1 < len(body) and body[at + 1].words <= 6 and body[at + 1].kind is not Kind.HEADING
            return at + 2 if signed else at + 1
    return None


def running(body: Sequence[Block]) -> Iterator[tuple[int, tuple[int, int]]]:
    """Quotations that run on over several paragraphs, and paragraphs that are one long quotation."""
    inside = False
    paragraphs = [block for block in body if block.kind is Kind.PARAGRAPH]
    for number, block in enumerate(paragraphs):
        text = block.text
        opens = text[:1] in OPEN + '"'
        marks = list(balance(text))
        left_open = bool(marks) and marks[-1][1] > 0
        goes_on = left_open and number + 1 < len(paragraphs) and paragraphs[number + 1].text[:1] in OPEN + '"'
        if inside and not opens:
            inside = False  # the printer forgot to close it
        if goes_on:
            start = 0 if inside or (opens and marks[-1][2] == 0) else marks[-1][2]
            yield block.index, (start, len(text))
        elif inside:
            yield block.index, (0, first_close(marks, text))
        elif opens and block.words >= ALONE and (left_open or first_close(marks, text) >= len(text) - 1):
            yield block.index, whole(block)
        inside = goes_on


def balance(text: str) -> Iterator[tuple[int, int, int]]:
    """After each mark of quotation: where it stands, how many are open (0 or 1), and where the open one stands."""
    depth, start = 0, 0
    for at, char in enumerate(text):
        if char in OPEN or (char == '"' and not depth):
            depth, start = 1, start if depth else at
        elif char in CLOSE or char == '"':
            depth = 0
        else:
            continue
        yield at, depth, start


def first_close(marks: Sequence[tuple[int, int, int]], text: str) -> int:
    """Just after the first mark that closes, or the end of the text."""
    return next((at + 1 for at, depth, _ in marks if depth == 0), len(text))
