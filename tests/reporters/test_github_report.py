"""GitHub's workflow commands: one line a finding, nothing in a text that could end it."""

from __future__ import annotations

import re
from dataclasses import replace

from storylint.findings import Finding, Level, Place
from storylint.reporters import render
from tests.conftest import DRAFT, read_text

COMMAND = re.compile(r"^::(error|warning|notice) ((?:\w+=[^,:]*,?)+)::(.+)$")


def test_every_line_is_a_command_and_the_gravest_come_first() -> None:
    reading = read_text(DRAFT)
    lines = render("github", reading).splitlines()
    kinds = [match[1] for line in lines if (match := COMMAND.match(line))]
    assert len(kinds) == len(lines) == len(reading.every()) > 3
    assert kinds == sorted(kinds, key=["error", "warning", "notice"].index)


def test_nothing_in_a_text_ends_the_line_or_a_value() -> None:
    hostile = "100 % \r\n::error::stolen"
    finding = Finding("marks", Level.NOTE, hostile, "f", (Place("a,b:c.docx", 4, None, 0, 1, hostile),), id="x")
    lines = render("github", replace(read_text(""), findings=(finding,))).splitlines()
    assert len(lines) == 1
    assert lines[0].startswith("::notice file=a%2Cb%3Ac.docx,title=storylint marks::Paragraph 5: ")
    assert "100 %25 %0D%0A" in lines[0]
    assert ",line=" not in lines[0]
