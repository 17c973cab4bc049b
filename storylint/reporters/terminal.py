"""The reading on a terminal: the book, its persons with the worst first, what to mend, what to do next.

Piped output has the same words without colour and with plain letters for bars.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from shlex import quote as shell_quote
from typing import Any

from rich.cells import cell_len, set_cell_size
from rich.console import Console
from rich.text import Text

from storylint.findings import Finding, Level, Place, Reading, Reason, SectionReading, Share
from storylint.reporters.glance import (
    RULES,
    UNNOTED,
    Fix,
    all_fixes,
    asked,
    best_of,
    glance,
    lapsed,
    persons,
    readability,
    scored,
    state,
    unnoted,
    worst_first,
)
from storylint.reporters.glance import count as count  # said of a terminal by its other users, too

# How much is shown unless the author asks for all of it.
ROWS = 30  # persons on the board
PEOPLE = {Level.ERROR: 12, Level.WARNING: 4, Level.NOTE: 0}  # persons whose fixes are shown
FIXES = 3  # fixes a person
QUOTES = 2  # quotes a fix
LONG = 32  # words from which a quote is shortened

MEANING = {
    Level.ERROR: "would embarrass you in print",
    Level.WARNING: "mend before print",
    Level.NOTE: "worth a look",
}
STYLE = {Level.ERROR: "bold red", Level.WARNING: "bold yellow", Level.NOTE: "bold cyan"}
NOBODY = (
    "No person's section was recognised, so the draft is judged by its headings. A person's entry is found by a number "
    "and a name, by a heading with a name, or by a name in capitals that opens a paragraph."
)
CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
SLOT = re.compile(r"\[[^\]]*\]")
STATE_STYLE = {"done": "green", "nearly done": "cyan", "under way": "yellow", "untouched": "red"}


@dataclass(frozen=True, slots=True)
class Look:
    """The characters of the drawing, and whether everything is shown."""

    full: str
    empty: str
    goal: str
    stem: str
    arrow: str
    yes: str
    no: str
    item: str
    all: bool = False


def look(console: Console, everything: bool = False) -> Look:
    """Drawn characters on a terminal that has them, plain ones elsewhere."""
    if console.is_terminal and (console.encoding or "").lower().startswith("utf"):
        return Look("■", "·", "╎", "│", "→", "✓", "✗", "•", everything)
    return Look("#", ".", "|", "|", "->", "ok", "--", "-", everything)


def console_for(stream: Any) -> Console:
    """A console that never fails on a character and never colours what is piped."""
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")
    return Screen(file=stream, highlight=False, markup=False, emoji=False)


class Screen(Console):
    """Its own way of ending where the reader has gone would be an exit code that means something else here."""

    def on_broken_pipe(self) -> None:
        """Leave it to the command."""
        raise BrokenPipeError


def show(reading: Reading, everything: bool = False, alone: bool = False) -> None:
    """The report on standard output; ``alone`` for one person's."""
    console = console_for(sys.stdout)
    marks = look(console, everything or alone)
    if alone:
        for section in reading.sections:
            portrait(console, marks, section, reading.goal)
    else:
        heading(console, reading)
        board(console, marks, reading)
    every = mend_all(console, marks, reading)
    remarks(console, reading)
    closing(console, marks, reading, alone, best_of(every, 1))


# ---------------------------------------------------------------------------------------------------------- the book


def heading(console: Console, reading: Reading) -> None:
    """The book in three lines."""
    book = glance(reading)
    first = [f"{book.words:,} words", count(len(reading.drafts), "file"), count(book.persons, "person")]
    if book.overall is not None:
        first.append(f"overall {whole(book.overall)} of 100")
    console.print(Text.assemble(("The book  ", "bold"), " · ".join(first)))
    margin = " " * 10
    if book.overall is not None:
        stand = " · ".join(f"{n} {name}" for name, n in book.states.items())
        console.print(indented(margin, f"{stand} (your goal: {whole(reading.goal)})", console))
    if book.ease is not None:
        aim = f"reading ease {whole(book.ease)} (60 to 70 is plain English), "
        aim += f"school grade {book.grade}; you aim at {reading.grade:g}"
        console.print(indented(margin, aim, console))
    if not book.persons:
        console.print()
        console.print(indented("", NOBODY, console))


def board(console: Console, marks: Look, reading: Reading) -> None:
    """One row a person, worst first."""
    people = worst_first(persons(reading) or scored(reading))
    if not people:
        return
    rules = [rule for rule in RULES if any(section.scores.get(rule) is not None for section in people)]
    shape = Shape.of(console.width, rules, people)
    console.print()
    for line in shape.header(marks):
        console.print(line, no_wrap=True, crop=True)
    shown = people if marks.all else people[:ROWS]
    for section in shown:
        console.print(shape.row(section, marks, reading.goal), no_wrap=True, crop=True)
    if len(people) > len(shown):
        rest = people[len(shown) :]
        best = [s.scores["overall"] for s in rest if s.scores["overall"] is not None]
        span = f", from {whole(best[0])} to {whole(best[-1])}" if best else ""
        console.print(Text(f"… and {len(rest)} more{span}; --all shows everyone", "dim"))
    key = f"100 is clean; {marks.goal} is your goal of {whole(reading.goal)}. E errors, W warnings, N notes"
    console.print(indented("", key, console, "dim"))


@dataclass(frozen=True, slots=True)
class Shape:
    """Widths of the board's columns in cells; a width of 0 leaves a column out."""

    name: int
    bar: int
    state: int
    ease: int
    rules: tuple[str, ...]

    @staticmethod
    def of(width: int, rules: Sequence[str], people: Sequence[SectionReading]) -> Shape:
        """What fits: at 80 columns all but the state; wider screens give longer names and bars."""
        longest = max(cell_len(label(section)) for section in people)
        bar, state_, ease = (20, 12, 5) if width >= 112 else (10, 0, 5) if width >= 78 else (0, 0, 0)
        taken = bar + bool(bar) + state_ + 4 + 4 * len(rules) + 7 + ease + 11
        return Shape(max(10, min(longest, width - taken - 1)), bar, state_, ease, tuple(rules))

    def header(self, marks: Look) -> Iterator[Text]:
        """The rules' names as a staircase over their narrow columns."""
        left = self.name + (self.bar + 1 if self.bar else 0) + 4 + self.state
        for step, rule in enumerate(self.rules):
            stems = "".join(f"   {marks.stem}" for _ in range(step))
            line = f"{'':{left}}{stems}   {rule}"
            if step == len(self.rules) - 1:
                edge = left + 4 * len(self.rules)
                gap = " " * max(0, edge + 7 - 5 - len(line))
                line = "Lowest first".ljust(left - 9)[: left - 9] + "  overall" + line[left:] + gap
            yield Text(line, "dim")
        tail = f"{'words':>7}" + (f"{'ease':>{self.ease}}" if self.ease else "") + f"{'E':>3}{'W':>4}{'N':>4}"
        stems = "".join(f"   {marks.stem}" for _ in self.rules)
        yield Text(f"{'':{left}}{stems}{tail}", "dim")

    def row(self, section: SectionReading, marks: Look, goal: float) -> Text:
        """One person."""
        overall = section.scores["overall"]
        where = state(section, goal)
        style = STATE_STYLE.get(where, "")
        line = Text(cut(label(section), self.name))
        if self.bar:
            line.append(" ").append(bar(overall, goal, self.bar, marks), style)
        line.append(f"{whole(overall):>4}", f"bold {style}".strip())
        if self.state:
            line.append(f" {where:<{self.state - 1}}", style)
        for rule in self.rules:
            line.append(f"{whole(section.scores.get(rule)):>4}")
        line.append(f"{section.words:>7,}")
        if self.ease:
            line.append(f"{whole(readability(section, 'flesch_reading_ease')):>{self.ease}}")
        levels = Counter(finding.level for finding in section.findings)
        for level, width in ((Level.ERROR, 3), (Level.WARNING, 4), (Level.NOTE, 4)):
            line.append(f"{levels[level] or '·':>{width}}", STYLE[level] if levels[level] else "dim")
        return line


def bar(score: float | None, goal: float, width: int, marks: Look) -> str:
    """A score as a bar, with the goal marked where it is not reached yet."""
    if score is None:
        return " " * width
    filled = int(score / 100 * width)
    cells = [marks.full] * filled + [marks.empty] * (width - filled)
    at = min(int(goal / 100 * width), width - 1)
    if at >= filled and score < goal:
        cells[at] = marks.goal
    return "".join(cells)


# ------------------------------------------------------------------------------------------------------- what to mend


def mend_all(console: Console, marks: Look, reading: Reading) -> list[Fix]:
    """What to mend, the gravest first; gives all fixes of the book."""
    every = all_fixes(reading)
    for level in reversed(Level):
        mend(console, marks, reading, level, every)
    return every


def mend(console: Console, marks: Look, reading: Reading, level: Level, every: Sequence[Fix]) -> None:
    """The fixes of one level, by person, worst first."""
    levelled: dict[int, list[Fix]] = {}
    for fix in every:
        if fix.first.level is level:
            levelled.setdefault(id(fix.section), []).append(fix)
    groups = [(each, levelled[id(each)]) for each in (None, *in_order(reading)) if id(each) in levelled]
    if not groups:
        return
    total = sum(len(fix.findings) for _, made in groups for fix in made)
    console.print()
    console.print(Text.assemble((f"{count(total, level.value)} ", STYLE[level]), (f"— {MEANING[level]}", "dim")))
    shown = groups if marks.all else groups[: PEOPLE[level]]
    named = len(reading.sections) > 1 or bool(reading.findings)  # of one person alone the name stands above
    for section, made in shown:
        group(console, marks, reading, section, made, named)
    if rest := groups[len(shown) :]:
        findings = Counter(fix.first.rule for _, made in rest for fix in made for _ in fix.findings)
        listed = ", ".join(f"{n} {rule}" for rule, n in findings.most_common())
        more = "more " if shown else ""
        text = (
            f"{listed} {more}in {count(len(rest), 'section')}; --person NAME shows one alone, --all shows everything."
        )
        console.print(indented("  ", text, console, "dim"))


def in_order(reading: Reading) -> list[SectionReading]:
    """The persons, worst first, then the other sections."""
    people = persons(reading)
    return worst_first(people) + worst_first(s for s in reading.sections if not s.person)


def group(
    console: Console, marks: Look, reading: Reading, section: SectionReading | None, made: list[Fix], named: bool
) -> None:
    """One person's fixes of one level."""
    console.print()
    if named:
        name = label(section) if section else "The whole book"
        overall = section.scores["overall"] if section else None
        name = cut(name, min(cell_len(name), console.width - 8))
        console.print(Text.assemble("  ", (name, "bold"), ("" if overall is None else f"  {whole(overall)}", "dim")))
    shown = made if marks.all else made[:FIXES]
    for fix in shown:
        advice(console, marks, reading, fix)
    if len(made) > len(shown):
        n = sum(len(fix.findings) for fix in made[len(shown) :])
        who = f"--person {shell_quote(label(section))}" if section else "--all"
        console.print(indented("    ", f"… and {count(n, 'finding')} more; {who} shows all", console, "dim"))


def advice(console: Console, marks: Look, reading: Reading, fix: Fix) -> None:
    """One fix: the rule and the gain, what is wrong, the quotes, what to do."""
    first = fix.first
    places = [(finding, place) for finding in fix.findings for place in finding.places]
    times, several = f" × {fix.times}" if fix.times > 1 else "", len(places) > 1
    gain = f"  +{fix.gain:g} points" if fix.gain >= 0.05 else ""
    spot = "" if several else f"  {where(places[0][1], reading)}" + (f"  {first.id}" if marks.all else "")
    console.print(Text.assemble("    ", (first.rule + times, STYLE[first.level]), (spot, "dim"), (gain, "green")))
    shown = places if marks.all else places[:QUOTES]
    messages = list(dict.fromkeys(finding.message for finding, _ in shown))
    shown.sort(key=lambda pair: messages.index(pair[0].message))
    said = ""
    for finding, place in shown:
        if finding.message != said:
            said = finding.message
            console.print(indented("      ", said, console))
        line = quoted(finding, place)
        if several:
            line.append(f"  {where(place, reading)}", "dim")
        if several and marks.all and place is finding.places[0]:
            line.append(f"  {finding.id}", "dim")
        console.print(indented(f"      {marks.stem} ", line, console))
    if len(places) > len(shown):
        console.print(Text(f"      {marks.stem} … and {len(places) - len(shown)} more like it", "dim"))
    hang = " " * (7 + len(marks.arrow))
    console.print(indented(f"      {marks.arrow} ", first.fix, console, "", hang))
    for offer in first.details.get("suggestions", []) if marks.all else []:
        console.print(indented(f"{hang}{marks.item} ", str(offer), console, "dim", f"{hang}  "))


def quoted(finding: Finding, place: Place) -> Text:
    """The quote, shortened where it is long, with the words marked that the finding is about."""
    quote = safe(" ".join(place.quote.split()))
    words = quote.split()
    text = quote if len(words) <= LONG else " ".join(words[:14]) + " … " + " ".join(words[-14:])
    line = Text(f"“{text}”")
    for part in about(finding):
        if 1 < len(part) < len(text):
            line.highlight_regex(rf"(?<!\w){re.escape(part)}(?!\w)", "bold underline")
    return line


def about(finding: Finding) -> set[str]:
    """The words that the details name: of a pattern those that stand between its slots."""
    values = [part for value in finding.details.values() for part in (value if isinstance(value, list) else [value])]
    texts = {text for text in values if isinstance(text, str)}
    return texts | {part.strip() for part in SLOT.split(str(finding.details.get("pattern", "")))}


def where(place: Place, reading: Reading) -> str:
    """Where to look: the line, or the paragraph counted from 1, with the file if there are several."""
    spot = f"line {place.line}" if place.line is not None else f"paragraph {place.block + 1}"
    return spot if len(reading.drafts) == 1 else safe(f"{place.path}, {spot}")


# -------------------------------------------------------------------------------------------------------- one person


def portrait(console: Console, marks: Look, section: SectionReading, goal: float) -> None:
    """One person's scores, each with the share it is made of."""
    facts = [count(section.words, "word"), f"overall {whole(section.scores['overall'])}", state(section, goal)]
    ease = readability(section, "flesch_reading_ease")
    facts += [f"reading ease {whole(ease)}"] if ease is not None else []
    console.print(Text.assemble((label(section), "bold"), "  ", " · ".join(fact for fact in facts if fact)))
    console.print(Text(safe(f"  {section.path}" + (f", line {section.line}" if section.line else "")), "dim"))
    for rule, share in shares(section):
        score = section.scores.get(rule, share.score)
        drawn = f"  {rule:<12}{bar(score, goal, 20, marks)}"
        made = f"  {share.clean:g} of {share.whole:g} {share.unit}"
        console.print(Text.assemble(drawn, (f"{whole(score):>4}", "bold"), (made, "dim")))


def shares(section: SectionReading) -> list[tuple[str, Share]]:
    """The section's shares that make a score, in the board's order."""
    return [(rule, section.shares[rule]) for rule in RULES if rule in section.shares and section.shares[rule].whole > 0]


def explain(reading: Reading) -> None:
    """Every sentence that counts in every score, and how: so that an author can disagree."""
    console = console_for(sys.stdout)
    marks = look(console, True)
    text_of = {draft.path: {block.index: block.text for block in draft.blocks} for draft in reading.drafts}
    for section in reading.sections:
        portrait(console, marks, section, reading.goal)
        for rule, share in shares(section):
            console.print()
            score = f"  {whole(share.score)}: {share.clean:g} of {share.whole:g} {share.unit} count as clean"
            console.print(Text.assemble((rule, "bold"), score))
            because(console, marks, share.reasons, text_of[section.path])
        console.print()
    key = f"{marks.no} not clean, {marks.yes} clean; the figure is how much the words count"
    console.print(indented("", key, console, "dim"))


def because(console: Console, marks: Look, reasons: Sequence[Reason], text_of: Mapping[int, str]) -> None:
    """The units of a score, those that are not clean first, each reason once with its sentences under it."""
    alike: dict[tuple[bool, str], list[Reason]] = {}
    for reason in reasons:
        alike.setdefault((reason.clean, reason.why), []).append(reason)
    for (clean, why), units in sorted(alike.items(), key=lambda pair: pair[0][0]):
        sign = marks.yes if clean else marks.no
        console.print(indented(f"  {sign:<2} ", why, console, "dim" if clean else "bold", " " * 5))
        for unit in units:
            words = safe(text_of.get(unit.block, "")[unit.start : unit.end]).split()
            short = " ".join(words) if len(words) <= 16 else " ".join(words[:9]) + " … " + " ".join(words[-6:])
            console.print(indented(f"  {unit.weight:>8g}  ", f"“{short}”", console, "", " " * 12))


# ------------------------------------------------------------------------------------------------------------ the end


def remarks(console: Console, reading: Reading) -> None:
    """What a reader of the file had to guess or leave out, and what could not be read at all."""
    lines = [f"{draft.path}: {remark}" for draft in reading.drafts for remark in draft.remarks]
    lines += [f"{path}: not read: {why}" for path, why in reading.unreadable]
    lines += [f"{count(len(reading.standing), 'finding')} left out by your word (stet)"] if reading.standing else []
    lines += [lapsed(stet) for stet in reading.lapsed]
    lines += [UNNOTED] if unnoted(reading) else []
    if lines:
        console.print()
    for line in lines:
        console.print(indented("  ", line, console, "dim"))


def closing(console: Console, marks: Look, reading: Reading, alone: bool, best: Sequence[Fix]) -> None:
    """What to do next, and what this tool can't see."""
    console.print()
    text = next_step(best[0], alone) if best else finished(reading, alone)
    console.print(indented("Next  ", text, console, "", " " * 6))
    cautions = list(caution(reading))
    if marks.all and reading.every():
        cautions.append(
            "A finding may stand if you mean it: storylint stet ID --why 'the reason'. Its ID stands behind its place."
        )
    if cautions:
        console.print()
    for line in cautions:
        console.print(indented("", line, console, "dim"))


def next_step(fix: Fix, alone: bool) -> str:
    """The one fix to begin with."""
    n = sum(len(finding.places) for finding in fix.findings)
    what = f"{fix.first.rule}, {count(n, 'place')}. {fix.first.fix}"
    if fix.section is None:
        return f"Begin with the book as a whole: {what}"
    overall = fix.section.scores["overall"]
    gain = ""
    if overall is not None and fix.gain >= 0.05:
        gain = f" That takes the section from {whole(overall)} to about {whole(min(100.0, overall + fix.gain))}."
    see = "" if alone else f" See it alone: --person {shell_quote(label(fix.section))}"
    return f"Begin with {label(fix.section)}: {what}{gain}{see}"


def finished(reading: Reading, alone: bool) -> str:
    """What to do when nothing is left to mend; where rules were left out, that is not known."""
    if those := asked(reading):
        return f"Nothing to mend by the rules that were asked: {those}. Others were left out."
    whose = "here" if alone else "in this book"
    text = f"Nothing {whose} has to be mended before print."
    if any(finding.level is Level.NOTE for _, finding in reading.every()):
        text += " Look through the notes once; each may stand if you mean it."
    return text + " Then read it aloud, check each note against its source, and let someone read it who is not in it."


def caution(reading: Reading) -> Iterator[str]:
    """What the author must judge, where it is apt."""
    rules = {finding.rule for _, finding in reading.every()} | {r for s in reading.sections for r in s.shares}
    if rules & {"unsourced", "marks", "sources"}:
        yield (
            "storylint sees marks, not truth: whether a source says what the sentence says is yours to check, and what "
            "counts as proof is a question for a qualified genealogist."
        )
    if "living" in rules:
        yield "Living people: ask before you print; what may be printed depends on the law where you and they live."


# ------------------------------------------------------------------------------------------------------ small things


def label(section: SectionReading) -> str:
    """A section's name with its number, as the book prints it."""
    name = section.person or section.title
    return safe(f"{section.number} {name}" if section.number and section.person else name)


def safe(text: str) -> str:
    """Text of a draft without the control characters that a terminal would obey."""
    return CONTROL.sub("", text)


def whole(score: float | None) -> str:
    """A score without decimals; what is just under 100 never reads as 100."""
    return "·" if score is None else str(int(score))


def cut(text: str, cells: int) -> str:
    """Exactly this many cells wide."""
    return set_cell_size(text, cells) if cell_len(text) <= cells else set_cell_size(text, cells - 1) + "…"


def indented(lead: str, text: str | Text, console: Console, style: str = "", hang: str | None = None) -> Text:
    """A paragraph that wraps under its own first letter; ``hang`` stands before the later lines."""
    body = Text(safe(text), style) if isinstance(text, str) else text
    if not isinstance(text, str) and style:
        body.stylize(style)
    hang = lead if hang is None else hang
    lines = body.wrap(console, max(20, console.width - cell_len(lead) - 1))
    out = Text()
    for i, line in enumerate(lines):
        line.rstrip()
        out.append(lead if i == 0 else hang).append_text(line)
        if i < len(lines) - 1:
            out.append("\n")
    return out
