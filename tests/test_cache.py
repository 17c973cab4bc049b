"""What is kept between runs: never stale, nothing to read in it, in nobody's way."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from storylint import cache as kept
from storylint import engine
from storylint.cache import Cache
from storylint.findings import Reading
from storylint.lint import drafts
from storylint.reporters import render
from storylint.settings import FILE, load
from tests.conftest import DRAFT, Ran

Run = Callable[..., Ran]


def reading(folder: Path, cache: Cache | None, **wanted: object) -> Reading:
    run = engine.Run(load(folder, cache), cache=cache, **wanted)  # type: ignore[arg-type]
    return engine.read(drafts([folder]), run)


def entries(folder: Path) -> list[Path]:
    return sorted((folder / "storylint").iterdir()) if (folder / "storylint").exists() else []


# ------------------------------------------------------------------------------------------------------ never stale

PARAGRAPHS = [part for part in DRAFT.split("\n\n") if part.strip()]
LINES = [
    *PARAGRAPHS,
    "## 3. William² Prydderch (Owen¹)",
    "William Prydderch was born on 4 May 1839 at Llanllechid.[^3]",
    "He carried the lamp out of the level in his teeth.",
    "He was born in .",
]
# A name throughout the book, a birth by which a child's in another section is judged, a mark without its note.
CHANGES = [
    "Prydderch>Gethin",
    "Jane>Ann",
    "Jane² Prydderch>Jane² Gethin",
    "1841>1869",
    "1870>1820",
    "[^2]>",
    "[^2]:>[^9]:",
]
EDITS = st.lists(
    st.one_of(
        st.tuples(st.just("cut"), st.integers(0, 30), st.just("")),
        st.tuples(st.just("put"), st.integers(0, 30), st.sampled_from(LINES)),
        st.tuples(st.just("swap"), st.integers(0, 30), st.just("")),
        st.tuples(st.just("change"), st.integers(0, 30), st.sampled_from(CHANGES)),
        st.tuples(st.just("section"), st.integers(0, 3), st.just("")),
        st.tuples(st.just("move"), st.integers(0, 2), st.just("")),
        st.tuples(
            st.just("set"),
            st.integers(0, 2),
            st.sampled_from(["", "[book]\ngoal = 90\n", "[unsourced]\nnotes = 'sentence'\n"]),
        ),
        st.tuples(st.just("undo"), st.integers(0, 3), st.just("")),
    ),
    min_size=1,
    max_size=6,
)


def edit(state: tuple[list[str], str, str], what: str, at: int, text: str) -> tuple[list[str], str, str]:
    """One edit of (paragraphs, file name, settings)."""
    body, name, author = list(state[0]), state[1], state[2]
    if what == "cut" and len(body) > 1:
        del body[at % len(body)]
    elif what == "put":
        body.insert(at % (len(body) + 1), text)
    elif what == "swap" and len(body) > 1:
        at %= len(body) - 1
        body[at], body[at + 1] = body[at + 1], body[at]
    elif what == "change":
        before, after = text.split(">")
        body = [part.replace(before, after) for part in body]
    elif what == "section":
        heads = [place for place, part in enumerate(body) if part.startswith("## ")]
        if heads:
            start = heads[at % len(heads)]
            end = next((place for place in heads if place > start), len(body))
            body = body[:start] + body[end:] + body[start:end]
    elif what == "move":
        name = ("book.md", "book.txt", "other.md")[at]
    elif what == "set":
        author = text
    return body, name, author


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(edits=EDITS)
def test_whatever_was_edited_a_kept_reading_is_the_one_that_is_due(
    tmp_path: Path, edits: list[tuple[str, int, str]]
) -> None:
    """After every edit, twice over, the reading with the cache is the reading without; earlier states come back too."""
    folder, cache = tmp_path / "book", Cache(tmp_path / "kept")
    folder.mkdir(exist_ok=True)
    states = [(list(PARAGRAPHS), "book.md", "")]
    for what, at, text in edits:
        states.append(states[-1 - at % len(states)] if what == "undo" else edit(states[-1], what, at, text))
        body, name, author = states[-1]
        for file in folder.iterdir():
            file.unlink()
        (folder / name).write_text("\n\n".join(body) + "\n", encoding="utf-8")
        if author:
            (folder / FILE).write_text(author, encoding="utf-8")
        due = reading(folder, None)
        for _ in range(2):
            found = reading(folder, cache)
            assert found == due
            assert render("json", found) == render("json", due)


def test_a_kept_reading_is_used(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = Cache(tmp_path / "kept")
    due = reading(book.parent, cache)
    monkeypatch.setattr(engine, "judge", None)
    assert reading(book.parent, cache) == due


def refuse(*_: object) -> Reading:
    raise AssertionError("judged anew")


def is_judged_anew(folder: Path, cache: Cache, monkeypatch: pytest.MonkeyPatch, **wanted: object) -> bool:
    with monkeypatch.context() as patch:
        patch.setattr(engine, "judge", refuse)
        try:
            reading(folder, cache, **wanted)
        except AssertionError:
            return True
        return False


@pytest.mark.parametrize("what", ["day", "rule file", "library", "only", "events file", "settings", "name", "nothing"])
def test_what_a_verdict_depends_on_makes_it_anew(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    cache, folder = Cache(tmp_path / "kept"), book.parent
    events = tmp_path / "events.csv"
    head = "start_year,end_year,regions,category,event,why_it_mattered_to_families,keywords,source\n"
    events.write_text(
        head + "1870,1870,GB-WLS,work,the new incline,it carried the men,,Quarry book\n", encoding="utf-8"
    )
    (folder / FILE).write_text(f"[context]\nfiles = ['{events.as_posix()}']\n", encoding="utf-8")
    reading(folder, cache)
    wanted: dict[str, object] = {}
    if what == "day":
        monkeypatch.setattr(engine, "date", type("date", (date,), {"today": classmethod(lambda cls: cls(2100, 1, 1))}))
    elif what == "rule file":
        mine = tmp_path / "rule.py"
        mine.write_text("CARD = None", encoding="utf-8")
        files = list(kept.own_files())
        monkeypatch.setattr(kept, "own_files", lambda: iter([*files, mine]))
        kept.tool.cache_clear()
    elif what == "library":
        monkeypatch.setattr(kept, "LIBRARIES", (*kept.LIBRARIES, "pytest"))
        kept.tool.cache_clear()
    elif what == "only":
        wanted["only"] = ["dates"]
    elif what == "events file":
        events.write_text(events.read_text(encoding="utf-8").replace("1870", "1871"), encoding="utf-8")
    elif what == "settings":
        (folder / FILE).write_text("[unsourced]\nnotes = 'sentence'\n", encoding="utf-8")
    elif what == "name":
        book.rename(folder / "renamed.md")
    assert is_judged_anew(folder, cache, monkeypatch, **wanted) is (what != "nothing")
    monkeypatch.undo()
    kept.tool.cache_clear()


def test_the_tool_is_all_its_files() -> None:
    names = {file.name for file in kept.own_files()}
    assert {"boilerplate.py", "leftovers.toml", "words.toml", "weights.toml", "places.csv", "engine.py"} <= names


def test_a_reading_in_which_a_rule_failed_is_not_kept(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = Cache(tmp_path / "kept")
    with monkeypatch.context() as patch:
        patch.setattr(engine.rules()["marks"], "check", lambda *_: iter([1 / 0]))
        assert reading(book.parent, cache).crashes
    assert not reading(book.parent, cache).crashes


# ------------------------------------------------------------------------------------------------- nothing to read


def test_nothing_of_a_draft_can_be_read_in_its_cache(
    book: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No word of five letters, no number and no hash of the draft that stands elsewhere, in any encoding or packing."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    secret = "Gwenllian Prydderch-Ellis, b. 4 March 1987, lives at 14 Ffordd Goch, tel. 01248 555019"
    book.write_text(DRAFT + f"\n## 9. Gwenllian Prydderch-Ellis\n\n{secret}.\n", encoding="utf-8")
    out = json.loads(run("lint", book, "--format", "json").out)
    found = entries(tmp_path / "own")
    assert len(found) >= 2
    words = set(re.findall(r"\w{5,}|\d{4,}", DRAFT + secret)) | {out["drafts"][0]["sha256"]}
    for file in found:
        data = file.read_bytes()
        for word in words:
            assert word.encode() not in data
            assert word.encode("utf-16-le") not in data
            assert len(word) == 4 or word not in file.name  # a year stands in one of twenty such names by chance
        assert len(kept.zlib.compress(data)) >= len(data)  # noise can't be packed


def test_only_the_draft_itself_opens_its_entries(book: Path, tmp_path: Path) -> None:
    """The hash that logs and reports print is no key."""
    draft = engine.read(drafts([book]), engine.Run(load(book))).drafts[0]
    for known in (draft.sha256, bytes.fromhex(draft.sha256), b""):
        assert Cache(tmp_path).recall(kept.digest_of("draft", (known, ".md"))) is None
    assert kept.secret_of(book.read_bytes()).hexdigest() != draft.sha256


def test_the_folder_is_the_users_alone(book: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    run("lint", book, "--no-record")
    assert (tmp_path / "own" / "storylint").stat().st_mode & 0o077 == 0
    assert all(file.stat().st_mode & 0o077 == 0 for file in entries(tmp_path / "own"))
    assert {path.name for path in book.parent.iterdir()} <= {"book.md", "own"}


def test_an_entry_makes_nothing_but_plain_data(tmp_path: Path) -> None:
    class Trap:
        def __reduce__(self) -> tuple[object, tuple[str]]:
            return os.system, ("touch trapped",)

    cache, digest = Cache(tmp_path), kept.digest_of("draft", ())
    cache.keep(digest, Trap())
    assert len(list(tmp_path.iterdir())) == 1
    assert cache.recall(digest) is None
    assert not Path("trapped").exists()


# --------------------------------------------------------------------------------------------------- in nobody's way


def test_the_output_is_the_same_to_the_byte(book: Path, run: Run) -> None:
    for form in ("json", "sarif", "terminal", "github"):
        first, second, without = (
            run("lint", book, "--no-record", "--format", form, *more) for more in ((), (), ("--no-cache",))
        )
        assert first == second == without


def test_no_cache_leaves_none(book: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "own"))
    run("lint", book, "--no-record", "--no-cache")
    run("compare", book, book, "--no-record", "--no-cache")
    assert not (tmp_path / "own").exists()


@pytest.mark.parametrize("damage", ["cut", "turned", "emptied", "deleted", "a folder instead"])
def test_a_damaged_entry_costs_time_and_nothing_else(book: Path, tmp_path: Path, damage: str) -> None:
    cache = Cache(tmp_path / "kept")
    due = reading(book.parent, cache)
    for file in list(cache.folder.iterdir()):
        data = file.read_bytes()
        file.unlink()
        if damage == "cut":
            file.write_bytes(data[: len(data) // 2])
        elif damage == "turned":
            file.write_bytes(data[:60] + bytes([data[60] ^ 1]) + data[61:])
        elif damage == "emptied":
            file.write_bytes(b"")
        elif damage == "a folder instead":
            file.mkdir()
    assert reading(book.parent, cache) == due
    assert reading(book.parent, cache) == due


def test_where_nothing_can_be_kept_all_goes_on(book: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    in_the_way = tmp_path_factory.mktemp("kept") / "file"
    in_the_way.write_text("")
    due = reading(book.parent, None)
    assert reading(book.parent, Cache(in_the_way)) == due
    assert reading(book.parent, Cache(in_the_way / "deeper")) == due


def test_two_runs_at_once(book: Path, tmp_path: Path) -> None:
    cache, due = Cache(tmp_path / "kept"), reading(book.parent, None)
    found: list[Reading] = []
    threads = [
        threading.Thread(target=lambda: found.extend(reading(book.parent, cache) for _ in range(3))) for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [due] * 12
    assert not [file for file in cache.folder.iterdir() if file.name.startswith("half-")]


def test_two_processes_at_once_and_a_cache_taken_away_meanwhile(book: Path, tmp_path: Path) -> None:
    """Both say what is due, and so does a run whose cache is deleted under it."""
    environment = os.environ | {"XDG_CACHE_HOME": str(tmp_path / "own")}
    command = [sys.executable, "-m", "storylint", "lint", book.name, "--no-record", "--format", "json"]

    def run() -> subprocess.Popen[str]:
        return subprocess.Popen(command, cwd=book.parent, env=environment, stdout=subprocess.PIPE, text=True)

    for _ in range(2):
        both = [run(), run()]
        shutil.rmtree(tmp_path / "own", ignore_errors=True)
        first, second = (process.communicate()[0] for process in both)
        assert first == second
        assert json.loads(first)["drafts"]


def test_it_does_not_grow_for_ever(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The oldest entries go, and what a crash left half written a day ago."""
    monkeypatch.setattr(kept, "LIMIT", 4000)
    cache = Cache(tmp_path)
    half = tmp_path / "half-1-ab"
    half.write_bytes(b"")
    os.utime(half, (0, 0))
    for number in range(30):
        digest = kept.digest_of("draft", (str(number),))
        cache.keep(digest, os.urandom(500).hex())
        os.utime(cache.file(digest), (number * 1000 + 1, number * 1000 + 1))
    assert sum(file.stat().st_size for file in tmp_path.iterdir()) <= 4000
    assert cache.recall(kept.digest_of("draft", ("29",))) is not None
    assert cache.recall(kept.digest_of("draft", ("0",))) is None
    assert not half.exists()


def test_a_warm_run_imports_nothing_heavy(book: Path, tmp_path: Path) -> None:
    """Neither spaCy nor textstat, nor the rules, nor what reads word processors' files."""
    (book.parent / FILE).write_text("[unsourced]\nnotes = 'sentence'\n", encoding="utf-8")
    code = (
        "import sys; from storylint.cli import main; main(['lint', 'book.md', '--format', 'json'])\n"
        "names = ('spacy', 'textstat', 'pysyllables', 'docx', 'lxml', 'storylint.rules.dates', 'storylint.study.study')\n"
        "sys.stderr.write(' '.join(name for name in names if name in sys.modules))"
    )
    environment = os.environ | {"XDG_CACHE_HOME": str(tmp_path / "own")}
    cold, warm = (
        subprocess.run(
            [sys.executable, "-c", code], cwd=book.parent, env=environment, capture_output=True, text=True, check=True
        )
        for _ in range(2)
    )
    assert "storylint.study.study" in cold.stderr
    assert warm.stderr == ""
    assert warm.stdout == cold.stdout


def test_a_draft_is_known_under_another_name_of_its_kind(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the copies are that git's files are read through; where it was read then is forgotten."""
    from storylint.draft import opening

    cache = Cache(tmp_path / "kept")
    first = opening.read(book, cache)
    again = book.rename(book.parent / "again.md")
    monkeypatch.setattr(opening, "_read_stream", None)
    assert opening.read(again, cache) == replace(first, path=str(again))
