"""What a review copy says: the findings of a reading as comments, grouped and kept to a number that can be read."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from storylint.complaints import stopped
from storylint.findings import Finding, Level, Place, Reading, SectionReading
from storylint.reporters.glance import Fix, fixes, state

AUTHOR, INITIALS = "storylint", "sl"  # by which our comments are known again
ALL = 1000  # comments in one document: what a word processor's margin still bears; proposed for this tool, no source
FEWEST = 3  # comments a section keeps even so
OFFERED = 5  # events named in one comment
UNSEEN = re.compile(r"[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # what XML 1.0 can't hold


@dataclass(slots=True)
class Remark:
    """A comment on ``text[start:end]`` of a block; on the whole block where that is empty. One paragraph a line."""

    block: int
    start: int
    end: int
    lines: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Remarks:
    """The comments, and how many places are left without one."""

    made: list[Remark]
    left_out: int


def remarks(reading: Reading, most: int) -> Remarks:
    """The comments on the one draft of a reading: at each section's opening its summary, then its findings.

    A section has at most ``most`` comments besides its errors (0: no limit), fewer where the book has many sections.
    """
    sections = [section for section in reading.sections if section.findings or section.scores["overall"] is not None]
    room = max(FEWEST, min(most, ALL // max(1, len(sections)))) if most else 0
    made: list[Remark] = []
    left = 0
    for section in sections:
        chosen, out = on_words(fixes(section, section.findings), room)
        made.append(Remark(section.block, 0, 0, clean(summary(section, reading.goal, out))))
        made += chosen
        left += out
    chosen, out = on_words(fixes(None, reading.findings), room)
    return Remarks(made + chosen, left + out)


def on_words(made: Sequence[Fix], room: int) -> tuple[list[Remark], int]:
    """Comments for these fixes, and how many places found no room. Each fix is told in full at its first place, before
    any is told again in short; what is said of the same words is one comment; errors always have room."""
    told = [(place, full(fix), fix) for fix in made for place in fix.first.places[:1]]
    told += [(place, again(fix, finding), fix) for fix in made for finding, place in list(spots(fix))[1:]]
    by_words: dict[tuple[int, int, int], Remark] = {}
    out = 0
    for place, lines, fix in told:
        key = (place.block, place.start, place.end)
        if key not in by_words and room and len(by_words) >= room and fix.first.level is not Level.ERROR:
            out += 1
            continue
        by_words.setdefault(key, Remark(*key)).lines.extend(clean(lines))
    return list(by_words.values()), out


def spots(fix: Fix) -> Iterator[tuple[Finding, Place]]:
    """Every place of a fix with its finding."""
    return ((finding, place) for finding in fix.findings for place in finding.places)


def full(fix: Fix) -> list[str]:
    """Level and rule, what is wrong, what to do, and what it gives."""
    first, times = fix.first, fix.times
    gain = f" That gives {fix.gain:g} points." if fix.gain >= 0.05 else ""
    lines = [f"{first.level.value.capitalize()}: {first.rule}", first.message, f"What to do: {first.fix}{gain}"]
    if times > 1:
        lines.append(f"The same holds for {times - 1} more here, marked in short.")
    offers = first.details.get("suggestions")
    return lines + [f"• {offer}" for offer in (offers[:OFFERED] if isinstance(offers, list) else [])]


def again(fix: Fix, finding: Finding) -> list[str]:
    """A further place of a fix that was told in full."""
    words = fix.first.places[0].quote.split()
    where = " ".join(words[:6]) + ("…" if len(words) > 6 else "")
    other = f" {finding.message}" if finding.message != fix.first.message else ""
    return [stopped(f"{fix.first.level.value.capitalize()}: {fix.first.rule}, as at “{where}”") + other]


def summary(section: SectionReading, goal: float, left_out: int) -> list[str]:
    """How a section stands, at its opening."""
    overall = section.scores["overall"]
    name = section.person or section.title
    stands = f"{int(overall)} of 100, {state(section, goal)}" if overall is not None else "nothing to score"
    lines = [f"{name}: {stands}"]
    shares = [(rule, section.shares[rule]) for rule in section.scores if rule in section.shares]
    scores = [f"{r} {int(s.score)} ({s.clean:g} of {s.whole:g} {s.unit})" for r, s in shares if s.score is not None]
    if scores:
        lines.append("Clean, of all that counts: " + "; ".join(scores) + ".")
    levels = Counter(finding.level for finding in section.findings)
    counted = [(levels[level], level.value) for level in reversed(Level) if levels[level]]
    found = [f"{n} {name}{'' if n == 1 else 's'}" for n, name in counted]
    lines.append(("Found: " + ", ".join(found) + ".") if found else "Nothing is left to mend here.")
    if left_out:
        lines.append(f"{left_out} places have no comment, so that the margin can be read; the report lists them all.")
    return lines


def clean(lines: Sequence[str]) -> list[str]:
    """Lines without the characters that XML can't hold."""
    return [UNSEEN.sub("", line) for line in lines]
