"""Files and folders through the whole command: what each costs the user is one line and the right exit code."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from small_files import ODT_TYPE, docx, odt, p, picture, style, table, zipped

from tests.conftest import DRAFT, Ran

WORDS = docx(p("Owen Prydderch split slate at Penrhyn."))
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)
ENCRYPTED = (
    '<manifest:file-entry xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
    "<manifest:encryption-data/></manifest:file-entry>"
)
REFUSED = {
    "old.doc": OLE + "WordDocument".encode("utf-16-le"),
    "locked.docx": OLE + "EncryptedPackage".encode("utf-16-le"),
    "locked.odt": odt("<text:p>x</text:p>", manifest=ENCRYPTED),
    "rich.rtf": b"{\\rtf1 Owen}",
    "rich.docx": b"{\\rtf1 Owen}",
    "printed.pdf": b"%PDF-1.7 ...",
    "mac.pages": zipped({"Index/Document.iwa": "x", "preview.jpg": "x"}),
    "picture.docx": b"\x89PNG\r\n\x1a\n" + bytes(60),
    "photo.docx": b"\xff\xd8\xff\xe0" + bytes(60),
    "empty.docx": b"",
    "empty.md": b"",
    "white.txt": b" \n \n",
    "zeros.txt": b"Owen\0Prydderch\0sailed",
    "cut.docx": WORDS[: len(WORDS) // 2],
    "cut.odt": odt("<text:p>Owen</text:p>")[:300],
    "bomb.docx": docx("".join(p("a" * 1_000_000) for _ in range(60))),
    "sheet.docx": zipped({"xl/workbook.xml": "x", "[Content_Types].xml": "x"}),
    "sheet.odt": zipped({"mimetype": ODT_TYPE.replace("text", "spreadsheet"), "content.xml": "x"}),
    "zip.docx": zipped({"photo.jpg": "x"}),
    "noise.docx": bytes(range(256)),
}


def saved(folder: Path, files: dict[str, bytes]) -> list[Path]:
    for name, data in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return [folder / name for name in files]


def lint(run: Callable[..., Ran], *paths: Path) -> tuple[int, list[str], dict[str, object]]:
    """Exit code, the lines on standard error, the reading."""
    ran = run("lint", *paths, "--format", "json", "--no-record")
    return ran.code, ran.err.splitlines(), json.loads(ran.out)


def read(reading: dict[str, object]) -> list[str]:
    """The names of the drafts that were read."""
    return [Path(draft["path"]).name for draft in reading["drafts"]]  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_read_costs_one_line_and_not_the_others(book: Path, run: Callable[..., Ran], name: str) -> None:
    (path,) = saved(book.parent, {name: REFUSED[name]})
    code, told, reading = lint(run, path, book)
    assert (code, read(reading)) == (3, ["book.md"])
    assert len(told) == 1
    assert told[0].startswith(f"storylint: {path}: ")
    assert not any(word in told[0] for word in ("Error", "Traceback", "Exception", "None"))


def test_what_is_no_file(book: Path, run: Callable[..., Ran]) -> None:
    folder = book.parent
    (folder / "gone.docx").symlink_to(folder / "nowhere.docx")
    (folder / "circle.docx").symlink_to(folder / "circle.docx")
    (folder / "nothing").mkdir()
    (folder / "bundle.pages").mkdir()
    os.mkfifo(folder / "pipe.docx")
    for name, why in {
        "gone.docx": "link to a file that is no longer there",
        "circle.docx": "can't be read",
        "nothing": "no draft in this folder",
        "bundle.pages": ".pages file",
        "pipe.docx": "not a file",
        "bok.md": "did you mean 'book.md'?",
    }.items():
        code, told, reading = lint(run, folder / name, book)
        assert (code, len(told), read(reading)) == (3, 1, ["book.md"]), name
        assert why in told[0]


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_what_may_not_be_read(book: Path, run: Callable[..., Ran]) -> None:
    (shut,) = saved(book.parent, {"shut.md": DRAFT.encode()})
    shut.chmod(0)
    assert lint(run, shut, book)[:2] == (3, [f"storylint: {shut}: you are not allowed to read it; ask the owner, or "
                                             "copy it to a folder of your own"])  # fmt: skip


@pytest.mark.parametrize("first", [True, False])
def test_a_folder_that_may_not_be_entered(
    book: Path, run: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch, first: bool
) -> None:
    shut = book.parent / "shut" / "draft.docx"
    real = os.stat

    def guarded(path: object, *args: object, **options: object) -> os.stat_result:
        if isinstance(path, str | Path) and Path(path).parent == shut.parent:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *args, **options)  # type: ignore[call-overload,no-any-return]

    monkeypatch.setattr(os, "stat", guarded)
    code, told, reading = lint(run, *((shut, book) if first else (book, shut)))
    assert (code, read(reading)) == (3, ["book.md"])
    assert told == [
        f"storylint: {shut}: you are not allowed to read it; ask the owner, or copy it to a folder of your own"
    ]


def test_a_name_that_no_disk_takes(book: Path, run: Callable[..., Ran]) -> None:
    code, told, reading = lint(run, book.parent / ("b" * 300 + ".docx"), book)
    assert (code, len(told), read(reading)) == (3, 1, ["book.md"])


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("three.txt", b"Owen sailed west."),
        ("three.md", b"Owen sailed west."),
        ("three.docx", docx(p("Owen sailed west."))),
        ("three.odt", odt("<text:p>Owen sailed west.</text:p>")),
        ("blank.docx", docx(p(""))),
        ("wrong.txt", docx(p("Owen sailed west."))),
        ("wrong.docx", odt("<text:p>Owen sailed west.</text:p>")),
        ("plain.docx", b"Owen sailed west."),
    ],
)
def test_the_smallest_draft_and_the_wrong_name_are_read(
    folder: Path, run: Callable[..., Ran], name: str, data: bytes
) -> None:
    code, told, reading = lint(run, *saved(folder, {name: data}))
    assert (code, told, read(reading)) == (0, [], [name])


def test_a_folder_is_one_book(folder: Path, run: Callable[..., Ran]) -> None:
    people = {"10 Jane.md": "Jane", "2 Huw.docx": "Huw", "1 Owen.txt": "Owen"}
    saved(
        folder,
        {
            "0 Preface.md": b"# Preface\n\nThanks to all who opened a drawer for me.\n",
            "~$2 Huw.docx": b"\x05owner" + bytes(50),
            ".~lock.1 Owen.txt#": b",owner,",
            "README.md": b"How this folder is kept.",
            "old.pdf": b"%PDF-1.7",
            **{
                name: docx(p(f"{person} Prydderch", style="Heading1") + p(told)) if name.endswith("docx")
                else f"# {person} Prydderch\n\n{told}\n".encode()
                for name, person in people.items()
                for told in [f"{person} Prydderch was born at Llanllechid in 1841 and worked in the quarry."]
            },
        },
    )  # fmt: skip
    code, told, reading = lint(run, folder)
    assert (code, told) == (0, [])
    assert read(reading) == ["0 Preface.md", "1 Owen.txt", "2 Huw.docx", "10 Jane.md"]
    sections = [(section["person"] or section["title"]) for section in reading["sections"]]  # type: ignore[attr-defined]
    assert sections == ["Preface", "Owen Prydderch", "Huw Prydderch", "Jane Prydderch"]
    code, told, reading = lint(run, *saved(folder, {"3 Ann.docx": b""}), folder)
    assert (code, len(told), len(read(reading))) == (3, 1, 4)


def test_of_the_states_of_a_book_only_the_working_one_is_linted(folder: Path, run: Callable[..., Ran]) -> None:
    demo = Path(__file__).parents[2] / "corpus_demo"
    for name in ("original", "working"):
        for suffix in (".docx", ".md"):
            shutil.copy(demo / f"{name}{suffix}", folder)
    code, told, reading = lint(run, folder)
    alone = lint(run, folder / "working.docx")[2]
    assert (code, told, read(reading)) == (1, [], ["working.docx"])
    assert [s["scores"] for s in reading["sections"]] == [s["scores"] for s in alone["sections"]]  # type: ignore[attr-defined]
    (remark,) = reading["summary"]["remarks"]  # type: ignore[index]
    assert remark["remark"] == (
        "'working.md', 'original.docx', 'original.md' hold the same text in another state and were left out"
    )
    shown = " ".join(run("lint", folder, "--no-record").out.split())
    assert "hold the same text in another state and were left out" in shown


FIGURES = (
    "9" * 4400,
    "0" * 4400 + "1",
    "²",
    "٣",
    "１８４１",
    "½",
    "-1",
    "0",
    "Ⅳ",
    "①",
    "99999999999",
    "1,000,000",
    "18٤1",
)
WITH_FIGURES = """\
# {0}. Owen Prydderch ({0}–{0})

Owen was born on {0} May 1841, aged {0}, the {0}th of {0} children, and died {0} years, {0} months and {0} days later. \
He lived from {0} to {0}, between {0} and {0}, {0}/{0}, {0}-{0}-{0}, {0} {0}, in the {0}th century and the {0}s.[{0}] \
So it was.{0} He had <sup>{0}</sup> sons^{0}^ and £{0}.[^{0}]

Generation {0}

Children of Owen:

- {0}. i. Jane, born {0}.
- + {0} ii. Huw, b. {0}; d. {0} May {0}, aged {0}y {0}m {0}d.

## Notes

1. Census of {0}, p. {0}.
{0}. Deed.

[^{0}]: Deed {0}.
"""


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure[:9])
def test_figures_that_no_writer_means_are_only_words(folder: Path, run: Callable[..., Ran], figure: str) -> None:
    text = WITH_FIGURES.format(figure).encode()
    for path in saved(folder, {"book.md": text, "book.txt": text}):
        ran = run("lint", path, "--no-record", "--fail-on", "never")
        assert (ran.code, ran.err) == (0, ""), path


def told(gap: str) -> bytes:
    """A book as .docx, with ``gap`` between any two of its paragraphs."""
    paragraphs = [
        p("Owen Prydderch", style="Heading1"),
        p("Owen Prydderch was born at Gerlan on 31 June 1841, and nobody ever asked him how he came to be so tall and"),
        p("Owen Prydderch was living at Gerlan in 1881. He was living at Gerlan in 1891. He was living there in 1901."),
        p("Children of Owen Prydderch:"),
        p("i. William, born 8 June 1867.", style="List"),
        p(picture("The incline"), "Jane Roberts", style="Heading1"),
        p("Jane Roberts kept the shop at the foot of the incline and counted the steps to the wharf."),
        table(("Year", "Place"), ("1841", "Gerlan")),
        p("Notes", style="Heading1"),
        p("1. Census."),
    ]
    return docx(gap.join(paragraphs), styles=style("Heading1", "heading 1"))


def test_empty_paragraphs_move_places_and_change_nothing(folder: Path, run: Callable[..., Ran]) -> None:
    close, wide = saved(folder, {"close.docx": told(""), "wide.docx": told("<w:p/>" * 5)})
    readings = [lint(run, path)[2] for path in (close, wide)]
    sections = [reading["sections"] for reading in readings]
    told_of = [[(s["id"], s["person"], s["words"], s["scores"]) for s in each] for each in sections]  # type: ignore[attr-defined]
    found = [[(f["id"], f["rule"]) for s in each for f in s["findings"]] for each in sections]  # type: ignore[attr-defined]
    assert told_of[0] == told_of[1]
    assert found[0] == found[1]
    assert {rule for _, rule in found[0]} >= {"leftovers", "dates", "boilerplate"}
    for old, new in ((close, wide), (wide, close)):
        compared = json.loads(run("compare", old, new, "--format", "json", "--no-record").out)
        assert [(s["added"], s["cut"], s["rewritten"]) for s in compared["sections"]] == [([], [], [])] * 3
        assert [s["verbatim"]["sentences"] for s in compared["sections"]] == [6, 3, 0]
