"""The command line as a shell sees it: exit codes, one-line errors, a quick start."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from storylint import cli, engine, lint
from storylint.complaints import Exit, Unreadable, stopped
from storylint.revisions import log
from storylint.rule import rules
from storylint.settings import Settings
from storylint.study import alive, citations, facts
from tests.conftest import DRAFT, Ran, read_text

Run = Callable[..., Ran]
HEAVY = {"spacy", "textstat", "docx", "lxml", "rich", "markdown_it", "numpy", "pysyllables"}


def python(code: str, *argv: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-c", code, *argv], capture_output=True, text=True, check=False, timeout=120)


# ---------------------------------------------------------------------------------------------------------- start-up


@pytest.mark.parametrize("argv", [["--help"], ["lint", "--help"], ["--version"]])
def test_help_imports_nothing_heavy(argv: list[str]) -> None:
    code = (
        "import sys\nfrom storylint.cli import main\n"
        "try: main(sys.argv[1:])\nexcept SystemExit: pass\n"
        "print(sorted(m for m in sys.modules if '.' not in m), file=sys.stderr)"
    )
    done = python(code, *argv)
    assert done.returncode == 0, done.stderr
    assert done.stdout
    assert not HEAVY & set(ast.literal_eval(done.stderr.splitlines()[-1]))


def test_a_command_whose_module_is_not_there_is_not_offered(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(cli.COMMANDS, "dream", ("storylint.dream", "read what was never written"))
    assert "dream" not in run("--help").out
    assert "rulebook" in run("--help").out
    assert run().out == run("--help").out


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("a claim", "a claim."),
        ("who says so?", "who says so?"),
        ("as at “He split slate.”", "as at “He split slate.”"),
        ("as at “He split”", "as at “He split”."),
        ("as at “He split slate and sold it…”", "as at “He split slate and sold it…”"),
    ],
)
def test_a_sentence_has_one_stop(said: str, shown: str) -> None:
    assert stopped(said) == shown


@pytest.mark.parametrize("name", sorted(rules()))
def test_no_page_of_the_rulebook_doubles_a_stop(run: Run, name: str) -> None:
    assert not re.search(r"(?:[?!]|[^.]\.”?)\.$", run("rulebook", name).out, re.MULTILINE)


# --------------------------------------------------------------------------------------------------------- exit codes


def test_findings_below_the_fail_level_are_no_failure(run: Run, book: Path) -> None:
    assert run("lint", book, "--no-record").code == Exit.CLEAN
    for level, code in (("error", 0), ("warning", 1), ("note", 1), ("never", 0)):
        assert run("lint", book, "--no-record", "--fail-on", level).code == code, level


def test_a_clean_draft_is_clean_at_every_level(run: Run, folder: Path) -> None:
    (folder / "poem.md").write_text("# A wish\n\nMay the slate hold.\n")
    assert run("lint", "poem.md", "--no-record", "--only", "unbroken", "--fail-on", "note").code == 0


def test_what_cannot_be_read_is_told_and_the_rest_is_reported(run: Run, book: Path) -> None:
    done = run("lint", "missing.md", book, "--no-record", "--format", "json")
    assert done.code == Exit.UNREADABLE
    assert done.err.startswith("storylint: missing.md: ")
    assert done.err.count("\n") == 1
    reading = json.loads(done.out)
    assert [draft["path"] for draft in reading["drafts"]] == [str(book)]
    assert reading["summary"]["unreadable"][0]["path"] == "missing.md"


def test_a_rule_that_crashes_is_named_and_the_rest_is_reported(
    run: Run, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("by the foreman")

    card = rules()["openings"].CARD
    monkeypatch.setitem(rules(), "openings", SimpleNamespace(CARD=card, check=broken))
    done = run("lint", book, "--no-record", "--format", "json")
    assert done.code == Exit.RULE_CRASHED
    assert "'openings' failed" in done.err
    assert "Traceback" not in done.err
    assert json.loads(done.out)["sections"]


def test_what_all_rules_go_by_fails_once_and_is_told_once(
    run: Run, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Facts that can't be worked out cost those rules that go by them; the rest is reported."""
    asked: list[object] = []

    def broken(book: object) -> None:
        asked.append(book)
        raise ZeroDivisionError("by the foreman")

    monkeypatch.setattr(facts, "gather", broken)
    done = run("lint", book, "--no-record", "--no-cache", "--format", "json")
    assert done.code == Exit.RULE_CRASHED
    assert len(asked) == 1
    told = [line.split(" failed on ")[0] for line in done.err.splitlines()]
    assert len(told) == len(set(told))
    assert "storylint: rule 'dates'" in told
    sections = json.loads(done.out)["sections"]
    assert any(section["scores"]["boilerplate"] is not None for section in sections)


def test_who_can_not_be_told_to_be_dead_may_be_living(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not all(section.may_live for section in engine.read([book], engine.Run(Settings())).sections)
    monkeypatch.setattr(alive, "may_live", lambda *_: 1 / 0)
    reading = engine.read([book], engine.Run(Settings()))
    assert all(section.may_live for section in reading.sections)
    assert all(crash.startswith("who may be living failed on ") for crash in reading.crashes)


def test_notes_that_can_not_be_read_cost_the_table_of_sources(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(citations, "table", lambda _: 1 / 0)
    reading = engine.read([book], engine.Run(Settings()))
    assert reading.sections
    assert reading.sources == ()
    assert reading.crashes == ("the table of sources failed on the book: ZeroDivisionError: division by zero",)


def test_an_unforeseen_fault_is_one_line(run: Run, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("first line\nsecond line")

    monkeypatch.setattr(engine, "read", fails)
    done = run("lint", book)
    assert done.code == Exit.RULE_CRASHED
    assert done.err.count("\n") == 1
    assert "report" in done.err


def test_ctrl_c_stops_without_a_word_too_many(run: Run, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(engine, "read", stopped)
    done = run("lint", book)
    assert (done.code, done.err.count("\n")) == (130, 1)


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["lint"], "PATH"),
        (["lnt", "book.md"], "Did you mean 'lint'?"),
        (["book.md"], "storylint lint book.md"),
        (["lint", "book.md", "--only", "boilerplat"], "Did you mean 'boilerplate'?"),
        (["lint", "book.md", "--skip", "unbroken,unsourcd"], "Did you mean 'unsourced'?"),
        (["lint", "book.md", "--fail-on", "panic"], "panic"),
        (["lint", "book.md", "--format", "papyrus"], "papyrus"),
        (["lint", "book.md", "--write", "report.json"], "json:report.json"),
        (["lint", "book.md", "--write", "papyrus:report"], "papyrus"),
        (["lint", "book.md", "--write", "json:nowhere/report.json"], "nowhere"),
        (["lint", "book.md", "--person", "Owain Prydderch"], "Did you mean 'Owen Prydderch'?"),
        (["lint", "book.md", "--why", "Owen Prydderch", "--format", "json"], "--why"),
        (["rulebook", "boilerplat"], "Did you mean 'boilerplate'?"),
    ],
)
def test_wrong_usage_is_one_line_and_exit_2(run: Run, book: Path, argv: list[str], says: str) -> None:
    done = run(*argv)
    assert done.code == Exit.USAGE
    assert says in done.err
    assert done.err.startswith("storylint: ")
    assert done.err.count("\n") == 1


def test_wrong_settings_are_exit_2(run: Run, book: Path) -> None:
    (book.parent / "storylint.toml").write_text("[book]\ngaol = 80\n")
    done = run("lint", book)
    assert done.code == Exit.USAGE
    assert "storylint.toml:2: [book] has no setting 'gaol'. Did you mean 'goal'?" in done.err


# ----------------------------------------------------------------------------------------------------- lint's options


def test_only_and_skip(run: Run, book: Path) -> None:
    def rules(*argv: str) -> set[str]:
        reading = json.loads(run("lint", book, "--no-record", "--format", "json", *argv).out)
        return {finding["rule"] for section in reading["sections"] for finding in section["findings"]}

    every = rules()
    assert {"boilerplate", "unsourced", "templates"} <= every
    assert rules("--only", "boilerplate,templates") == {"boilerplate", "templates"}
    assert rules("--only", "boilerplate", "--only", "templates") == {"boilerplate", "templates"}
    assert rules("--skip", "boilerplate") == every - {"boilerplate"}
    (book.parent / "storylint.toml").write_text("[rules]\ntemplates = false\n")
    assert rules() == every - {"templates"}
    assert rules("--only", "templates") == {"templates"}


def test_one_person_alone(run: Run, book: Path) -> None:
    done = run("lint", book, "--no-record", "--format", "json", "--person", "owen  prydderch")
    assert [section["person"] for section in json.loads(done.out)["sections"]] == ["Owen Prydderch"]
    numbered = run("lint", book, "--no-record", "--format", "json", "--person", "2 Jane Prydderch")
    assert [section["number"] for section in json.loads(numbered.out)["sections"]] == ["2"]
    shown = run("lint", book, "--no-record", "--person", "Owen").out
    assert "Owen Prydderch" in shown
    assert "Jane Prydderch " not in shown


def test_why_shows_each_sentence_that_counts(run: Run, book: Path) -> None:
    done = run("lint", book, "--no-record", "--why", "Owen Prydderch")
    assert done.code == 0
    flat = " ".join(done.out.split())
    assert "“He died on 9 July 1899.”" in flat
    assert flat.count("“He died on 9 July 1899.”") >= 3  # boilerplate, templates, unsourced
    assert "of 3 claims" in flat or "claims count as clean" in flat


def test_two_outputs_of_one_run(run: Run, book: Path) -> None:
    done = run("lint", book, "--no-record", "--format", "json", "--write", "json:a.json", "--write", "sarif:b.sarif")
    assert (book.parent / "a.json").read_text(encoding="utf-8") == done.out
    assert json.loads((book.parent / "b.sarif").read_text(encoding="utf-8"))["version"] == "2.1.0"
    assert run("lint", book, "--no-record", "--write", "json:a.json").code == 0  # our own report is replaced


def test_no_file_is_overwritten_that_is_not_our_report(run: Run, book: Path) -> None:
    before = book.read_bytes()
    other = book.parent / "family.html"
    other.write_text("<p>My own page</p>")
    for name in (book.name, other.name):
        done = run("lint", book, "--no-record", "--write", f"json:{name}")
        assert done.code == Exit.USAGE
        assert "choose another name" in done.err
    assert book.read_bytes() == before
    assert other.read_text() == "<p>My own page</p>"
    assert {path.name for path in book.parent.iterdir()} == {"book.md", "family.html"}


def test_timings_go_to_standard_error(run: Run, book: Path) -> None:
    done = run("lint", book, "--no-record", "--format", "json", "--timings")
    assert "boilerplate" in done.err
    json.loads(done.out)


def test_a_draft_given_twice_is_read_once(run: Run, book: Path) -> None:
    done = run("lint", book, book.parent, "./book.md", "--no-record", "--format", "json")
    assert len(json.loads(done.out)["drafts"]) == 1


def test_the_run_is_recorded_unless_the_author_objects(run: Run, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []
    monkeypatch.setattr(log, "record", lambda reading, *_: seen.append(len(reading.sections)))
    run("lint", book, "--no-record")
    assert seen == []
    run("lint", book, "--person", "Jane")
    assert len(seen) == 1
    assert seen[0] >= 3  # the whole book, whatever is shown


def test_a_record_that_fails_costs_nothing_else(run: Run, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(log, "record", full)
    done = run("lint", book)
    assert done.code == 0
    assert "No space left" in done.err
    assert "Owen Prydderch" in done.out


def test_the_gravest_reason_makes_the_exit_code() -> None:
    reading = read_text("# A wish\n\nMay the slate hold.\n")
    assert lint.code(reading, worse=True) == 1
    assert lint.code(replace(reading, unreadable=(("a", "b"),)), worse=True) == 3
    assert lint.code(replace(reading, unreadable=(("a", "b"),), crashes=("c",)), worse=False) == 4


# ------------------------------------------------------------------------------------------------------ what is shipped


def test_every_folder_and_every_data_file_is_shipped() -> None:
    top = Path(__file__).parents[1]
    tool = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    folders = {name: top / name.replace(".", "/") for name in tool["packages"]} | {"storylint.rules": top / "rules"}
    there = {".".join(file.parent.relative_to(top).parts) for file in (top / "storylint").rglob("__init__.py")}
    assert set(tool["packages"]) == there | {"storylint.rules"}
    for name, path in folders.items():
        shipped = {file for pattern in tool["package-data"].get(name, []) for file in path.glob(pattern)}
        data = {file for file in path.iterdir() if file.is_file() and file.suffix not in (".py", ".pyc")}
        assert data <= shipped, name


# --------------------------------------------------------------------------------------------------------- the streams


@pytest.mark.parametrize(
    ("form", "level", "code"), [("terminal", "never", 0), ("terminal", "note", 1), ("json", "note", 1)]
)
def test_output_that_nobody_reads_on_is_no_fault(book: Path, form: str, level: str, code: int) -> None:
    """What is to be written besides is written, and the exit code says what it says elsewhere."""
    lint = f"{sys.executable} -m storylint lint book.md --all --format {form} --write html:page.html --fail-on {level}"
    command = f"({lint} --no-record; echo $? > code) | head -c 10"
    book.write_text(DRAFT * 40, encoding="utf-8")  # more than a pipe holds
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, check=False, timeout=120)
    assert (len(done.stdout), done.stderr) == (10, "")
    assert Path("code").read_text() == f"{code}\n"
    assert Path("page.html").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize("argv", ["lint book.md --no-record", "lint book.md --no-record --format json", "rulebook"])
def test_a_full_disk_is_told_as_such(book: Path, argv: str) -> None:
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "storylint", *argv.split()]
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=120)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "make room" in done.stderr


@pytest.mark.parametrize("form", ["terminal", "json", "github"])
def test_no_encoding_of_a_stream_breaks_the_output(book: Path, form: str) -> None:
    book.write_text("# Ǝlen ap Gruffydd 王\n\nḶlan was born in 1841. 王 died in 1899.\n", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "storylint", "lint", str(book), "--no-record", "--format", form],
        capture_output=True,
        check=False,
        timeout=120,
        env=os.environ | {"PYTHONIOENCODING": "ascii"},
    )
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr


def test_the_progress_bar_waits_and_stays_off_standard_output(
    run: Run, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lint.Progress, "PATIENCE", 0.0)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    done = run("lint", book, "--no-record", "--format", "json")
    assert "judging" in done.err or "reading" in done.err
    json.loads(done.out)


def test_unreadable_is_a_complaint_with_a_path() -> None:
    assert str(Unreadable("a.docx", "is empty")) == "a.docx: is empty"
