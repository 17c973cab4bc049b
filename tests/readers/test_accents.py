"""A letter with its accent behind it, as some programs write it, is the letter that a reader sees, and is found again."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
from small_files import docx, odt, p

from storylint.draft import opening
from tests.conftest import Ran

TEXT = ("Siân", "Siân Llŷr was born at Ty Â on 3 May 1990 and lives at 4 Stryd Fawr, Tŷ Dŵr.", "ŵ a  Gŵyl, ŷ", "Tê")


def parted(text: str) -> str:
    return unicodedata.normalize("NFD", text)


def written(path: Path, lines: tuple[str, ...]) -> Path:
    """The lines as a draft of the kind that the path names."""
    if path.suffix == ".docx":
        path.write_bytes(docx("".join(map(p, lines))))
    elif path.suffix == ".odt":
        path.write_bytes(odt("".join(f"<text:p>{line}</text:p>" for line in lines)))
    else:
        path.write_text("\n\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("kind", ["docx", "odt", "txt", "md"])
def test_a_parted_accent_is_read_as_one_letter(kind: str, tmp_path: Path) -> None:
    whole = opening.read(written(tmp_path / f"whole.{kind}", TEXT))
    apart = opening.read(written(tmp_path / f"apart.{kind}", tuple(map(parted, TEXT))))
    assert [block.text for block in apart.blocks] == [block.text for block in whole.blocks]
    assert apart.blocks[1].text == TEXT[1]


@pytest.mark.parametrize("kind", ["docx", "odt", "txt", "md"])
def test_each_letter_is_found_again_in_the_source(kind: str, tmp_path: Path) -> None:
    draft = opening.read(written(tmp_path / f"apart.{kind}", tuple(map(parted, TEXT))))
    source = "\n\n".join(map(parted, TEXT)) + "\n"
    for number, block in enumerate(draft.blocks):
        own = source if draft.line_starts else parted(TEXT[number])
        for at, letter in enumerate(block.text):
            start, end = block.source_offset(at), block.source_offset(at + 1)
            if letter != " ":
                assert unicodedata.normalize("NFC", own[start:end]).strip() == letter


@pytest.mark.parametrize("kind", ["docx", "md"])
def test_what_is_cut_of_it_is_cut_whole(run: Callable[..., Ran], tmp_path: Path, kind: str) -> None:
    lines = ("# 1. Siân Llŷr" if kind == "md" else "1. SIÂN LLŶR", TEXT[1])
    copies = []
    for form in ("NFC", "NFD"):
        draft = written(tmp_path / f"{form}.{kind}", tuple(unicodedata.normalize(form, line) for line in lines))
        done = run("redact", draft, "-o", tmp_path / f"cut-{form}.{kind}")
        assert "1 cut" in done.out
        copies.append([block.text for block in opening.read(tmp_path / f"cut-{form}.{kind}").blocks])
    assert copies[0] == copies[1]
    assert "1990" not in "".join(copies[1])
