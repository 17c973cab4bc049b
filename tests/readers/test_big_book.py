"""A book as long as the longest: what it holds is read, and time and memory grow with its words and no faster."""

from __future__ import annotations

import io
import zipfile
from functools import partial
from pathlib import Path

import big_book
import pytest
from lxml import etree

from storylint import engine, halves
from storylint.draft import opening
from storylint.draft.model import Kind
from storylint.settings import Settings
from tests.effort import calls


def saved(folder: Path, words: int) -> Path:
    path = folder / f"{words}.docx"
    path.write_bytes(big_book.book(words))
    return path


def test_all_of_it_is_read(tmp_path: Path) -> None:
    path = saved(tmp_path, 20_000)
    draft = opening.read(path)
    assert 20_000 <= draft.words <= 22_000
    assert len(draft.notes) == sum(len(block.marks) for block in draft.blocks)
    assert abs(len(draft.notes) - 20_000 / big_book.STRETCH) <= 2
    pictures = sum(block.kind is Kind.PICTURE for block in draft.blocks)
    assert abs(pictures - 20_000 / big_book.PLATE) <= 2
    links = etree.fromstring(zipfile.ZipFile(io.BytesIO(path.read_bytes())).read("word/_rels/document.xml.rels"))
    assert sum(link.get("Id", "").startswith("picture") for link in links) == pictures


def test_ten_times_the_words_take_ten_times_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(halves, "CAN_COPY", False)  # all of it in this process, where it is counted
    _, short, long = (
        calls(partial(engine.read, [saved(tmp_path, words)], engine.Run(Settings()))) for words in (50, 2_000, 20_000)
    )
    assert long < 12 * short  # what grows with the square would take a hundred times as much


def test_ten_times_the_words_take_ten_times_the_memory(tmp_path: Path) -> None:
    _, empty = big_book.measured(saved(tmp_path, 50))
    _, full = big_book.measured(saved(tmp_path, 40_000))
    assert full - empty < 60  # MiB: 1.5 KiB a word; 0.6 on the machine where this was written
