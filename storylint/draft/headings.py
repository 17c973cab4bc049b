"""Which lines of a plain-text draft are headings, and how deep: nothing marks them but how and where they stand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from storylint.draft.model import Block, Kind


@dataclass(slots=True)
class Piece:
    """A block with what its place on the page says. ``alone``: between blank lines. ``underline``: the sign drawn under
    it, or ''."""

    block: Block
    alone: bool = False
    set_in: bool = False
    centred: bool = False
    underline: str = ""


_NUMBER_WORD = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_ORDINAL = (
    "first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|eleventh|twelfth|thirteenth|fourteenth"
    r"|\d{1,2}(?:st|nd|rd|th|d)"
)
_DIVISION = re.compile(
    r"(?:chapter|part|book|section|appendix|generation)\b[ .:—–-]*"
    rf"(?:[\divxlc]{{1,6}}|[a-h]|{_NUMBER_WORD})(?:[ .:—–-].{{0,80}})?"
    rf"|(?:the )?(?:{_ORDINAL}) generation(?:[ .:,—–-].{{0,80}})?"
    r"|(?:author['’]s |chapter |end ?|foot ?)?notes?(?: (?:and|to|on|for) .{1,60})?"
    r"|(?:preface|foreword|introduction|prologue|epilogue|afterword|conclusion|dedication|contents|table of contents"
    r"|acknowledge?ments?|abbreviations|bibliography|references|sources|appendix|index|glossary|errata|explanation)"
    r"(?: (?:and|to|of) .{1,60})?",
    re.IGNORECASE,
)
_ENTRY_LINE = re.compile(r"\+?\s*(?:\d{1,4}(?:[.-]\d{1,3})*[.)]|\d{1,3}(?:\.\d{1,3})+|[A-H][.)])\s+[A-Z“\"'À-Þ]")
_DAY = re.compile(
    r"\b\d{1,2}(?:st|nd|rd|th|d)?,? (?:of )?(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)"
    r"|\b(?:jan|feb|mar|apr|may|june?|july?|aug|sept?|oct|nov|dec)[a-z]*\.? \d{1,2}\b",
    re.IGNORECASE,
)
_SALUTATION = re.compile(
    r"(?:my )?dear(?:est)?\b|yours?\b|your (?:loving|affectionate|obedient|humble)\b|respectfully|sincerely",
    re.IGNORECASE,
)
_LINEAGE = re.compile(r"\s*\([^()]{1,200}\)$")
_INITIALS = re.compile(r"(?:[A-Z]\.?\s?){1,5}")
_MOST_WORDS = 12
_TEXT_WORDS = 10  # a block of fewer words that does not end like a sentence may be one more short line
_CAPITAL_WORDS = 25
_ENDS = (".", ",", ";", ":", "!", "?")
_BESIDE = frozenset({Kind.PICTURE, Kind.TABLE})
_RUN = 3  # so many short lines one after another are a list


def in_capitals(text: str) -> bool:
    """A short line in capitals: a word of three letters at least, and not initials alone."""
    if not text.isupper() or len(text.split()) > _CAPITAL_WORDS:
        return False
    return bool(re.search(r"[^\W\d_]{3}", text)) and not _INITIALS.fullmatch(text.strip())


def is_division(text: str) -> bool:
    """A line that names a division of a book: 'Chapter 3', 'Second Generation', 'NOTES'; not a sentence about one."""
    if text.endswith(".") and len(text.split()) > 4 and not text.isupper():
        return False
    text = text.strip(" .:_*=")
    return text[:1].isupper() and len(text) <= 100 and bool(_DIVISION.fullmatch(text))


def find_headings(pieces: Sequence[Piece]) -> list[Block]:
    """The blocks of ``pieces``, the headings among them marked and given levels.

    Level 1 is the title (the first heading, before any prose), 2 a division or a line in capitals, 3 a person's entry
    line, 4 a short line within an entry (3 where no entries are numbered).
    """
    certain = [_is_certain(piece) for piece in pieces]
    likely = [not sure and _is_likely(piece) for piece, sure in zip(pieces, certain, strict=True)]
    numbered = False
    blocks: list[Block] = []
    runs = _runs(likely)
    for at, piece in enumerate(pieces):
        if certain[at] or (likely[at] and _is_followed(pieces, certain, at, runs[at])):
            entry = is_entry_line(piece.block.text)
            numbered |= entry
            level = _level(piece, entry, numbered)
            blocks.append(replace(piece.block, kind=Kind.HEADING, level=level))
        else:
            blocks.append(piece.block)
    return _with_title(blocks)


def is_entry_line(text: str) -> bool:
    """A line that opens with a number and a capital and ends without a full stop: '2. Thomas Harrow (John1)'."""
    return bool(_ENTRY_LINE.match(text)) and len(text) <= 160


def _is_certain(piece: Piece) -> bool:
    block = piece.block
    if piece.underline:
        return True
    if not piece.alone or block.kind not in (Kind.PARAGRAPH, Kind.QUOTATION) or (piece.set_in and not piece.centred):
        return False
    return is_division(block.text) or (in_capitals(block.text) and not _DAY.search(block.text))


def _is_likely(piece: Piece) -> bool:
    """A short line alone at the margin or in the middle that begins with a capital and does not end like a sentence."""
    block = piece.block
    if not piece.alone or block.kind not in (Kind.PARAGRAPH, Kind.QUOTATION) or (piece.set_in and not piece.centred):
        return False
    text = block.text
    name = _LINEAGE.sub("", text)
    if (
        len(name.split()) > _MOST_WORDS
        or name.rstrip("\"'”’").endswith(_ENDS)
        or _DAY.search(text)
        or _SALUTATION.match(text)
    ):
        return False
    return is_entry_line(text) or (text[:1].isupper() and not _INITIALS.fullmatch(text))


def _runs(likely: Sequence[bool]) -> list[int]:
    """For each piece the length of the run of likely headings that it stands in (0: none)."""
    runs = [0] * len(likely)
    start = 0
    for at in range(len(likely) + 1):
        if at == len(likely) or not likely[at]:
            runs[start:at] = [at - start] * (at - start)
            start = at + 1
    return runs


def _is_followed(pieces: Sequence[Piece], certain: Sequence[bool], at: int, run: int) -> bool:
    """Whether text follows, as it does a heading and not the lines of a list, an address or a signature."""
    if run >= _RUN or (at and pieces[at - 1].block.text.endswith(":")):
        return False
    after = at + 1
    while after < len(pieces) and (after < at + run or pieces[after].block.kind in _BESIDE) and not certain[after]:
        after += 1
    if after >= len(pieces):
        return False
    block = pieces[after].block
    if is_entry_line(pieces[at].block.text) and block.kind in (Kind.ITEM, Kind.TABLE):
        return True
    is_text = block.words >= _TEXT_WORDS or (block.kind is Kind.PARAGRAPH and block.text.endswith(_ENDS))
    return is_text and block.kind in (Kind.PARAGRAPH, Kind.QUOTATION) and not certain[after]


def _level(piece: Piece, entry: bool, numbered: bool) -> int:
    text = piece.block.text
    if piece.underline:
        return 1 if piece.underline == "=" else 2
    if entry:
        return 3
    if is_division(text) or in_capitals(text) or piece.centred:
        return 2
    return 4 if numbered else 3


def _with_title(blocks: list[Block]) -> list[Block]:
    """The first heading, when only short lines stand before it and it is no division or entry, is the book's title."""
    for at, block in enumerate(blocks):
        if block.kind is Kind.HEADING:
            if block.level == 2 and not is_division(block.text) and not is_entry_line(block.text):
                blocks[at] = replace(block, level=1)
            break
        if block.words > 60:
            break
    return blocks
