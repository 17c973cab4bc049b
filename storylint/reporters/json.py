"""The reading as JSON, schema 1: see ``schema.json`` beside this file. Scripts rely on it; add, never change."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any

from storylint import __version__
from storylint.findings import Finding, Place, Reading, SectionReading, Share, Stet
from storylint.reporters.glance import glance

SCHEMA = 1


def render(reading: Reading) -> str:
    """The reading as one JSON text."""
    return "".join(pieces(reading))


def pieces(reading: Reading) -> Iterator[str]:
    """The same bit by bit: the report on a long book takes more memory than the book."""
    before, after = text(reading_as_data(reading, ())).split('"sections": []', 1)
    yield before + '"sections": ['
    for number, section in enumerate(reading.sections):
        yield (", " if number else "") + text(section_as_data(section))
    yield "]" + after + "\n"


def text(data: object) -> str:
    """Data as JSON, in the letters of the draft."""
    return json.dumps(data, ensure_ascii=False)


def reading_as_data(reading: Reading, sections: Iterable[SectionReading] | None = None) -> dict[str, Any]:
    """The reading as plain data; with only these of its sections where some are given."""
    return {
        "schema": SCHEMA,
        "storylint": __version__,
        "drafts": [{"path": d.path, "format": d.format, "words": d.words, "sha256": d.sha256} for d in reading.drafts],
        "sections": [section_as_data(each) for each in (reading.sections if sections is None else sections)],
        "findings": [finding_as_data(finding) for finding in reading.findings],
        "summary": summary(reading),
    }


def section_as_data(section: SectionReading) -> dict[str, Any]:
    """One section."""
    return {
        "id": section.id,
        "path": section.path,
        "line": section.line,
        "block": section.block,
        "title": section.title,
        "person": section.person,
        "number": section.number,
        "generation": section.generation,
        "words": section.words,
        "scores": section.scores,
        "shares": {rule: share_as_data(share) for rule, share in section.shares.items()},
        "readability": section.readability,
        "findings": [finding_as_data(finding) for finding in section.findings],
    }


def share_as_data(share: Share) -> dict[str, Any]:
    """A share without its reasons."""
    return {"clean": share.clean, "whole": share.whole, "unit": share.unit}


def finding_as_data(finding: Finding) -> dict[str, Any]:
    """One finding."""
    return {
        "id": finding.id,
        "rule": finding.rule,
        "level": finding.level.value,
        "message": finding.message,
        "fix": finding.fix,
        "gain": finding.gain,
        "places": [place_as_data(place) for place in finding.places],
        "details": finding.details,
    }


def place_as_data(place: Place) -> dict[str, Any]:
    """One place."""
    return {name: getattr(place, name) for name in ("path", "block", "line", "start", "end", "quote")}


def summary(reading: Reading) -> dict[str, Any]:
    """The book at a glance, and what could not be done."""
    told = asdict(glance(reading)) | {
        "goal": reading.goal,
        "unreadable": [{"path": path, "why": why} for path, why in reading.unreadable],
        "crashes": list(reading.crashes),
        "remarks": [{"path": draft.path, "remark": remark} for draft in reading.drafts for remark in draft.remarks],
        "sources": sources(reading),
        "stet": {"standing": stets(reading.standing), "lapsed": stets(reading.lapsed)},
    }
    return told | ({"against": asdict(reading.worse)} if reading.worse else {})


def stets(listed: Iterable[Stet]) -> list[dict[str, Any]]:
    """Findings that the author lets stand."""
    names = ("id", "rule", "person", "why", "since", "quotes")
    return [{name: getattr(stet, name) for name in names} | ({"now": stet.now} if stet.now else {}) for stet in listed]


def sources(reading: Reading) -> dict[str, Any]:
    """The book's sources with the persons told from each, and the persons who have none."""
    names = {section.id: section.person for section in reading.sections if section.person}
    told = {id_ for source in reading.sources for id_ in source.sections}
    rows = [
        {
            "source": source.title,
            "kind": source.kind,
            "times": source.times,
            "persons": [names[id_] for id_ in source.sections if id_ in names],
            "missing": list(source.missing),
            "weak": source.weak,
        }
        for source in reading.sources
    ]
    return {"rows": rows, "without": [name for id_, name in names.items() if id_ not in told]}
