"""Readings that the tests of the page share: one with a draft's hostile words in every field, one of 120 persons."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

from storylint.draft.model import Block, Mark
from storylint.findings import Finding, Level, Place, Reading, SectionReading
from tests.conftest import DRAFT, read_text

HOSTILE = (
    "\"'><script>alert(1)</script><img src=x onerror=alert(2)><svg onload=alert(3)>{{ 7*7 }}{% raw %}]]>--></title>"
    "</style></textarea><a href=javascript:alert(4)>x</a>&lt;b&gt;&#60;\x00\u202e\u2028<!--"
)


def hostile() -> Reading:
    """A reading whose every text is an attack."""
    reading = read_text(DRAFT, "book.md")
    draft = reading.drafts[0]
    blocks = tuple(assaulted(block) for block in draft.blocks)
    notes = tuple(replace(note, number=HOSTILE, text=HOSTILE) for note in draft.notes)
    sections = tuple(assailed(section) for section in reading.sections)
    return replace(
        reading,
        drafts=(replace(draft, path=HOSTILE, remarks=(HOSTILE,), blocks=blocks, notes=notes),),
        sections=sections,
        findings=(finding(sections[0].block),),
        unreadable=((HOSTILE, HOSTILE),),
        crashes=(HOSTILE,),
    )


def assaulted(block: Block) -> Block:
    """A block of hostile words with everything that a block can have."""
    marks = (Mark(3, HOSTILE, live=True, note=0), Mark(9, HOSTILE, live=False))
    return replace(
        block, text=HOSTILE * 2, label=HOSTILE, marks=marks, italic=((1, 20),), bold=((15, 40),), style=HOSTILE
    )


def finding(block: int) -> Finding:
    """A finding of hostile words."""
    place = Place(HOSTILE, block, 1, 5, 90, HOSTILE)
    offers = [HOSTILE, f"{HOSTILE} (1900–1903): age 12; {HOSTILE}; source: {HOSTILE}"]
    return Finding(
        HOSTILE,
        Level.ERROR,
        HOSTILE,
        HOSTILE,
        (place, place._replace(start=40)),
        {"suggestions": offers},
        gain=3,
        id=HOSTILE,
    )


def assailed(section: SectionReading) -> SectionReading:
    """A section of hostile words."""
    shares = {
        name: replace(share, unit=HOSTILE, reasons=tuple(reason._replace(why=HOSTILE) for reason in share.reasons))
        for name, share in section.shares.items()
    }
    return replace(
        section,
        id=f"{HOSTILE}{section.id}",
        path=HOSTILE,
        title=HOSTILE,
        person=section.person and HOSTILE,
        number=section.number and HOSTILE,
        shares=shares,
        findings=(finding(section.block), finding(section.block)._replace(level=Level.NOTE, message=HOSTILE * 2)),
    )


@cache
def large(persons: int = 120) -> Reading:
    """A raw book: the machine's and the teller's entries again and again, under other numbers, and longer."""
    opening, first, second = re.split(r"\n(?=## \d)", DRAFT.split("[^1]:")[0])
    parts = [opening]
    for number in range(1, persons + 1):
        heading, body = re.sub(r"\[\^\d\]", "", (first, second)[number % 2]).split("\n", 1)
        parts.append(re.sub(r"\d+\.", f"{number}.", heading, count=1) + ("\n" + body) * (6 if number % 2 else 5))
    return read_text("\n\n".join(parts))
