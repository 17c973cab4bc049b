"""The settings file: found, checked, explained."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint import settings
from storylint.complaints import Misuse
from storylint.engine import rules
from tests.conftest import Ran


def parsed(text: str) -> settings.Settings:
    return settings.parse(Path("book/storylint.toml"), text)


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    assert settings.load(tmp_path / "draft.md") == settings.Settings()


def test_the_nearest_file_wins_whole(tmp_path: Path) -> None:
    inner = tmp_path / "chapters" / "one"
    inner.mkdir(parents=True)
    (tmp_path / "storylint.toml").write_text("[book]\nreader_grade = 7\ngoal = 70\n")
    assert settings.load(inner / "draft.md").grade == 7
    (tmp_path / "chapters" / "storylint.toml").write_text("[book]\ngoal = 90\n")
    near = settings.load(inner)
    assert (near.goal, near.grade) == (90, 9)


def test_values_arrive_where_they_are_used() -> None:
    own = parsed("[book]\nhome = ['Bethesda']\n[rules]\nopenings = false\n[unbroken]\nparagraph = 120\n")
    assert own.home == ("Bethesda",)
    assert not own.is_on("openings")
    assert own.is_on("unbroken")
    options = own.options(rules()["unbroken"].CARD)
    assert (options["paragraph"], options["sentence"]) == (120, 40)


def test_event_files_stand_beside_the_settings() -> None:
    own = parsed("[context]\nfiles = ['our/valley.csv']\n")
    assert own.options(rules()["context"].CARD)["files"] == [str(Path("book/our/valley.csv"))]


def test_one_line_makes_a_reference_work() -> None:
    own = parsed("[book]\nreference_work = true\n")
    assert own.options(rules()["boilerplate"].CARD)["reference_work"] is True
    kept = parsed("[book]\nreference_work = true\n[boilerplate]\nreference_work = false\n")
    assert kept.options(rules()["boilerplate"].CARD)["reference_work"] is False


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[book]\n\nreader_grad = 8", ":3: [book] has no setting 'reader_grad'. Did you mean 'reader_grade'?"),
        ("[rules]\nboilerplat = false", ":2: [rules] has no rule 'boilerplat'. Did you mean 'boilerplate'?"),
        ("\n[unsourcd]\nnotes = 'sentence'", ":2: there is no table [unsourcd]. Did you mean 'unsourced'?"),
        ("goal = 80", ":1: 'goal' stands under no table. It belongs under [book]."),
        ("[book]\ngoal = 'high'", ":2: 'goal' must be a number, not \"high\"."),
        ("[book]\nhome = 'Bethesda'", ":2: 'home' must be a list of texts"),
        ("[book]\nhome = [1]", ":2: 'home' must be a list of texts"),
        ("[book]\nreference_work = 1", ":2: 'reference_work' must be true or false"),
        ("[unbroken]\nparagraph = true", ":2: 'paragraph' must be a whole number"),
        ("[unbroken]\nparagraph = 1.5", ":2: 'paragraph' must be a whole number"),
        ("[unbroken]\nparagraph = -1", ":2: 'paragraph' can't be below 0."),
        ("[unsourced]\nnotes = 'sentense'", ":2: 'notes' must be 'paragraph' or 'sentence', not 'sentense'."),
        ("[limits]\npart_mb = '1 GB'", ":2: 'part_mb' must be a whole number"),
        ("[limits]\nparagraph = 9", ":2: [limits] has no setting 'paragraph'. Did you mean 'paragraphs'?"),
        ("paragraphs = 9", ":1: 'paragraphs' stands under no table. It belongs under [limits]."),
        ("[book]\nhome = [Bethesda]", "can't be understood"),
    ],
)
def test_what_is_wrong_is_told_in_one_line_with_its_place(text: str, says: str) -> None:
    with pytest.raises(Misuse) as complaint:
        parsed(text)
    told = str(complaint.value)
    assert told.startswith("book/storylint.toml")
    assert says in told
    assert "\n" not in told


def test_a_whole_number_is_a_number() -> None:
    assert parsed("[book]\ngoal = 80").goal == 80


def test_the_starter_file_changes_nothing_and_each_line_in_it_holds() -> None:
    text = settings.starter()
    assert parsed(text) == settings.Settings(
        path="book/storylint.toml",
        table={"book": {}, "rules": {}} | {name: {} for name, module in rules().items() if module.CARD.options},
    )
    switched_on = re.sub(r"^# (?=[a-z_]+ = )", "", text, flags=re.MULTILINE)
    assert switched_on.count("\n") == text.count("\n")
    everything = parsed(switched_on)
    assert everything.off == frozenset()
    for name, module in rules().items():
        defaults = {option.name: option.default for option in module.CARD.options}
        assert everything.options(module.CARD) == defaults, name
        assert all(f"## {option.meaning}" in text for option in module.CARD.options)


def test_a_mark_at_the_start_of_the_file_does_no_harm(tmp_path: Path) -> None:
    (tmp_path / "storylint.toml").write_bytes(b"\xef\xbb\xbf[book]\r\ngoal = 80\r\n")
    assert settings.load(tmp_path).goal == 80


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "storylint.toml").write_bytes(b"[book]\nhome = ['\xff']\n")
    with pytest.raises(Misuse, match="UTF-8"):
        settings.load(tmp_path)


def test_start_writes_the_file_and_keeps_an_old_one(folder: Path, run: Callable[..., Ran]) -> None:
    assert run("start").code == 0
    file = folder / "storylint.toml"
    assert file.read_text(encoding="utf-8") == settings.starter()
    file.write_text("[book]\ngoal = 70\n")
    refused = run("start")
    assert refused.code == 2
    assert "--force" in refused.err
    assert file.read_text() == "[book]\ngoal = 70\n"
    assert run("start", "--force").code == 0
    assert run("start", "nowhere").code == 2
