"""JSON output against the published schema, and what the contract says of it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from storylint.findings import Finding, Level, Place
from storylint.reporters import render
from tests.conftest import DRAFT, Ran, read_text

DEMO = Path(__file__).parents[2] / "corpus_demo"


def published() -> Any:
    return json.loads(files("storylint.reporters").joinpath("schema.json").read_text(encoding="utf-8"))


def sealed(schema: Any) -> Any:
    """The schema with every object closed, so that a field it does not describe is noticed here."""
    if isinstance(schema, list):
        return [sealed(part) for part in schema]
    if not isinstance(schema, dict):
        return schema
    closed = {key: sealed(part) for key, part in schema.items()}
    if "properties" in schema and isinstance(schema["properties"], dict):
        closed.setdefault("additionalProperties", False)
    return closed


def check(text: str) -> Any:
    data = json.loads(text)
    jsonschema.Draft202012Validator(sealed(published())).validate(data)
    return data


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(published())


def test_a_draft_with_faults_fits_the_schema() -> None:
    data = check(render("json", read_text(DRAFT)))
    assert data["schema"] == 1
    owen = next(section for section in data["sections"] if section["person"] == "Owen Prydderch")
    assert owen["number"] == "1"
    assert owen["generation"] == 1
    assert owen["line"] == DRAFT.splitlines().index("## 1. Owen¹ Prydderch") + 1
    assert {finding["rule"] for finding in owen["findings"]} >= {"boilerplate", "templates", "unsourced"}
    quotes = [place["quote"] for finding in owen["findings"] for place in finding["places"]]
    assert "He died on 9 July 1899." in quotes
    assert all("mends" not in finding for finding in owen["findings"])


@pytest.mark.parametrize(
    "text", ["", "# A title\n", "Some words without a person or a heading.\n", "| a | b |\n|---|---|\n"]
)
def test_drafts_with_next_to_nothing_fit_the_schema(text: str) -> None:
    check(render("json", read_text(text)))


@pytest.mark.parametrize("name", ["original.md", "working.md", "chapter.md"])
def test_the_demo_fits_the_schema(run: Callable[..., Ran], name: str) -> None:
    done = run("lint", DEMO / name, "--no-record", "--format", "json")
    assert done.code in (0, 1), done.err
    data = check(done.out)
    assert data["summary"]["persons"] == sum(section["person"] is not None for section in data["sections"])


def test_a_score_is_the_share_a_reader_can_check() -> None:
    for section in check(render("json", read_text(DRAFT)))["sections"]:
        for rule, share in section["shares"].items():
            score = section["scores"].get(rule)
            if share["whole"] and score is not None:
                assert score == pytest.approx(100 * share["clean"] / share["whole"], abs=0.1)


def test_findings_of_the_whole_book_and_faults_of_the_run_are_in_it() -> None:
    loose = Finding(
        "marks", Level.ERROR, "m", "f", (Place("book.md", 0, None, 0, 1, "A"),), {"problem": "order"}, id="x"
    )
    reading = replace(
        read_text(DRAFT), findings=(loose,), unreadable=(("b.pdf", "is a PDF"),), crashes=("rule 'x' failed",)
    )
    data = check(render("json", reading))
    assert data["findings"][0]["details"] == {"problem": "order"}
    assert data["summary"]["levels"]["error"] == 1
    assert data["summary"]["unreadable"] == [{"path": "b.pdf", "why": "is a PDF"}]
    assert data["summary"]["crashes"] == ["rule 'x' failed"]


def test_letters_of_any_script_stay_as_they_are() -> None:
    assert "Gruffydd ap Llŷr 王" in render("json", read_text("# Gruffydd ap Llŷr 王\n\nHe sang.\n"))
