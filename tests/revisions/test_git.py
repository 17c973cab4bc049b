"""Reading a repository: what a revision holds, and that nothing in it is ever touched."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from storylint.complaints import Misuse
from storylint.revisions import editions, git
from tests.revisions.books import chapter
from tests.revisions.repositories import commit, state
from tests.revisions.repositories import git as run_git

HUGH, BOTH = chapter(["Hugh Gethin"]), chapter(["Hugh Gethin", "Gwen Gethin"])


def paths(edition: editions.Edition) -> list[str]:
    return [draft.path for draft in edition.drafts]


@pytest.fixture
def repository(folder: Path) -> Path:
    commit(folder, 1, a__md=HUGH, part___b__md=chapter(["Idwal Gethin"]), readme__txt="no draft")
    commit(folder, 2, a__md=BOTH)
    return folder


def test_a_revision_holds_what_was_committed(repository: Path) -> None:
    assert paths(editions.edition("HEAD:a.md")) == ["HEAD:a.md"]
    old = editions.edition("HEAD~1:a.md").drafts[0]
    assert "Gwen" not in str(old.blocks)
    assert paths(editions.edition("HEAD~1:")) == ["HEAD~1:a.md", "HEAD~1:part/b.md"]
    assert paths(editions.edition("HEAD:part")) == ["HEAD:part/b.md"]
    assert paths(editions.edition("HEAD~1", [Path("a.md")])) == ["HEAD~1:a.md"]
    assert paths(editions.edition("part")) == ["part/b.md"]


def test_a_path_from_the_folder_we_are_in_will_do(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(repository / "part")
    assert paths(editions.edition("HEAD:b.md")) == ["HEAD:part/b.md"]
    assert paths(editions.edition("HEAD:part/b.md")) == ["HEAD:part/b.md"]
    assert paths(editions.edition("HEAD", [Path("b.md")])) == ["HEAD:part/b.md"]


def test_a_draft_that_was_renamed_is_held_against_its_old_name(repository: Path) -> None:
    (repository / "a.md").rename(repository / "hugh.md")
    old = editions.edition("HEAD", [Path("hugh.md")])
    assert paths(old) == ["HEAD:a.md"]
    assert old.new == (Path("hugh.md"),)


@pytest.mark.parametrize(
    ("spec", "says"),
    [
        ("HEAD:c.md", "no such file"),
        ("HEAD~9:a.md", "no revision"),
        ("HEAD~9", "no revision"),
        ("a.mb", "did you mean 'a.md'?"),
        ("--output=x:a.md", "no revision"),
        ("", "no revision"),
    ],
)
def test_what_is_not_there_is_told(repository: Path, spec: str, says: str) -> None:
    if not spec:
        spec = "x" * 5000
    with pytest.raises(Misuse, match=says.replace("?", r"\?")):
        editions.edition(spec, [Path("a.md")])
    assert not (repository / "x").exists()


def test_outside_of_a_repository_it_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Misuse, match="no git repository"):
        editions.edition("HEAD:a.md")
    monkeypatch.setenv("PATH", "")
    assert git.top(folder) is None
    with pytest.raises(Misuse, match="git is not installed"):
        git.need(folder)


def test_a_file_kept_elsewhere_or_damaged_is_told_and_the_others_are_read(repository: Path) -> None:
    pointer = f"version https://git-lfs.github.com/spec/v1\noid sha256:{'0' * 64}\nsize 1\n"
    commit(repository, 3, c__docx=pointer, d__docx="PK\x03\x04 damaged")
    found = editions.edition("HEAD:")
    assert paths(found) == ["HEAD:a.md", "HEAD:part/b.md"]
    assert {path for path, _ in found.unreadable} == {"HEAD:c.docx", "HEAD:d.docx"}


def test_names_with_stars_spaces_and_letters_of_all_kinds(folder: Path) -> None:
    commit(folder, 1, **{"Llyfr *1 ô__md": HUGH, "Llyfr 21 ô__md": BOTH})
    assert len(editions.edition("HEAD", [Path("Llyfr *1 ô.md")]).drafts) == 1
    assert paths(editions.edition("HEAD:Llyfr *1 ô.md")) == ["HEAD:Llyfr *1 ô.md"]


def test_the_commits_of_a_file_are_followed_through_its_names(repository: Path) -> None:
    run_git(repository, "mv", "a.md", "hugh.md")
    commit(repository, 3)
    commit(repository, 4, part___b__md=HUGH)
    commit(repository, 5, hugh__md=HUGH)
    listed = list(git.commits(repository, "hugh.md"))
    assert [(one.subject, path) for one, path in listed] == [
        ("day 1", "a.md"), ("day 2", "a.md"), ("day 3", "hugh.md"), ("day 5", "hugh.md"),
    ]  # fmt: skip
    assert [one.when.day for one, _ in listed] == [2, 3, 4, 6]
    assert [one.subject for one, _ in git.commits(repository, "part")] == ["day 1", "day 4"]
    assert len(list(git.commits(repository, ""))) == 5
    assert [path for _, path in git.commits(repository, "")] == [""] * 5


def test_what_a_hook_sets_does_not_lead_astray(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_DIR", "/nowhere")
    monkeypatch.setenv("GIT_INDEX_FILE", ".git/index")
    git.environment.cache_clear()
    assert paths(editions.edition("HEAD:a.md")) == ["HEAD:a.md"]
    git.environment.cache_clear()


def test_nothing_is_fetched_and_nothing_is_touched(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """A copy that left its files behind would fetch them; here it must say that they are not there."""
    run_git(repository, "config", "uploadpack.allowFilter", "true")
    copy = tmp_path_factory.mktemp("copy") / "book"
    clone = ["git", "clone", "-q", "--filter=blob:none", "--no-checkout", repository.as_uri(), str(copy)]
    subprocess.run(clone, check=True, capture_output=True)
    before = state(copy)
    os.chdir(copy)
    found = editions.edition("HEAD:a.md")
    assert found.drafts == ()
    assert "not in this copy" in found.unreadable[0][1]
    assert state(copy) == before


def test_a_stale_index_is_left_stale(repository: Path) -> None:
    os.utime(repository / "a.md", (1, 1))
    before = state(repository)
    git.head(repository)
    editions.edition("HEAD", [Path("a.md")])
    list(git.commits(repository, "a.md"))
    assert state(repository) == before
