"""What must hold for every draft: scores that mending never lowers, and verdicts that names and file order don't touch."""

from __future__ import annotations

import itertools
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.draft import markdown
from storylint.engine import Run, reading_of
from storylint.findings import Reading, SectionReading
from storylint.settings import Settings

RULES = ("boilerplate", "templates", "unsourced", "context", "unbroken")
FACTS = (
    "{name} was born on {day} May {year} at {place}, Caernarfonshire.",
    "{name} married {other} on {day} June {year} at {place}.",
    "In the census of {year} {name} was living at {place} as a quarryman.",
    "{name} died on {day} March {year} and was buried at {place}.",
)
TOLD = (
    "He carried his father's second hammer up the incline in {year} and swore that he would never carry it down again.",
    "The rock at the top gallery was so hard in the frost that the men warmed the chisels inside their coats.",
    "{name} kept the letter behind the clock, unopened, until the ship had sailed from {place}.",
    "Slate is split along the grain, and a man who has not felt the grain by twenty never will.",
    "I have the hammer, and the handle is not the first.",
    "When the quarry shut its gates in November 1900 the whole street put a card in the window.",
)
NAMES = ("Owen", "Ellis", "Robert", "Griffith", "Hugh", "Thomas", "William")
PLACES = ("Bethesda", "Tregarth", "Gerlan", "Carneddi", "Llanberis")


@st.composite
def sentences(draw: st.DrawFn) -> str:
    """One sentence, bare or told, with or without a mark."""
    text = draw(st.sampled_from(FACTS + TOLD)).format(
        name=draw(st.sampled_from(NAMES)),
        other=draw(st.sampled_from(("Jane Roberts", "Ellen Thomas"))),
        place=draw(st.sampled_from(PLACES)),
        day=draw(st.integers(1, 28)),
        year=draw(st.integers(1830, 1899)),
    )
    return text + (f"[^{draw(st.integers(1, 3))}]" if draw(st.booleans()) else "")


paragraphs = st.lists(st.lists(sentences(), min_size=1, max_size=5), min_size=1, max_size=4)


def draft(body: list[list[str]], person: str = "Owen Prydderch") -> str:
    """A section as Markdown."""
    notes = "\n\n".join(f"[^{n}]: Letter {n}." for n in (1, 2, 3))
    return (
        f"# {person}\n\n{person} was a rockman at Penrhyn.\n\n"
        + "\n\n".join(" ".join(paragraph) for paragraph in body)
        + f"\n\n{notes}\n"
    )


def read(*texts: str) -> Reading:
    """These drafts as one book."""
    drafts = [markdown.read(f"{i}.md", text.encode(), str(i)) for i, text in enumerate(texts)]
    return reading_of(drafts, Run(Settings(), only=RULES))


def section(text: str) -> SectionReading:
    """The one person's section of a draft."""
    return next(s for s in read(text).sections if s.person)


def score(reading: SectionReading, rule: str) -> float:
    """A rule's share, exact and not rounded; 100 where there is nothing to score."""
    share = reading.shares.get(rule)
    found = share.score if share else None
    return 100.0 if found is None else found


QUICK = settings(max_examples=30, deadline=None)


@QUICK
@given(paragraphs, st.data())
def test_adding_a_citation_never_lowers_unsourced(body: list[list[str]], data: st.DataObject) -> None:
    p = data.draw(st.integers(0, len(body) - 1))
    s = data.draw(st.integers(0, len(body[p]) - 1))
    before = score(section(draft(body)), "unsourced")
    cited = [list(paragraph) for paragraph in body]
    cited[p][s] += "[^2]"
    assert score(section(draft(cited)), "unsourced") >= before - 1e-9


@QUICK
@given(paragraphs, st.data())
def test_splitting_a_paragraph_never_worsens_unbroken(body: list[list[str]], data: st.DataObject) -> None:
    long = [[*body[0], *(sentence for paragraph in body for sentence in paragraph * 3)], *body[1:]]
    cut = data.draw(st.integers(1, len(long[0]) - 1)) if len(long[0]) > 1 else 1
    split = [long[0][:cut], long[0][cut:], *long[1:]]
    assert score(section(draft([p for p in split if p])), "unbroken") >= score(section(draft(long)), "unbroken") - 1e-9


@QUICK
@given(paragraphs, st.permutations(range(3)))
def test_the_order_of_files_changes_no_score(body: list[list[str]], order: list[int]) -> None:
    people = ("Owen Prydderch", "Ellis Prydderch", "Hugh Prydderch")
    texts = [draft(body[: i + 1], person) for i, person in enumerate(people)]
    before = {s.person: s.scores for s in read(*texts).sections}
    after = {s.person: s.scores for s in read(*(texts[i] for i in order)).sections}
    assert before == after


RENAMED = dict(zip((*NAMES, *PLACES, "Roberts", "Jane", "Ellen", "Prydderch"), (
    "Pedr", "Ifan", "Rhys", "Gwilym", "Huw", "Tomos", "Wiliam", "Penygroes", "Talysarn", "Nantlle", "Rhiwlas", "Llanllyfni",
    "Parri", "Siân", "Elen", "Ferrar"), strict=True))  # fmt: skip


@QUICK
@given(paragraphs)
def test_renaming_everybody_changes_no_boilerplate_and_no_template(body: list[list[str]]) -> None:
    text = draft(body)
    renamed = re.sub(r"\b\w+\b", lambda word: RENAMED.get(word.group(0), word.group(0)), text)
    for rule in ("boilerplate", "templates"):
        assert score(section(text), rule) == score(section(renamed), rule)


MENDED = (
    "He would not hear of the new powder, and he was the last man in the gallery to be seen tamping with a stick.",
    "What the steward thought of it he told nobody, but the dog was never again let into the weighing shed.",
    "There was a pear tree against the wall, which she had grown from a pip out of spite.",
)


@pytest.mark.parametrize("rule", ["boilerplate", "templates"])
@QUICK
@given(paragraphs)
def test_telling_what_a_finding_names_never_lowers_its_score(rule: str, body: list[list[str]]) -> None:
    before = section(draft(body))
    named = {place.quote for f in before.findings if f.rule == rule for place in f.places}
    told = itertools.cycle(MENDED)
    mended = [[next(told) if re.sub(r"\[\^\d\]", "", s) in named else s for s in paragraph] for paragraph in body]
    assert score(section(draft(mended)), rule) >= score(before, rule) - 1e-9


@QUICK
@given(paragraphs, st.data())
def test_a_sentence_about_the_world_never_lowers_context(body: list[list[str]], data: st.DataObject) -> None:
    long = [*map(list, body), [TOLD[1], TOLD[3], TOLD[4]]]  # a section of a few words is not asked for the world
    before = score(section(draft(long)), "context")
    world = "In those years a quarryman was paid by the ton, and no law kept a boy of ten out of the galleries."
    long[data.draw(st.integers(0, len(body) - 1))].append(world)
    assert score(section(draft(long)), "context") >= before - 1e-9


@QUICK
@given(paragraphs, paragraphs)
def test_a_section_s_unbroken_and_claims_depend_on_itself_alone(body: list[list[str]], other: list[list[str]]) -> None:
    alone = section(draft(body))
    beside = next(s for s in read(draft(body), draft(other, "Hugh Prydderch")).sections if s.person == "Owen Prydderch")
    assert score(alone, "unbroken") == score(beside, "unbroken")


@QUICK
@given(paragraphs)
def test_scores_lie_between_0_and_100_and_gains_are_not_negative(body: list[list[str]]) -> None:
    reading = section(draft(body))
    assert all(value is None or 0 <= value <= 100 for value in reading.scores.values())
    assert all(finding.gain >= 0 and finding.places and finding.id for finding in reading.findings)
