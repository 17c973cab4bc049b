"""The file that only grows: what a crash, a full disk, a second run and a read-only folder leave of it."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.revisions import journal
from tests.revisions.kills import kill_often

TEXTS = st.text(st.characters(codec="utf-8"), max_size=60)


def write(path: Path, *numbers: int) -> None:
    for number in numbers:
        assert journal.append(path, lambda number=number: {"number": number})  # type: ignore[misc]


def numbers(path: Path) -> list[int]:
    return [entry["number"] for entry in journal.read(path)[0]]


def test_no_line_is_lost_however_often_the_run_is_killed(tmp_path: Path) -> None:
    toll = kill_often(tmp_path / "log", kills=40, seed=8)
    assert toll.said >= 10
    assert toll.missing == 0


@settings(max_examples=60, deadline=None)
@given(texts=st.lists(TEXTS, min_size=1, max_size=8), cut=st.data(), size=st.integers(1, 40))
def test_what_was_whole_is_read_both_ways_wherever_the_file_ends(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str], cut: st.DataObject, size: int
) -> None:
    path = tmp_path_factory.mktemp("log") / "log"
    for text in texts:
        journal.append(path, lambda text=text: {"text": text})  # type: ignore[misc]
    data = path.read_bytes()
    end = cut.draw(st.integers(0, len(data)))
    path.write_bytes(data[:end])
    whole = data[:end].count(b"\n") + (data[end : end + 1] == b"\n")  # a line may lack but its end
    assert [entry["text"] for entry in journal.read(path)[0]] == texts[:whole]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(journal, "CHUNK", size)
        assert [entry["text"] for entry in journal.backwards(path)] == texts[:whole][::-1]
    journal.append(path, lambda: {"text": "after"})
    assert [entry["text"] for entry in journal.read(path)[0]] == [*texts[:whole], "after"]
    assert path.read_bytes().startswith(data[:end])


def test_a_torn_line_is_told_once_and_left_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "log"
    write(path, 1)
    with path.open("ab") as stream:
        stream.write(b'{"number": 2, "pers')
    write(path, 3, 4)
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert "cut off" in told
    assert numbers(path) == [1, 3, 4]
    assert journal.read(path)[1] == 1


def test_rubbish_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "log"
    path.write_bytes(b'\n\xff\xfe\n[1]\n"a"\n{"number":1}\n' + b"[" * 100_000 + b'\n{"number":2}\n')
    assert numbers(path) == [1, 2]
    assert [entry["number"] for entry in journal.backwards(path)] == [2, 1]
    assert journal.read(tmp_path / "none") == ([], 0)
    assert list(journal.backwards(tmp_path / "none")) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no such limit there")
def test_a_full_disk_costs_the_new_line_and_no_other(tmp_path: Path) -> None:
    """A limit on the size of files stops the system half-way through the line, as a full disk does."""
    path = tmp_path / "log"
    write(path, 1, 2)
    before = path.read_bytes()
    code = (
        "import resource, sys\nfrom pathlib import Path\nfrom storylint.revisions import journal\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({len(before) + 1000}, resource.RLIM_INFINITY))\n"
        "try: journal.append(Path(sys.argv[1]), lambda: {'number': 3, 'text': 'x' * 100_000})\n"
        "except journal.Refused as fault: print(fault)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True, timeout=60
    )
    assert "still there" in done.stdout
    assert path.read_bytes() == before
    write(path, 4)
    assert numbers(path) == [1, 2, 4]


def test_a_half_line_that_cannot_be_taken_away_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "log"
    write(path, 1)
    real = os.write

    def stingy(handle: int, data: bytes) -> int:
        if len(data) > 5:
            return real(handle, data[:5])
        raise OSError(errno.ENOSPC, "No space left on device")

    def refuses(*_: object) -> None:
        raise OSError(errno.EIO, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", stingy)
        patch.setattr(os, "ftruncate", refuses)
        with pytest.raises(journal.Refused, match="no space left"):
            write(path, 2)
    write(path, 3)
    assert numbers(path) == [1, 3]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is read-only for root")
def test_a_read_only_folder_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(journal.Refused, match="permission denied"):
        write(tmp_path / "log", 1)


def test_a_file_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    (tmp_path / "log").mkdir()
    with pytest.raises(journal.Refused, match="can't be written"):
        write(tmp_path / "log", 1)
    with pytest.raises(journal.Refused, match="can't be read"):
        journal.read(tmp_path / "log")


def test_runs_at_once_write_one_after_the_other(tmp_path: Path) -> None:
    path = tmp_path / "log"
    code = (
        "import sys\nfrom pathlib import Path\nfrom storylint.revisions import journal\n"
        "for n in range(50): journal.append(Path(sys.argv[1]), lambda: {'by': sys.argv[2], 'n': n, 'x': 'x' * 20_000})"
    )
    children = [subprocess.Popen([sys.executable, "-c", code, str(path), name]) for name in "abc"]
    assert [child.wait(60) for child in children] == [0, 0, 0]
    entries, damaged = journal.read(path)
    assert damaged == 0
    assert sorted((entry["by"], entry["n"]) for entry in entries) == [(name, n) for name in "abc" for n in range(50)]


def test_who_waits_too_long_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "log"
    monkeypatch.setattr(journal, "PATIENCE", 0.05)

    def inside() -> journal.Entry:
        with pytest.raises(journal.Refused, match="another run"):
            write(path, 2)
        return {"number": 1}

    assert journal.append(path, inside)
    assert numbers(path) == [1]


def test_a_disk_without_locks_is_written_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(handle: int) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    lockless: Callable[[], object] = lambda: (none, none)  # noqa: E731
    monkeypatch.setattr(journal, "locks", lockless)
    write(tmp_path / "log", 1)
    assert numbers(tmp_path / "log") == [1]


def test_nothing_is_written_where_there_is_nothing_to_say(tmp_path: Path) -> None:
    path = tmp_path / "log"
    write(path, 1)
    assert not journal.append(path, lambda: None)
    assert json.loads(path.read_text()) == {"number": 1}
