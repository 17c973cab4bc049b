"""What the instructions of fields in a .docx tell: they are not read on the page, and come to it when fields are updated.

An entry of an index names a person with her years, a link her page, a merged letter her address. A field that carries
words of its own becomes the plain words that it shows (ISO/IEC 29500-1, 17.16, has what each field does).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from storylint.draft.docx_styles import W
from storylint.repair.docx_runs import remove

if TYPE_CHECKING:
    from lxml.etree import _Element

Reveals = Callable[[str], bool]

TO_SOMEBODY = re.compile(r"^(?:mailto|tel|sms):", re.IGNORECASE)
ENTRIES = frozenset(("XE", "TC", "TA"))  # what stands in them is printed elsewhere, in an index or a table
ALWAYS = frozenset(("QUOTE", "IF", "SET", "ASK", "FILLIN", "COMPARE"))  # words of their own
PLACES = re.compile(r'"[^"]*"|(?:mailto|tel|sms):[^\s"]+', re.IGNORECASE)  # what is quoted, and bare addresses
TOKEN = re.compile(r'[^\s"]+')
NAME_ALONE = re.compile(r"[^\d(@]*")  # of an entry: up to a number, a bracket or an address
FIELD_PARTS = (W + "fldChar", W + "instrText", W + "fldSimple")


@dataclass(slots=True)
class Field:
    """A field of several runs: its begin, its instruction, what separates that from the result, and the fields that
    stand in the instruction."""

    begin: _Element
    instruction: list[_Element] = field(default_factory=list)
    separator: _Element | None = None
    within: list[_Element] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The instruction."""
        return "".join(part.text or "" for part in self.instruction)


def scrub(root: _Element, names_one: Reveals, bookmarks: Mapping[str, str]) -> Iterator[str]:
    """Take out what instructions tell of somebody; ``bookmarks`` are new names of old ones. Gives what it was."""
    for simple in list(root.iter(W + "fldSimple")):
        told = simple.get(W + "instr") or ""
        if is_own(told, names_one):
            unwrap(simple)
            yield "fields"
        elif (left := without(told, names_one, bookmarks)) != told:
            simple.set(W + "instr", left)
            yield "fields"
    open_ones: list[Field] = []
    for part in list(root.iter(W + "fldChar", W + "instrText")):
        kind = part.get(W + "fldCharType") if part.tag == W + "fldChar" else ""
        if kind != "begin" and not open_ones:
            continue
        for around in open_ones[: None if kind == "begin" else -1]:
            if around.separator is None:
                around.within.append(part)
        if kind == "begin":
            open_ones.append(Field(part))
        elif kind == "separate":
            open_ones[-1].separator = part
        elif kind == "end":
            yield from ended(open_ones.pop(), part, names_one, bookmarks)
        else:
            open_ones[-1].instruction.append(part)


def ended(one: Field, end: _Element, names_one: Reveals, bookmarks: Mapping[str, str]) -> Iterator[str]:
    """A field is complete."""
    told = one.text
    if is_own(told, names_one):
        parts = [one.begin, *one.instruction, *one.within, end]
        for part in parts if one.separator is None else [*parts, one.separator]:
            remove(part)
        yield "fields"
    elif (left := without(told, names_one, bookmarks)) != told:
        for at, part in enumerate(one.instruction):
            part.text = "" if at else left
            part.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
        yield "fields"


def is_own(instruction: str, names_one: Reveals) -> bool:
    """Whether a field carries words of its own that had better not go out with it."""
    code = instruction.split()[0].upper() if instruction.strip() else ""
    known = code in ("HYPERLINK", *ENTRIES)
    return code in ALWAYS or (bool(code) and not known and names_one(instruction))


def without(instruction: str, names_one: Reveals, bookmarks: Mapping[str, str]) -> str:
    """An instruction without what it tells of somebody."""
    entry = instruction.split()[0].upper() in ENTRIES if instruction.strip() else False

    def plainer(found: re.Match[str]) -> str:
        words = found[0].strip('"')
        if TO_SOMEBODY.match(words):
            return '""'
        if words in bookmarks or not names_one(words):
            return found[0]
        return f'"{NAME_ALONE.match(words)[0].rstrip(" ,;:")}"' if entry else '""'  # type: ignore[index]

    left = PLACES.sub(plainer, instruction)
    return TOKEN.sub(lambda token: bookmarks.get(token[0], token[0]), left) if bookmarks else left


def unwrap(part: _Element) -> None:
    """Put what an element holds in its place."""
    for child in list(part):
        part.addprevious(child)
    remove(part)
