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

Span = tuple[int, int]
Spans = dict[int, list[Span]]  # index of a block → the parts of its text that are quoted

OPEN, CLOSE = "“„«", "”»"
MARKS = re.compile(f'[{OPEN}{CLOSE}"]')
ALONE = 25  # words from which a paragraph that is one quotation, and nothing else, is a document; ours, no source
LONG = 40  # words from which a quotation inside a paragraph is one; ours (printers set off from about a hundred)
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
PART = re.compile(
    r"^(?:[\dIVXLC]+[.)]\s*)?(?:(?:original|family|selected|some|the|other) )*(?:(?:letters|deeds|wills|records),? (?:and|&) )?"
    r"(?:documents|papers|transcripts|transcriptions|correspondence)\W*$",
    re.IGNORECASE,
)


def quoted(body: Sequence[Block], entry: Block | None = None, flat: bool = False) -> Spans:
    """The parts of a section's paragraphs that are quoted at length; ``entry`` is the block that opens the section,
    ``flat`` is True for a draft whose headings show no levels (plain text)."""
    spans: Spans = {}
    opened = [entry, *body] if entry is not None and entry not in body[:1] else body
    for index, span in (*under_headings(opened, flat), *letters(body), *running(body), *within(body)):
        spans.setdefault(index, []).append(span)
    return spans


def whole(block: Block) -> Span:
    """All of a block's text."""
    return 0, len(block.text)


def under_headings(body: Sequence[Block], flat: bool) -> Iterator[tuple[int, Span]]:
    """The paragraphs under a heading that announces a document, to the next heading that is not below it; those under
    one that announces documents, in a draft without levels, to the section's end."""
    level, part = 0, False
    for block in body:
        if block.kind is Kind.HEADING and not part and (not level or block.level <= level):
            part = flat and bool(PART.match(block.text))
            level = block.level if part or PART.match(block.text) or DOCUMENT.match(block.text) else 0
        elif level and block.kind is Kind.PARAGRAPH:
            yield block.index, whole(block)


def letters(body: Sequence[Block]) -> Iterator[tuple[int, Span]]:
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


def running(body: Sequence[Block]) -> Iterator[tuple[int, Span]]:
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


def within(body: Sequence[Block]) -> Iterator[tuple[int, Span]]:
    """Long quotations inside a paragraph. Where its marks do not pair, nothing is taken for one."""
    for block in body:
        if block.kind is not Kind.PARAGRAPH or block.words < LONG:
            continue
        marks = list(balance(block.text))
        if len(marks) % 2 or not all(stands_well(block.text, at, depth > 0) for at, depth, _ in marks):
            continue
        for (start, _, _), (end, _, _) in zip(marks[::2], marks[1::2], strict=True):
            if len(block.text[start:end].split()) >= LONG:
                yield block.index, (start, end + 1)


def stands_well(text: str, at: int, opens: bool) -> bool:
    """True when a mark of quotation has white space on the outer side and none on the inner one."""
    before, after = text[at - 1 : at], text[at + 1 : at + 2]
    if opens:
        return (not before or not before.isalnum()) and not after.isspace()
    return not before.isspace() and (not after or not after.isalnum())


def balance(text: str) -> Iterator[tuple[int, int, int]]:
    """After each mark of quotation: where it stands, how many are open (0 or 1), and where the open one stands."""
    depth, start = 0, 0
    for mark in MARKS.finditer(text):
        at, char = mark.start(), mark.group()
        if char in OPEN or (char == '"' and not depth):
            depth, start = 1, start if depth else at
        else:
            depth = 0
        yield at, depth, start


def first_close(marks: Sequence[tuple[int, int, int]], text: str) -> int:
    """Just after the first mark that closes, or the end of the text."""
    return next((at + 1 for at, depth, _ in marks if depth == 0), len(text))
