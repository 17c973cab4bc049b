"""A long book judged by two processes: the same reading, whatever becomes of the second."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from storylint import engine, halves
from storylint.findings import Reading
from storylint.lint import drafts
from storylint.settings import Settings
from tests.conftest import DRAFT

DEMO = Path(__file__).parents[1] / "corpus_demo" / "working.docx"


def reading(path: Path, run: engine.Run | None = None) -> Reading:
    return engine.read(drafts([path]), run or engine.Run(Settings()))


@pytest.fixture
def always(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(halves, "WORTH_IT", 0)
    monkeypatch.setattr(halves, "cores", lambda: 2)


@pytest.mark.usefixtures("always")
@pytest.mark.parametrize("path", [DEMO, DEMO.with_suffix(".md")], ids=["docx", "md"])
def test_two_processes_say_what_one_says(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the order of the findings; and the second has done its half."""
    run = engine.Run(Settings())
    by_two = reading(path, run)
    assert set(run.timings) >= {"boilerplate", "dates", "sources"}
    monkeypatch.setattr(halves, "WORTH_IT", 10**9)
    assert repr(by_two) == repr(reading(path))


@pytest.mark.usefixtures("always")
def test_the_first_does_not_do_the_work_of_the_second(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    judge_book = engine.judge_book

    def noted(book: object, run: object, names: list[str]) -> object:
        done.extend(names)
        return judge_book(book, run, names)  # type: ignore[arg-type]

    monkeypatch.setattr(engine, "judge_book", noted)
    reading(book)
    assert set(done) == set(engine.rules()) & halves.BY_FACTS


@pytest.mark.usefixtures("always")
@pytest.mark.parametrize(
    "code", ["import sys; sys.exit(3)", "print('nonsense')", "1 / 0", "import os; os.kill(os.getpid(), 9)"]
)
def test_where_the_second_fails_the_first_does_it_all(book: Path, monkeypatch: pytest.MonkeyPatch, code: str) -> None:
    due = reading(book)
    popen = subprocess.Popen
    monkeypatch.setattr(halves.subprocess, "Popen", lambda argv, **more: popen([*argv[:-1], code], **more))
    assert repr(reading(book)) == repr(due)


@pytest.mark.usefixtures("always")
def test_where_no_second_can_start_the_first_does_it_all(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    due = reading(book)

    def refused(*_: object, **__: object) -> None:
        raise PermissionError("no more processes")

    monkeypatch.setattr(halves.subprocess, "Popen", refused)
    assert repr(reading(book)) == repr(due)


def test_a_file_beside_the_drafts_is_no_module_of_the_second(book: Path) -> None:
    """Nor of the first: a family's folder may hold a file of any name."""
    for name in ("spacy", "pickle", "re", "storylint"):
        (book.parent / f"{name}.py").write_text("open('TRAP', 'w').close()\nraise SystemExit(9)\n", encoding="utf-8")
    code = (
        f"import sys; sys.path[:] = {[each for each in sys.path if each]!r}\n"
        "from storylint import halves, cli; halves.WORTH_IT = 0; halves.cores = lambda: 2\n"
        "sys.exit(cli.main(['lint', 'book.md', '--no-record', '--timings', '--fail-on', 'never']))"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], cwd=book.parent, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "boilerplate" in done.stderr
    assert not (book.parent / "TRAP").exists()


def test_a_rule_that_fails_in_the_second_is_named(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As it would be in the first."""
    monkeypatch.setattr(engine.rules()["marks"], "check", lambda *_: iter([1 / 0]))
    found = reading(book)
    assert any("rule 'marks' failed" in crash for crash in found.crashes)


@pytest.mark.usefixtures("always")
def test_no_process_is_left_behind(book: Path) -> None:
    started: list[subprocess.Popen[bytes]] = []

    def start_and_stop(how: type[BaseException] | None) -> None:
        with halves.second([], Settings(), ["marks"]) as other:
            assert other is not None
            started.append(other.process)
            if how:
                raise how

    start_and_stop(None)
    with pytest.raises(KeyboardInterrupt):
        start_and_stop(KeyboardInterrupt)
    assert [process.poll() is not None for process in started] == [True, True]


@pytest.mark.parametrize(
    ("names", "words", "cores", "expected"),
    [
        (["dates", "marks"], 50_000, 2, (["dates"], ["marks"])),
        (["dates", "marks"], 500, 2, (["dates", "marks"], [])),
        (["dates", "marks"], 50_000, 1, (["dates", "marks"], [])),
        (["dates"], 50_000, 2, (["dates"], [])),
        (["marks"], 50_000, 2, (["marks"], [])),
        ([], 50_000, 2, ([], [])),
    ],
)
def test_a_second_is_started_where_it_is_worth_it(
    monkeypatch: pytest.MonkeyPatch, names: list[str], words: int, cores: int, expected: tuple[list[str], list[str]]
) -> None:
    monkeypatch.setattr(halves, "cores", lambda: cores)
    assert halves.in_two(names, words) == expected


def test_every_rule_that_goes_by_facts_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    assert set(engine.rules()) >= halves.BY_FACTS


def test_two_runs_say_the_same_to_the_byte(tmp_path: Path) -> None:
    """Whatever order Python's sets have in each."""
    (tmp_path / "book.md").write_text(DRAFT, encoding="utf-8")
    outputs = {
        subprocess.run(
            [
                sys.executable,
                "-m",
                "storylint",
                "lint",
                str(DEMO),
                str(tmp_path / "book.md"),
                "--no-record",
                "--no-cache",
                "--format",
                "json",
            ],
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            check=False,
        ).stdout
        for seed in ("0", "1", "2")
    }
    assert len(outputs) == 1
    assert outputs != {b""}
