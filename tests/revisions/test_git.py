"""Reading a repository: what a revision holds, and that nothing in it is ever touched."""

from __future__ import annotations

import hashlib
import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint.complaints import Misuse
from storylint.revisions import editions, git
from tests.conftest import Ran
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
    for name in ("part", "./part/", "part/../part", f"{repository}/part"):
        assert paths(editions.edition(f"HEAD:{name}")) == ["HEAD:part/b.md"]
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
    assert (old.new, old.gone) == ((Path("hugh.md"),), {"HEAD:a.md"})


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
    git.environment.cache_clear()
    assert git.top(folder) is None
    with pytest.raises(Misuse, match="git is not installed"):
        git.need(folder)
    with pytest.raises(Misuse, match=r"HEAD: there is no such file or folder.*git is not installed"):
        editions.edition("HEAD", [Path("a.md")])
    git.environment.cache_clear()


def test_what_git_minds_is_told_in_its_words(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bare = repository / "bare"
    run_git(repository, "clone", "-q", "--bare", ".", "bare")
    (bare / "a.md").write_text(HUGH, encoding="utf-8")
    with pytest.raises(Misuse, match=r"bare repository.*clone it"):
        editions.edition("HEAD", [bare / "a.md"])
    monkeypatch.setitem(git.environment(), "GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    with pytest.raises(Misuse, match=r"git says: detected dubious ownership.*git config --global --add safe.directory"):
        editions.edition("HEAD", [Path("a.md")])
    git.environment.cache_clear()


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        (["HEAD~1", "nosuch.md"], "nosuch.md: is no file"),
        (["HEAD~1", "HEAD"], "HEAD: is a revision, and nothing says of which draft; write HEAD:PATH"),
        (["HEAD~1", "HEAD:a.md"], "HEAD~1: is a revision, and nothing says of which draft; write HEAD~1:PATH"),
    ],
)
def test_the_fault_is_told_of_what_has_it(
    run: Callable[..., Ran], repository: Path, argv: list[str], says: str
) -> None:
    done = run("compare", *argv)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert says in done.err


def test_the_draft_s_own_repository_is_asked(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    inner, other = repository / "inner", tmp_path_factory.mktemp("other")
    inner.mkdir()
    for place in (inner, other):
        commit(place, 1, own__md=BOTH)
        assert paths(editions.edition("HEAD", [place / "own.md"])) == ["HEAD:own.md"]
    commit(inner, 2, own__md=chapter(["Robert Gethin"]))
    both = editions.edition("HEAD", [Path("a.md"), Path("inner/own.md")])
    assert paths(both) == ["HEAD:a.md", "HEAD:own.md"]
    assert both.new == ()
    assert paths(editions.edition("HEAD:inner/own.md")) == ["HEAD:own.md"]
    os.chdir("/")
    assert paths(editions.edition(f"HEAD:{other}/own.md")) == ["HEAD:own.md"]


def test_names_that_begin_with_a_dot(repository: Path) -> None:
    other = [chapter([name]) for name in ("Catherine Lloyd", "Robert Gethin", "Idwal Gethin")]
    commit(repository, 3, **dict(zip((".private___b__md", ".private___c__md", ".hidden__md"), other, strict=True)))
    for name in (".private/b.md", ".hidden.md"):
        assert paths(editions.edition(f"HEAD:{name}")) == [f"HEAD:{name}"]
    asked = [Path(name) for name in ("a.md", ".hidden.md", ".private/b.md")]
    assert paths(editions.edition("HEAD", asked)) == ["HEAD:a.md", "HEAD:.hidden.md", "HEAD:.private/b.md"]
    assert paths(editions.edition("HEAD:.private")) == ["HEAD:.private/b.md", "HEAD:.private/c.md"]


def test_a_link_to_a_draft_is_held_against_what_the_draft_was(repository: Path, tmp_path: Path) -> None:
    desk = tmp_path / "desk"
    desk.mkdir()
    (desk / "draft.md").symlink_to(repository.absolute() / "a.md")
    found = editions.edition("HEAD", [desk / "draft.md"])
    assert (paths(found), found.new) == (["HEAD:a.md"], ())


def test_a_link_out_of_the_repository_stops_nobody(repository: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    far = tmp_path_factory.mktemp("far") / "far.md"
    far.write_text(HUGH, encoding="utf-8")
    (repository / "link.md").symlink_to(far)
    commit(repository, 3)
    found = editions.edition("HEAD", [Path("a.md"), Path("link.md")])
    assert (paths(found), found.new) == (["HEAD:a.md"], (Path("link.md"),))


def test_a_file_kept_elsewhere_or_damaged_is_told_and_the_others_are_read(repository: Path) -> None:
    pointer = f"version https://git-lfs.github.com/spec/v1\noid sha256:{'0' * 64}\nsize 1\n"
    commit(repository, 3, c__docx=pointer, d__docx="PK\x03\x04 damaged")
    found = editions.edition("HEAD:")
    assert paths(found) == ["HEAD:a.md", "HEAD:part/b.md"]
    assert {path for path, _ in found.unreadable} == {"HEAD:c.docx", "HEAD:d.docx"}


def test_a_large_file_that_has_been_fetched_is_read(repository: Path) -> None:
    id_ = hashlib.sha256(BOTH.encode()).hexdigest()
    commit(repository, 3, a__md=f"version https://git-lfs.github.com/spec/v1\noid sha256:{id_}\nsize 1\n")
    kept = repository / ".git" / "lfs" / "objects" / id_[:2] / id_[2:4] / id_
    kept.parent.mkdir(parents=True)
    kept.write_text(BOTH, encoding="utf-8")
    assert "Gwen" in str(editions.edition("HEAD:a.md").drafts[0].blocks)


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


@pytest.mark.parametrize("name", ['Hugh "Hughie" Gethin', "Gwen\\Gethin", "Idwal\tGethin"])
def test_the_commits_of_a_file_with_marks_in_its_name(folder: Path, name: str) -> None:
    commit(folder, 1, **{f"{name}__md": HUGH})
    commit(folder, 2, **{f"{name}__md": BOTH})
    assert [path for _, path in git.commits(folder, f"{name}.md")] == [f"{name}.md"] * 2


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
