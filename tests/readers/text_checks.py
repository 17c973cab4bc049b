"""What must hold of every plain-text reader: nothing lost, nothing doubled, every character found again."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

from storylint.draft.model import Block, Draft, Kind

_FOLD = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")


def assert_recoverable(draft: Draft, source: str) -> None:
    """Every character of every block stands in the source where the block says, but for spaces and raised digits."""
    for block in draft.blocks:
        starts, origins = zip(*block.segments, strict=True)
        assert starts[0] == 0
        assert list(starts) == sorted(set(starts)), block
        assert list(origins) == sorted(set(origins)), block
        for at, character in enumerate(block.text):
            if not character.isspace():
                found = source[block.source_offset(at)]
                assert found in (character, character.translate(_FOLD)), (block.text, at)
        assert block.text == block.text.strip(" ")
        assert "  " not in block.text
        assert block.line is not None
        if block.text:
            line = draft.line_of(block, 0)
            assert line is not None
            assert line == block.line or (block.label and line > block.line), block
        for start, end in (*block.italic, *block.bold):
            assert 0 <= start < end <= len(block.text)
        for mark in block.marks:
            assert 0 <= mark.at <= len(block.text)
    assert [block.index for block in draft.blocks] == list(range(len(draft.blocks)))
    lines = [block.line for block in draft.blocks]
    assert lines == sorted(lines, key=lambda line: line or 0)


def words_of(text: str) -> Counter[str]:
    """The words and numbers of a text, counted."""
    return Counter(re.findall(r"[^\W_]+", text))


def words_read(draft: Draft) -> Counter[str]:
    """The words and numbers of all that was read: texts, labels, marks and live notes."""
    found: Counter[str] = Counter()
    for block in draft.blocks:
        found += words_of(f"{block.label} {block.text}")
        found += Counter(mark.number for mark in block.marks)
    for note in draft.notes:
        if note.live:
            found += words_of(f"{note.number} {note.text}")
    return found


def of_kind(draft: Draft, kind: Kind) -> list[str]:
    """The texts of the blocks of one kind."""
    return [block.text for block in draft.blocks if block.kind is kind]


def outline(blocks: Iterable[Block]) -> list[tuple[str, str]]:
    """Kinds and first words, for comparing a whole reading at a glance."""
    return [(block.kind.value, " ".join(block.text.split()[:3])) for block in blocks]
