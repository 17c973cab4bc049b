"""``storylint compare``: who became whom, what still stands, and above all what was lost."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.revisions import comparison, log, shelf
from storylint.revisions.passages import passages
from tests.conftest import Ran, read_text
from tests.effort import calls
from tests.revisions.books import LIVES, chapter
from tests.revisions.repositories import commit, git
from tests.revisions.test_log import LIVING

Run = Callable[..., Ran]
NAMES = [*LIVES]
DEMO = Path(__file__).parents[2] / "corpus_demo"


def compare(old: str, new: str) -> comparison.Comparison:
    return comparison.compare(read_text(old), read_text(new))


def change(found: comparison.Comparison, name: str) -> comparison.Change:
    [one] = [each for each in found.changes if each.is_person and each.passage.name == name]
    return one


def edited(name: str, *edits: tuple[str, str]) -> dict[str, str]:
    text = LIVES[name]
    for before, after in edits:
        assert before in text
        text = text.replace(before, after)
    return LIVES | {name: text}


# ------------------------------------------------------------------------------------------------------- what is cut


def test_a_section_is_cut_into_its_sentences_with_their_marks() -> None:
    [_, hugh] = passages(read_text(chapter(["Hugh Gethin"])))
    assert [line.text for line in hugh.lines] == [
        "Hugh was let down the face on a rope at fourteen and never told his mother how far it was.",
        "He lost two fingers to a slate saw in the spring of 1881 and learned to write again with the others.",
        "He died at Gerlan on 4 May 1911, with the window open so that he could hear the chapel.",
    ]
    assert all(line.marked for line in hugh.lines)
    assert len(hugh.notes) == 3
    assert hugh.headings == ("1. Hugh Gethin",)


# ------------------------------------------------------------------------------------------------------ who is whom


@settings(max_examples=25, deadline=None)
@given(order=st.permutations(NAMES), first=st.integers(1, 90))
def test_moved_and_renumbered_nothing_is_lost(order: list[str], first: int) -> None:
    found = compare(chapter(NAMES), chapter(order, first=first))
    people = [each for each in found.changes if each.is_person]
    assert [each.passage.name for each in people] == list(order)
    assert {each.status for each in people} == {"kept"}
    assert not any(each.has_losses or each.added or each.dropped or each.rewritten for each in found.changes)
    assert all(each.verbatim == each.sentences == 3 for each in people)
    assert not found.sources
    assert not found.loose_notes


@settings(max_examples=25, deadline=None)
@given(kept=st.lists(st.sampled_from(NAMES), unique=True, min_size=1, max_size=4))
def test_whoever_is_cut_is_told_with_her_dates_and_notes(kept: list[str]) -> None:
    found = compare(chapter(NAMES), chapter(kept))
    lost = {each.passage.name: each for each in found.changes if each.is_person and each.status == "lost"}
    assert set(lost) == set(NAMES) - set(kept)
    for name, each in lost.items():
        years = {word.strip(".,") for word in LIVES[name].split() if word.strip(".,").isdigit() and len(word) >= 4}
        assert {fact.date[-4:] for fact in each.facts} >= years
        assert len(each.notes) == 3


def test_a_name_and_a_number_that_change_are_told() -> None:
    lives = {("Catherine Gethin" if name == "Catherine Lloyd" else name): text for name, text in LIVES.items()}
    found = compare(chapter(NAMES), chapter(lives, lives, first=3))
    assert change(found, "Catherine Gethin").moves == ("renumbered", "renamed")
    assert change(found, "Hugh Gethin").moves == ("renumbered",)


def test_a_forename_corrected_in_every_sentence_is_no_other_person() -> None:
    text = LIVES["Hugh Gethin"].replace(" He ", " Hugh ")
    lives = LIVES | {"Hugh Gethin": text}
    new = {name.replace("Hugh", "Ieuan"): life.replace("Hugh", "Ieuan") for name, life in lives.items()}
    found = compare(chapter(NAMES, lives), chapter(reversed(new), new))
    ieuan = change(found, "Ieuan Gethin")
    assert (ieuan.status, ieuan.moves, ieuan.verbatim) == ("kept", ("renumbered", "renamed"), 0)
    assert len(ieuan.rewritten) == 3
    assert not any(each.status in ("lost", "joined", "split", "new") for each in found.changes if each.is_person)


def test_a_section_that_is_split_and_two_that_are_joined() -> None:
    sentences = [sentence + "]" for sentence in LIVES["Hugh Gethin"].split("]") if sentence]
    split = {"Hugh Gethin": sentences[0], "Morfydd Gethin": "".join(sentences[1:])}
    found = compare(chapter(["Hugh Gethin"]), chapter(split, split))
    part = change(found, "Morfydd Gethin")
    assert part.status == "split"
    assert part.origin is not None
    assert part.origin.name == "Hugh Gethin"
    hugh = change(found, "Hugh Gethin")
    assert (hugh.verbatim, hugh.sentences, len(hugh.parts)) == (3, 3, 1)
    assert not hugh.facts
    joined = {"Hugh Gethin": LIVES["Hugh Gethin"] + " " + LIVES["Gwen Gethin"].replace("[^", "[^7")}
    found = compare(chapter(["Hugh Gethin", "Gwen Gethin"]), chapter(joined, joined))
    gwen = change(found, "Gwen Gethin")
    assert gwen.status == "joined"
    assert [part.name for part in gwen.parts] == ["Hugh Gethin"]
    assert not gwen.facts


def test_a_sentence_that_moved_is_told_with_both_who_had_it_and_who_has_it(run: Run, folder: Path) -> None:
    moved = "In June 1894 she found the error that had cost the quarry forty tons a year.[^2] "
    lives = edited("Gwen Gethin", (moved, "")) | {"Hugh Gethin": moved.replace("[^2]", "[^4]") + LIVES["Hugh Gethin"]}
    old, new = (
        chapter(NAMES),
        chapter(NAMES, lives) + "\n[^14]: Gwen Gethin, papers kept at Gerlan, bundle 2, seen in 2019.\n",
    )
    found = compare(old, new.replace("[^4]", "[^14]"))
    hugh, gwen = change(found, "Hugh Gethin"), change(found, "Gwen Gethin")
    assert [each.name for each in hugh.guests] == ["Gwen Gethin"]
    assert [each.name for each in gwen.parts] == ["Hugh Gethin"]
    assert not change(found, "Idwal Gethin").guests
    (folder / "old.md").write_text(old)
    (folder / "new.md").write_text(new)
    done = run("compare", "old.md", "new.md")
    assert "part of it is now with 1 Hugh Gethin" in done.out
    assert "with sentences of 2 Gwen Gethin" in done.out
    assert "3 as before" in done.out
    data = json.loads(run("compare", "old.md", "new.md", "--format", "json").out)
    told = {each["person"]: (each["parts"], each["taken_from"]) for each in data["sections"] if each["person"]}
    assert told["Hugh Gethin"] == ([], ["gwen-gethin"])
    assert told["Gwen Gethin"] == (["hugh-gethin"], [])


def test_a_person_who_was_rewritten_from_end_to_end_is_still_found() -> None:
    found = compare(chapter(NAMES), chapter(NAMES, LIVES | {"Gwen Gethin": "Nobody counted slates as she did.[^1]"}))
    gwen = change(found, "Gwen Gethin")
    assert gwen.status == "kept"
    assert gwen.verbatim == 0
    assert len(gwen.dropped) == 3
    assert [line.text for line in gwen.added] == ["Nobody counted slates as she did."]


# --------------------------------------------------------------------------------------------- rewritten, new, cut


def test_a_sentence_rewritten_is_paired_with_what_it_was() -> None:
    lives = edited(
        "Hugh Gethin", ("learned to write again with the others", "learned again to write with what was left")
    )
    hugh = change(compare(chapter(NAMES), chapter(NAMES, lives)), "Hugh Gethin")
    [(old, new)] = hugh.rewritten
    assert old.text.endswith("again with the others.")
    assert new.text.endswith("with what was left.")
    assert (hugh.verbatim, hugh.added, hugh.dropped, hugh.facts) == (2, [], [], [])


def test_two_sentences_made_one_and_one_made_two() -> None:
    told = "# 1. Hugh Gethin\n\nHugh sailed from Liverpool in April 1902 with a chisel{}split slate there for years.\n"
    old, new = told.format(". He "), told.format(" and ")
    one = change(compare(old, new), "Hugh Gethin")
    assert len(one.rewritten) == 2
    assert (one.added, one.dropped) == ([], [])
    two = change(compare(new, old), "Hugh Gethin")
    assert len(two.rewritten) == 1
    assert (two.added, two.dropped) == ([], [])


def test_numbers_before_an_entry_are_no_sentences() -> None:
    """A word processor's lists of children come as paragraphs; their numerals change whenever a child is put in."""
    old = "# 1. Hugh Gethin\n\n3 ii. Mary Gethin, born 5 July 1849 at Gerlan.\n\n1861 was a hard year for the quarry.\n"
    new = old.replace("3 ii. Mary", "+ 4 iii. Mary")
    [hugh] = compare(old, new).changes
    assert (hugh.verbatim, hugh.sentences, hugh.added) == (2, 2, [])
    assert hugh.old is not None
    assert [line.text for line in hugh.old.lines][1] == "1861 was a hard year for the quarry."


def test_a_year_that_opens_a_row_of_a_table_is_a_date() -> None:
    old = "# 1. Hugh Gethin\n\nHe sang.\n\n| Year | Event |\n| --- | --- |\n| 1861 | census |\n| 1871 | census |\n"
    changes = compare(old, old.replace("| 1871 | census |\n", "")).changes
    [fact] = [fact for each in changes for fact in each.facts]
    assert fact.date == "1871"


def test_a_range_that_went_is_one_loss() -> None:
    old = "# 1. Hugh Gethin\n\nHe worked in the quarry from 1861 to 1899.\n"
    changes = compare(old, old.replace(" from 1861 to 1899", "")).changes
    assert [fact.date for each in changes for fact in each.facts] == ["from 1861 to 1899"]


def test_a_short_line_of_somebody_else_is_not_the_old_one_rewritten() -> None:
    with_her = {name: f"{LIVES[name]}\n\n- Matilda." for name in NAMES[:2]}
    found = compare(chapter(NAMES[:1], with_her), chapter(NAMES[1:2], with_her))
    hugh = change(found, "Hugh Gethin")
    assert (hugh.rewritten, [line.text for line in hugh.dropped][-1]) == ([], "Matilda.")


# -------------------------------------------------------------------------------------------------------- the losses


@pytest.mark.parametrize(
    ("before", "after", "lost"),
    [
        ("in the spring of 1881", "one spring", [("spring of 1881", "")]),
        ("on 4 May 1911", "in May 1911", [("4 May 1911", "May 1911")]),
        ("on 4 May 1911", "in 1911", [("4 May 1911", "1911")]),
        ("on 4 May 1911", "one morning", [("4 May 1911", "")]),
        ("on 4 May 1911", "on the fourth of May, 1911,", []),
        ("in the spring of 1881", "in April 1881", []),
        ("He died at Gerlan on 4 May 1911", "It was at Gerlan that the end came, on 4 May 1911", []),
    ],
)
def test_a_date_that_is_no_longer_told_is_a_loss(before: str, after: str, lost: list[tuple[str, str]]) -> None:
    lives = edited("Hugh Gethin", (before, after))
    found = compare(chapter(NAMES), chapter(NAMES, lives))
    assert [(fact.date, fact.left) for fact in change(found, "Hugh Gethin").facts] == lost
    assert not any(each.facts for each in found.changes if each.passage.name != "Hugh Gethin")


def test_a_year_alone_needs_more_in_common() -> None:
    old = "# 1. Hugh Gethin\n\nIn 1881 he lost two fingers to a saw. In 1881 he bought a hat.\n"
    new = "# 1. Hugh Gethin\n\nNobody forgot the year 1881, when he came home without his fingers.\n"
    [fact] = change(compare(old, new), "Hugh Gethin").facts
    assert fact.sentence == "In 1881 he bought a hat."


def test_a_date_kept_in_a_heading_or_another_section_is_kept_and_one_in_a_note_only_is_told() -> None:
    old = chapter(["Hugh Gethin", "Gwen Gethin"])
    cut = edited(
        "Hugh Gethin",
        (" He died at Gerlan on 4 May 1911, with the window open so that he could hear the chapel.[^3]", ""),
    )
    headed = chapter(["Hugh Gethin", "Gwen Gethin"], cut).replace(
        "## 1. Hugh Gethin\n", "## 1. Hugh Gethin\n\n### To 4 May 1911\n"
    )
    assert change(compare(old, headed), "Hugh Gethin").facts == []
    noted = chapter(["Hugh Gethin", "Gwen Gethin"], cut).replace("bundle 2, seen", "bundle 2, of 4 May 1911, seen")
    [fact] = change(compare(old, noted), "Hugh Gethin").facts
    assert (fact.date, fact.left) == ("4 May 1911", "in note 12")
    moved = cut | {
        "Gwen Gethin": LIVES["Gwen Gethin"]
        + " He died at Gerlan on 4 May 1911, with the window open so that he could hear the chapel."
    }
    assert change(compare(old, chapter(["Hugh Gethin", "Gwen Gethin"], moved)), "Hugh Gethin").facts == []
    gone = change(compare(old, chapter(["Hugh Gethin", "Gwen Gethin"], cut)), "Hugh Gethin")
    assert [fact.date for fact in gone.facts] == ["4 May 1911"]


def test_notes_sources_and_marks_that_went() -> None:
    old = (
        "# 1. Hugh Gethin\n\nHe was let down on a rope at fourteen.[^1] He lost two fingers to a saw.[^2] He sang.[^3] "
        "He wept.[^4]\n\n"
        "[^1]: Hugh Gethin, interview by Nerys Howells, Gerlan, 3 May 1961, tape 4.\n"
        "[^2]: Llanllechid parish, burials 1890-1920, page 44, entry 351; Gwynedd Archives, Caernarfon.\n"
        "[^3]: Penrhyn wages book 1868, folio 12; Gwynedd Archives, Caernarfon.\n[^4]: Ibid.\n"
    )
    new = (
        "# 1. Hugh Gethin\n\nHe was let down on a rope at fourteen. He lost two fingers to a saw.[^1] He sang.[^2] "
        "He wept.\n\n"
        "[^1]: Llanllechid parish, burials 1890-1920, page 44, entry 351, in Gwynedd Archives.\n"
        "[^2]: Wages book of Penrhyn, 1868, folio 13, read at Gwynedd Archives, Caernarfon, in the wet summer.\n"
    )
    found = compare(old, new)
    hugh = change(found, "Hugh Gethin")
    assert [note.number for note in hugh.notes] == ["1", "3"]
    assert [note.number for note in found.sources] == ["1"]
    assert [line.text for line in hugh.marks] == ["He was let down on a rope at fourteen.", "He wept."]


def test_a_note_that_no_mark_called_is_missed_too() -> None:
    text = chapter(["Hugh Gethin"])
    old = text.replace("[^12] ", " ", 1).replace("others.[^12]", "others.")
    found = compare(old, chapter(["Hugh Gethin"], edited("Hugh Gethin", ("[^2]", ""))))
    assert [note.number for note in found.loose_notes] == [] or "bundle 2" in found.loose_notes[0].text


def test_ibid_is_no_loss() -> None:
    assert shelf.is_pointer("Ibid., p. 9.")
    assert shelf.is_pointer("Same.")
    assert not shelf.is_pointer("Will of Hugh Gethin, 1911.")


def test_the_demonstration_book_loses_what_a_reader_of_both_would_miss() -> None:
    """Read through by hand: these dates and notes of the original are nowhere in the working copy."""
    old, new = ((DEMO / f"{name}.md").read_text(encoding="utf-8") for name in ("original", "working"))
    found = compare(old, new)
    assert {each.status for each in found.changes if each.is_person} == {"kept"}
    ellis = next(each for each in found.changes if each.old and each.old.section.number == "1")
    assert [fact.date for fact in ellis.facts] == ["14 March 1824", "about 1826", "6 February 1889", "17 October 1897"]
    assert [note.text for note in ellis.notes] == ["Gravestone photograph, no date."]
    untouched = [
        each
        for each in found.changes
        if each.old and each.old.section.number in ("4", "5", "8", "13", "15", "20", "23")
    ]
    assert len(untouched) == 7
    assert all(each.verbatim == each.sentences and not each.has_losses for each in untouched)


# ------------------------------------------------------------------------------------------------------- the command


def data(run: Run, *argv: object) -> Any:
    done = run("compare", *argv, "--format", "json")
    assert done.code == 0, done.err
    return json.loads(done.out)


@pytest.fixture
def two(folder: Path) -> Path:
    (folder / "original.md").write_text(chapter(NAMES))
    lives = edited("Hugh Gethin", ("on 4 May 1911", "one morning"))
    (folder / "working.md").write_text(chapter(NAMES[:4], lives))
    return folder


def test_the_command_tells_what_was_lost(run: Run, two: Path) -> None:
    done = run("compare", "original.md", "working.md")
    assert (done.code, done.err) == (0, "")
    out = " ".join(done.out.split())
    assert "persons: 4 in both, 1 lost" in out
    assert "Robert Gethin: the section is gone" in out
    assert "4 May 1911: “He died at Gerlan on 4 May 1911," in out
    assert all(len(line) <= 80 for line in done.out.splitlines())
    one = run("compare", "original.md", "working.md", "--person", "hugh")
    assert "now reads “He died at Gerlan one morning" in " ".join(one.out.split())
    assert "Gwen" not in one.out
    assert run("compare", "original.md", "working.md", "--person", "Huw Gethin").code == 2


def test_equal_books_lose_nothing(run: Run, two: Path) -> None:
    done = run("compare", "original.md", "original.md")
    assert "Nothing that has a name, a date, a note or a mark was lost" in " ".join(done.out.split())


def test_a_script_gets_it_all(run: Run, two: Path) -> None:
    found = data(run, "original.md", "working.md")
    assert found["schema"] == 1
    assert found["lost"]["persons"] == ["Robert Gethin"]
    sections = {section["person"]: section for section in found["sections"]}
    hugh = sections["Hugh Gethin"]
    assert hugh["verbatim"] == {"sentences": 2, "of": 3, "share": 0.667}
    assert hugh["old"]["scores"]["overall"] is not None
    sentence = hugh["rewritten"][0]["old"]
    lost = {"date": "4 May 1911", "sentence": sentence, "left": None, "block": 2, "line": 5, "may_be_living": False}
    assert hugh["lost"]["facts"] == [lost]
    assert sections["Robert Gethin"]["new"] is None
    assert found["new"]["persons"] == 4


def test_folders_and_revisions_are_compared_too(run: Run, folder: Path) -> None:
    commit(folder, 1, book___a__md=chapter(NAMES[:3]), book___b__md=chapter(NAMES[3:], first=4))
    commit(folder, 2, book___a__md=chapter([*NAMES[:2], NAMES[4]]), book___b__md=chapter([NAMES[3]], first=4))
    found = data(run, "HEAD~1:book", "book")
    assert found["old"]["name"] == "HEAD~1:book"
    sections = {section["person"]: section for section in found["sections"]}
    assert sections[NAMES[4]]["changes"] == ["renumbered", "moved to another file"]
    assert sections[NAMES[2]]["status"] == "lost"
    assert sections[NAMES[0]]["changes"] == []
    assert data(run, "HEAD~1:book", "HEAD:book")["lost"] == found["lost"]
    assert data(run, "HEAD~1", "book")["lost"] == found["lost"]


def test_a_file_that_is_called_otherwise_moves_nobody(run: Run, folder: Path) -> None:
    commit(folder, 1, book___a__md=chapter(NAMES[:3]), book___b__md=chapter(NAMES[3:], first=4))
    git(folder, "mv", "book/b.md", "book/c.md")
    commit(folder, 2)
    assert [section["changes"] for section in data(run, "HEAD~1:book", "book")["sections"] if section["person"]] == [
        []
    ] * 5


def test_who_is_as_before_is_left_out(run: Run, two: Path) -> None:
    out = run("compare", "original.md", "working.md").out
    assert "… and 3 as before; --all shows everyone" in out
    board = out.split("Lost on the way")[0]
    assert [name for name in NAMES if name in board] == ["Hugh Gethin", "Robert Gethin"]
    assert all(name in run("compare", "original.md", "working.md", "--all").out for name in NAMES)


def test_what_was_of_the_living_is_not_to_be_put_back(run: Run, folder: Path) -> None:
    (folder / "old.md").write_text(LIVING)
    (folder / "new.md").write_text(LIVING.replace("on 14 August 1979", "one summer"))
    facts = [fact for section in data(run, "old.md", "new.md")["sections"] for fact in section["lost"]["facts"]]
    assert any(fact["may_be_living"] for fact in facts)
    assert "are best left out" in " ".join(run("compare", "old.md", "new.md", "--write", "html:page.html").out.split())
    assert "May be living: best left out." in Path("page.html").read_text(encoding="utf-8")


def test_what_cannot_be_read_is_told(run: Run, two: Path) -> None:
    assert run("compare", "original.md", "none.md").code == 2
    (two / "empty.md").write_text("")
    done = run("compare", "empty.md", "working.md")
    assert (done.code, done.err.count("\n")) == (3, 1)


def test_an_original_that_changed_is_warned_of(run: Run, two: Path) -> None:
    assert run("compare", "original.md", "working.md").err == ""
    assert run("compare", "original.md", "working.md").err == ""
    assert len((two / log.FILE).read_text().splitlines()) == 1
    (two / "original.md").write_text(chapter(NAMES[1:]))
    run("lint", "original.md")  # does not make it right
    done = run("compare", "original.md", "working.md")
    assert "original.md: is no longer what it was" in done.err
    assert done.err.count("\n") == 1
    assert done.code == 0


def test_an_original_in_other_bytes_is_the_same(run: Run, two: Path) -> None:
    text = (two / "original.md").read_text(encoding="utf-8")
    run("compare", "original.md", "working.md")
    (two / "original.md").write_text(text, encoding="utf-8-sig", newline="\r\n")
    assert run("compare", "original.md", "working.md").err == ""
    (two / "original.md").write_text(text.replace("[^11]", "", 1), encoding="utf-8")
    assert "original.md: is no longer what it was" in run("compare", "original.md", "working.md").err


def test_a_chapter_that_left_the_original_is_warned_of(run: Run, folder: Path) -> None:
    for name, persons in (("a.md", NAMES[:2]), ("b.md", NAMES[2:])):
        (folder / "first" / name).parent.mkdir(exist_ok=True)
        (folder / "first" / name).write_text(chapter(persons))
    (folder / "working.md").write_text(chapter(NAMES))
    assert run("compare", "first", "working.md").err == ""
    (folder / "first" / "b.md").unlink()
    done = run("compare", "first", "working.md")
    assert "b.md: is no longer there" in done.err
    assert done.err.count("\n") == 1


def test_a_copy_of_last_week_is_no_original_because_it_was_read_once(run: Run, two: Path) -> None:
    (two / "original.md").rename(two / "week.md")
    for names in (NAMES[1:], NAMES[2:]):
        run("lint", "week.md")
        (two / "week.md").write_text(chapter(names))
    run("lint", "week.md")
    for _ in range(2):
        assert run("compare", "week.md", "working.md").err == ""


def test_a_log_that_cannot_be_read_costs_the_warning_alone(run: Run, two: Path) -> None:
    (two / log.FILE).mkdir()
    done = run("compare", "original.md", "working.md")
    assert (done.code, done.err.count("\n")) == (0, 1)
    assert "can't be told" in done.err
    assert done.out


def test_an_original_named_after_the_living_is_noted_without_the_name(run: Run, folder: Path) -> None:
    (folder / "nerys-gethin-howells.md").write_text(LIVING)
    (folder / "working.md").write_text(LIVING.replace("chisel", "hammer"))
    run("compare", "nerys-gethin-howells.md", "working.md")
    assert "nerys" not in (folder / log.FILE).read_text()
    (folder / "nerys-gethin-howells.md").write_text(LIVING.replace("Owen's", "his"))
    assert "no longer what it was" in run("compare", "nerys-gethin-howells.md", "working.md").err


def test_an_original_that_was_only_read_before_is_known_too(run: Run, two: Path) -> None:
    (two / "original.md").rename(two / "first.md")
    run("lint", "first.md")
    (two / "first.md").write_text(chapter(NAMES[1:]))
    assert "first.md: is no longer" in run("compare", "first.md", "working.md", "--no-record").err
    (two / "working.md").write_text(chapter(NAMES[2:]))
    run("lint", "working.md")
    (two / "working.md").write_text(chapter(NAMES[3:]))
    run("lint", "working.md")
    (two / "working.md").write_text(chapter(NAMES))
    assert run("compare", "working.md", "first.md", "--no-record").err == ""  # a draft that lives may change


def test_a_large_book_takes_work_as_its_length() -> None:
    """Ten times the sentences are not the hundredfold work of all pairs."""

    def work(size: int) -> int:
        lives = {
            f"{chr(65 + n % 26)}wen{n} Gethin": f"She carried {n} slates over the hill at {n}.[^1] {n} was her number, "
            f"and {n + 1} was not."
            for n in range(size)
        }
        changed = {name: text.replace("over the hill", "across the old hill") for name, text in lives.items()}
        old, new = read_text(chapter(lives, lives)), read_text(chapter(changed, changed))

        def compare() -> None:
            assert sum(each.verbatim for each in comparison.compare(old, new).changes) >= size

        return calls(compare)

    assert work(400) < 15 * work(40)
