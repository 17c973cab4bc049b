"""The findings as GitHub's workflow commands, which a check run shows beside the lines of a pull request.

Form and escapes follow GitHub's documentation, 'Workflow commands for GitHub Actions', and its toolkit
(``packages/core/src/command.ts``). GitHub shows ten of each level a step, so the gravest come first.
"""

from __future__ import annotations

from storylint.findings import Finding, Level, Reading

COMMAND = {Level.ERROR: "error", Level.WARNING: "warning", Level.NOTE: "notice"}


def render(reading: Reading) -> str:
    """One line a finding."""
    findings = sorted((finding for _, finding in reading.every()), key=lambda f: (-f.level.rank, -f.gain))
    return "".join(f"{line(finding)}\n" for finding in findings)


def line(finding: Finding) -> str:
    """One annotation, at the finding's first place."""
    place = finding.places[0]
    values = {"file": place.path.replace("\\", "/"), "title": f"storylint {finding.rule}"}
    if place.line is not None:
        values["line"] = str(place.line)
    named = ",".join(f"{key}={value(text)}" for key, text in values.items())
    where = "" if place.line is not None else f"Paragraph {place.block + 1}: “{place.quote}”\n"
    told = data(f"{where}{finding.message}\n{finding.fix}")
    return f"::{COMMAND[finding.level]} {named}::{told}"


def data(text: str) -> str:
    """Text after the second pair of colons."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def value(text: str) -> str:
    """Text of a named value, which colons and commas would end."""
    return data(text).replace(":", "%3A").replace(",", "%2C")
