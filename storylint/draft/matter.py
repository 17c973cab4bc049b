"""What is no person's entry: front and back matter, generations, chapters, and the lists in which no entry can open."""

from __future__ import annotations

import re
from collections.abc import Sequence

from storylint.draft.model import Block, Kind
from storylint.draft.numbering import generation_heading

_MATTER = re.compile(
    r"[\s_*=#]*(?:the\s+|an?\s+|author['’]s\s+|editor['’]s\s+|publisher['’]s\s+|compiler['’]s\s+)?(?P<word>"
    r"preface|foreword|introduct(?:ion|ory)|contents|table of contents|acknowledge?ments?|dedication|appendix|"
    r"appendices|(?:end|foot)?notes|notes (?:and|&) (?:sources|references)|(?:a )?note (?:on|to)\b.*|sources|source notes|"
    r"bibliography|references|works cited|further reading|index(?:es)?|glossary|abbreviations|"
    r"(?:list|table) of (?:illustrations|plates|maps|figures|tables|abbreviations|subscribers|contents)|"
    r"illustrations|afterword|epilogue|prologue|conclusion|errata|corrigenda|addend(?:a|um)|postscript|"
    r"about (?:the author|this book)|to the (?:reader|public|family)|transcriber['’]s notes?|supplement|"
    r"explanatory|explanations?|copyright|colophon|finis|the end|end)\b(?P<rest>.{0,60})$",
    re.IGNORECASE,
)
_CLOSED = re.compile(r"contents|index|illustration|notes|sources|bibliograph|references|works|subscribers|abbrev", re.I)
CHAPTER = re.compile(
    r"[\s_*=#]*(?:chapter|part|book|section|branch|line|volume|vol\.)\s+"
    r"(?:the\s+)?(?:\d{1,3}|[IVXLC]{1,7}|[A-Z]|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|"
    r"first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth)\b[\s.:,—–-]*",
    re.IGNORECASE,
)


def matter(block: Block) -> str | None:
    """The word by which a heading announces front or back matter, or None. Only short lines can be headings."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 90:
        return None
    found = _MATTER.match(block.text)
    if not found:
        return None
    alone = not found["rest"].strip(" .:_*=") or block.text.isupper() or found["rest"][:1] in ".:—,"
    standing = block.kind is Kind.HEADING or alone and not found["rest"].strip(" .:_*=")
    return found["word"].casefold() if standing else None


def divides(block: Block) -> bool:
    """True for the headings of generations and chapters, whatever the format makes of them."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 120:
        return False
    if generation_heading(block.text) is not None:
        return block.kind is Kind.HEADING or not block.text.rstrip("_* ").endswith((",", ";")) and len(block.text) < 70
    chapter = CHAPTER.match(block.text)
    return bool(chapter) and (block.kind is Kind.HEADING or chapter.end() == len(block.text) or block.text.isupper())  # type: ignore[union-attr]


def closed_zones(blocks: Sequence[Block]) -> set[int]:
    """The blocks of contents, indexes, notes and lists of sources, in which no entry can open."""
    closed: set[int] = set()
    inside: str | None = None
    for block in blocks:
        word = matter(block)
        if word:
            inside = word if _CLOSED.search(word) else None
        elif inside and (block.kind is Kind.HEADING or divides(block) or _stands_in_capitals(block)):
            inside = None
        if inside or block.kind is Kind.NOTES:
            closed.add(block.index)
    return closed


def _stands_in_capitals(block: Block) -> bool:
    """True for a line in capitals that does not end in a page number."""
    return block.kind is Kind.PARAGRAPH and block.text.isupper() and len(block.text) > 4 and not block.text[-1].isdigit()
