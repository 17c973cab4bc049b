"""What is no person's entry: front and back matter, generations, chapters, and the lists in which no entry can open."""

from __future__ import annotations

import re
from collections.abc import Sequence

from storylint.draft.model import Block, Kind
from storylint.draft.numbering import generation_heading

_MATTER = re.compile(
    r"[\s_*=#]*(?:the |an? |author['’]s |editor['’]s |publisher['’]s |compiler['’]s )?(?P<word>"
    r"preface|prefatory note|foreword|introduct(?:ion|ory)|contents|table of contents|acknowledge?ments?|dedication|"
    r"appendix|appendices|(?:end|foot)?notes|notes (?:and|&) (?:sources|references)|note|sources|source notes|"
    r"sources (?:and|&) notes|bibliography|references|works cited|further reading|index(?:es)?|glossary|"
    r"abbreviations|(?:list|table) of (?:illustrations|plates|maps|figures|tables|abbreviations|subscribers)|"
    r"illustrations|afterword|epilogue|prologue|conclusion|errata|corrigenda|additions|addend(?:a|um)|postscript|"
    r"about (?:the author|this book)|to the (?:reader|public|family)|transcriber['’]s notes?|supplement|"
    r"explanatory|explanations?|copyright|colophon|finis|end)"
    r"(?P<rest>[\s.:_*=]*$|\s*[.:—–-].*|\s+(?:[A-Z]|\d{1,3}|[IVXL]{1,5})\b.{0,60}|\s+(?:to|for|on)\s.{1,50}|"
    r"\s+of (?:names|persons|people|places|subjects|surnames|families|illustrations|sources)\b.{0,30})$",
    re.IGNORECASE,
)
_CLOSED = re.compile(r"contents|index|illustration|notes|sources|bibliograph|references|works|subscribers|abbrev", re.I)
CHAPTER = re.compile(
    r"[\s_*=#]*(?:chapter|part|book|section|branch|line|volume|vol\.)\s+"
    r"(?:the\s+)?(?:\d{1,3}|[IVXLC]{1,7}|[A-Z]|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|"
    r"first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth)\b[\s.:,—–-]*",
    re.IGNORECASE,
)
STORY = re.compile(
    r"[\s_*=#]*(?:(?:the|a) )?(?:(?:short|early|later|long|strange|two|three|many|married) )?(?:story|life|lives|life story|"
    r"times|life and times|years|travels|memoir|biography|portrait|world|making|journey|family|household) of\s+",
    re.IGNORECASE,
)


def matter(block: Block) -> str | None:
    """The word by which a heading announces front or back matter, or None. Only short lines can be headings."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 90:
        return None
    found = _MATTER.match(block.text)
    if not found:
        return None
    standing = block.kind is Kind.HEADING or not found["rest"].strip(" .:_*=")
    return found["word"].casefold() if standing else None


def divides(block: Block) -> bool:
    """True for the headings of generations and chapters, whatever the format makes of them."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 120:
        return False
    heading = block.kind is Kind.HEADING
    if generation_heading(block.text) is not None:
        return heading or (len(block.text) < 70 and not block.text.rstrip("_* ").endswith((",", ";")))
    chapter = CHAPTER.match(block.text)
    return chapter is not None and (heading or chapter.end() == len(block.text) or block.text.isupper())


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
    text = block.text
    return block.kind is Kind.PARAGRAPH and text.isupper() and len(text) > 4 and not text[-1].isdigit()
