"""The figures of a whole book."""

from __future__ import annotations

from dataclasses import replace

import pytest

from storylint.findings import Finding, Level, Place
from storylint.reporters.glance import best_fixes, fixes, glance, state, unnoted, worst_first
from tests.conftest import DRAFT, read_text

READING = read_text(DRAFT)
PLACE = (Place("book.md", 0, 1, 0, 1, "A"),)


def finding(rule: str = "boilerplate", level: Level = Level.WARNING, gain: float = 1.0, fix: str = "f") -> Finding:
    return Finding(rule, level, "m", fix, PLACE, gain=gain, id=rule)


def test_the_book_is_the_mean_of_its_persons_by_their_words() -> None:
    people = [section for section in READING.sections if section.person]
    words = sum(section.words for section in people)
    by_hand = sum((section.scores["overall"] or 0) * section.words for section in people) / words
    book = glance(READING)
    assert book.overall == pytest.approx(by_hand, abs=0.06)
    assert book.persons == len(people) == 2
    assert sum(book.states.values()) == 2
    assert sum(book.levels.values()) == len(READING.every())


def test_a_book_without_persons_is_judged_by_its_sections() -> None:
    book = glance(read_text("# On slate\n\nSlate is split while it is wet, and the splitter sits down to it.\n"))
    assert book.persons == 0
    assert book.overall is not None


def test_states_follow_the_goal_and_an_error_bars_the_last_two() -> None:
    section = READING.sections[-1]

    def at(overall: float | None, *levels: Level) -> str:
        findings = tuple(finding(level=level) for level in levels)
        return state(replace(section, scores={"overall": overall}, findings=findings), 85.0)

    assert [at(n) for n in (0, 39.9, 40, 69.9, 70, 84.9, 85, 100, None)] == [
        "untouched", "untouched", "under way", "under way", "nearly done", "nearly done", "done", "done", "",
    ]  # fmt: skip
    assert at(95, Level.WARNING) == "done"
    assert at(95, Level.ERROR) == "under way"


def test_worst_first_with_the_longer_of_two_equals_before_the_shorter() -> None:
    one = READING.sections[-1]
    made = [
        replace(one, id=i, scores={"overall": score}, words=words)
        for i, score, words in (("none", None, 9), ("best", 90.0, 9), ("short", 5.0, 9), ("long", 5.0, 99))
    ]
    assert [section.id for section in worst_first(made)] == ["long", "short", "best", "none"]


def test_like_fixes_are_grouped_gravest_and_most_rewarding_first() -> None:
    found = fixes(
        None,
        [
            finding(gain=1),
            finding("unsourced", gain=1.5),
            finding(gain=1),
            finding("dates", Level.ERROR, 0),
            finding("openings", Level.NOTE, 0),
        ],
    )
    assert [(fix.first.rule, len(fix.findings), fix.gain) for fix in found] == [
        ("dates", 1, 0),
        ("boilerplate", 2, 2),
        ("unsourced", 1, 1.5),
        ("openings", 1, 0),
    ]


def test_the_best_fix_lifts_the_book_most_but_errors_go_before() -> None:
    short, long = replace(READING.sections[-1], words=10), replace(READING.sections[-1], words=1000)
    reading = replace(
        READING,
        sections=(
            replace(short, findings=(finding(gain=50),)),
            replace(long, findings=(finding(gain=5), finding("dates", Level.ERROR, 0), finding("x", Level.NOTE, 99))),
        ),
        findings=(),
    )
    assert [fix.first.gain for fix in best_fixes(reading)] == [0, 5, 50]


def test_what_may_harm_the_living_goes_before_any_other_error() -> None:
    errors = (finding("leftovers", Level.ERROR, 20), finding("living", Level.ERROR, 0), finding("unsourced", gain=30))
    reading = replace(READING, sections=(replace(READING.sections[-1], findings=errors),), findings=())
    assert [fix.first.rule for fix in best_fixes(reading)] == ["living", "leftovers", "unsourced"]
    assert [fix.first.rule for fix in fixes(None, errors)] == ["living", "leftovers", "unsourced"]


def test_a_contradiction_is_one_however_many_sentences_take_part() -> None:
    places = (Place("a.md", 1, 3, 0, 5, "He was born in 1861."), Place("a.md", 2, 5, 0, 5, "He was baptised in 1860."))
    (clash,) = fixes(None, [finding("dates", Level.ERROR)._replace(places=places)])
    (family,) = fixes(None, [finding("templates")._replace(places=places)])
    assert (clash.times, family.times) == (1, 2)


LIVES = "".join(
    f"# {name} Gethin\n\n{name} was born at Gerlan in 18{at}. He married Jane Thomas at Llandegai on 4 May 18{at + 23}. "
    f"He worked at the quarry in 18{at + 30}. He died at Granville on 3 March 18{at + 50}.\n\n"
    for at, name in enumerate(("Owen", "Robert", "William", "Hugh", "Evan", "Morris"), 10)
)


@pytest.mark.parametrize(
    ("draft", "expected"),
    [
        (LIVES, True),
        (
            LIVES.replace("Gerlan in 1810.", "Gerlan in 1810.[^1]") + "[^1]: Llandegai register of baptisms, p. 9.\n",
            False,
        ),
        (LIVES.replace(".\n\n#", " (Census of Granville, 1850, p. 9).\n\n#"), False),
        (LIVES[:300], False),
    ],
    ids=["no mark anywhere", "one mark", "sources in the text", "hardly begun"],
)
def test_a_book_that_was_written_out_without_its_sources_is_told(draft: str, expected: bool) -> None:
    assert unnoted(read_text(draft)) is expected
