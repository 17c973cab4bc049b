"""Who is who through the revisions, the book as it stood, the breaks and the pace."""

from __future__ import annotations

import random
from datetime import timedelta
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.revisions import journal, log, teller
from storylint.revisions.history import History, as_data, told
from storylint.revisions.teller import Person, believed
from tests.revisions.books import KEY, LIVES, START, person, revision

NAMES = [*LIVES]


def tell(*entries: dict[str, Any], wanted: str | None = None) -> History:
    return told(log.Log(Path(log.FILE)), entries, wanted)


def one(history: History, name: str) -> Person:
    [found] = [person for person in history.persons if person.name == name]
    return found


def scores(person: Person) -> list[float | None]:
    return [point.overall for point in person.points]


# -------------------------------------------------------------------------------------------------------- who is who


def test_renumbered_renamed_and_moved_she_keeps_her_history() -> None:
    history = tell(
        revision(0, person("Gwen Gethin", 10, number="4"), person("Hugh Gethin", 20, number="5")),
        revision(1, person("Hugh Gethin", 21, number="6"), person("Gwen Gethin", 11, number="5")),
        revision(
            2, person("Gwen Lloyd", 12, [f"Gwen Gethin {n}" for n in range(4)], number="9"), person("Hugh Gethin", 22)
        ),
        revision(3, person("Gwen Lloyd", 13, ["all new"], number="9"), person("Hugh Owen Gethin", 23)),
    )
    assert len(history.persons) == 2
    assert scores(one(history, "Gwen Lloyd")) == [10, 11, 12, 13]
    assert scores(one(history, "Hugh Owen Gethin")) == [20, 21, 22, 23]


def test_two_of_one_name_are_told_apart_by_their_sentences_then_by_number() -> None:
    old, young = [f"quarry {n}" for n in range(5)], [f"Vermont {n}" for n in range(5)]
    history = tell(
        revision(0, person("Ellis Gethin", 10, old, number="1"), person("Ellis Gethin", 90, young, number="9")),
        revision(1, person("Ellis Gethin", 91, young, number="1"), person("Ellis Gethin", 11, old, number="2")),
        revision(2, person("Ellis Gethin", 92, ["x"], number="1"), person("Ellis Gethin", 12, ["y"], number="2")),
    )
    assert [scores(person) for person in history.persons] == [[10, 11, 12], [90, 91, 92]]


def test_a_name_that_becomes_secret_is_still_the_same_person() -> None:
    hidden = person("", 30, number="7") | {"who": log.hidden(KEY, "Gwen Gethin"), "prints": []}
    del hidden["name"]
    history = tell(revision(0, person("Gwen Gethin", 20)), revision(1, hidden), revision(2, person("Gwen Gethin", 40)))
    assert [scores(person) for person in history.persons] == [[20, 30, 40]]
    assert history.find("Gwen Gethin") is history.persons[0]
    assert history.find("Nobody") is None
    data = as_data(tell(revision(0, person("Gwen Gethin", 20)), revision(1, hidden)))
    assert data["persons"][0]["person"] is None
    assert data["persons"][0]["hidden_as"] == hidden["who"]


def secret(name: str, overall: float, key: str = KEY, **other: Any) -> dict[str, Any]:
    """A person whose name the log keeps to itself."""
    entry = person("", overall, **other) | {"who": log.hidden(key, name), "prints": []}
    del entry["name"]
    return entry


@pytest.mark.parametrize("names", [["Gwen Gethin"], []])
def test_logs_that_were_joined_are_read_under_one_key_with_the_names_of_the_drafts(names: list[str]) -> None:
    entries = [
        revision(0, secret("Gwen Gethin", 20, "1" * 32), key="1" * 32),
        revision(1, secret("Gwen Gethin", 30)),
    ]
    history = told(log.Log(Path(log.FILE)), entries, None, lambda: names)
    assert [scores(person) for person in history.persons] == ([[20, 30]] if names else [[20], [30]])


@pytest.mark.parametrize(
    ("other", "lives"),
    [
        ({}, [[20, 30]]),
        ({"words": 170}, [[20, 30]]),
        ({"number": "8"}, [[20], [30]]),
        ({"number": None}, [[20], [30]]),
        ({"words": 90}, [[20], [30]]),
    ],
)
def test_who_is_secret_and_corrected_in_name_keeps_her_place(other: dict[str, Any], lives: list[list[float]]) -> None:
    before = secret("Gwen Gethin", 20, number="7")
    after = secret("Gwen Gethyn", 30, **{"number": "7"} | other)
    assert [scores(each) for each in tell(revision(0, before), revision(1, after)).persons] == lives
    both = tell(revision(0, before), revision(1, secret("Gwen Gethin", 25, number="8"), after))
    assert sorted(map(scores, both.persons)) == [[20, 25], [30]]  # she is there, renumbered, and another is new


def test_who_is_secret_and_moved_to_another_chapter_keeps_her_history() -> None:
    hugh = person("Hugh Gethin", 50)
    history = tell(
        revision(0, secret("Gwen Gethin", 20), hugh, files=("a.md",)),
        revision(1, secret("Gwen Gethin", 30), files=("b.md",)),
        revision(2, hugh, files=("a.md",)),
        revision(3, secret("Gwen Gethin", 40), files=("b.md",)),
    )
    assert [scores(one) for one in history.persons if one.name is None] == [[20, 30, 40]]
    assert [moment.persons for moment in history.moments] == [2, 3, 2, 2]


def test_a_secret_namesake_who_was_there_all_along_is_somebody_else() -> None:
    history = tell(
        revision(0, secret("Gwen Gethin", 20), files=("a.md",)),
        revision(1, secret("Gwen Gethin", 70), files=("b.md",)),
        revision(2, secret("Gwen Gethin", 30), files=("a.md",)),
        revision(3, person("Hugh Gethin", 50), files=("a.md",)),
    )
    assert [scores(one) for one in history.persons if one.name is None] == [[20, 30], [70]]


def test_who_is_cut_is_gone_and_who_comes_back_goes_on() -> None:
    both = person("Hugh Gethin", 20), person("Gwen Gethin", 30)
    history = tell(revision(0, *both), revision(1, both[0]))
    assert one(history, "Gwen Gethin").gone
    assert [moment.persons for moment in history.moments] == [2, 1]
    history = tell(revision(0, *both), revision(1, both[0]), revision(2, *both))
    assert scores(one(history, "Gwen Gethin")) == [30, 30]
    assert not one(history, "Gwen Gethin").gone


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6), steps=st.integers(1, 6))
def test_any_order_and_any_numbers_leave_everyone_who_she_is(seed: int, steps: int) -> None:
    """Persons are shuffled, renumbered, moved between files and rewritten in part; each keeps one history."""
    chance = random.Random(seed)
    told_of = {name: [f"{name} {n}" for n in range(12)] for name in NAMES}
    entries = []
    for step in range(steps):
        order = chance.sample(NAMES, len(NAMES))
        numbers = chance.sample(range(1, 99), len(NAMES))
        for name in NAMES:
            for at in chance.sample(range(12), 4):
                told_of[name][at] = f"{name} rewritten {step} {at}"
        people = [
            person(name, NAMES.index(name), told_of[name], number=str(number), draft=chance.randrange(2))
            for name, number in zip(order, numbers, strict=True)
        ]
        entries.append(revision(step, *people, files=("a.md", "b.md")))
    history = tell(*entries)
    assert {person.name: scores(person) for person in history.persons} == {
        name: [NAMES.index(name)] * steps for name in NAMES
    }


# ------------------------------------------------------------------------------------------------- files and chapters


def test_a_chapter_read_alone_changes_its_own_persons_only() -> None:
    hugh, gwen = person("Hugh Gethin", 20, words=100), person("Gwen Gethin", 40, draft=1, words=300)
    later = person("Hugh Gethin", 60, words=100)
    history = tell(revision(0, hugh, gwen, files=("a.md", "b.md"), whole=True), revision(1, later, files=("a.md",)))
    assert [moment.overall for moment in history.moments] == [35, 45]
    assert [moment.words for moment in history.moments] == [400, 400]
    assert [moment.persons for moment in history.moments] == [2, 2]


def test_a_namesake_in_another_chapter_is_somebody_else() -> None:
    history = tell(
        revision(0, person("Ellis Gethin", 20, ["a", "b"]), files=("a.md",)),
        revision(1, person("Ellis Gethin", 80, ["c", "d"]), files=("b.md",)),
    )
    assert [scores(person) for person in history.persons] == [[20], [80]]


def test_a_person_moved_to_another_chapter_takes_her_history_along() -> None:
    hugh, gwen = person("Hugh Gethin", 20), person("Gwen Gethin", 40)
    history = tell(
        revision(0, hugh, gwen, files=("a.md",)),
        revision(1, person("Hugh Gethin", 21), person("Gwen Gethin", 41, draft=1), files=("a.md", "b.md")),
        wanted="b.md",
    )
    assert [person.name for person in history.persons] == ["Gwen Gethin"]
    assert scores(history.persons[0]) == [40, 41]
    assert [moment.persons for moment in history.moments] == [1]


def test_a_file_saved_under_another_name_goes_on_under_it() -> None:
    people = [person(name, 20) for name in NAMES[:3]]
    later = [person(name, 50) for name in NAMES[:3]]
    rewritten = person(NAMES[0], 60, ["all", "new"])
    entries = [
        revision(0, *people, files=("original.md",)),
        revision(1, *later, files=("book v2.md",)),
        revision(2, rewritten, *later[1:], files=("book v3.md",)),
    ]
    for wanted in ("book v3.md", None):
        history = tell(*entries, wanted=wanted)
        assert [moment.persons for moment in history.moments] == [3, 3, 3], wanted
        assert scores(one(history, NAMES[0])) == [20, 50, 60], wanted
        assert not any(person.gone for person in history.persons), wanted
    assert [moment.overall for moment in tell(*entries, wanted="original.md").moments] == [20]


def test_the_original_looked_at_late_is_no_step_back() -> None:
    people, later = [person(name, 20) for name in NAMES], [person(name, 50) for name in NAMES]
    entries = [revision(0, *later, files=("working.md",)), revision(1, *people, files=("original.md",))]
    assert [moment.overall for moment in tell(*entries).moments] == [50]


def test_two_books_in_one_folder_are_two_histories() -> None:
    first = [person(name, 20) for name in NAMES[:2]]
    second = [person(name, 70) for name in NAMES[2:]]
    entries = [revision(0, *first, files=("a.md",)), revision(1, *second, files=("b.md",))]
    history = tell(*entries, wanted="b.md")
    assert [moment.overall for moment in history.moments] == [70]
    assert [person.name for person in history.persons] == NAMES[2:]


def test_a_chapter_that_left_the_folder_leaves_the_book() -> None:
    hugh, gwen = person("Hugh Gethin", 20), person("Gwen Gethin", 40, draft=1)
    history = tell(
        revision(0, hugh, gwen, files=("a.md", "b.md"), whole=True), revision(1, hugh, files=("a.md",), whole=True)
    )
    assert [moment.persons for moment in history.moments] == [2, 1]
    assert one(history, "Gwen Gethin").gone


# --------------------------------------------------------------------------------------------------- breaks and pace


def test_a_break_is_marked_where_the_rules_changed_and_nowhere_else() -> None:
    hugh = person("Hugh Gethin")
    history = tell(
        revision(0, hugh, rules={"boilerplate": 1}),
        revision(1, hugh, rules={"boilerplate": 1}, storylint="9"),
        revision(2, hugh, rules={"boilerplate": 2, "dates": 1}),
        revision(3, hugh, rules={"boilerplate": 2}, partial=True),
        revision(4, hugh, rules={"boilerplate": 2, "dates": 1}),
        revision(5, hugh, rules={"boilerplate": 2, "dates": 1}, settings="b"),
    )
    assert [moment.rules for moment in history.moments] == [
        "", "", "boilerplate judges anew, dates is new", "", "", "the settings of the rules",
    ]  # fmt: skip


def test_what_was_let_stand_is_told_and_what_was_mended_is_not() -> None:
    def state(day: float, text: str, standing: int, **other: Any) -> dict[str, Any]:
        entry = revision(day, person("Hugh Gethin"), **other)
        entry["drafts"][0] |= {"sha256": text, "standing": {"error": standing}}
        return entry

    history = tell(
        state(0, "a", 0),
        state(1, "a", 1),
        state(2, "a", 0, partial=True),  # some rules alone do not meet what stands
        state(3, "b", 3),
        state(4, "c", 2),  # the sentence of one has been mended
        state(5, "c", 0),
    )
    assert [moment.let_stand for moment in history.moments] == [0, 1, 0, 2, 0, -2]


def test_a_run_with_some_rules_only_does_not_move_the_score() -> None:
    history = tell(revision(0, person("Hugh Gethin", 20)), revision(1, person("Hugh Gethin", 99), partial=True))
    assert [moment.overall for moment in history.moments] == [20, 20]
    assert scores(history.persons[0]) == [20, None]
    assert history.persons[0].last.overall == 20


def many(*overalls: float) -> list[dict[str, Any]]:
    return [
        person(f"{chr(65 + n)}wen Gethin", overall, [f"{n} {m}" for m in range(5)])
        for n, overall in enumerate(overalls)
    ]


def test_the_pace_is_counted_and_its_end_is_a_span() -> None:
    """4 of 8 in 28 days is one a week; the other 4 take 4 weeks, or from 18.7 to 56 days with 4 ± 2 for the count."""
    history = tell(revision(0, *many(*[20] * 8)), revision(28, *many(*[90] * 4, *[20] * 4)))
    pace = history.pace
    assert (pace.brought, pace.days, pace.left, pace.a_week, pace.why) == (4, 28, 4, 1.0, "")
    now = START + timedelta(days=28)
    assert pace.likely == now + timedelta(days=28)
    assert pace.latest == now + timedelta(days=56)
    assert pace.earliest is not None
    assert (pace.earliest - now).days == 18


def test_who_was_brought_over_the_goal_with_the_first_revision_of_the_last_weeks_counts() -> None:
    def state(day: float, done: int, rules: int = 1) -> dict[str, Any]:
        each = [person(name, 90 if at < done else 40) for at, name in enumerate(NAMES)]
        return revision(day, *each, rules={"boilerplate": rules})

    pace = tell(state(0, 0), state(30, 3), state(60, 4), state(100, 4)).pace  # the last twelve weeks begin on day 16
    assert (pace.brought, pace.days, pace.left) == (4, 84, 1)
    broken = tell(state(0, 0), state(30, 3, 2), state(60, 4, 2), state(100, 4, 2)).pace
    assert (broken.brought, broken.days) == (1, 70)  # part of the three may be the rules'
    assert tell(state(0, 3), state(30, 3), state(60, 4), state(100, 4)).pace.brought == 1


@pytest.mark.parametrize(
    ("entries", "why"),
    [
        ([], "no revision"),
        ([revision(0, *many(20, 20))], "0 days of history"),
        ([revision(0, *many(20, 20, 20)), revision(13, *many(90, 90, 20))], "13 days of history"),
        ([revision(0, *many(20, 20, 20)), revision(40, *many(90, 90, 20))], "2 brought over the goal"),
        ([revision(0, *many(90, 95)), revision(40, *many(90, 95))], "everyone has reached the goal"),
        (
            [revision(0, *many(*[20] * 5)), revision(40, *many(*[90] * 4, 20), rules={"boilerplate": 2})],
            "0 days since the rules changed",
        ),
    ],
)
def test_few_data_give_no_pace_but_a_reason(entries: list[dict[str, Any]], why: str) -> None:
    pace = tell(*entries).pace
    assert why in pace.why
    assert (pace.a_week, pace.earliest, pace.latest) == (None, None, None)


def test_an_error_keeps_a_person_from_being_done() -> None:
    wrong = person("Hugh Gethin", 90, findings={"error": 1, "warning": 0, "note": 0})
    assert tell(revision(0, wrong)).moments[0].done == 0


def test_what_was_done_long_ago_says_nothing_of_the_pace_now() -> None:
    history = tell(
        revision(0, *many(*[20] * 8)),
        revision(30, *many(*[90] * 4, *[20] * 4)),
        revision(200, *many(*[90] * 4, *[20] * 4)),
    )
    assert "0 brought over the goal in" in history.pace.why


def test_damaged_lines_are_passed_over() -> None:
    good, hugh = revision(0, person("Hugh Gethin")), person("Hugh Gethin")
    [book] = good["drafts"]
    bad: list[dict[str, Any]] = [
        {**good, "when": "yesterday"},
        {**good, "when": "2026-01-01T00:00:00"},
        {**good, "persons": [{"name": "Hugh"}]},
        {**good, "persons": ["Hugh"]},
        {**good, "persons": [person("Hugh Gethin", draft=7)]},
        {**good, "rules": 5},
        {**good, "goal": None},
        {**good, "key": 5},
        {**good, "when": "0001-01-01T00:00:00Z"},
        {**good, "when": 7},
        {**good, "goal": float("inf")},
        {**good, "commit": ["abc"]},
        {**good, "drafts": [book | {"words": "many"}]},
        {**good, "drafts": [book | {"findings": []}]},
        {**good, "drafts": [book | {"standing": {"error": -1}}]},
        {**good, "persons": [hugh | {"ease": "high"}]},
        {**good, "persons": [hugh | {"words": 1.5}]},
        {**good, "persons": [hugh | {"words": True}]},
        {**good, "persons": [hugh | {"name": 7}]},
        {**good, "persons": [hugh | {"scores": {"overall": "good"}}]},
        {**good, "persons": [hugh | {"scores": {"overall": 1e9}}]},
        {**good, "persons": [hugh | {"findings": ["error"]}]},
        {**good, "persons": [hugh | {"prints": [["a"]]}]},
        {"name": "no revision at all"},
    ]
    assert len(tell(*bad).moments) == 0
    history = tell(*bad, good, {"schema": 1, "original": []})
    assert (len(history.moments), history.unread, history.newer) == (1, len(bad), 0)


def test_what_a_newer_version_wrote_is_counted() -> None:
    good = revision(0, person("Hugh Gethin"))
    history = tell(good, *[{**good, "schema": 2, "when": {"day": day}} for day in range(3)])
    assert (len(history.moments), history.unread, history.newer) == (1, 0, 3)


# ------------------------------------------------------------------------------------------------------------- the clock


def days(history: History) -> list[int]:
    return [(moment.when - START).days for moment in history.moments]


FAR, DEAD = 365 * 61, -365 * 26  # days: a clock set to 2087, and one that lost its battery


@pytest.mark.parametrize(
    ("stamps", "placed", "wrong"),
    [
        ([0, 1, 2], [0, 1, 2], 0),
        ([0, 1, DEAD], [0, 1, 1], 1),
        ([0, DEAD], [0, 0], 1),
        ([0, DEAD, 2, 3], [0, 0, 2, 3], 1),
        ([0, 1, DEAD, DEAD + 1, 2], [0, 1, 1, 1, 2], 2),
        ([0, FAR, 2], [0, 0, 2], 1),
        ([0, 1, FAR], [0, 1, 1], 1),
        ([FAR, 1, 2], [1, 1, 2], 1),
        ([0, 90, 2, 3], [0, 0, 2, 3], 1),  # months ahead, but past by now
    ],
)
def test_the_order_of_the_lines_decides_and_a_wrong_clock_is_told(
    stamps: list[int], placed: list[int], wrong: int
) -> None:
    history = tell(*(revision(day, person("Hugh Gethin", at)) for at, day in enumerate(stamps)))
    assert scores(one(history, "Hugh Gethin")) == [*range(len(stamps))]
    assert (days(history), history.mistimed) == (placed, wrong)
    assert [point.when for point in one(history, "Hugh Gethin").points] == [moment.when for moment in history.moments]


def test_what_was_rebuilt_from_commits_stands_where_it_was() -> None:
    written = [revision(day, person("Hugh Gethin", day)) for day in (10, 20)]
    rebuilt = [revision(day, person("Hugh Gethin", day), rebuilt=True) for day in (0, 15, 25)]
    history = tell(*written, *rebuilt)
    assert (days(history), history.mistimed) == ([0, 10, 15, 20, 25], 0)


@settings(max_examples=100, deadline=None)
@given(days=st.lists(st.integers(-50, 50), max_size=9))
def test_the_times_believed_are_the_most_that_never_go_back(days: list[int]) -> None:
    times, latest = [START + timedelta(days=day) for day in days], START + timedelta(days=20)
    found = sorted(believed(times, latest))
    past = [at for at, time in enumerate(times) if time <= latest] or [*range(len(times))]
    runs = (run for size in range(len(past), -1, -1) for run in combinations(past, size))
    most = next(run for run in runs if all(times[a] <= times[b] for a, b in pairwise(run)))
    assert len(found) == len(most)
    assert set(found) <= set(past)
    assert all(times[a] <= times[b] for a, b in pairwise(found))


def test_what_did_not_change_is_kept_once() -> None:
    memory = teller.Memory()
    first, second, third = (
        teller.seen(revision(day, person("Hugh Gethin"), person("Gwen Gethin", score)), memory)
        for day, score in ((0, 50.0), (1, 50.0), (2, 60.0))
    )
    assert first is not None
    assert second is not None
    assert third is not None
    assert second.traces[1] is first.traces[1]
    assert second.points[1].scores is first.points[1].scores
    assert third.points[0].scores is first.points[0].scores
    assert [each.points[1].overall for each in (first, second, third)] == [50.0, 50.0, 60.0]
    assert [each.points[1].when.day for each in (first, second, third)] == [2, 3, 4]
    assert not any("persons" in each.entry for each in (first, second, third))


def test_the_log_is_read_line_by_line(tmp_path: Path) -> None:
    file = tmp_path / "log"
    file.write_bytes(b'{"a": 1}\n\n{"b"\n{"c": 3}')
    assert list(journal.forwards(file)) == [{"a": 1}, None, {"c": 3}]
    assert journal.read(file) == ([{"a": 1}, {"c": 3}], 1)
    assert next(journal.forwards(file)) == {"a": 1}
    assert list(journal.forwards(tmp_path / "none")) == []
