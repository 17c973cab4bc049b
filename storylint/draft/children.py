"""Child lists: the lines under an entry that name a person's children.

They are told from entries by what announces them, by small roman numerals, and by numbers that go on from line to line.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from storylint.draft.model import Block, Draft, Kind
from storylint.draft.names import NO_VOCABULARY, SURE, likeness, read_name
from storylint.draft.numbering import (
    Number,
    System,
    generation_heading,
    may_open_child_list,
    opens_child_list,
    parent_of,
    printed,
    read_child_line,
    read_lineage,
    read_number,
    starts_child_list,
)

VITAL = re.compile(
    r"\b(?:born|b\.|bapti[sz]ed|bap(?:t|s)?\.|bp\.|christened|died|d\.|buried|bur\.|married|m\.|unm\.|native|"
    r"(?:son|daughter|dau\.|child|widow|wife|husband|heir) of|descended|lived|resided|settled|emigrated|educated|"
    r"1[5-9]\d\d|20\d\d)(?!\w)",
    re.IGNORECASE,
)


_BORN = re.compile(r"[,;]? (?:\((?:born|b\.|1[5-9]\d\d)|born\b|b\.|bp\.|bapt)")


@dataclass(slots=True)
class _ChildRun:
    """The child list that is being read. ``hinted``: nothing but a colon or a word announced it, so its lines
    must name people and begin at 1."""

    announced: bool = False
    hinted: bool = False
    shape: str = ""  # "roman", "arabic" or "bare"; empty before the first line
    last: int = 0
    indent: int = 0
    labelled: bool = False  # whether the last line had its number from the word processor
    family: str | None = None  # of lines with dotted numbers, what they have in common: 1.2 of 1.2.1 and 1.2.2
    capitals: bool | None = None  # whether the names stand in capitals; None until a line names somebody


def child_lines(draft: Draft) -> set[int]:
    """The blocks that are lines of a person's list of children."""
    found: set[int] = set()
    run: list[int] = []
    state = _ChildRun()
    for block in draft.blocks:
        text = printed(block)
        if _continues(draft, block, text, state):
            run.append(block.index)
            continue
        found |= _kept(draft, run, state)
        run, state = [], _after(block, text, state)
        if starts_child_list(text) and block.kind is not Kind.HEADING:
            found.add(block.index)
        elif not state.announced and _continues(draft, block, text, state):
            run.append(block.index)
    return found | _kept(draft, run, state)


def _after(block: Block, text: str, state: _ChildRun) -> _ChildRun:
    """What the next block is read as: the first line of a list where this one announces it."""
    broken = "broken" if state.shape in ("arabic", "broken") else ""  # a list may go on after a remark
    if block.kind not in (Kind.PARAGRAPH, Kind.ITEM, Kind.HEADING):
        return replace(state, announced=False, hinted=False, shape=broken)
    if opens_child_list(text):
        return replace(state, announced=True, shape="")
    if state.announced and not state.shape and generation_heading(text) is not None:
        return state  # the heading of the children's generation stands between the announcement and the list
    return replace(state, announced=False, shape=broken, hinted=may_open_child_list(text))


def _kept(draft: Draft, run: list[int], state: _ChildRun) -> set[int]:
    """The lines of a finished run: all of them, or none where no intro announced it and they name nobody."""
    named = sum(_names_somebody(printed(draft.blocks[at])) for at in run)
    return set(run) if state.announced or 2 * named >= len(run) else set()


def _names_somebody(text: str) -> bool:
    """True for '2. ii. Huw …' and, in a list without roman numerals, for 'Huw, born …'."""
    line = read_child_line(text)
    number = None if line else read_number(text)
    name = read_name(text, line.end if line else number.end if number else 0)
    sure = name is not None and likeness(name, NO_VOCABULARY) >= SURE
    told = bool(VITAL.search(text))
    return name is not None and ((sure or told) if line else (sure and told))


def _names_a_child(draft: Draft, block: Block) -> bool:
    """True for 'Huw, born 1802.' or '1.2.1 Huw, born 1802.', a line by itself without indent under the words that announce
    a list; not for 'Huw (1802–1870)' above the story of his life."""
    text = block.text
    number = read_number(text)
    start = number.end if number and number.form == "dotted" else 0
    name = read_name(text, start) if len(text) < 200 else None
    if name is None or name.capitals or likeness(name, NO_VOCABULARY) < SURE:
        return False
    after = draft.blocks[block.index + 1] if block.index + 1 < len(draft.blocks) else None
    titled = after is not None and after.words > 12 and name.words[0] in after.text[:80]
    return bool(_BORN.match(text, name.end)) and not titled


def _continues(draft: Draft, block: Block, text: str, state: _ChildRun) -> bool:
    """True when the block is the next line of the list; the state is carried on."""
    if block.kind not in (Kind.PARAGRAPH, Kind.ITEM, Kind.CHILD):
        return False
    line = read_child_line(text)
    if line:
        begins = state.shape == "roman" or state.announced or line.order == 1 or line.plus or line.number is not None
        state.shape = "roman" if begins else state.shape
        return begins
    if state.shape == "roman":
        return False
    number = read_number(text)
    indent = _indent(draft, block)
    if state.labelled and not block.label and draft.format in ("docx", "odt"):
        return False  # the program's own list is over: what is numbered by hand here is an entry
    state.labelled = bool(block.label)
    listed = (block.kind is Kind.ITEM or indent > 0) and (state.shape != "bare" or indent == state.indent)
    if number and number.form == "arabic":
        return (listed or state.shape != "bare") and _counts_on(text, number, indent, state)
    family = parent_of(number.text, System.DABOVILLE) if number and number.form == "dotted" else None
    if state.shape == "bare" and family != state.family:
        return False
    if state.shape in ("", "bare") and state.announced and (listed or _names_a_child(draft, block)):
        state.shape, state.indent, state.family = "bare", indent, family
        return not text.isupper()
    return False


def _counts_on(text: str, number: Number, indent: int, state: _ChildRun) -> bool:
    """True when an arabic number goes on in the list and does not open the next entry."""
    value = number.value or 0
    name = read_name(text, number.end)
    capitals = state.capitals
    if name and (name.capitals or likeness(name, NO_VOCABULARY) >= SURE):
        capitals = bool(name.capitals) or bool(state.capitals and value == state.last + 1)
    like = not (capitals and state.capitals is False) and bool(indent) >= bool(state.indent)
    like = like and not read_lineage(text[number.end : number.end + 160])[0]
    if state.shape == "arabic":
        goes_on = like and (value > state.last or (value == state.last and not number.text.isdigit()))
    elif state.announced:
        goes_on = True
    else:
        near = 0 < value - state.last <= 2 and len(text) < 400 and (state.hinted or state.shape == "broken")
        goes_on = (like and near) or (state.hinted and value == 1)
    if not goes_on:
        return False
    state.shape, state.last, state.indent, state.capitals = "arabic", value, indent, capitals
    return len(text) < 1200


def _indent(draft: Draft, block: Block) -> int:
    """Columns before the first character, in plain text; 0 where that is unknown."""
    if draft.format != "txt" or block.line is None or not draft.line_starts:
        return 0
    return max(block.source_offset(0) - draft.line_starts[block.line - 1] - len(block.label), 0)
