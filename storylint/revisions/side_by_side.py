"""The comparison on a terminal and as JSON."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from rich.console import Console
from rich.text import Text

from storylint import __version__
from storylint.complaints import Misuse
from storylint.draft.model import Note
from storylint.findings import Reading, SectionReading
from storylint.reporters.glance import RULES, count, glance, readability
from storylint.reporters.glance import change as moved_by
from storylint.reporters.terminal import console_for, cut, indented, label, look, safe, whole
from storylint.revisions.comparison import Change, Comparison
from storylint.revisions.losses import Fact
from storylint.revisions.passages import Line, Passage
from storylint.revisions.people import Named

COLUMNS = ("overall", "ease", "words", "kept", "rewr", "new", "lost")
AS_WAS = 4  # the place in the order of change of those that did not
ROWS = 30  # persons shown unless the author asks for all
PLACES = 3  # losses of one kind shown a person
PEOPLE = 12  # persons whose losses are shown
LONG = 40  # words from which a sentence is shortened
EASE = "flesch_reading_ease"


def show(found: Comparison, names: tuple[str, str], alone: bool, everything: bool) -> None:
    """The comparison on standard output; ``alone`` for one person's, with every sentence."""
    console = console_for(sys.stdout)
    arrow = look(console).arrow
    if alone:
        for change in found.changes:
            portrait(console, change, arrow)
        return
    heading(console, found, names, arrow)
    board(console, found.changes, everything, arrow)
    lost(console, found, everything)
    closing(console, found)


def narrowed(found: Comparison, person: str) -> Comparison:
    """The comparison of one person: of the sections so called, or else those whose name has these words."""
    wanted = " ".join(person.split()).casefold()
    named = [(change, {name(passage).casefold() for passage in sides(change)}) for change in found.changes]
    exact = [change for change, names in named if wanted in names or wanted in {n.partition(" ")[2] for n in names}]
    exact = exact or [change for change, names in named if any(wanted in each for each in names)]
    if not exact:
        from storylint.complaints import near

        names = [passage.name for change in found.changes for passage in sides(change)]
        raise Misuse(f"nobody in these two is called '{person}'.{near(person, names)} Run without it to see everyone.")
    notes = {note for change in exact for note in change.notes}
    sources = tuple(note for note in found.sources if note in notes)
    return replace(found, changes=tuple(exact), loose_notes=(), sources=sources)


def sides(change: Change) -> list[Passage]:
    """The section as it was and as it is."""
    return [passage for passage in (change.old, change.new) if passage]


def name(passage: Passage) -> str:
    """A section as the book prints it."""
    return label(passage.section)


# ----------------------------------------------------------------------------------------------------------- the book


def heading(console: Console, found: Comparison, names: tuple[str, str], arrow: str) -> None:
    """Both books in three lines."""
    old, new = glance(found.old), glance(found.new)
    verbatim, sentences = standing(found)
    console.print(Text.assemble(("Compared  ", "bold"), safe(f"{names[0]} {arrow} {names[1]}")))
    pairs = {"overall": (old.overall, new.overall), "reading ease": (old.ease, new.ease)}
    figures = [f"{what} {both(whole(a), whole(b), arrow)}" for what, (a, b) in pairs.items() if (a, b) != (None, None)]
    figures.append(f"words {old.words:,} {arrow} {new.words:,}")
    persons = [f"{n} {WORDS[status]}" for status, n in statuses(found).items() if n]
    share = f"{verbatim:,} of {count(sentences, 'old sentence')} stand word for word" if sentences else ""
    for line in (" · ".join(figures), f"persons: {', '.join(persons) or 'none'}", share):
        if line:
            console.print(indented(" " * 10, line, console))


def standing(found: Comparison) -> tuple[int, int]:
    """How many old sentences stand word for word, of how many."""
    return sum(change.verbatim for change in found.changes), sum(change.sentences for change in found.changes)


def statuses(found: Comparison) -> dict[str, int]:
    """How many persons' sections became what."""
    return {status: sum(c.status == status for c in found.changes if c.is_person) for status in WORDS}


WORDS = {"kept": "in both", "split": "split off", "new": "new", "joined": "joined to others", "lost": "lost"}


def board(console: Console, changes: Sequence[Change], everything: bool, arrow: str) -> None:
    """One row a person whom something happened to, in the order of change."""
    rows = sorted((change for change in changes if is_listed(change)), key=order)
    shown = rows if everything else [change for change in rows if order(change)[0] < AS_WAS][:ROWS]
    if not shown:
        return
    figures = [cells(change, arrow) for change in shown]
    widths = [max(map(len, column)) + 2 for column in zip(COLUMNS, *figures, strict=True)]
    wide = max(12, min(max(len(name(change.passage)) for change in shown), console.width - sum(widths)))
    console.print()
    head = "".join(f"{what:>{width}}" for what, width in zip(COLUMNS, widths, strict=True))
    console.print(Text(f"{'':<{wide}}{head}", "dim"))
    for change, told_in in zip(shown, figures, strict=True):
        console.print(row(change, told_in, wide, widths), no_wrap=True, crop=True)
        if told(change) and change.status != "lost":
            console.print(indented("    ", told(change), console, "dim"))
    if len(rows) > len(shown):
        same = sum(order(change)[0] == AS_WAS for change in rows)
        more = len(rows) - len(shown) - same
        rest = [f"{more} more"] * bool(more) + [f"{same} as before"] * bool(same)
        console.print(Text(f"… and {', '.join(rest)}; --all shows everyone", "dim"))
    key = "kept: old sentences that stand word for word; rewr: rewritten ones; lost: people, dates, notes and marks"
    console.print(indented("", key, console, "dim"))


def is_listed(change: Change) -> bool:
    """True for a person, and for another section that something was lost from."""
    return change.is_person or change.has_losses


def order(change: Change) -> tuple[int, float]:
    """The sorting key: who fell, who rose, who is on one side only, who was rewritten, who is as before."""
    if not (change.old and change.new):
        return 2, 0.0
    moved = moved_by(*(passage.section.scores["overall"] for passage in (change.old, change.new)))
    edits = (change.rewritten, change.added, change.dropped, change.moves, change.parts, change.guests)
    edited = any(edits) or change.has_losses
    place = {"-": 0, "+": 1}.get(moved[0], 3 if edited else AS_WAS)
    return place, -abs(gain(change) or 0.0)


def gain(change: Change) -> float | None:
    """By how much the overall score rose; None where there are not two."""
    if not (change.old and change.new):
        return None
    before, after = change.old.section.scores["overall"], change.new.section.scores["overall"]
    return None if before is None or after is None else after - before


def cells(change: Change, arrow: str) -> tuple[str, ...]:
    """One section's figures, as ``COLUMNS`` has them."""
    old, new = (passage.section if passage else None for passage in (change.old, change.new))
    losses = len(change.people) + len(change.facts) + len(change.notes) + len(change.marks)
    return (
        both(score(old), score(new), arrow),
        both(ease(old), ease(new), arrow),
        both(words(old), words(new), arrow),
        f"{100 * change.verbatim // change.sentences}%" if change.sentences else "·",
        str(len(change.rewritten) or "·"),
        str(len(change.added) or "·"),
        "all" if change.status == "lost" else str(losses or "·"),
    )


def row(change: Change, figures: Sequence[str], wide: int, widths: Sequence[int]) -> Text:
    """One section."""
    line = Text(cut(name(change.passage), wide))
    rise = gain(change)
    style = "" if rise is None or abs(rise) < 1 else "green" if rise > 0 else "red"
    styles = [style, *[""] * (len(figures) - 2), "bold yellow" if change.has_losses else ""]
    for figure, width, style in zip(figures, widths, styles, strict=True):
        line.append(f"{figure:>{width}}", style)
    return line


def both(before: str, after: str, arrow: str) -> str:
    """'38 → 83'."""
    return f"{before} {arrow} {after}"


def then_now(before: str, after: str, arrow: str) -> str:
    """'38 → 83', or the one figure that there is."""
    there = [each for each in (before, after) if each != "·"]
    return both(before, after, arrow) if len(there) == 2 else "".join(there) or "·"


def score(section: SectionReading | None) -> str:
    """The overall score."""
    return whole(section.scores["overall"]) if section else "·"


def ease(section: SectionReading | None) -> str:
    """The reading ease."""
    return whole(readability(section, EASE)) if section else "·"


def words(section: SectionReading | None) -> str:
    """The number of words."""
    return f"{section.words:,}" if section else "·"


def told(change: Change) -> str:
    """What became of a section, where it is not simply still there."""
    if change.status in ("joined", "lost"):
        return f"joined to {named(change.parts)}" if change.parts else change.status
    said = list(change.moves)
    if change.status == "split" and change.origin:
        said.append(f"split off from {name(change.origin)}")
    elif change.status != "kept":
        said.append(change.status)
    elif change.old and change.moves and change.moves[0] != MOVED:
        said[-1] += f" (was {name(change.old)})"
    said += [f"part of it is now with {named(change.parts)}"] * bool(change.parts)
    said += [f"with sentences of {named(change.guests)}"] * bool(change.guests)
    return ", ".join(said)


def named(passages: Sequence[Passage]) -> str:
    """The first two sections by name, and how many more there are."""
    more = f" and {len(passages) - 2} more" if len(passages) > 2 else ""
    return ", ".join(name(passage) for passage in passages[:2]) + more


MOVED = "moved to another file"

# --------------------------------------------------------------------------------------------------------- the losses


def lost(console: Console, found: Comparison, everything: bool) -> None:
    """What of OLD is no longer in NEW, by person."""
    gone = [change for change in found.changes if change.status == "lost" and change.is_person]
    losers = [change for change in found.changes if change.has_losses and change not in gone]
    losers.sort(key=lambda change: not change.people)  # whoever is lost is told by name
    if not (gone or losers or found.loose_notes or found.sources):
        return
    console.print()
    console.print(Text.assemble(("Lost on the way  ", "bold yellow"), lost_told(found)))
    for change in gone:
        console.print(
            indented("  ", f"{name(change.passage)}: the section is gone, {words_told(change)}", console, "", "    ")
        )
        for line in losses_of(change, True) if everything else ():
            console.print(indented("    - ", line, console, "", "      "))
    shown = losers if everything else losers[: max(PEOPLE, sum(bool(change.people) for change in losers))]
    for change in shown:
        console.print()
        console.print(Text(f"  {name(change.passage)}", "bold"))
        for line in losses_of(change, everything):
            console.print(indented("    - ", line, console, "", "      "))
    if len(losers) > len(shown):
        console.print(Text(f"  … and in {len(losers) - len(shown)} more; --all shows everything", "dim"))
    loose(console, "Notes that no section called", found.loose_notes, everything)
    loose(console, "Sources that no note names any more", found.sources, everything)


def lost_told(found: Comparison) -> str:
    """How much was lost of each kind; empty where nothing was."""
    totals = {
        "person": statuses(found)["lost"] + sum(len(change.people) for change in found.changes),
        "dated fact": sum(len(change.facts) for change in found.changes),
        "note": len(list(unique(found))),
        "mark": sum(len(change.marks) for change in found.changes),
        "source": len(found.sources),
    }
    return ", ".join(count(n, what) for what, n in totals.items() if n)


def words_told(change: Change) -> str:
    """How long a lost section was, and what of it is still there."""
    stand = f"{change.verbatim} of {count(change.sentences, 'sentence')} now elsewhere, " if change.verbatim else ""
    facts = f"{stand}{count(len(change.facts), 'dated fact')} not found again"
    people = f"; named nowhere any more: {', '.join(map(called, change.people))}" if change.people else ""
    return f"{count(change.passage.section.words, 'word')}; {facts}{people}"


def losses_of(change: Change, everything: bool) -> Iterator[str]:
    """A person's losses, the most telling ones first; whoever is lost is told by name, however many they are."""
    yield from (person_told(each, change) for each in change.people)
    kinds: list[tuple[str, list[str]]] = [
        ("sentences with lost dates", facts_told(change)),
        ("notes", [f"note {note.number}: {short(note.text)}" for note in change.notes]),
        ("marks", [f"no mark answers any more for “{short(line.text)}”" for line in change.marks]),
    ]
    for what, lines in kinds:
        shown = lines if everything or len(lines) == PLACES + 1 else lines[:PLACES]
        yield from shown
        if len(lines) > len(shown):
            yield f"… and {len(lines) - len(shown)} more {what}"


def called(person: Named) -> str:
    """A name as a reader would say it."""
    return " ".join(person.name)


def person_told(person: Named, change: Change) -> str:
    """Somebody who is lost, with the words that named her."""
    text = f"{called(person)} is named nowhere any more: “{short(person.line.text)}”"
    return text + (PRIVATE if is_private(change, person.line.text) else "")


PRIVATE = " – may be living: best left out"


def facts_told(change: Change) -> list[str]:
    """Lost dates with their sentences, those of one sentence together."""
    dates: dict[str, list[str]] = {}
    for fact in change.facts:
        rest = f" (now only {fact.left})" if fact.left else ""
        dates.setdefault(fact.sentence, []).append(f"{fact.date}{rest}")
    lines = ((f"{'; '.join(each)}: “{short(sentence)}”", sentence) for sentence, each in dates.items())
    return [line + (PRIVATE if is_private(change, sentence) else "") for line, sentence in lines]


def is_private(change: Change, sentence: str) -> bool:
    """True for a sentence of OLD that told particulars of somebody who may be living: it may have been cut for that."""
    found = change.old.section.findings if change.old else ()
    quotes = [place.quote for finding in found if finding.rule == "living" for place in finding.places]
    return any(sentence in quote or quote in sentence for quote in quotes)


def loose(console: Console, title: str, notes: Sequence[Note], everything: bool) -> None:
    """Notes that belong to no person."""
    if not notes:
        return
    console.print()
    console.print(Text(f"  {title}", "bold"))
    shown = notes if everything else notes[:PLACES]
    for note in shown:
        console.print(indented("    - ", f"{note.number}: {short(note.text)}", console, "", "      "))
    if len(notes) > len(shown):
        console.print(Text(f"    … and {len(notes) - len(shown)} more; --all shows everything", "dim"))


def closing(console: Console, found: Comparison) -> None:
    """What to do next."""
    console.print()
    see = " One person alone: --person NAME" if lost_told(found) else ""
    console.print(indented("Next  ", next_step(found) + see, console, "", " " * 6))


def next_step(found: Comparison) -> str:
    """What to do with the losses."""
    fell = min((change for change in found.changes if order(change)[0] == 0), key=order, default=None)
    worst = ""
    if fell and fell.old and fell.new:
        worst = f" {name(fell.new)} fell most, from {score(fell.old.section)} to {score(fell.new.section)}."
    if not lost_told(found):
        return f"Nothing that has a name, a date, a note or a mark was lost on the way.{worst}"
    text = (
        "Look through what was lost, and put back what you did not mean to cut. What a sentence now says in other words "
        "(‘twelve days later’) counts as lost here, though it is not."
    )
    if any(is_private(change, text) for change in found.changes for text in lost_texts(change)):
        text += " Particulars of people who may be living are best left out."
    return text + worst


def lost_texts(change: Change) -> Iterator[str]:
    """The sentences of OLD of which a person or a date was lost."""
    yield from (person.line.text for person in change.people)
    yield from (fact.sentence for fact in change.facts)


# --------------------------------------------------------------------------------------------------------- one person


def portrait(console: Console, change: Change, arrow: str) -> None:
    """Everything that changed with one person."""
    old, new = (passage.section if passage else None for passage in (change.old, change.new))
    figures = {"overall": score, "reading ease": ease, "words": words}
    facts = [f"{what} {then_now(figure(old), figure(new), arrow)}" for what, figure in figures.items()]
    facts = [fact for fact in facts if not fact.endswith("·")] + [told(change)] * bool(told(change))
    console.print(Text(name(change.passage), "bold"))
    console.print(indented("  ", " · ".join(facts), console))
    if change.sentences:
        console.print(f"  {change.verbatim} of {count(change.sentences, 'old sentence')} stand word for word")
    for rule in RULES:
        then, now = (section.scores.get(rule) if section else None for section in (old, new))
        if (then, now) != (None, None):
            console.print(Text(f"  {rule:<12} {both(whole(then), whole(now), arrow)}", "dim"))
    for title, lines in told_in_full(change):
        if lines:
            console.print()
            console.print(Text(f"  {title}", "bold"))
            for line in lines:
                console.print(indented("    - ", line, console, "", "      "))
    console.print()


def told_in_full(change: Change) -> Iterator[tuple[str, list[str]]]:
    """The parts of a portrait."""
    yield "Lost", list(losses_of(change, True))
    yield "Rewritten", [f"“{old.text}” now reads “{new.text}”" for old, new in change.rewritten]
    yield "Cut", [f"“{each.text}”" for each in change.dropped]
    yield "New", [f"“{each.text}”" for each in change.added]
    yield "Its sentences are now also with", [name(part) for part in change.parts]
    yield "It holds sentences of", [name(guest) for guest in change.guests]


def short(text: str) -> str:
    """A sentence, shortened in the middle where it is long."""
    there = " ".join(text.split()).split()
    return " ".join(there) if len(there) <= LONG else " ".join([*there[:20], "…", *there[-14:]])


# --------------------------------------------------------------------------------------------------------------- data


def as_data(found: Comparison, names: tuple[str, str]) -> dict[str, Any]:
    """The comparison as JSON-ready data, schema 1.

    ``sections`` has one entry for each section of NEW in reading order, then those of OLD that have no counterpart.
    ``rank`` sorts them by change, ``listed`` is false for what is neither a person nor has a loss. ``status``: kept,
    split, new, joined or lost. ``old`` and ``new`` are the section's name, address, scores and readability,
    null where it is not there; ``parts`` the other sections of NEW that hold its sentences, ``taken_from`` those of OLD
    whose sentences it holds, both by id. ``verbatim`` counts old sentences that stand word for word; ``rewritten`` are pairs of
    sentences; ``added`` and ``cut`` sentences. ``lost`` has ``people`` (whom it listed as a child, gave vitals or called
    a wife or husband, and whom NEW names nowhere: the name, the words that named her), ``facts`` (a date, its sentence,
    what is left of it), both with the block and line of OLD where it stood and whether it told of somebody who may be
    living, ``notes`` and ``marks`` (sentences that kept their words and lost their mark). Of the whole, ``lost.loose``
    are notes that no section called, ``lost.sources`` those whose source no note
    of NEW names.
    """
    verbatim, sentences = standing(found)
    lines = {(draft.path, block.index): block.line for draft in found.old.drafts for block in draft.blocks}
    return {
        "schema": 1,
        "storylint": __version__,
        "goal": found.new.goal,
        "old": book_as_data(found.old, names[0]),
        "new": book_as_data(found.new, names[1]),
        "persons": statuses(found),
        "verbatim": {"sentences": verbatim, "of": sentences},
        "sections": [change_as_data(change, lines) for change in found.changes],
        "lost": {
            "persons": [c.passage.name for c in found.changes if c.is_person and c.status == "lost"],
            "people": [called(each) for change in found.changes for each in change.people],
            "facts": sum(len(change.facts) for change in found.changes),
            "notes": [note_as_data(note) for note in unique(found)],
            "marks": sum(len(change.marks) for change in found.changes),
            "loose": [note_as_data(note) for note in found.loose_notes],
            "sources": [note_as_data(note) for note in found.sources],
        },
    }


def unique(found: Comparison) -> Iterable[Note]:
    """All lost notes, once each."""
    return dict.fromkeys([*(note for change in found.changes for note in change.notes), *found.loose_notes])


def book_as_data(reading: Reading, name: str) -> dict[str, Any]:
    """One of the two books."""
    book = glance(reading)
    return {
        "name": name,
        "drafts": [{"path": d.path, "words": d.words, "sha256": d.sha256} for d in reading.drafts],
        "words": book.words,
        "persons": book.persons,
        "overall": book.overall,
        "readability": {EASE: book.ease, "flesch_kincaid_grade": book.grade},
        "unreadable": [{"path": path, "why": why} for path, why in reading.unreadable],
    }


def change_as_data(change: Change, lines: Mapping[tuple[str, int], int | None]) -> dict[str, Any]:
    """One section."""
    return {
        "person": change.passage.section.person,
        "listed": is_listed(change),
        "rank": order(change),
        "title": change.passage.section.title,
        "status": change.status,
        "changes": list(change.moves),
        "old": side_as_data(change.old),
        "new": side_as_data(change.new),
        "origin": change.origin.section.id if change.origin else None,
        "parts": [part.section.id for part in change.parts],
        "taken_from": [guest.section.id for guest in change.guests],
        "verbatim": {"sentences": change.verbatim, "of": change.sentences, "share": share(change)},
        "rewritten": [{"old": old.text, "new": new.text} for old, new in change.rewritten],
        "added": texts(change.added),
        "cut": texts(change.dropped),
        "lost": {
            "people": [person_as_data(person, change, lines) for person in change.people],
            "facts": [fact_as_data(fact, change, lines) for fact in change.facts],
            "notes": [note_as_data(note) for note in change.notes],
            "marks": texts(change.marks),
        },
    }


def person_as_data(person: Named, change: Change, lines: Mapping[tuple[str, int], int | None]) -> dict[str, Any]:
    """Somebody who is lost."""
    return {"name": called(person)} | where_it_stood(person.line.text, change, lines)


def fact_as_data(fact: Fact, change: Change, lines: Mapping[tuple[str, int], int | None]) -> dict[str, Any]:
    """A lost date."""
    return {"date": fact.date, "left": fact.left or None} | where_it_stood(fact.sentence, change, lines)


def where_it_stood(sentence: str, change: Change, lines: Mapping[tuple[str, int], int | None]) -> dict[str, Any]:
    """A sentence of OLD, and where it stood."""
    assert change.old is not None
    block = next(each.block for each in change.old.lines if each.text == sentence)
    line = lines.get((change.old.section.path, block))
    return {"sentence": sentence, "block": block, "line": line, "may_be_living": is_private(change, sentence)}


def side_as_data(passage: Passage | None) -> dict[str, Any] | None:
    """A section as it was or is."""
    if passage is None:
        return None
    own = passage.section
    keys = ("id", "person", "title", "path", "line", "block", "number", "generation", "words", "scores", "readability")
    return {key: getattr(own, key) for key in keys} | {"notes": len(passage.notes), "findings": len(own.findings)}


def note_as_data(note: Note) -> dict[str, str]:
    """A note."""
    return {"number": note.number, "text": note.text}


def share(change: Change) -> float | None:
    """Share of the old sentences that stand word for word, from 0 to 1."""
    return round(change.verbatim / change.sentences, 3) if change.sentences else None


def texts(lines: Iterable[Line]) -> list[str]:
    """The sentences themselves."""
    return [each.text for each in lines]
