"""One run: drafts in, a reading out.

Rules are found by name in ``storylint.rules``; a rule that crashes costs its findings on that section, is named in the
reading, and the run goes on.
"""

from __future__ import annotations

import gc
import hashlib
import json
import re
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from itertools import islice
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, NamedTuple

from storylint import halves
from storylint.cache import at_once
from storylint.complaints import Complaint, Misuse, Unreadable, near
from storylint.draft.model import Draft, Kind, Section
from storylint.findings import DraftReading, Finding, Level, Reading, SectionReading, Share, Source
from storylint.rule import rule_names, rules
from storylint.settings import Settings

if TYPE_CHECKING:
    from storylint.cache import Cache
    from storylint.study.study import Book, StudiedSection

# What each score weighs in a section's overall score. The two that a reader misses first weigh most: whether a person
# told it and whether it can be trusted. Proposed for this tool, no source.
WEIGHTS = {"boilerplate": 3.0, "unsourced": 3.0, "context": 2.0, "templates": 1.0, "unbroken": 1.0}
# A section with an error can't be called nearly done, however good the rest. Proposed for this tool, no source.
CAP_WITH_ERROR = 75.0


def check_names(asked: Iterable[str]) -> None:
    """Raise Misuse for a rule that there is not. Rules are named as their modules, so that none has to be imported."""
    known = rule_names()
    for name in asked:
        if name not in known:
            raise Misuse(f"there is no rule named '{name}'.{near(name, known)} 'storylint rulebook' lists them.")


def chosen(settings: Settings, only: Sequence[str] = (), skip: Sequence[str] = ()) -> dict[str, ModuleType]:
    """The rules of this run: those the settings turn on, narrowed by ``only`` and ``skip``."""
    check_names((*only, *skip))
    return {
        name: module
        for name, module in rules().items()
        if (name in only if only else settings.is_on(name)) and name not in skip
    }


@dataclass
class Run:
    """What one run needs besides the drafts. ``progress`` is told (what, done, of how many); ``cache`` is None where
    nothing is to be taken from earlier runs or kept for later ones; ``meanwhile`` is called while the texts are being
    cut, to get ready for what comes after the reading."""

    settings: Settings
    only: Sequence[str] = ()
    skip: Sequence[str] = ()
    progress: Callable[[str, int, int], None] = lambda what, done, total: None
    timings: dict[str, float] = field(default_factory=dict)
    cache: Cache | None = None
    meanwhile: Callable[[], object] = lambda: None


def read(paths: Sequence[Path], run: Run) -> Reading:
    """Read the drafts at these paths as one book and apply the rules to it."""
    from storylint.draft import opening

    drafts: list[Draft] = []
    unreadable: list[tuple[str, str]] = []
    for number, path in enumerate(paths):
        run.progress("reading", number, len(paths))
        try:
            drafts.append(timed(run, "reading", opening.read, path, run.cache, halves.get_ready))
        except Unreadable as fault:
            unreadable.append((fault.path, fault.why))
    if len(drafts) > 1:
        drafts = timed(run, "reading", opening.without_twins, drafts)
    return reading_of(drafts, run, unreadable)


def reading_of(drafts: Sequence[Draft], run: Run, unreadable: Sequence[tuple[str, str]] = ()) -> Reading:
    """Apply the rules to drafts that have been read, or recall what they said of the very same."""
    if run.cache is None or not all(draft.secret for draft in drafts):
        judged = judge(drafts, run)
    else:
        halves.settle()  # the copy that keeps an earlier reading, which may be asked for now
        seen = seen_by_rules(drafts, run)
        when = halves.aside if sum(draft.words for draft in drafts) >= halves.WORTH_IT else at_once
        judged = timed(
            run, "judging or recalling", run.cache.once, "reading", seen, lambda: judge(drafts, run), is_whole, when
        )
    return replace(
        judged,
        drafts=tuple(DraftReading(d.path, d.format, d.words, d.sha256, d.remarks, d.blocks, d.notes) for d in drafts),
        unreadable=tuple(unreadable),
        grade=run.settings.grade,
        goal=run.settings.goal,
    )


def is_whole(reading: Reading) -> bool:
    """True where no rule failed: a failure may have had its cause outside the draft."""
    return not reading.crashes


def seen_by_rules(drafts: Iterable[Draft], run: Run) -> list[bytes | str]:
    """All that the rules' verdicts depend on besides the tool: see ``storylint.cache``."""
    own = run.settings
    named = [file for table in own.table.values() if isinstance(table, dict) for file in table.get("files", ())]
    options = [own.grade, own.home, own.goal, sorted(own.off), own.table, list(run.only), list(run.skip)]
    return [
        date.today().isoformat(),
        json.dumps(options, sort_keys=True, default=str),
        *(part for file in named for part in (str(file), contents(Path(file).expanduser()))),
        *(part for draft in drafts for part in (draft.path, draft.secret, repr((draft.format, draft.remarks)))),
    ]


def contents(path: Path) -> bytes:
    """The bytes of a file that the settings name; of one that can't be read, none: the rule will say so."""
    try:
        return path.read_bytes()
    except OSError:
        return b""


@dataclass
class Verdict:
    """What one rule says of one section, or of the book, the findings with what their ids are made of; ``crash`` tells
    where it failed."""

    findings: list[Finding] = field(default_factory=list)
    prints: list[str] = field(default_factory=list)
    share: Share | None = None
    crash: str = ""


@dataclass
class Judged:
    """What some rules say: of each section in order, and of the book, rule → its verdict. ``sources`` are left to the
    rule of that name, which has read the notes; ``timings`` are seconds."""

    sections: list[dict[str, Verdict]]
    book: dict[str, Verdict]
    sources: Sources | None
    timings: dict[str, float]


TOGETHER = 20  # sections that the second process tells at once: it need not hold what it has told
CUT = frozenset((Kind.PARAGRAPH, Kind.ITEM))  # kinds of block that the study is likely to cut into tokens


def judge(drafts: Sequence[Draft], run: Run) -> Reading:
    """Apply the rules; the drafts themselves are not yet in the reading."""
    halves.cut_ahead([block.text for draft in drafts for block in draft.blocks if block.kind in CUT])
    modules = chosen(run.settings, run.only, run.skip)
    here, there = halves.in_two(modules, sum(draft.words for draft in drafts))
    ready = partial(get_ready, [modules[name] for name in here], [modules[name] for name in there], run)
    book = studied(drafts, run, ready)
    gc.freeze()  # all of it is needed to the end: there is nothing to look for in it
    try:
        judged, others, measures = judge_by_all(book, run, here, there)
        return put_together(book, modules, (judged, others), measures, run)
    finally:
        book.memo.clear()
        gc.unfreeze()


def judge_by_all(
    book: Book, run: Run, here: Sequence[str], there: Sequence[str]
) -> tuple[Judged, Judged, list[Measured]]:
    """What the rules of both processes say, and what is measured besides."""
    with halves.second(partial(second_half, book, run.settings, here, there) if there else None) as second:
        if second:
            book.voices_elsewhere = second.answer
        judged = judge_book(book, run, here)
        measures = [measured(section, book, run) for section in book.sections]
        if second:  # most of the memory, which what the second process says can take over
            if book.voices_elsewhere:
                book.voices_elsewhere()
            book.memo.clear()
            gc.collect()  # its people know one another
        others = judged_elsewhere(second) if second else None
    if others is None:
        return judged, judge_book(book, run, there), measures
    run.timings |= {name: took for name, took in others.timings.items() if name in there}
    return judged, others, measures


class Measured(NamedTuple):
    """What is told of a section besides what the rules say; ``crash`` tells what failed."""

    readability: dict[str, Any] | None
    may_live: bool
    crash: str


def measured(section: StudiedSection, book: Book, run: Run) -> Measured:
    """How readable a section is, and whether its person may be living: if that can't be told, she may."""
    from storylint import readability
    from storylint.study.alive import may_live

    measures = timed(run, "readability", readability.measure, [sentence.text for sentence in section.sentences])
    try:
        return Measured(measures, may_live(section, book), "")
    except Exception as fault:
        return Measured(measures, True, f"who may be living {failed(section, fault)}")


class Sources(NamedTuple):
    """The table of the book's sources; ``crash`` tells what failed."""

    table: tuple[Source, ...]
    crash: str


def sources_of(book: Book, run: Run) -> Sources:
    """What the book's notes cite."""
    from storylint.study import citations

    try:
        return Sources(timed(run, "sources", citations.table, book), "")
    except Exception as fault:
        return Sources((), f"the table of sources failed on the book: {type(fault).__name__}: {fault}")


def put_together(
    book: Book, modules: dict[str, ModuleType], judged: tuple[Judged, Judged], measures: Sequence[Measured], run: Run
) -> Reading:
    """The reading, from what was said in two halves."""
    one, other = judged
    each = [mine | theirs for mine, theirs in zip(one.sections, other.sections, strict=True)]
    verdicts = [{name: found[name] for name in modules} for found in each]
    whole = {name: (one.book | other.book)[name] for name in modules}
    seen: dict[str, int] = {}
    sections = [finish(*parts, seen) for parts in zip(book.sections, verdicts, measures, strict=True)]
    pairs = [pair for verdict in whole.values() for pair in printed(verdict)]
    sources = one.sources or other.sources or sources_of(book, run)
    crashes = [verdict.crash for found in (*verdicts, whole) for verdict in found.values()]
    return Reading(
        drafts=(),
        sections=tuple(sections),
        findings=tuple(named(pairs, [0.0] * len(pairs), {})),
        crashes=tuple(filter(None, (*crashes, *(each.crash for each in measures), sources.crash))),
        sources=sources.table,
        rules={name: module.CARD.version for name, module in modules.items()},
    )


def get_ready(here: Sequence[ModuleType], there: Sequence[ModuleType], run: Run) -> None:
    """Read what rules and report need besides the draft; for the rules of the second process, which could do so itself,
    only as long as there are no tokens yet."""
    for module in (*here, *there):
        if hasattr(module, "get_ready") and (module in here or halves.still_cutting()):
            module.get_ready()
    run.meanwhile()


def studied(drafts: Sequence[Draft], run: Run, meanwhile: Callable[[], object]) -> Book:
    """The drafts' sections, studied as one book. ``meanwhile`` is called while the texts are being cut."""
    from storylint.draft import sections as splitter
    from storylint.study.study import study

    sections = [section for draft in drafts for section in timed(run, "sections", splitter.split, draft)]
    number_ids(sections)
    meanwhile()
    book: Book = timed(run, "study", study, sections, run.settings.table)
    return book


def second_half(book: Book, settings: Settings, here: Sequence[str], there: Sequence[str]) -> Iterator[object]:
    """What the second process says: the voices first, if a rule of each process goes by them, then its rules' part."""
    from storylint.study.voice import voices_of

    yield voices_of(book) if all(halves.BY_VOICES & set(names) for names in (here, there)) else None
    run = Run(settings)  # it shows no progress
    each = judged_sections(book, run, there)
    while some := list(islice(each, TOGETHER)):
        yield some
    yield judge_whole(book, run, there)


def judged_elsewhere(second: halves.Second) -> Judged | None:
    """What the second process says after the voices; None if it failed."""
    sections: list[dict[str, Verdict]] = []
    while isinstance(some := second.answer(), list):
        sections += some
    return replace(some, sections=sections) if some else None


def judge_book(book: Book, run: Run, names: Sequence[str]) -> Judged:
    """What these rules say of a book."""
    sections = list(judged_sections(book, run, names))
    return replace(judge_whole(book, run, names), sections=sections)


def judged_sections(book: Book, run: Run, names: Sequence[str]) -> Iterator[dict[str, Verdict]]:
    """What they say of each section."""
    modules = {name: rules()[name] for name in names}
    for done, section in enumerate(book.sections):
        run.progress("judging", done, len(book.sections))
        yield {name: verdict(name, module, section, book, run) for name, module in modules.items()}


def judge_whole(book: Book, run: Run, names: Sequence[str]) -> Judged:
    """What they say of what belongs to no section."""
    whole = {name: verdict_on_book(name, rules()[name], book, run) for name in names}
    sources = sources_of(book, run) if "sources" in whole else None
    return Judged([], whole, sources, run.timings)


def timed(run: Run, what: str, function: Callable[..., Any], *args: Any) -> Any:
    """Call and add the seconds to the run's timings."""
    start = time.perf_counter()
    try:
        return function(*args)
    finally:
        run.timings[what] = run.timings.get(what, 0.0) + time.perf_counter() - start


def number_ids(sections: Sequence[Section]) -> None:
    """Make section ids unique over the whole book."""
    seen: dict[str, int] = {}
    for section in sections:
        seen[section.id] = seen.get(section.id, 0) + 1
        if seen[section.id] > 1:
            section.id = f"{section.id}-{seen[section.id]}"


def verdict(name: str, module: ModuleType, section: StudiedSection, book: Book, run: Run) -> Verdict:
    """One rule on one section."""
    start = time.perf_counter()
    found = Verdict()
    try:
        for result in module.check(section, book, run.settings.options(module.CARD)):
            if isinstance(result, Share):
                found.share = result
            else:
                found.findings.append(result)
                found.prints.append(fingerprint(result))
    except Complaint:
        raise
    except Exception as fault:
        found.crash = f"rule '{name}' {failed(section, fault)}"
    run.timings[name] = run.timings.get(name, 0.0) + time.perf_counter() - start
    return found


def failed(section: StudiedSection, fault: Exception) -> str:
    """How a failure is told."""
    return f"failed on {section.section.title!r}: {type(fault).__name__}: {fault}"


def verdict_on_book(name: str, module: ModuleType, book: Book, run: Run) -> Verdict:
    """The findings of one rule that belong to no section."""
    check = getattr(module, "check_book", None)
    if check is None:
        return Verdict()
    try:
        findings = timed(run, name, lambda: list(check(book, run.settings.options(module.CARD))))
        return Verdict(findings, [fingerprint(finding) for finding in findings])
    except Complaint:
        raise
    except Exception as fault:
        return Verdict(crash=f"rule '{name}' failed on the book: {type(fault).__name__}: {fault}")


def overall(shares: dict[str, Share], findings: Iterable[Finding]) -> float | None:
    """The section's overall score, from 0 to 100; None where there is nothing to score."""
    scores = {name: share.score for name, share in shares.items()}
    return weighed(scores, any(finding.level is Level.ERROR for finding in findings))


def weighed(scores: dict[str, float | None], error: bool) -> float | None:
    """The weighted mean of the scores there are (see ``WEIGHTS``), capped while an error stands."""
    scored = [(WEIGHTS[name], score) for name, score in scores.items() if name in WEIGHTS and score is not None]
    if not scored:
        return None
    mean = sum([weight * score for weight, score in scored]) / sum([weight for weight, _ in scored])
    return min(mean, CAP_WITH_ERROR) if error else mean


def gains_of(findings: Sequence[Finding], shares: dict[str, Share]) -> list[float]:
    """For each of a section's findings, by how much its overall score would rise if this one were mended and all else
    stayed, to two decimal places; equal ones are worked out once."""
    scores = {name: share.score for name, share in shares.items()}
    errors = sum(finding.level is Level.ERROR for finding in findings)
    before = weighed(scores, errors > 0)
    known: dict[tuple[str, float, bool], float] = {}
    gains = []
    for finding in findings:
        key = (finding.rule, finding.mends, finding.level is Level.ERROR)
        if key not in known and before is not None:
            after = weighed(scores | mended(finding, shares), errors - key[2] > 0) or 0.0
            known[key] = round(max(0.0, after - before), 2)
        gains.append(known.get(key, 0.0))
    return gains


def mended(finding: Finding, shares: dict[str, Share]) -> dict[str, float | None]:
    """The score of the finding's rule once it is mended, if that rule has one."""
    share = shares.get(finding.rule)
    if share is None:
        return {}
    return {finding.rule: replace(share, clean=min(share.whole, share.clean + finding.mends)).score}


def finish(
    section: StudiedSection, verdicts: dict[str, Verdict], measures: Measured, seen: dict[str, int]
) -> SectionReading:
    """One section's reading: scores and gains; ``seen`` counts the findings of the book that are alike."""
    findings = [pair for verdict in verdicts.values() for pair in printed(verdict)]
    shares = {name: verdict.share for name, verdict in verdicts.items() if verdict.share is not None}
    gains = gains_of([finding for finding, _ in findings], shares)
    ranked = sorted(zip(findings, gains, strict=True), key=lambda each: rank(each[0][0], each[1]))
    done = named([pair for pair, _ in ranked], [gain for _, gain in ranked], seen)
    own = section.section
    scores = {"overall": rounded(overall(shares, done))} | {
        name: rounded(shares[name].score) if name in shares else None for name in WEIGHTS
    }
    opening = own.entry or (own.body[0] if own.body else None)
    return SectionReading(
        id=own.id,
        path=own.draft.path,
        line=own.draft.line_of(opening, 0) if opening else None,
        block=opening.index if opening else 0,
        title=own.title,
        person=own.person,
        number=own.number,
        generation=own.generation,
        words=sum(block.words for block in own.body),
        scores=scores,
        shares=shares,
        readability=measures.readability,
        findings=tuple(done),
        may_live=measures.may_live,
        last=(own.body[-1] if own.body else opening).index if opening else None,
        children=tuple(block.index for block in own.of_kind(Kind.CHILD)),
    )


def rank(finding: Finding, gain: float) -> tuple[float, ...]:
    """By what a section's findings are put in order."""
    first = finding.places[0]
    return -finding.level.rank, -gain, first.block, first.start


def rounded(score: float | None) -> float | None:
    """To one decimal place; a score just under 100 never reads as 100."""
    if score is None:
        return None
    return min(round(score, 1), 99.9) if score < 100 else 100.0


WORDS = re.compile(r"[^\W_]+")


def fingerprint(finding: Finding) -> str:
    """What a finding's id is made of: its rule, its problem and the words it quotes, without marks and spacing.

    It does not depend on where the sentence stands, so that it survives edits elsewhere, moves and renumbering. A
    family of sentences goes by its pattern, so that one more member changes nothing.
    """
    quotes = [finding.details["pattern"]] if "pattern" in finding.details else [place.quote for place in finding.places]
    words = " ".join(" ".join(WORDS.findall(quote.lower())) for quote in quotes)
    problem = str(finding.details.get("problem", "")) + str(finding.details.get("person", ""))
    return hashlib.sha256(f"{finding.rule}|{problem}|{words}".encode()).hexdigest()[:10]


def printed(verdict: Verdict) -> Iterator[tuple[Finding, str]]:
    """A verdict's findings with their fingerprints."""
    return zip(verdict.findings, verdict.prints, strict=True)


def named(findings: Sequence[tuple[Finding, str]], gains: Sequence[float], seen: dict[str, int]) -> list[Finding]:
    """Give each finding its gain and its id, from its fingerprint; equal ones are told apart by their order."""
    out = []
    for (finding, print_), gain in zip(findings, gains, strict=True):
        seen[print_] = seen.get(print_, 0) + 1
        again = f"-{seen[print_]}" if seen[print_] > 1 else ""
        out.append(finding._replace(gain=gain, id=print_ + again))
    return out
