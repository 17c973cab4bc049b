"""Outputs: one module a kind, each with ``render(reading) -> str``, made from the reading alone."""

from __future__ import annotations

import importlib
from importlib.util import find_spec

from storylint.complaints import Misuse
from storylint.findings import Reading

PRINTED = ("terminal", "json", "sarif", "github")  # for standard output; ``terminal`` draws its own
WRITTEN = ("json", "sarif", "html")  # for files


def written() -> list[str]:
    """The kinds of file that can be written."""
    return [kind for kind in WRITTEN if find_spec(f"storylint.reporters.{kind}")]


def render(kind: str, reading: Reading) -> str:
    """The reading as text of one kind."""
    if not find_spec(f"storylint.reporters.{kind}"):
        raise Misuse(f"there is no output of the kind '{kind}'; there are {', '.join(written())}.")
    text = importlib.import_module(f"storylint.reporters.{kind}").render(reading)
    assert isinstance(text, str)
    return text
