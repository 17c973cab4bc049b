"""``lint --against OLD``: only what is worse than OLD sets the exit code.

Worse is a section whose overall score fell, and a finding that OLD did not have. Sections are matched as persons are,
through renumbering and moves; findings go by their ids, which are the sentence's. Where a sentence was changed and
still has the fault it had, the fault is an old one.
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import replace
from pathlib import Path

from storylint.engine import Run
from storylint.findings import Fall, Finding, Level, Reading, SectionReading, Worse
from storylint.revisions import stets
from storylint.revisions.editions import edition
from storylint.revisions.fates import counterparts
from storylint.revisions.passages import passages, words_of

SAME_FAULT = 0.5  # share of words in common from which a changed sentence has the fault it had; proposed, no source


def held_against(reading: Reading, spec: str, paths: Sequence[Path], run: Run) -> Reading:
    """The reading with what is worse in it than in OLD (a file, folder or git revision), judged by the same rules and
    under the same stets: what stands now holds no score down in either."""
    from storylint.cli import say

    old = edition(spec, paths, run.cache)
    for path, why in old.unreadable:
        say(f"{path}: {why}; nothing can be held against it")
    before = stets.under(stets.bearing_on(paths), old.reading(replace(run, timings={})))
    unknown = {str(path) for path in (*old.new, *old.unread)}
    if not old.drafts:
        unknown = {draft.path for draft in reading.drafts}
    told = worse(before, reading, spec, unknown, old.gone)
    read = {draft.path for draft in reading.drafts}
    for name in sorted({str(path) for path in old.new} & {*told.unknown} & read):
        say(f"{name}: nothing of it is in {spec} yet, so that nothing in it counts as worse")
    return replace(reading, worse=replace(told, unread=tuple(path for path, _ in old.unreadable)))


def worse(
    before: Reading, after: Reading, than: str, unknown: Set[str] = frozenset(), gone: Set[str] = frozenset()
) -> Worse:
    """What is worse in ``after``; in drafts that are ``unknown`` to ``before`` only persons count whom it knows. One that
    has persons of a draft that is ``gone`` is that draft under another name, and not unknown."""
    olds, news = passages(before), passages(after)
    back = counterparts(olds, news)
    matched = {id(news[at].section): olds[was].section for at, was in back.items()}
    unknown = unknown - {news[at].section.path for at, was in back.items() if olds[was].section.path in gone}
    fell = [fall for at, was in sorted(back.items()) for fall in falls(olds[was].section, news[at].section)]
    new, mended = not_there(before, after, matched)
    new = [
        (section, finding)
        for section, finding in new
        if finding.places[0].path not in unknown or (section and id(section) in matched)
    ]
    return Worse(than, tuple(fell), tuple(finding.id for _, finding in new), mended, tuple(sorted(unknown)))


def falls(old: SectionReading, new: SectionReading) -> Iterator[Fall]:
    """The section's fall, if its overall score fell."""
    before, after = old.scores["overall"], new.scores["overall"]
    if before is None or after is None or after >= before:
        return
    scores = {rule: (old.scores.get(rule), score) for rule, score in new.scores.items() if rule != "overall"}
    fell = {
        rule: (was, now) for rule, (was, now) in scores.items() if was is not None and now is not None and now < was
    }
    yield Fall(new.id, new.person or new.title, before, after, fell)


Found = tuple[SectionReading | None, Finding]
Quoted = tuple[Finding, Counter[str]]  # a finding with the words it quotes


def not_there(before: Reading, after: Reading, matched: Mapping[int, SectionReading]) -> tuple[list[Found], int]:
    """The findings that ``before`` did not have, neither so nor about the same sentence before it was changed; and how
    many of its own are gone."""
    left: dict[str, list[Found]] = defaultdict(list)
    for section, finding in before.every():
        left[stets.base(finding.id)].append((section, finding))
    new: list[Found] = []
    for section, finding in after.every():
        if not take(left[stets.base(finding.id)], finding, matched.get(id(section))):
            new.append((section, finding))
    gone: dict[tuple[int, str, str], list[Quoted]] = defaultdict(list)
    for section, finding in (each for group in left.values() for each in group):
        gone[fault(section, finding)].append((finding, quoted(finding)))
    new = [(s, f) for s, f in new if not take_changed(gone[fault(matched.get(id(s)), f)], f)]
    left_of = Counter(stets.base(finding.id) for group in gone.values() for finding, _ in group)
    return new, (left_of - Counter(stets.base(finding.id) for _, finding in new)).total()


def take(known: list[Found], finding: Finding, home: SectionReading | None) -> bool:
    """Take an old finding of the same id that is as grave, of the same person first; False if there is none."""
    grave = [each for each in known if each[1].level.rank >= finding.level.rank]
    if not grave:
        return False
    known.remove(next((each for each in grave if each[0] is home), grave[0]))
    return True


def fault(section: SectionReading | None, finding: Finding) -> tuple[int, str, str]:
    """What two findings about a changed sentence have in common: the section, the rule and the problem."""
    return id(section), finding.rule, str(finding.details.get("problem", ""))


def take_changed(gone: list[Quoted], finding: Finding) -> bool:
    """Take the old finding whose sentence has become this one's; False if there is none."""
    now = quoted(finding)
    for at, (old, was) in enumerate(gone):
        if old.level.rank >= finding.level.rank and 2 * (was & now).total() >= SAME_FAULT * (was.total() + now.total()):
            del gone[at]
            return True
    return False


def quoted(finding: Finding) -> Counter[str]:
    """The words a finding quotes."""
    return Counter(word for place in finding.places for word in words_of(place.quote))


def fails(reading: Reading, level: Level) -> bool:
    """True when a score fell, or a new finding is at or above the level."""
    assert reading.worse is not None
    new = set(reading.worse.new)
    return bool(reading.worse.fell) or any(f.id in new and f.level.rank >= level.rank for _, f in reading.every())


# -------------------------------------------------------------------------------------------------------- on a terminal


def show(reading: Reading) -> None:
    """What is worse, and nothing else: the rest of the report has been read before."""
    from rich.text import Text

    from storylint.reporters import terminal

    told = reading.worse
    assert told is not None
    console = terminal.console_for(sys.stdout)
    marks = terminal.look(console)
    new = only(reading, set(told.new))
    count = sum(1 for _ in new.every())
    is_held = any(draft.path not in told.unknown for draft in reading.drafts)
    title = f"{'Worse' if told.fell or count else 'Not worse'} than {told.than}"
    title = title if is_held or told.fell or count else f"Nothing in {told.than} to hold it against"
    counts = [terminal.count(len(told.fell), "score") + " fell"] if told.fell else []
    counts += [terminal.count(count, "new finding")] if count else []
    counts += [f"{terminal.count(told.gone, 'finding')} gone"] if told.gone else []
    console.print(Text.assemble((title, "bold"), f"  {', '.join(counts)}".rstrip()))
    for fall in told.fell:
        why = ", ".join(
            f"{rule} {before:.0f} {marks.arrow} {after:.0f}" for rule, (before, after) in fall.rules.items()
        )
        line = f"{fall.person}: overall {fall.before:g} {marks.arrow} {fall.after:g}" + (f" ({why})" if why else "")
        console.print(terminal.indented("  ", line, console))
    terminal.mend_all(console, marks, new)
    console.print()
    rest = len(reading.every()) - count
    if rest:
        why = "do not count as worse" if told.unknown else "from before are still there"
        line = f"{terminal.count(rest, 'finding')} {why}; --all shows everything."
        console.print(terminal.indented("", line, console, "dim"))


def only(reading: Reading, ids: set[str]) -> Reading:
    """The reading with these findings alone."""

    def kept(findings: Iterable[Finding]) -> tuple[Finding, ...]:
        return tuple(finding for finding in findings if finding.id in ids)

    sections = tuple(replace(section, findings=kept(section.findings)) for section in reading.sections)
    return replace(reading, sections=sections, findings=kept(reading.findings))
