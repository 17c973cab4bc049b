"""The reading as SARIF 2.1.0 (OASIS Standard, 27 March 2020), for code hosts and editors that show such files.

The schema is lax; hosts are strict: every result has a location with a line, every address is relative and
percent-encoded, every rule is declared. A word-processor file has no lines: there a line is the paragraph, counted
from 1, with its text as snippet and its section as logical location.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

from storylint import __version__
from storylint.findings import Finding, Place, Reading, SectionReading

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def render(reading: Reading) -> str:
    """The reading as one SARIF log with one run."""
    from storylint.rule import rules

    cards = {name: module.CARD for name, module in rules().items()}
    names = sorted({finding.rule for _, finding in reading.every()})
    run = {
        "tool": {
            "driver": {
                "name": "storylint",
                "semanticVersion": __version__,
                "rules": [rule(name, cards[name].summary if name in cards else name) for name in names],
            }
        },
        "columnKind": "unicodeCodePoints",
        "invocations": [invocation(reading)],
        "results": [result(section, finding, names) for section, finding in reading.every()],
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, ensure_ascii=False) + "\n"


def rule(name: str, summary: str) -> dict[str, Any]:
    """A rule as a reporting descriptor."""
    more = f"What it means, with examples: storylint rulebook {name}"
    return {"id": name, "shortDescription": message(summary), "help": message(more)}


def result(section: SectionReading | None, finding: Finding, names: list[str]) -> dict[str, Any]:
    """One finding; the first place is its location, the others of its family are related ones."""
    first, *others = (location(section, place) for place in finding.places)
    found: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": names.index(finding.rule),
        "level": finding.level.value,
        "message": message(f"{finding.message} {finding.fix}"),
        "locations": [first],
        "partialFingerprints": {"storylint/v1": finding.id},
        "properties": {"gain": finding.gain},
    }
    if others:
        found["relatedLocations"] = [{"id": i} | other for i, other in enumerate(others, 1)]
    return found


def location(section: SectionReading | None, place: Place) -> dict[str, Any]:
    """Where a finding stands: the line (or paragraph) with its words, and the section."""
    line = place.line if place.line is not None else place.block + 1
    found: dict[str, Any] = {
        "physicalLocation": {
            "artifactLocation": {"uri": uri(place.path)},
            "region": {"startLine": line, "snippet": {"text": place.quote}},
        }
    }
    if section is not None:
        found["logicalLocations"] = [{"name": section.person or section.title, "fullyQualifiedName": section.id}]
    return found


@cache
def uri(path: str) -> str:
    """The path relative to the working folder, percent-encoded; a file on another drive by its whole address."""
    try:
        relative = os.path.relpath(path)
    except ValueError:
        return Path(path).resolve().as_uri()
    return quote(os.fsencode(relative.replace(os.sep, "/")), safe="/")


def message(text: str) -> dict[str, str]:
    """A message; braces are doubled, for single ones stand for arguments (§3.11.5)."""
    return {"text": text.replace("{", "{{").replace("}", "}}")}


def invocation(reading: Reading) -> dict[str, Any]:
    """How the run went: files that could not be read, rules that failed."""
    lost: Iterable[dict[str, Any]] = (
        {
            "level": "error",
            "message": message(f"{path}: {why}"),
            "locations": [{"physicalLocation": {"artifactLocation": {"uri": uri(path)}}}],
        }
        for path, why in reading.unreadable
    )
    failed = ({"level": "error", "message": message(crash)} for crash in reading.crashes)
    return {"executionSuccessful": not reading.crashes, "toolExecutionNotifications": [*lost, *failed]}
