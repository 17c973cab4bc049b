"""``storylint progress`` as an author and a script see it."""

from __future__ import annotations

import io
import json
import re
import unicodedata
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from storylint.revisions import chart, log
from storylint.revisions.history import told
from tests.conftest import Ran
from tests.revisions.books import LIVES, chapter, person, revision
from tests.revisions.repositories import commit, git, state
from tests.revisions.test_history import many
from tests.revisions.test_log import LIVING

Run = Callable[..., Ran]


def recorded(folder: Path, *entries: dict[str, Any]) -> None:
    (folder / "book.md").write_text(chapter(LIVES))
    (folder / log.FILE).write_text("".join(json.dumps(entry) + "\n" for entry in entries))


def data(run: Run, *argv: object) -> Any:
    done = run("progress", *argv, "--format", "json")
    assert done.code == 0, done.err
    return json.loads(done.out)


def drawn(*entries: dict[str, Any], encoding: str = "utf-8", width: int = 80, color: bool = False) -> str:
    """What a terminal of this kind shows."""
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors="replace")
    console = Console(file=stream, force_terminal=True, width=width, no_color=not color, highlight=False)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(chart, "console_for", lambda _: console)
        chart.show(told(log.Log(Path(log.FILE)), entries, None), {}, False)
    stream.seek(0)
    return stream.read()


# --------------------------------------------------------------------------------------------------------- what shows


def test_the_book_and_its_persons_then_and_now(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(20, 30, 40)), revision(28, *many(90, 95, 90)), revision(40, *many(90, 95, 70)))
    out = run("progress").out
    assert "3 revisions, 2 Mar 2026 to 11 Apr 2026" in out
    assert "2 of 3 persons at your goal of 85" in out
    assert "overall        30 -> 85" in out
    assert [line.split()[0] for line in out.splitlines() if "wen Gethin" in line] == ["Cwen", "Awen", "Bwen"]
    assert "2 brought over the goal in 40 days are too few" in " ".join(out.split())
    assert all(len(line) <= 80 for line in out.splitlines())


def test_the_plot_has_a_point_for_each_revision_at_its_height(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(0)), revision(10, *many(50)), revision(20, *many(100)))
    rows = [line[7:] for line in run("progress").out.splitlines() if line[6:7] == "|"]
    points = {(row, column) for row, text in enumerate(rows) for column, char in enumerate(text) if char == "*"}
    assert points == {(8, 0), (4, 36), (0, 71)}
    assert rows[chart.row_of(85, 0)].count(".") > 50


def test_a_change_of_the_rules_is_a_line_down_and_is_told(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(20)), revision(10, *many(40), rules={"boilerplate": 2}), revision(20, *many(40)))
    out = run("progress").out
    assert "12 Mar 2026: the rules changed (boilerplate judges anew)" in out
    rows = [line for line in out.splitlines() if line[6:7] == "|"]
    assert sum(row.count(":") for row in rows) >= 2 * (len(rows) - 2)
    assert data(run)["book"][1]["rules_changed"] == "boilerplate judges anew"


def test_a_terminal_gets_drawn_characters_and_plain_ones_where_it_has_none() -> None:
    entries = [revision(0, *many(20, 30)), revision(20, *many(80, 90))]
    fine = drawn(*entries)
    assert "●" in fine
    assert "█" in fine
    plain = drawn(*entries, encoding="ascii")
    assert plain.isascii()
    assert "*" in plain
    assert "\x1b[" in drawn(*entries, color=True)


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_it_fits_the_terminal(width: int) -> None:
    entries = [revision(day, *many(*[20 + day] * 4)) for day in range(60)]
    text = re.sub(r"\x1b\[[0-9;]*m", "", drawn(*entries, width=width))
    assert max(map(len, text.splitlines())) <= width


def test_one_revision_is_told_without_a_plot(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(20)))
    out = run("progress", "book.md").out
    assert "1 revision, 2 Mar 2026" in out
    assert "Overall score" not in out


def test_who_is_gone_is_told(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(20, 30)), revision(1, *many(20)))
    assert "No longer in the book: Bwen Gethin (last on 2 Mar 2026)" in " ".join(run("progress").out.split())


def test_an_end_that_is_past_is_not_promised() -> None:
    def told_of(year: int) -> str:
        when = {"when": f"{year}-05-01T09:00:00Z"}
        entries = [
            revision(0, *many(*[20] * 8)) | {"when": f"{year}-04-01T09:00:00Z"},
            revision(0, *many(*[90] * 4, *[20] * 4)) | when,
        ]
        return chart.pace_told(told(log.Log(Path(log.FILE)), entries, None).pace, 85)

    assert "The other 4 would have been there between May 2019 and June 2019 at that pace" in told_of(2019)


def test_who_has_the_score_and_an_error_is_counted_by_itself(run: Run, folder: Path) -> None:
    wrong = {"findings": {"error": 1, "warning": 0, "note": 0}}
    recorded(
        folder, revision(0, person("Hugh Gethin", 90), person("Gwen Gethin", 88, **wrong), person("Ann Gethin", 20))
    )
    assert "1 of 3 persons at your goal of 85; 1 more has its score, and an error" in " ".join(
        run("progress").out.split()
    )
    run("progress", "--write", "html:page.html")
    page = (folder / "page.html").read_text(encoding="utf-8")
    assert "at your goal of 85; 1 more has its score, and an error<" in page
    assert "dotted upright" not in page


def test_the_page_says_what_the_terminal_says(run: Run, folder: Path) -> None:
    entries = revision(0, *many(20, 30)), revision(28, *many(90, 40), rules={"boilerplate": 2}), revision(40, *many(90))
    recorded(folder, *entries)
    done = run("progress", "--write", "html:page.html", "--write", "json:page.json")
    assert (done.code, done.err) == (0, "")
    assert json.loads((folder / "page.json").read_text()) == data(run)
    page = (folder / "page.html").read_text(encoding="utf-8")
    words = " ".join(unescape(re.sub(r"<(style|script).*?</\1>|<[^>]+>", " ", page, flags=re.S)).split())
    for said in (
        "1 of 1 person at your goal of 85",
        "25 → , now 90 of 100 overall",
        "Pace. everyone has reached the goal.",
        "30 Mar 2026: the rules changed (boilerplate judges anew)",
        "Awen Gethin 20 90 +70",
        "No longer in the book: Bwen Gethin (last on 30 Mar 2026)",
    ):
        assert said in words
    assert "<title>From revision to revision – storylint</title>" in page
    assert page.count('class="small-line"') == 1
    assert "A dotted upright" in page


def test_a_page_of_nothing_is_not_written(run: Run, book: Path) -> None:
    done = run("progress", "book.md", "--format", "json", "--write", "html:page.html")
    assert (done.code, done.err.count("\n")) == (2, 1)
    assert not Path("page.html").exists()


def test_nobody_has_reached_the_goal_without_a_score(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, person("Hugh Gethin", None)))
    assert "nobody has a score yet" in run("progress").out


def test_damage_is_told(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, *many(20)))
    with (folder / log.FILE).open("a") as stream:
        stream.write('{"cut')
    assert "1 line" in run("progress").out
    assert data(run)["unread"] == 1


@pytest.mark.parametrize("line", ['"ease":NaN', '"ease":Infinity', '"goal":1e999', '"ease":"high"'])
def test_a_line_edited_by_hand_takes_nothing_else_away(run: Run, folder: Path, line: str) -> None:
    recorded(folder, revision(0, *many(20)), revision(1, *many(30)))
    kept, edited = (folder / log.FILE).read_text().splitlines()
    name = line.partition(":")[0]
    edited = re.sub(rf"{name}: [\d.]+", line, edited)
    (folder / log.FILE).write_text(f"{edited}\n{kept}\n")
    done = run("progress", "--format", "json")
    assert done.code == 0
    found = json.loads(done.out, parse_constant=pytest.fail)
    assert ([moment["overall"] for moment in found["book"]], found["unread"]) == ([20], 1)
    assert "1 line of" in run("progress").out


def test_what_is_not_known_for_sure_is_told(run: Run, folder: Path) -> None:
    newer = revision(1, *many(20)) | {"schema": 2}
    recorded(folder, newer, newer)
    done = run("progress")
    assert done.code == 2
    assert "newer storylint" in done.err
    recorded(folder, revision(5, *many(20)), newer, newer, revision(-9000, *many(30)))
    out = " ".join(run("progress").out.split())
    assert "2 revisions were written by a newer storylint" in out
    assert "1 revision with a time that goes back" in out
    assert "overall 20 -> 30" in out
    assert (data(run)["newer"], data(run)["mistimed"]) == (2, 1)


def test_names_that_the_log_keeps_secret_come_from_the_draft(run: Run, folder: Path) -> None:
    (folder / "book.md").write_text(LIVING)
    run("lint", "book.md")
    assert "2 Nerys Gethin Howells" in run("progress", "--write", "html:page.html").out
    assert "2 Nerys Gethin Howells" in Path("page.html").read_text(encoding="utf-8")
    assert "Nerys" not in run("progress", "--format", "json").out
    (folder / "book.md").unlink()
    (folder / "other.md").write_text(chapter(["Hugh Gethin"]))
    assert "name kept private" in run("progress").out


@pytest.mark.parametrize(
    ("argv", "says"),
    [(["none.md"], "no such draft"), (["book.md"], "no revision has been recorded"), (["--no-record"], "--from-git")],
)
def test_wrong_usage_is_one_line(run: Run, book: Path, argv: list[str], says: str) -> None:
    done = run("progress", *argv)
    assert (done.code, done.out, done.err.count("\n")) == (2, "", 1)
    assert says in done.err


def test_a_script_gets_an_empty_history_where_there_is_none(run: Run, book: Path) -> None:
    found = data(run, "book.md")
    assert (found["schema"], found["book"], found["persons"]) == (1, [], [])


def test_the_data_have_what_the_screen_has(run: Run, folder: Path) -> None:
    recorded(folder, revision(0, person("Hugh Gethin", 20)), revision(28, person("Hugh Gethin", 90), commit="abc"))
    found = data(run)
    assert found["goal"] == 85
    assert [(m["overall"], m["done"], m["words"], m["commit"]) for m in found["book"]] == [
        (20, 0, 200, None),
        (90, 1, 200, "abc"),
    ]
    [hugh] = found["persons"]
    assert (hugh["person"], hugh["done"], hugh["in_book"]) == ("Hugh Gethin", True, True)
    assert [r["scores"]["overall"] for r in hugh["revisions"]] == [20, 90]
    assert hugh["revisions"][0]["readability"] == {"flesch_reading_ease": 60.0, "flesch_kincaid_grade": 9.0}
    assert found["pace"]["why_not"] == "everyone has reached the goal"


def test_a_name_that_two_computers_write_in_two_ways_is_one_draft(run: Run, folder: Path) -> None:
    names = [*LIVES]
    for day, form in enumerate(("NFC", "NFD", "NFC"), 1):
        for each in folder.glob("*.md"):
            each.unlink()
        draft = folder / unicodedata.normalize(form, "Llyfr Siân.md")
        draft.write_text(chapter(names[:day]), encoding="utf-8")
        run("lint", draft.name)
    for asked in (unicodedata.normalize("NFC", "Llyfr Siân.md"), "."):
        assert [moment["persons"] for moment in data(run, asked)["book"]] == [1, 2, 3]
    draft.rename(folder / unicodedata.normalize("NFD", "Llyfr Siân.md"))
    assert [moment["persons"] for moment in data(run, unicodedata.normalize("NFD", "Llyfr Siân.md"))["book"]] == [
        1,
        2,
        3,
    ]
    run("lint", unicodedata.normalize("NFD", "Llyfr Siân.md"))
    assert len(data(run)["book"]) == 3  # the same content under the same name


# ----------------------------------------------------------------------------------------------------------- from git


@pytest.fixture
def repository(folder: Path) -> Path:
    names = [*LIVES]
    commit(folder, 0, book__md=chapter(names[:2]))
    commit(folder, 1, notes__csv="nothing of the draft")
    commit(folder, 2, book__md=chapter(names[:3]))
    git(folder, "mv", "book.md", "gethins.md")
    commit(folder, 3)
    commit(folder, 4, gethins__md=chapter([names[2], names[0]]))
    return folder


def test_the_commits_make_the_history_and_the_repository_stays_as_it_is(run: Run, repository: Path) -> None:
    before = state(repository)
    found = data(run, "gethins.md", "--from-git")
    assert [moment["when"][:10] for moment in found["book"]] == ["2026-03-01", "2026-03-03", "2026-03-04", "2026-03-05"]
    assert [moment["persons"] for moment in found["book"]] == [2, 3, 3, 2]
    assert all(len(moment["commit"]) == 40 for moment in found["book"])
    people = {person["person"]: (len(person["revisions"]), person["in_book"]) for person in found["persons"]}
    assert people == {"Hugh Gethin": (4, True), "Gwen Gethin": (3, False), "Idwal Gethin": (3, True)}
    assert state(repository) == before


def test_what_is_recorded_already_is_not_recorded_again(run: Run, repository: Path) -> None:
    run("lint", "gethins.md")
    once = (repository / log.FILE).read_bytes()
    assert len(data(run, "gethins.md", "--from-git")["book"]) == 4
    twice = (repository / log.FILE).read_bytes()
    assert twice.startswith(once)
    assert len(data(run, "gethins.md", "--from-git")["book"]) == 4
    assert (repository / log.FILE).read_bytes() == twice


def test_commits_can_be_shown_without_a_record(run: Run, repository: Path) -> None:
    assert len(data(run, "gethins.md", "--from-git", "--no-record")["book"]) == 4
    assert not (repository / log.FILE).exists()


def test_a_folder_s_history_is_rebuilt_too(run: Run, repository: Path) -> None:
    found = data(run, "--from-git")
    assert [moment["persons"] for moment in found["book"]] == [2, 3, 3, 2]


@pytest.mark.parametrize("asked", ["to/gethins.md", "to", "draft.md"])
def test_through_a_link_the_history_is_the_same(
    run: Run, repository: Path, asked: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = tmp_path / "desk"
    desk.mkdir()
    (desk / "to").symlink_to(repository)
    (desk / "draft.md").symlink_to(repository / "gethins.md")
    monkeypatch.chdir(desk)
    assert [moment["persons"] for moment in data(run, asked, "--from-git")["book"]] == [2, 3, 3, 2]
    paths = {draft["path"] for entry in log.Log(repository / log.FILE).entries() for draft in entry["drafts"]}
    assert paths == {"book.md", "gethins.md"}
    once = (repository / log.FILE).read_bytes()
    monkeypatch.chdir(repository)
    assert len(data(run, "gethins.md", "--from-git")["book"]) == 4
    assert (repository / log.FILE).read_bytes() == once


def test_a_commit_that_cannot_be_read_costs_itself_only(run: Run, repository: Path) -> None:
    commit(repository, 5, gethins__md="\n")
    commit(repository, 6, gethins__md=chapter(["Hugh Gethin"]))
    assert [moment["persons"] for moment in data(run, "gethins.md", "--from-git")["book"]] == [2, 3, 3, 2, 1]


def test_without_commits_or_a_repository_it_is_told(run: Run, book: Path) -> None:
    assert "no git repository" in run("progress", "book.md", "--from-git").err
    git(book.parent, "init", "-q")
    assert "no commit" in run("progress", "book.md", "--from-git").err
