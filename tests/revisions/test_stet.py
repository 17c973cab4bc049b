"""``storylint stet``: a finding may stand, holds through edits elsewhere, and lapses with its sentence."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.findings import Finding, Reading, Stet
from storylint.revisions import stets
from tests.conftest import DRAFT, Ran, read_text
from tests.revisions.repositories import commit

Run = Callable[..., Ran]
DIED = "He died on 9 July 1899."


def findings(run: Run, *argv: object) -> dict[str, Any]:
    reading = json.loads(run("lint", *argv, "--no-record", "--format", "json").out)
    every = [*reading["findings"], *(finding for section in reading["sections"] for finding in section["findings"])]
    return {finding["id"]: finding for finding in every} | {"summary": reading["summary"]}


def find(run: Run, book: Path, rule: str, quote: str) -> str:
    there = findings(run, book)
    return next(id_ for id_, f in there.items() if f.get("rule") == rule and quote in f["places"][0]["quote"])


@pytest.fixture
def died(run: Run, book: Path) -> str:
    """The id of a finding that stands."""
    id_ = find(run, book, "boilerplate", DIED)
    done = run("stet", id_, book, "--why", 'the stone says "so", and nothing else')
    assert (done.code, done.err) == (0, "")
    return id_


def test_what_stands_is_left_out_of_counts_and_exit_code(run: Run, book: Path) -> None:
    argv = ("--only", "boilerplate", "--fail-on", "warning")
    assert run("lint", book, "--no-record", *argv).code == 1
    before = findings(run, book, *argv)
    for id_ in [id_ for id_ in before if id_ != "summary"]:
        assert run("stet", id_, book, "--why", "meant so").code == 0
    done = run("lint", book, "--no-record", *argv)
    assert done.code == 0
    assert "left out by your word (stet)" in done.out
    after = findings(run, book, *argv)
    assert after.keys() == {"summary"}
    assert after["summary"]["levels"]["warning"] == 0
    assert len(after["summary"]["stet"]["standing"]) == len(before) - 1
    assert after["summary"]["stet"]["lapsed"] == []


def test_it_is_kept_beside_the_draft_with_its_sentence_and_the_draft_is_untouched(
    run: Run, book: Path, died: str
) -> None:
    text = (book.parent / "stet.toml").read_text(encoding="utf-8")
    [stet] = stets.read(book.parent / "stet.toml")
    assert stet.quotes == (DIED,)
    assert stet.why == 'the stone says "so", and nothing else'
    assert (stet.id, stet.rule, stet.person, stet.draft) == (died, "boilerplate", "Owen Prydderch", "book.md")
    assert re.search(r"(?m)^since = \d{4}-\d\d-\d\d$", text)
    assert book.read_text(encoding="utf-8") == DRAFT


def test_it_holds_through_edits_elsewhere_moves_and_renumbering(run: Run, book: Path, died: str) -> None:
    head, owen, jane = re.split(r"(?m)^(?=## )", DRAFT)
    jane, notes = jane.split("[^1]:", 1)
    moved = (
        head + jane.replace("## 2.", "## 8.") + "Somebody sang.\n\n" + owen.replace("## 1.", "## 9.") + "[^1]:" + notes
    )
    for text in (moved, DRAFT.replace("at Gerlan in 1881", "at Tregarth in 1881"), DRAFT.replace("Owen¹", "Owain¹")):
        book.write_text(text, encoding="utf-8")
        summary = findings(run, book)["summary"]
        assert [stet["id"] for stet in summary["stet"]["standing"]] == [died]
    book.rename(book.parent / "renamed.md")
    assert len(findings(run, "renamed.md")["summary"]["stet"]["standing"]) == 1


def test_it_lapses_with_its_sentence_and_says_what_is_found_now(run: Run, book: Path, died: str) -> None:
    book.write_text(DRAFT.replace(DIED, "He died on 9 July 1899 at Gerlan."), encoding="utf-8")
    there = findings(run, book)
    [lapsed] = there["summary"]["stet"]["lapsed"]
    assert lapsed["id"] == died
    assert there[lapsed["now"]]["places"][0]["quote"] == "He died on 9 July 1899 at Gerlan."
    out = " ".join(run("lint", book, "--no-record").out.split())
    assert f"stet {died} (boilerplate, “He died on 9 July 1899. …”) has lapsed" in out
    listed = run("stet", "--list").out
    assert "1 lapsed, because the sentence changed" in listed
    assert lapsed["now"] in listed


def test_what_is_mended_is_neither_standing_nor_lapsed(run: Run, book: Path) -> None:
    id_ = find(run, book, "unsourced", DIED)
    run("stet", id_, book, "--why", "his stone")
    book.write_text(DRAFT.replace(DIED, f"{DIED}[^1]"), encoding="utf-8")
    assert findings(run, book)["summary"]["stet"] == {"standing": [], "lapsed": []}
    assert "not needed" in run("stet", "--list").out


def test_what_was_not_read_is_not_judged(run: Run, book: Path, died: str) -> None:
    (book.parent / "other.md").write_text("# A wish\n\nMay the slate hold.\n")
    assert findings(run, "other.md")["summary"]["stet"] == {"standing": [], "lapsed": []}


def test_of_equal_sentences_only_the_one_meant_stands(run: Run, book: Path) -> None:
    both = DRAFT.replace("on her head.[^3]", f"on her head.[^3]\n\n{DIED}")
    book.write_text(both, encoding="utf-8")
    there = findings(run, book)
    ids = [i for i, f in there.items() if f.get("rule") == "unsourced" and f["places"][0]["quote"] == DIED]
    assert len(ids) == 2
    run("stet", ids[1], book, "--why", "Jane's")
    for text in (both, both.replace(DIED, "Nobody asked.", 1)):  # then Jane's is the first, and has its id
        book.write_text(text, encoding="utf-8")
        [stands] = findings(run, book)["summary"]["stet"]["standing"]
        assert stands["person"] == "Jane Prydderch"
        left = [
            f
            for i, f in findings(run, book).items()
            if f.get("rule") == "unsourced" and f["places"][0]["quote"] == DIED
        ]
        assert len(left) == text.count(DIED) - 1


def test_an_error_that_stands_no_longer_holds_the_score_down(run: Run, book: Path) -> None:
    long = "She carried slates over the hill and counted them.[^1] " * 28
    book.write_text(DRAFT.replace("When the quarry closed", f"{long}\n\nWhen the quarry closed"), encoding="utf-8")
    first = json.loads(run("lint", book, "--no-record", "--format", "json").out)
    jane = next(s for s in first["sections"] if s["person"] == "Jane Prydderch")
    errors = [f["id"] for f in jane["findings"] if f["level"] == "error"]
    assert errors
    for id_ in errors:
        run("stet", id_, book, "--why", "it is meant to be breathless")
    second = json.loads(run("lint", book, "--no-record", "--format", "json").out)
    again = next(s for s in second["sections"] if s["person"] == "Jane Prydderch")
    assert again["scores"]["overall"] >= jane["scores"]["overall"]
    assert {k: v for k, v in again["scores"].items() if k != "overall"} == {
        k: v for k, v in jane["scores"].items() if k != "overall"
    }


def test_the_log_counts_what_is_left(run: Run, book: Path, died: str) -> None:
    run("lint", book)
    [line] = (book.parent / "storylint-log.jsonl").read_text(encoding="utf-8").splitlines()
    owen = json.loads(line)["persons"][0]
    shown = json.loads(run("lint", book, "--no-record", "--format", "json").out)
    there = next(section for section in shown["sections"] if section["person"] == "Owen Prydderch")
    assert owen["findings"]["warning"] == sum(finding["level"] == "warning" for finding in there["findings"])


# --------------------------------------------------------------------------------------------- in the other commands

# The stone has the year wrong, and the author keeps its words.
STONE = """\
# The Gethins

## 1. Owen Gethin

Owen Gethin was born on 3 May 1841 at Gerlan.[^1] He learned to dress slates from an uncle who could not read, and \
kept the tally on the wall in chalk.[^1] He died on 9 July 1839 at Gerlan, or so the stone says, and the sexton would \
not have it cut again.[^2] When the great strike at Penrhyn shut the galleries in 1900, his sons walked to the coal.[^2]

[^1]: Papers kept at Gerlan, bundle 1, seen in 2019.
[^2]: Papers kept at Gerlan, bundle 2, seen in 2019.
"""
WORSE = STONE.replace("to the coal.[^2]", "to the coal.")


@pytest.fixture
def stone(run: Run, folder: Path) -> Path:
    """A draft with one error, which stands."""
    book = folder / "book.md"
    commit(folder, 1, book__md=STONE)
    run("stet", find(run, book, "dates", "1839"), book, "--why", "the stone says so")
    return book


def test_who_has_an_error_that_stands_is_still_guarded(run: Run, stone: Path) -> None:
    assert run("lint", stone, "--no-record", "--against", "HEAD").code == 0
    stone.write_text(WORSE, encoding="utf-8")
    done = run("lint", stone, "--no-record", "--against", "HEAD", "--format", "json")
    assert done.code == 1
    [fall] = json.loads(done.out)["summary"]["against"]["fell"]
    assert fall["before"] > 75  # and not held down by the error


def test_the_review_copy_says_nothing_of_what_stands(run: Run, folder: Path) -> None:
    shutil.copy(Path(__file__).parents[2] / "corpus_demo" / "chapter.docx", folder)
    argv = ("markup", "chapter.docx", "-o", "copy.docx", "--force", "--most", "0")
    before = re.search(r"(\d+) comments", run(*argv).out)
    there = findings(run, Path("chapter.docx"))
    for id_, finding in there.items():
        if id_ != "summary" and len(finding["places"]) == 1:
            run("stet", id_, "--why", "so", "chapter.docx")
            break
    after = re.search(r"(\d+) comments", run(*argv).out)
    assert before
    assert after
    assert int(after[1]) == int(before[1]) - 1


@pytest.mark.parametrize("new", ["book.md", "HEAD:book.md"])
def test_compare_knows_what_stands(run: Run, stone: Path, new: str) -> None:
    compared = json.loads(run("compare", "HEAD:book.md", new, "--format", "json").out)["sections"]
    [owen] = [section for section in compared if section["new"]["scores"]["overall"] is not None]
    shown = json.loads(run("lint", stone, "--no-record", "--format", "json").out)["sections"]
    score = next(section["scores"]["overall"] for section in shown if section["person"])
    assert score > 75
    assert (owen["old"]["scores"]["overall"], owen["new"]["scores"]["overall"]) == (score, score)


def test_what_is_let_stand_is_recorded_at_once_and_told_as_such(run: Run, stone: Path) -> None:
    (stone.parent / "stet.toml").rename(stone.parent / "kept")
    run("lint", stone)
    (stone.parent / "kept").rename(stone.parent / "stet.toml")
    for _ in range(2):
        run("lint", stone)
        run("lint", stone, "--only", "dates")
    told = json.loads(run("progress", "--format", "json").out)["book"]
    assert [(moment["findings"]["error"], moment["let_stand"]) for moment in told] == [(1, 0), (0, 1)]
    assert "that you let stand: 1 more on" in " ".join(run("progress").out.split())
    assert not any(moment["rules_changed"] for moment in told)


def test_the_history_from_git_knows_what_stood(run: Run, stone: Path) -> None:
    def errors() -> list[int]:
        found = json.loads(run("progress", "book.md", "--from-git", "--no-record", "--format", "json").out)
        return [moment["findings"]["error"] for moment in found["book"]]

    assert errors() == [0]  # nothing of stets in the commits: today's
    kept = (stone.parent / "stet.toml").read_text(encoding="utf-8")
    commit(stone.parent, 2, stet__toml="# nothing yet\n", book__md=WORSE)
    commit(stone.parent, 3, stet__toml=kept, book__md=STONE)
    assert errors() == [0, 1, 0]


# ------------------------------------------------------------------------------------------------------- the command


def test_the_screen_gives_the_id_and_the_command_finds_its_draft(run: Run, book: Path) -> None:
    out = run("lint", book, "--person", "Owen").out
    id_ = find(run, book, "boilerplate", DIED)
    assert id_ in out
    assert "storylint stet ID" in out
    assert run("stet", id_, "--why", "so").code == 0  # without a draft: what was last read here
    assert run("stet", "--drop", id_).code == 0
    (book.parent / "storylint-log.jsonl").unlink()
    assert run("stet", id_, "--why", "so").code == 0  # or what is here


def test_dropping_leaves_everything_else_as_it_is(run: Run, book: Path, died: str) -> None:
    file = book.parent / "stet.toml"
    first = file.read_text(encoding="utf-8") + "# a word of my own\n"
    file.write_text(first, encoding="utf-8")
    other = find(run, book, "boilerplate", "Tregarth")
    run("stet", other, book, "--why", "two")
    assert file.read_text(encoding="utf-8").startswith(first)
    assert len(stets.read(file)) == 2
    done = run("stet", "--drop", other)
    assert done.code == 0
    assert file.read_text(encoding="utf-8").strip() == first.strip()
    assert run("stet", "--drop", other).code == 2


def test_several_at_once_lose_nothing(folder: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from storylint.findings import Stet; from storylint.revisions import stets\n"
        "for n in range(20): stets.add(Path('stet.toml'), Stet(f'{sys.argv[1]}{n}', 'dates', 'so', ('a',), since='2026-03-01'))\n"
        "for n in range(0, 20, 2): stets.drop(Path('stet.toml'), f'{sys.argv[1]}{n}')\n"
    )
    runs = [subprocess.Popen([sys.executable, "-c", code, name], cwd=folder) for name in "abcd"]
    assert [each.wait(120) for each in runs] == [0] * 4
    left = [stet.id for stet in stets.read(folder / "stet.toml")]
    assert sorted(left) == sorted(f"{name}{n}" for name in "abcd" for n in range(1, 20, 2))
    assert [file.name for file in folder.iterdir()] == ["stet.toml"]


def test_the_natural_order_of_the_words_will_do(run: Run, book: Path) -> None:
    id_ = find(run, book, "boilerplate", DIED)
    assert run("stet", id_, "--why", "so", book).code == 0
    assert run("stet", "--list", book).code == 0
    assert run("stet", book, "--drop", id_).code == 0
    assert run("stet", "--why", "so", id_, book).code == 0
    assert run("lint", book, "--only", "dates", book.parent, "--no-record").code == 0
    book.rename("-book.md")
    assert run("lint", "--only", "dates", "--no-record", "--", "-book.md").code == 0
    assert "unrecognized" in run("stet", id_, "--why", "so", book, "--wy").err


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["stet"], "stet ID --why"),
        (["stet", "0000000000"], "--why"),
        (["stet", "0000000000", "book.md", "--why", " "], "say why"),
        (["stet", "0000000000", "book.md", "--why", "so"], "no finding has the ID"),
        (["stet", "--drop", "0000000000"], "nothing stands"),
    ],
)
def test_wrong_usage_is_one_line(run: Run, book: Path, argv: list[str], says: str) -> None:
    done = run(*argv)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert says in done.err


def test_twice_is_refused(run: Run, book: Path, died: str) -> None:
    assert "stands already" in run("stet", died, book, "--why", "again").err
    assert "nothing stands" in run("stet", "--list", "nowhere.md").out + "nothing stands"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[[stet]\n", "can't be understood"),
        ("[stet]\nid = 'a'\n", "[[stet]]"),
        ("ids = 3\n", "[[stet]]"),
        ("[[stet]]\nid = 'a'\nrule = 'b'\n", "no 'why'"),
        ("[[stet]]\nid = 'a'\nrule = 'b'\nwhy = 'c'\nwer = 'd'\n", "'wer'"),
        ("[[stet]]\nid = 7\nrule = 'b'\nwhy = 'c'\n", "'id'"),
    ],
)
def test_a_stet_file_that_cannot_be_understood_is_told(run: Run, book: Path, text: str, says: str) -> None:
    (book.parent / "stet.toml").write_text(text)
    done = run("lint", book, "--no-record")
    assert done.code == 2
    assert done.err.count("\n") == 1
    assert says in done.err


def test_the_stets_of_a_folder_hold_for_its_chapters_and_the_other_way_round(run: Run, folder: Path) -> None:
    (folder / "part").mkdir()
    (folder / "part" / "a.md").write_text(DRAFT, encoding="utf-8")
    id_ = find(run, Path("part/a.md"), "boilerplate", DIED)
    run("stet", id_, "--why", "so")
    assert (folder / "part" / "stet.toml").exists()
    assert len(findings(run, ".")["summary"]["stet"]["standing"]) == 1
    (folder / "part" / "stet.toml").rename(folder / "stet.toml")
    assert len(findings(run, "part/a.md")["summary"]["stet"]["standing"]) == 1


# ------------------------------------------------------------------------------------------------------- properties


def every(reading: Reading) -> dict[str, Finding]:
    return {finding.id: finding for _, finding in reading.every()}


@settings(max_examples=30, deadline=None)
@given(data=st.data())
def test_whatever_stands_hides_just_as_many_findings(data: st.DataObject) -> None:
    reading = read_text(DRAFT.replace("on her head.[^3]", f"on her head.[^3]\n\n{DIED} {DIED}"))
    pairs = reading.every()
    chosen = data.draw(st.lists(st.sampled_from(pairs), unique_by=lambda pair: pair[1].id))
    made = [
        Stet(f.id, f.rule, "so", tuple(place.quote for place in f.places), section.person if section else None)
        for section, f in chosen
    ]
    found = stets.standing(made, pairs)
    assert len(found) == len(made)
    hidden = {finding.id for _, finding in found.values()}
    assert hidden == {finding.id for _, finding in chosen}
    left = stets.without(reading, hidden)
    assert every(left).keys() == every(reading).keys() - hidden


@settings(max_examples=200, deadline=None)
@given(text=st.text(min_size=1, max_size=40), why=st.text(min_size=1, max_size=40))
def test_any_text_can_be_written_down_and_read_again(
    tmp_path_factory: pytest.TempPathFactory, text: str, why: str
) -> None:
    file = tmp_path_factory.mktemp("stet") / "stet.toml"
    clean = text.encode("utf-8", "replace").decode(), why.encode("utf-8", "replace").decode()
    stets.add(file, Stet("a", "rule", clean[1], (clean[0], clean[0]), clean[0], "book.md", "2026-03-01"))
    stets.add(file, Stet("b", "rule", "[[stet]]", ("[[stet]]\n[[stet]]",), None, "book.md", "2026-03-01"))
    first, second = stets.read(file)
    assert (first.quotes, first.why, first.person) == ((clean[0], clean[0]), clean[1], clean[0])
    assert stets.drop(file, "a")
    assert not stets.drop(file, "a")
    assert stets.read(file) == [second]
