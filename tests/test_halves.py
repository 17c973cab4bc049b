"""A long book judged by two processes: the same reading, whatever becomes of the second."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from pathlib import Path

import pytest

from storylint import engine, halves
from storylint.cache import Cache
from storylint.findings import Reading
from storylint.lint import drafts
from storylint.settings import Settings
from storylint.study import study, voice
from tests.conftest import DRAFT

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system can't copy a process")
DEMO = Path(__file__).parents[1] / "corpus_demo" / "working.docx"


def reading(path: Path, run: engine.Run | None = None) -> Reading:
    return engine.read(drafts([path]), run or engine.Run(Settings()))


@pytest.fixture
def always(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(halves, "CAN_COPY", True)
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

    def heard(book: object, table: object) -> object:
        done.append("voices")
        return hear(book, table)  # type: ignore[arg-type]

    hear = voice.hear
    monkeypatch.setattr(engine, "judge_book", noted)
    monkeypatch.setattr(voice, "hear", heard)
    reading(book)
    assert set(done) == set(engine.rules()) & halves.FIRST


def open_files() -> int:
    return sum(1 for _ in Path("/proc/self/fd").iterdir())


def fail() -> object:
    raise RuntimeError("a fault in the second")


@pytest.mark.usefixtures("always")
@pytest.mark.parametrize(
    "work",
    [
        fail,
        lambda: os.kill(os.getpid(), 9),
        lambda: sys.exit(3),
        lambda: [threading.Lock()],
        lambda: iter([None]),
        lambda: iter([None, [{}]]),
    ],
    ids=["fails", "is killed", "ends", "can't be handed back", "ends too early", "ends among the sections"],
)
def test_where_the_second_fails_the_first_does_it_all(
    book: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], work: Callable[[], object]
) -> None:
    due = reading(book)
    begin = halves.Second
    monkeypatch.setattr(halves, "Second", lambda _: begin(work))  # type: ignore[arg-type]
    assert repr(reading(book)) == repr(due)
    assert capfd.readouterr().err == ""


@pytest.mark.usefixtures("always")
def test_where_no_second_can_start_the_first_does_it_all(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    due = reading(book)

    monkeypatch.setattr(os, "fork", fail_to_copy)
    before = open_files()
    assert repr(reading(book)) == repr(due)
    assert open_files() == before


@pytest.fixture
def cutter(always: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A copy that cuts texts is made as in a process that has not imported spaCy."""
    monkeypatch.delitem(sys.modules, "spacy", raising=False)
    yield
    halves.forget()


@pytest.mark.usefixtures("cutter")
@pytest.mark.parametrize("path", [DEMO, DEMO.with_suffix(".md")], ids=["docx", "md"])
def test_a_copy_cuts_texts_as_this_process_does(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = repr(reading(path))
    assert halves.cutters
    with monkeypatch.context() as patch:
        patch.setattr(study, "english", None)  # all is done by the copy
        assert repr(reading(path)) == first
        patch.undo()
        patch.setattr(halves, "places_of", lambda _: b"")
        assert repr(reading(path)) == first


@pytest.mark.usefixtures("cutter")
def test_what_has_no_token_is_not_cut_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(study, "places_of", None)
    assert [study.tokens_of(text) for text in ("", " ", "\n\u00a0")] == [[], [], []]


@pytest.mark.usefixtures("cutter")
def test_a_copy_that_has_failed_is_asked_no_more() -> None:
    """Not even where it still owed an answer."""
    halves.cut_ahead(["One text."])
    halves.end(halves.cutters[0].process)
    halves.cut_ahead(["Another text."])
    assert not halves.cutters
    assert [word for word, _ in study.tokens_of("Another text.")] == ["Another", "text", "."]


@pytest.mark.usefixtures("cutter")
def test_where_the_copy_fails_this_process_cuts(book: Path) -> None:
    due = reading(book)
    assert halves.cutters
    halves.end(halves.cutters[0].process)
    assert repr(reading(book)) == repr(due)
    assert not halves.cutters


@pytest.mark.usefixtures("always")
def test_what_the_first_had_begun_is_written_once(book: Path) -> None:
    """The second is a copy: neither what waits to be written nor what is done at the end is the copy's to do."""
    code = (
        "import atexit, sys; from storylint import halves, cli; halves.WORTH_IT = 0; halves.cores = lambda: 2\n"
        "print('begun'); atexit.register(print, 'ended')\n"
        f"cli.main(['lint', {str(book)!r}, '--no-record', '--no-cache', '--fail-on', 'never', '--format', 'json'])"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    lines = out.splitlines()
    assert (lines.count("begun"), lines.count("ended"), out.count('"schema"')) == (1, 1, 1)


def test_a_rule_that_fails_in_the_second_is_named(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As it would be in the first."""
    monkeypatch.setattr(engine.rules()["marks"], "check", lambda *_: iter([1 / 0]))
    found = reading(book)
    assert any("rule 'marks' failed" in crash for crash in found.crashes)


@pytest.mark.usefixtures("always")
@pytest.mark.parametrize("how", [None, KeyboardInterrupt])
def test_no_process_is_left_behind(how: type[BaseException] | None) -> None:
    """Not even one that is still at work."""
    with suppress(KeyboardInterrupt), halves.second(lambda: time.sleep(60)) as other:  # type: ignore[arg-type,return-value]
        if how:
            raise how
    assert other is not None
    with pytest.raises(ChildProcessError):
        os.waitpid(other.process, os.WNOHANG)


@pytest.mark.usefixtures("always")
@pytest.mark.parametrize("refused", [False, True])
def test_what_is_done_aside_is_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused: bool) -> None:
    """Whether or not there can be a copy to do it; and none is left behind."""
    if refused:
        monkeypatch.setattr(halves, "copied", fail_to_copy)
    file = tmp_path / "kept"
    halves.aside(partial(file.touch, exist_ok=False))
    assert bool(halves.aside_now) is not refused
    halves.settle()
    assert file.exists()
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)


def fail_to_copy() -> int:
    raise PermissionError("no more processes")


@pytest.mark.usefixtures("always")
def test_a_reading_kept_aside_is_there_for_the_next(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = Cache(tmp_path / "cache")
    first = engine.read([book], engine.Run(Settings(), cache=kept))
    monkeypatch.setattr(engine, "judge", None)  # nothing is judged again
    assert repr(engine.read([book], engine.Run(Settings(), cache=kept))) == repr(first)


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
    monkeypatch.setattr(halves, "CAN_COPY", True)
    monkeypatch.setattr(halves, "cores", lambda: cores)
    assert halves.in_two(names, words) == expected


def test_every_rule_that_goes_by_facts_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    assert set(engine.rules()) >= halves.FIRST | halves.BY_VOICES


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
