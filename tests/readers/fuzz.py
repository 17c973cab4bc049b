"""Damage drafts in many ways and see that each is read or refused with one line, in bounded time and memory.

    python tests/readers/fuzz.py ROUNDS [SEED] [FILE OR FOLDER ...]

Mutates the small drafts below, and real ones where files or folders are given. One round in five goes through the whole
``storylint lint``, the others through the reader alone. A round that crashes, takes more than 10 seconds or pushes
memory over 1 GB ends the run with the file kept beside, and exit code 1.
"""

from __future__ import annotations

import io
import json
import random
import resource
import signal
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from copy import deepcopy
from pathlib import Path
from typing import Any

from lxml import etree
from small_files import (
    docx,
    field,
    listed,
    note,
    notes,
    numbering,
    odt,
    odt_note,
    p,
    picture,
    raised,
    style,
    table,
    text_box,
    zipped,
)

from storylint.cli import main as command
from storylint.complaints import Unreadable
from storylint.draft import opening

WHOLE = 0.2  # of the rounds go through the whole command
LONGEST = 10.0  # seconds
LARGEST = 1024  # MiB

_TOKENS = (
    b"<", b">", b"&", b"\0", b"\xff\xfe", b"<!DOCTYPE a [<!ENTITY b 'c'>]>", b"&b;", b"w:p", b"w:r", b"text:list",
    b"<w:tbl>", b"</w:tbl>", b"<w:p>", b"</w:p>", b"-1", b"99999999999", b"1e308", b"<text:p>", b"</text:p>", b"\xc3",
    b"<mc:AlternateContent>", b"<!--", b"-->", b"<![CDATA[", b"%1%2%9", "¹".encode(), b"[1]", b".1 ",
)  # fmt: skip


def drafts() -> dict[str, bytes]:
    """One small draft of each format, with something of everything in it."""
    body = (
        p("Slate", style="Heading1")
        + p("Owen sailed.", note(1), " He stayed.", raised("2"), field("REF a", " Granville"), text_box(p("Boxed.")))
        + p("Entry", properties=listed(1))
        + p("Deeper", properties=listed(2, 1))
        + table(("Name", "Born"), ("Owen", "1841"))
        + p(picture("The mill"))
        + p("Gone on", properties="<w:rPr><w:del/></w:rPr>")
        + p("Last.", note(1, "endnote"))
        + p("Notes", style="Heading1")
        + p("2. Passenger list.")
    )
    parts = {
        "styles": style("Heading1", "heading 1"),
        "numbering": numbering(("decimal", "%1."), ("lowerRoman", "%1.%2")),
        "settings": '<w:footnotePr><w:numStart w:val="1"/></w:footnotePr>',
        "footnotes": notes("footnote", "Census."),
        "endnotes": notes("endnote", "Deed."),
    }
    open_body = (
        f"<text:h text:outline-level='1'>Slate</text:h><text:p>Owen sailed.{odt_note('1', 'Census.')} Stayed.²</text:p>"
        "<text:list><text:list-item><text:p>Entry</text:p><text:list><text:list-item><text:p>Deeper</text:p>"
        "</text:list-item></text:list></text:list-item></text:list><table:table><table:table-row><table:table-cell>"
        "<text:p>Owen</text:p></table:table-cell><table:table-cell/></table:table-row></table:table>"
        "<text:p><draw:frame><draw:image/></draw:frame><text:s text:c='3'/>End</text:p>"
        "<text:h text:outline-level='1'>Notes</text:h><text:p>2. Passenger list.</text:p>"
    )
    plain = (
        "# Slate\n\nOwen sailed.1 He stayed.[^a]\n\n1. Entry\n   - Deeper\n\n| a | b |\n|---|---|\n\n"
        "## Notes\n\n1. List.\n\n[^a]: Deed.\n"
    )
    return {
        "small.docx": docx(body, **parts),
        "small.odt": odt(open_body),
        "small.md": plain.encode(),
        "small.txt": plain.replace("#", "").encode("utf-16"),
    }


def mutated(rng: random.Random, name: str, data: bytes) -> bytes:
    """The draft with some damage: to a part inside the zip, or to the file itself."""
    if data.startswith(b"PK") and rng.random() < 0.75:
        parts = {entry.filename: _read(data, entry) for entry in zipfile.ZipFile(io.BytesIO(data)).infolist()}
        texts = [part for part in parts if part.endswith((".xml", ".rels"))]
        for _ in range(rng.randint(1, 3)):
            part = rng.choice(texts)
            if rng.random() < 0.08:
                parts.pop(part, None)
                texts = [text for text in texts if text != part] or ["x.xml"]
            else:
                damage = _bent if rng.random() < 0.5 else _damaged
                parts[part] = damage(rng, parts.get(part, b""))
        return zipped(parts)
    return _damaged(rng, data)


def _read(data: bytes, entry: zipfile.ZipInfo) -> bytes:
    return zipfile.ZipFile(io.BytesIO(data)).read(entry)


def _damaged(rng: random.Random, data: bytes) -> bytes:
    for _ in range(rng.choice((1, 1, 2, 5, 20))):
        damage: Callable[[random.Random, bytes], bytes] = rng.choice(_DAMAGES)
        data = damage(rng, data)
    return data


def _place(rng: random.Random, data: bytes) -> tuple[int, int]:
    start = rng.randint(0, len(data))
    return start, min(len(data), start + rng.choice((1, 1, 4, 30, 300)))


def _flip(rng: random.Random, data: bytes) -> bytes:
    start, end = _place(rng, data)
    return data[:start] + rng.randbytes(end - start) + data[end:]


def _cut(rng: random.Random, data: bytes) -> bytes:
    start, end = _place(rng, data)
    return data[:start] + data[end:]


def _double(rng: random.Random, data: bytes) -> bytes:
    start, end = _place(rng, data)
    return data[:end] + data[start:end] * rng.choice((1, 2, 50)) + data[end:]


def _insert(rng: random.Random, data: bytes) -> bytes:
    start, _ = _place(rng, data)
    return data[:start] + rng.choice(_TOKENS) * rng.choice((1, 1, 3, 400)) + data[start:]


def _truncate(rng: random.Random, data: bytes) -> bytes:
    return data[: _place(rng, data)[0]]


def _swap(rng: random.Random, data: bytes) -> bytes:
    """Swap two tags: the markup stays proper more often than with other damage."""
    tags = data.split(b"><")
    if len(tags) < 3:
        return data
    a, b = rng.randrange(1, len(tags) - 1), rng.randrange(1, len(tags) - 1)
    tags[a], tags[b] = tags[b], tags[a]
    return b"><".join(tags)


def _bent(rng: random.Random, data: bytes) -> bytes:
    """Markup that stays proper and makes no sense: elements gone, doubled, moved, renamed, with foreign values."""
    try:
        root = etree.fromstring(data)
    except etree.XMLSyntaxError:
        return _damaged(rng, data)
    elements = [element for element in root.iter() if isinstance(element.tag, str)]
    for _ in range(rng.choice((1, 3, 10))):
        _bend(rng, rng.choice(elements), rng.choice(elements))
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")


def _bend(rng: random.Random, one: Any, other: Any) -> None:
    parent = one.getparent()
    inside = any(ancestor is one for ancestor in (other, *other.iterancestors()))
    match rng.randrange(6):
        case 0 if parent is not None:
            parent.remove(one)
        case 1 if parent is not None:
            for _ in range(rng.choice((1, 1, 40))):
                parent.insert(rng.randint(0, len(parent)), deepcopy(one))
        case 2 if parent is not None and not inside:
            other.insert(rng.randint(0, len(other)), one)
        case 3:
            one.tag = other.tag
        case 4 if one.attrib:
            value = rng.choice(("", "0", "-1", "99999999999", "x", "true", "1e308", *other.attrib.values()))
            one.set(rng.choice(list(one.attrib)), value)
        case _:
            one.text = rng.choice((None, other.text, "¹", "[1]", ".1 ", "\u00ad\u200b", "born in .", "1. ", "i. "))


_DAMAGES = (_flip, _cut, _double, _insert, _truncate, _swap, _swap, _swap)


def _peak() -> int:
    """The most memory that this process has held so far, in MiB; earlier tests of the same process count in it."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def run(rounds: int, seed: int, sources: dict[str, bytes], folder: Path) -> tuple[int, int]:
    """Read ``rounds`` mutated drafts; gives how many were read and refused. AssertionError where one misbehaves."""
    rng = random.Random(seed)
    refused = 0
    names = sorted(sources)
    for number in range(rounds):
        name = rng.choice(names)
        path = folder / f"round{number}{Path(name).suffix}"
        path.write_bytes(mutated(rng, name, sources[name]))
        began, high = time.perf_counter(), _peak()
        with _stopped_after(LONGEST, path):
            complaint = _linted(path, rng) if rng.random() < WHOLE else _complaint(path)
        refused += complaint is not None
        assert "\n" not in (complaint or ""), path
        assert time.perf_counter() - began < LONGEST, f"{path} takes {time.perf_counter() - began:.0f} s"
        assert _peak() <= max(high, LARGEST), f"{path} takes {_peak()} MiB"
        path.unlink()
    return rounds - refused, refused


def _complaint(path: Path) -> str | None:
    """Why the draft is refused, None if it is read; AssertionError for any other fault."""
    try:
        draft = opening.read(path)
    except Unreadable as error:
        return str(error)
    except Exception as error:
        raise AssertionError(f"{path}: {error!r}") from error
    assert all(0 <= mark.at <= len(block.text) for block in draft.blocks for mark in block.marks), path
    return None


def _linted(path: Path, rng: random.Random) -> str | None:
    """What the whole command says on standard error, None if it reads the draft; AssertionError where it misbehaves."""
    out, told = io.StringIO(), io.StringIO()
    form = rng.choice(("json", "sarif", "github", "terminal"))
    with redirect_stdout(out), redirect_stderr(told):
        code = command(["lint", str(path), "--format", form, "--no-record", "--fail-on", "never"])
    assert code in (0, 3), f"{path}: {form} ends with {code}: {told.getvalue()}"
    assert bool(told.getvalue()) == (code == 3), f"{path}: {told.getvalue()}"
    if form in ("json", "sarif"):
        json.loads(out.getvalue())
    return told.getvalue().removesuffix("\n") or None


@contextmanager
def _stopped_after(seconds: float, path: Path) -> Iterator[None]:
    """Break off what takes so long, where the system can."""

    def stop(*_: object) -> None:
        raise AssertionError(f"{path} takes more than {seconds:.0f} s")

    if not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _files(paths: list[str]) -> Iterator[Path]:
    for path in map(Path, paths):
        yield from (file for file in path.rglob("*") if file.is_file()) if path.is_dir() else [path]


def main(arguments: list[str]) -> int:
    rounds, seed = int(arguments[0]), int(arguments[1]) if len(arguments) > 1 else 1
    real = {str(file): file.read_bytes() for file in _files(arguments[2:]) if file.suffix in opening.DRAFT_SUFFIXES}
    folder = Path(tempfile.mkdtemp())
    began = time.perf_counter()
    try:
        read, refused = run(rounds, seed, real or drafts(), folder)
    except AssertionError as error:
        print(f"round failed: {error}", file=sys.stderr)
        return 1
    print(f"{read} read, {refused} refused, {time.perf_counter() - began:.0f} s, at most {_peak()} MiB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
