"""Outputs: one module a kind, each with ``render(reading) -> str``, made from the reading alone."""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Iterable, Sequence
from importlib.util import find_spec
from pathlib import Path

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


def target(spec: str, kinds: Sequence[str], drafts: Iterable[Path]) -> tuple[str, Path]:
    """KIND:FILE taken apart. A file that is there is only replaced if storylint wrote it."""
    kind, colon, name = spec.partition(":")
    if not colon or not name:
        raise Misuse(f"--write {spec}: write the kind, a colon and the file, as in {kinds[0]}:report.{kinds[0]}.")
    if kind not in kinds:
        raise Misuse(f"--write {spec}: there is no report of the kind '{kind}'; there are {', '.join(kinds)}.")
    file = Path(name)
    if file.resolve() in {path.resolve() for path in drafts} or (file.exists() and not is_ours(file)):
        raise Misuse(f"{file}: is there and is no report of storylint, so it stays as it is; choose another name.")
    return kind, file


def is_ours(file: Path) -> bool:
    """True for a report that storylint wrote: each kind names its maker near its beginning."""
    try:
        with file.open("rb") as stream:
            return b"storylint" in stream.read(2000)
    except OSError:
        return False


def put(pieces: Iterable[str]) -> None:
    """Print what is for a script: the same bytes on every computer."""
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")
    sys.stdout.writelines(pieces)


def save(file: Path, text: str) -> None:
    """Write a report whole or not at all."""
    half = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        half.write_text(text, encoding="utf-8", errors="backslashreplace", newline="\n")
        half.replace(file)
    except OSError as fault:
        half.unlink(missing_ok=True)
        raise Misuse(f"{file}: can't be written ({fault.strerror}); choose a folder with room in it.") from None
