"""``lint --against OLD``: what is worse stops, what was there before does not."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from storylint.revisions import against, git
from tests.conftest import DRAFT, Ran, read_text
from tests.revisions.books import LIVES, chapter
from tests.revisions.repositories import commit
from tests.revisions.repositories import git as run_git

Run = Callable[..., Ran]
NAMES = [*LIVES]
OWEN = "Owen was living at Carneddi in 1891 as a quarry labourer. "
DIED = "He died on 9 July 1899."


def lint(run: Run, *argv: object) -> Ran:
    return run("lint", *argv, "--no-record")


def told(run: Run, *argv: object) -> Any:
    return json.loads(lint(run, *argv, "--format", "json").out)["summary"]["against"]


def worse(old: str, new: str) -> Any:
    return against.worse(read_text(old), read_text(new), "OLD")


@pytest.fixture
def old(book: Path) -> Path:
    path = book.parent / "old.md"
    path.write_text(DRAFT, encoding="utf-8")
    return path


# --------------------------------------------------------------------------------------------------- what counts


def test_a_draft_full_of_old_faults_is_not_worse_than_itself(run: Run, book: Path, old: Path) -> None:
    assert lint(run, book, "--fail-on", "note").code == 1
    done = lint(run, book, "--fail-on", "note", "--against", old)
    assert (done.code, done.err) == (0, "")
    assert "Not worse than" in done.out
    assert told(run, book, "--against", old) == {
        "than": str(old),
        "fell": [],
        "new": [],
        "gone": 0,
        "unknown": [],
        "unread": [],
    }


def test_old_faults_may_be_mended_moved_and_renumbered(run: Run, book: Path, old: Path) -> None:
    head, owen, jane = re.split(r"(?m)^(?=## )", DRAFT)
    text = (
        head
        + jane.split("[^1]:")[0].replace("## 2.", "## 1.")
        + owen.replace("## 1.", "## 2.")
        + jane[jane.index("[^1]:") :]
    )
    book.write_text(
        text.replace(DIED, "He never got over the price of bread.[^4]")
        + "[^4]: Jane Prydderch, letter to her sister, 4 May 1902, family copy.\n",
        encoding="utf-8",
    )
    done = lint(run, book, "--fail-on", "note", "--against", old)
    assert done.code == 0, done.out


def test_a_new_fault_counts_from_the_fail_level_on() -> None:
    new = DRAFT.replace(OWEN, OWEN + "Owen was living at Bethesda in 1895 as a quarry labourer. ")
    found = worse(DRAFT, new)
    reading = read_text(new)
    quotes = {f.id: f.places[0].quote for _, f in reading.every()}
    assert {quotes[id_] for id_ in found.new} == {"Owen was living at Bethesda in 1895 as a quarry labourer."}


@pytest.mark.parametrize(("level", "code"), [("never", 0), ("error", 1), ("note", 1)])
def test_a_score_that_falls_counts_at_every_level_but_never(
    run: Run, book: Path, old: Path, level: str, code: int
) -> None:
    book.write_text(DRAFT.replace("on her head.[^3]", "on her head."), encoding="utf-8")
    found = told(run, book, "--against", old)
    assert [fall["person"] for fall in found["fell"]] == ["Jane Prydderch"]
    assert found["fell"][0]["after"] < found["fell"][0]["before"]
    assert lint(run, book, "--against", old, "--fail-on", level).code == code


def test_a_changed_sentence_with_the_fault_it_had_is_no_new_fault() -> None:
    assert worse(DRAFT, DRAFT.replace("in 1891 as a quarry labourer", "in 1892 as a quarry labourer")).new == ()
    assert worse(DRAFT, DRAFT.replace("He died on 9 July 1899.", "He died on 10 July 1899.")).new == ()


def test_a_forename_corrected_everywhere_makes_no_old_fault_new_and_none_gone() -> None:
    life = (
        "Hugh Gethin was born on 4 May 1831 at Gerlan. Hugh died on 9 July 1899 at Bangor. Hugh was buried at Coetmor."
    )
    old = chapter(["Hugh Gethin", *NAMES[1:]], LIVES | {"Hugh Gethin": life})
    found = worse(old, old.replace("Hugh", "Ieuan"))
    assert (found.fell, found.new, found.gone) == ((), (), 0)
    assert worse(old, old.replace("Hugh was buried at Coetmor.", "")).gone > 0


def test_one_more_of_the_same_words_is_a_new_fault() -> None:
    found = worse(DRAFT, DRAFT.replace(DIED, f"{DIED} {DIED}"))
    assert found.new
    assert all(f"-{n}" not in id_ for id_ in found.new for n in (3, 4))
    assert worse(DRAFT.replace(DIED, f"{DIED} {DIED}"), DRAFT).new == ()


def test_a_fault_that_grows_graver_is_new() -> None:
    words = "He carried slates over the hill and counted them. "
    long = f"# 1. Hugh Gethin\n\n{words * 18}\n"  # 162 words: a warning
    longer = f"# 1. Hugh Gethin\n\n{words * 29}\n"  # 261 words: an error
    assert {f.level for _, f in read_text(longer, only=["unbroken"]).every()} >= {"error"}
    assert worse(long, longer).new
    assert worse(longer, long).new == ()


def test_a_person_alone_is_held_against_herself(run: Run, book: Path, old: Path) -> None:
    book.write_text(DRAFT.replace(OWEN, OWEN + "Owen was living at Bethesda in 1895 as a quarry labourer. "))
    assert lint(run, book, "--against", old, "--fail-on", "warning").code == 1
    assert lint(run, book, "--against", old, "--fail-on", "warning", "--person", "Jane", "--format", "json").code in (
        0,
        1,
    )


def test_the_screen_shows_what_is_worse_and_nothing_else(run: Run, book: Path, old: Path) -> None:
    book.write_text(DRAFT.replace(OWEN, OWEN + "Owen was living at Bethesda in 1895 as a quarry labourer. "))
    out = lint(run, book, "--against", old).out
    assert "Bethesda" in out
    assert "Tregarth" not in out
    assert "from before are still there" in out
    assert "Tregarth" in lint(run, book, "--against", old, "--all").out


# ------------------------------------------------------------------------------------------------------ against git


def test_against_a_revision(run: Run, folder: Path) -> None:
    commit(folder, 1, a__md=chapter(NAMES[:2]), b__md=chapter([NAMES[2]], first=3))
    (folder / "a.md").write_text(chapter(NAMES[:2]) + "\nHugh Gethin died on 31 June 1911.\n")
    for spec in ("HEAD", "HEAD:a.md", run_git(folder, "rev-parse", "HEAD")[:8]):
        assert lint(run, "a.md", "--against", spec).code == 1, spec
    assert lint(run, "b.md", "--against", "HEAD").code == 0
    assert lint(run, ".", "--against", "HEAD").code == 1
    (folder / "a.md").write_text(chapter(NAMES[:2]))
    assert lint(run, ".", "--against", "HEAD", "--fail-on", "note").code == 0


def test_persons_who_moved_to_a_new_file_are_still_known(run: Run, folder: Path) -> None:
    commit(folder, 1, a__md=chapter(NAMES))
    (folder / "a.md").rename(folder / "chapter one.md")
    done = lint(run, "chapter one.md", "--against", "HEAD", "--fail-on", "note")
    assert done.code == 0
    text = (folder / "chapter one.md").read_text().replace("[^11]: ", "[^99]: ")
    (folder / "chapter one.md").write_text(text)
    assert lint(run, "chapter one.md", "--against", "HEAD", "--fail-on", "warning").code == 1


def test_a_draft_that_the_revision_does_not_have_is_told_and_does_not_count(run: Run, folder: Path) -> None:
    run_git(folder, "init", "-q")
    (folder / "a.md").write_text(DRAFT + "\nOwen died on 31 June 1899.\n")
    done = lint(run, "a.md", "--against", "HEAD")
    assert done.code == 0
    assert "a.md: nothing of it is in HEAD yet" in done.err
    commit(folder, 1, readme__txt="no draft", b__md=chapter(NAMES))
    (folder / "a.md").unlink(missing_ok=True)
    (folder / "c.md").write_text(DRAFT + "\nOwen died on 31 June 1899.\n")
    assert lint(run, "c.md", "--against", "HEAD").code == 0
    assert lint(run, "c.md", "b.md", "--against", "HEAD").code == 0


def test_an_empty_old_state_stops_nobody(run: Run, folder: Path) -> None:
    commit(folder, 1, a__md="\n")
    (folder / "a.md").write_text(chapter(NAMES))
    done = lint(run, "a.md", "--against", "HEAD")
    assert done.code == 0
    assert "a.md: nothing of it is in HEAD yet" in done.err


def test_an_old_state_that_cannot_be_read_is_told_for_what_it_is(run: Run, folder: Path) -> None:
    commit(folder, 1, a__md="\0\1\2", b__md=chapter(NAMES[:2]))
    (folder / "a.md").write_text(DRAFT)
    for paths in (["a.md"], ["a.md", "b.md"]):
        done = lint(run, *paths, "--against", "HEAD")
        assert (done.code, done.err.count("\n")) == (3, 1)
        assert "HEAD:a.md: " in done.err
        assert ("Not worse than HEAD" if len(paths) > 1 else "Nothing in HEAD to hold it against") in done.out
        assert "do not count as worse" in done.out


@pytest.mark.parametrize("name", ["part/a.md", "part/chapter one.md"])
@pytest.mark.parametrize("added", [False, True])
def test_a_draft_that_was_moved_is_held_against_what_it_was(run: Run, folder: Path, name: str, added: bool) -> None:
    commit(folder, 1, a__md=chapter(NAMES), b__md=DRAFT)
    (folder / "part").mkdir()
    (folder / "a.md").rename(folder / name)
    if added:
        run_git(folder, "add", "-A")
    for argv in ([name], ["."]):
        done = lint(run, *argv, "--against", "HEAD", "--fail-on", "note")
        assert (done.code, done.err) == (0, "")
    text = (folder / name).read_text().replace("# The Gethins", "# The Gethins\n\nTODO: ask.")
    (folder / name).write_text(text.replace("[^11]: ", "[^99]: "))
    for argv in ([name], ["."]):
        done = lint(run, *argv, "--against", "HEAD", "--fail-on", "error", "--format", "json")
        assert done.code == 1
        assert json.loads(done.out)["summary"]["against"]["unknown"] == []


@pytest.mark.parametrize("spec", ["HEAD", "none.md", "HEAD:a.md", "0123abc"])
def test_what_is_not_there_is_wrong_usage(run: Run, book: Path, spec: str) -> None:
    done = lint(run, book, "--against", spec)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)


# --------------------------------------------------------------------------------------------------------- the hook


def test_the_hook_takes_drafts_and_nothing_else() -> None:
    text = (Path(__file__).parents[2] / ".pre-commit-hooks.yaml").read_text(encoding="utf-8")
    value = dict(re.findall(r"(?m)^[ -] (\w+): (.+)$", text))
    takes, leaves = re.compile(value["files"]), re.compile(value["exclude"])
    for name in ("book.docx", "part one/2 Hugh.odt", "a.md", "a.markdown", "a.txt"):
        assert takes.search(name), name
        assert not leaves.search(name), name
    assert leaves.search("part one/~$2 Hugh.docx")
    assert leaves.search("~$book.docx")
    assert not takes.search("storylint.toml")
    assert value["require_serial"] == "true"
    assert value["entry"] == "storylint lint --against HEAD --no-record"


def test_the_hook_s_command_writes_nothing(run: Run, folder: Path) -> None:
    commit(folder, 1, a__md=chapter(NAMES[:1]))
    (folder / "a.md").write_text(chapter(NAMES[:2]))
    run_git(folder, "add", "-A")
    before = {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    git.environment.cache_clear()
    run("lint", "--against", "HEAD", "--no-record", "a.md")
    assert {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
