"""The revision log as ``lint`` writes it: what is recorded, what is not, and what never stands in it."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from storylint.revisions import journal, log
from storylint.rule import rules
from tests.conftest import DRAFT, Ran
from tests.revisions.books import LIVES, chapter

Run = Callable[..., Ran]

LIVING = """\
# The Gethins now

## 1. Owen Gethin

Owen Gethin was born on 3 May 1841 at Gerlan. He died on 9 July 1899 at Gerlan and lies at Coetmor.

## 2. Nerys Gethin Howells

Nerys Gethin Howells was born on 14 August 1979 at Bangor and lives at 12 Slate Terrace, Granville. She keeps \
Owen's chisel on the kitchen sill and has been in hospital since the spring.
"""


def lines(folder: Path) -> list[Any]:
    file = folder / log.FILE
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()] if file.exists() else []


def lint(run: Run, *argv: object) -> Ran:
    return run("lint", *argv, "--fail-on", "never")


def test_a_run_records_what_it_found(run: Run, book: Path) -> None:
    lint(run, book)
    [line] = lines(book.parent)
    assert line["drafts"][0]["path"] == "book.md"
    assert re.fullmatch(r"[0-9a-f]{64}", line["drafts"][0]["sha256"])
    assert line["rules"] == {name: module.CARD.version for name, module in rules().items()}
    assert line["commit"] is None
    assert line["whole"] is line["partial"] is False
    owen = line["persons"][0]
    assert (owen["name"], owen["number"]) == ("Owen Prydderch", "1")
    reading = json.loads(run("lint", book, "--no-record", "--format", "json").out)
    section = next(section for section in reading["sections"] if section["person"] == "Owen Prydderch")
    assert owen["scores"] == section["scores"]
    assert owen["words"] == section["words"]
    levels = [finding["level"] for finding in section["findings"]]
    assert owen["findings"] == {level: levels.count(level) for level in ("error", "warning", "note")}
    assert line["persons"][1]["notes"] == 3


def test_the_same_content_adds_nothing_and_other_content_only_adds(run: Run, book: Path) -> None:
    lint(run, book)
    lint(run, book)
    lint(run, book, "--format", "json")
    before = (book.parent / log.FILE).read_bytes()
    assert before.count(b"\n") == 1
    book.write_text(DRAFT + "\n## 3. Hugh Prydderch\n\nHugh kept bees on the tip.\n", encoding="utf-8")
    lint(run, book)
    after = (book.parent / log.FILE).read_bytes()
    assert after.startswith(before)
    assert after.count(b"\n") == 2
    book.write_text(DRAFT, encoding="utf-8")
    lint(run, book)  # back again is a revision too
    assert len(lines(book.parent)) == 3


def test_who_objects_is_not_recorded(run: Run, book: Path) -> None:
    lint(run, book, "--no-record")
    assert lines(book.parent) == []


def test_the_same_content_judged_anew_is_recorded(run: Run, book: Path) -> None:
    lint(run, book, "--only", "boilerplate")
    lint(run, book, "--only", "boilerplate")
    lint(run, book, "--skip", "context")
    lint(run, book)
    lint(run, book, "--only", "boilerplate")
    assert [line["partial"] for line in lines(book.parent)] == [True, False]
    (book.parent / "storylint.toml").write_text("[book]\ngoal = 60\nreader_grade = 7\n")
    lint(run, book)
    assert len(lines(book.parent)) == 2  # the goal judges nobody
    (book.parent / "storylint.toml").write_text("[boilerplate]\nthreshold = 0.9\n")
    lint(run, book)
    assert len(lines(book.parent)) == 3


def test_a_chapter_of_a_recorded_book_adds_nothing_and_a_chapter_gone_does(run: Run, folder: Path) -> None:
    (folder / "a.md").write_text(chapter(["Hugh Gethin", "Gwen Gethin"]))
    (folder / "b.md").write_text(chapter(["Idwal Gethin"], first=3))
    lint(run, folder)
    lint(run, "a.md")
    lint(run, "b.md", "a.md")
    lint(run, folder)
    assert [line["whole"] for line in lines(folder)] == [True]
    (folder / "b.md").unlink()
    lint(run, "a.md")
    assert len(lines(folder)) == 1
    lint(run, folder)
    assert [len(line["drafts"]) for line in lines(folder)] == [2, 1]


def test_a_book_is_recorded_after_its_chapters_were_read_one_by_one(run: Run, folder: Path) -> None:
    told = [
        f"{who} was born on {day} May 18{day} at Gerlan. {who} died on {day} June 19{day} at Gerlan."
        for who, day in (("Hugh", 31), ("Gwen", 33), ("Idwal", 35), ("Ann", 37))
    ]
    for name, lives in (("a.md", told[:2]), ("b.md", told[2:])):
        text = "\n\n".join(f"## {life.split()[0]} Gethin\n\n{life}" for life in lives)
        (folder / name).write_text(f"# {name}\n\n{text}\n")
        lint(run, name)
    lint(run, folder)
    lint(run, "a.md")
    lint(run, folder)
    assert [len(line["drafts"]) for line in lines(folder)] == [1, 1, 2]
    overall = json.loads(run("lint", folder, "--format", "json", "--no-record").out)["summary"]["overall"]
    assert json.loads(run("progress", "--format", "json").out)["book"][-1]["overall"] == overall


def test_a_chapter_in_a_folder_below_goes_into_the_book_s_log(run: Run, folder: Path) -> None:
    part = folder / "part one"
    part.mkdir()
    (part / "a.md").write_text(chapter(["Hugh Gethin"]))
    lint(run, folder)
    (part / "a.md").write_text(chapter(["Hugh Gethin", "Gwen Gethin"]))
    lint(run, part / "a.md")
    (part / "new.md").write_text(chapter(["Idwal Gethin"]))
    lint(run, part / "new.md")
    assert [line["drafts"][0]["path"] for line in lines(folder)] == ["part one/a.md"] * 2
    assert [line["drafts"][0]["path"] for line in lines(part)] == ["new.md"]  # no log above knows it


def test_the_commit_is_recorded(run: Run, book: Path) -> None:
    for words in (["init", "-q"], ["add", "."], ["-c", "user.name=n", "-c", "user.email=e", "commit", "-qm", "first"]):
        subprocess.run(["git", *words], cwd=book.parent, check=True)
    head = subprocess.run(["git", "rev-parse", "HEAD"], cwd=book.parent, check=True, capture_output=True, text=True)
    lint(run, book)
    assert lines(book.parent)[0]["commit"] == head.stdout.strip()


# ------------------------------------------------------------------------------------------------------------ privacy


def test_nothing_of_who_may_be_living_is_in_the_log(run: Run, folder: Path) -> None:
    draft = folder / "nerys-gethin-howells.md"
    draft.write_text(LIVING)
    lint(run, draft)
    text = (folder / log.FILE).read_text()
    for secret in ("nerys", "howells", "1979", "august", "terrace", "granville", "hospital", "kitchen"):
        assert secret not in text.lower(), secret
    owen, nerys = lines(folder)[0]["persons"]
    assert owen["name"] == "Owen Gethin"
    assert owen["prints"]
    assert "name" not in nerys
    assert nerys["prints"] == []
    assert re.fullmatch(r"[0-9a-f]{16}", nerys["who"])
    lint(run, draft)
    assert len(lines(folder)) == 1  # known again under its hash


def test_no_sentence_can_be_read_from_the_log_nor_a_date_guessed(run: Run, folder: Path) -> None:
    (folder / "book.md").write_text(chapter(LIVES))
    lint(run, "book.md")
    text = (folder / log.FILE).read_text()
    for word in ("rope", "chapel", "Strand", "1911", "November", "bundle"):
        assert word not in text
    one = lines(folder)[0]["persons"][0]["prints"]
    (folder / "book.md").write_text(chapter(LIVES).replace("4 May 1911", "5 May 1912"))
    lint(run, "book.md")
    assert lines(folder)[1]["persons"][0]["prints"] == one


def test_two_logs_have_two_keys(run: Run, folder: Path) -> None:
    for name in ("one", "two"):
        (folder / name).mkdir()
        (folder / name / "book.md").write_text(LIVING)
        lint(run, folder / name / "book.md")
    first, second = (lines(folder / name)[0] for name in ("one", "two"))
    assert first["persons"][1]["who"] != second["persons"][1]["who"]
    assert not set(first["persons"][0]["prints"]) & set(second["persons"][0]["prints"])


# ------------------------------------------------------------------------------------------------- what can go wrong


def test_a_log_that_cannot_be_written_costs_the_record_and_one_line(run: Run, book: Path) -> None:
    (book.parent / log.FILE).mkdir()
    done = lint(run, book)
    assert done.code == 0
    assert "Owen Prydderch" in done.out
    assert done.err.count("\n") == 1
    assert "not recorded" in done.err


def test_a_torn_line_is_told_and_the_next_revision_is_recorded(run: Run, book: Path) -> None:
    lint(run, book)
    file = book.parent / log.FILE
    whole = file.read_bytes()
    file.write_bytes(whole + whole[: len(whole) // 2])
    book.write_text(DRAFT + "\nOne more line.\n")
    done = lint(run, book)
    assert done.err.count("\n") == 1
    assert "cut off" in done.err
    assert file.read_bytes().startswith(whole + whole[: len(whole) // 2])
    assert len(journal.read(file)[0]) == 2


@pytest.mark.parametrize("line", ["{}", '{"schema":1,"when":"x","drafts":[{}],"persons":[]}', '{"schema":9}', "[]"])
def test_lines_that_are_no_revision_harm_nothing(run: Run, book: Path, line: str) -> None:
    (book.parent / log.FILE).write_text(line + "\n")
    done = lint(run, book)
    assert done.err == ""
    assert len(journal.read(book.parent / log.FILE)[0]) == 1 + line.startswith("{")
    assert "revision" in run("progress", book).out


def test_two_runs_at_once_record_the_same_content_once(folder: Path) -> None:
    (folder / "book.md").write_text(chapter(LIVES))
    command = [sys.executable, "-m", "storylint", "lint", "book.md", "--fail-on", "never"]
    runs = [subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL) for _ in range(3)]
    assert [each.wait(120) for each in runs] == [0, 0, 0]
    assert len(lines(folder)) == 1
