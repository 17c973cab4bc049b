"""Numbering systems as they look in a text: entry numbers, generations, lineages and child lists.

Sources: Helen S. Ullmann, "Writing a Family Sketch in Register Style", New England Ancestors 8:3 (Summer 2007),
41–42, 45, and the Register style template of the New England Historic Genealogical Society; Joan Ferris Curran,
Madilyn Coen Crane and John H. Wray, Numbering Your Genealogy (National Genealogical Society, 2nd ed. 2008; from
memory); Henry, d'Aboville and ahnentafel after their common descriptions (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from storylint.draft.model import Block
from storylint.draft.names import NOT_NAMES, RAISED, read_name


class System(StrEnum):
    """How the people of a draft are numbered."""

    NONE = "none"
    REGISTER = "Register"  # numbers for children carried forward; NGSQ numbers every child: told apart by child lists
    NGSQ = "NGSQ"
    DABOVILLE = "d'Aboville"
    HENRY = "Henry"
    AHNENTAFEL = "ahnentafel"
    ROMAN = "roman"  # nineteenth-century books: roman numerals that begin anew in each family


@dataclass(frozen=True, slots=True)
class Number:
    """A number that stands at the start of a block; the text goes on at ``end``.

    ``form`` is how it is written: "arabic", "dotted", "henry", "roman" or "letter". ``closed`` is True where a full
    stop or bracket ends it, as in '12.' and '(12)', False for the bare digits of '12 Alder Way'.
    """

    text: str
    form: str
    end: int
    plus: bool = False
    closed: bool = False

    @property
    def value(self) -> int | None:
        """The number's value (of 12½ and 12a too, 12), None for forms that are no plain number."""
        if self.form == "roman":
            return roman_value(self.text)
        return plain(self.text) if self.form == "arabic" else None


def plain(number: str) -> int | None:
    """What a number counts that begins with figures: of 12½ and 12a, 12."""
    figures = re.match(r"\d+", number)
    return int(figures[0]) if figures else None


def printed(block: Block) -> str:
    """The block as it is printed, with its list number."""
    return f"{block.label} {block.text}" if block.label else block.text


_PREFIX = re.compile(
    r"\s*(?P<plus>\+\s*)?[_*=~`]*(?:No\.?\s*|§\s*|(?i:family|entry)\s+(?:No\.?\s*)?|[IVX]{1,5}[-/](?=\d))?(?P<open>[(\[])?"
    r"(?:(?P<dotted>\d{1,3}(?:[.-]\d{1,3})+)"
    r"|(?P<henry>\d{1,12}(?:(?:[A-Z](?![a-z])|\(\d{1,2}\))\d*)+)"
    r"|(?P<arabic>\d{1,9}(?:-1/2|½|[a-d](?=[.)]))?)"
    r"|(?P<roman>(?!C[.)\]])[IVXLC]{1,7}(?=[.)\]]))"  # C alone is a letter: A, B and C are forebears
    r"|(?P<letter>[A-H](?=[.)\]])))"
    r"(?P<closed>\.?[)\]]|\.|—|–|:)?[_*=~`]*(?P<gap>\s+|(?<=[.)\]])(?=[A-Z_*=]))"
)
_ROMAN = {"i": 1, "v": 5, "x": 10, "l": 50, "c": 100}


def roman_value(text: str) -> int:
    """The value of a roman numeral in either case."""
    digits = [_ROMAN[letter] for letter in text.casefold()]
    following = [*digits[1:], 0]
    return sum(-digit if digit < after else digit for digit, after in zip(digits, following, strict=True))


def read_number(text: str) -> Number | None:
    """The entry number at the start of a block's text, or None."""
    found = _PREFIX.match(text)
    if not found:
        return None
    form = next(name for name in ("dotted", "henry", "arabic", "roman", "letter") if found[name])
    return Number(found[form], form, found.end(), bool(found["plus"]), bool(found["closed"] or found["open"]))


# The line of a child: '+ 3 ii. Huw', '2. ii. HUW', 'iv. Ifan'. The birth order is in small roman numerals.
_CHILD = re.compile(
    r"\s*(?P<plus>\+)?\s*(?P<number>(?=[.()-]*\d)[\d.()X-]+)?[.)]?\s*(?P<plus2>\+)?\s*\(?(?P<roman>[ivxl]{1,7})[.)](?:\s+(?=\S)|(?=[A-ZÀ-Þ]))"
)


@dataclass(frozen=True, slots=True)
class ChildLine:
    """The printed start of a child's line: number carried forward, place in the birth order, and where the text is."""

    number: str | None
    order: int
    end: int
    plus: bool


def read_child_line(text: str) -> ChildLine | None:
    """A child-list line with a small roman numeral, or None."""
    found = _CHILD.match(text)
    if not found:
        return None
    number = found["number"].rstrip(".") if found["number"] else None
    return ChildLine(number, roman_value(found["roman"]), found.end(), bool(found["plus"] or found["plus2"]))


_WHOSE = r"(?:(?:the|their|his|her|known|surviving|recorded|all|these|first|second|wife|by|with|and|of|a)\s+){0,5}"
_INTRO_START = re.compile(rf"[_*]*{_WHOSE}(?:children|child|issue|offspring)\b", re.IGNORECASE)
_BY_WIFE = re.compile(
    r"(?:by|of|with) (?:his |her |the )?(?:first|second|third|fourth|former|last|1st|2d|2nd|3d|3rd)\b[^.]{0,60}"
    r"[:.]?\s*$",
    re.IGNORECASE,
)
_TOLD = re.compile(r"(?<!who )\b(?:was|were(?! (?:all )?born)|had|has|have|is|are|went|worked|died|came)\b", re.I)
_HAD = re.compile(
    r"\b(?:children|child|issue)\b[^.]{0,120}(?:viz\.?\s*)?(?::|—|viz\.?|follows?\.?|-)\s*$", re.IGNORECASE
)
_HAD_ENDS = (":", "—", "-", "viz", "viz.", "follow", "follow.", "follows", "follows.")
_PARENTS_HAD = re.compile(r"^[A-ZÀ-Þ][^.;:]{2,80}\b(?:had|were the parents of)\s*[:—]\s*$")  # 'Owen and Jane had:'
_HINT = re.compile(r":[\s_*—-]*$|[.;]\s+(?:children|issue)\b[^.]{0,100}\.\s*$", re.IGNORECASE)


def opens_child_list(text: str) -> bool:
    """True for a line that announces a list of children: 'Children of Owen and Ann:', '…they had issue:'."""
    said = text.rstrip(" _*")
    opens = (
        _is_intro(text, said)
        or _BY_WIFE.match(text)
        or _by_parent(text)
        or _PARENTS_HAD.match(said)
        or (said.rstrip()[-8:].casefold().endswith(_HAD_ENDS) and _HAD.search(said[-260:]))
    )
    return bool(opens) and not _RUN_TOGETHER.search(text)


def _is_intro(text: str, said: str) -> bool:
    """'Known children of Owen and Ann', as a title or with a colon."""
    if not _INTRO_START.match(text) or len(text.split()) > 25:
        return False
    return said.endswith((":", "—", "-")) or not _TOLD.search(text)


def may_open_child_list(text: str) -> bool:
    """True for a line after which a list may begin: it ends in a colon, or its last sentence is about children."""
    return bool(_HINT.search(text[-260:]))


def _by_parent(text: str) -> bool:
    """'By Mary Ann Pugh:' over the children of one marriage."""
    name = read_name(text, 3) if text.startswith("By ") and len(text) < 60 else None
    return name is not None and not text[name.end :].strip(" .:_*")


_ENUMERATED = re.compile(
    r"(?:^|[\s:;—-])\(?(?:\d{1,2}|[ivx]{1,5})[.)] ?_?[A-Z]|[:;.]\s+[A-ZÀ-Þ][\w'’-]*(?: [A-ZÀ-Þ][\w.'’-]*)?, (?:born|b\.)"
)
_RUN_TOGETHER = re.compile(
    r"\b(?i:children|issue)\b[^.:]{0,80}:\s*(?:\(?(?:\d{1,2}|[ivx]{1,5})[.)] ?)?[A-ZÀ-Þ][^:]*\w[\s.;_*]*$"
)


def starts_child_list(text: str) -> bool:
    """True for a whole list of children run together in one paragraph: 'Children: 1. John, b. 1700; 2. Mary'."""
    return bool(_INTRO_START.match(text)) and len(_ENUMERATED.findall(text)) >= 2


_ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh",
    "twelfth", "thirteenth", "fourteenth",
)  # fmt: skip
_CARDINALS = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen",
)  # fmt: skip
_GENERATION = re.compile(
    r"[\s_*=#]*(?:the\s+)?(?:(?P<ordinal>[a-z]{5,10}|\d{1,2}(?:st|nd|rd|th|d))\s+generation"
    r"|generation\s+(?:no\.?\s*)?(?P<cardinal>\d{1,2}|[ivx]{1,5}\b|[a-z]{3,8}))\b",
    re.IGNORECASE,
)


def generation_heading(text: str) -> int | None:
    """The generation that a heading announces ('Second Generation', 'Generation 3', 'GENERATION IV'), or None."""
    found = _GENERATION.match(text)
    if not found or len(text.split()) > 12:
        return None
    word = (found["ordinal"] or found["cardinal"]).casefold()
    digits = re.match(r"\d+", word)
    if digits:
        return int(digits[0])
    for names in (_ORDINALS, _CARDINALS):
        if word in names:
            return names.index(word) + 1
    return roman_value(word) if re.fullmatch(r"[ivx]+", word) else None


_BRACKET = re.compile(r"[(\[]([^()\[\]]{2,400})[)\]]")
_NUMERAL = re.compile(r" [IVX]+[._*]*$")
_ANCESTOR = re.compile(
    r"(?P<name>[A-ZÀ-Þ][^\W\d_^]*\.?(?: [A-ZÀ-Þ](?![IVX]*\b)[^\W\d_^]*\.?){0,2})"
    r"(?:,?\^?\{?(?P<digit>\d{1,2})\}?\^?|\^[A-H]\^?| [IVX]{1,4}\b\.?)?(?:[,;]\s*|\s+|$)"
)


def read_lineage(text: str) -> tuple[tuple[str, ...], int | None]:
    """The line of descent in the first bracket that holds one, nearest ancestor first, and its first generation.

    A bracket is a lineage when nothing but names stands in it, and one carries a generation ('Huw2', 'Huw^2^') or a
    numeral ('Owen I.', which tells him from other Owens and is no generation) or there are two names or more.
    """
    for bracket in _BRACKET.finditer(text.translate(RAISED)):
        names, digits = _ancestors(bracket[1])
        if names and (len(names) > 1 or digits or _NUMERAL.search(bracket[1])):
            return names, digits[0] if digits else None
    return (), None


def _ancestors(inside: str) -> tuple[tuple[str, ...], list[int]]:
    """The names and generations of a bracket, both empty where anything else stands in it."""
    inside = re.sub(r"[_*]|^from ", "", inside).strip()
    inside = re.sub(r"(?<=[a-z])[a-h]-(\d{1,2})\b", r"^\1", inside)  # born abroad, second of the line: Huw^a-1
    inside = re.sub(r"(?<=[a-z])[A-H]\b", "", inside)  # generations before the immigrant: Owen^A
    names: list[str] = []
    digits: list[int] = []  # the generation of the first name, from each digit that is printed
    at = 0
    while at < len(inside):
        found = _ANCESTOR.match(inside, at)
        if not found or found["name"].casefold() in NOT_NAMES:
            return (), []
        names.append(found["name"].rstrip("."))
        digits += [int(found["digit"]) + len(names) - 1] if found["digit"] else []
        at = found.end()
    return tuple(names), digits


def in_order(numbers: Sequence[Number]) -> float:
    """The share of numbers that stand where a numbering system would put them, from 0 to 1.

    Numbers that count rise from entry to entry (roman ones may begin anew in each family); those that tell descent
    follow their parent's. A single number proves nothing.
    """
    values = [number.value for number in numbers]
    if len(values) < 2:
        return 0.0
    anew = numbers[0].form == "roman"
    rising = sum(
        before is not None and after is not None and (after > before or (anew and after <= 2))
        for before, after in pairwise(values)
    )
    seen: set[str] = set()
    nested = 0
    for number in numbers:
        parent = parent_of(number.text, System.DABOVILLE if number.form == "dotted" else System.HENRY)
        nested += parent in seen
        seen.add(number.text)
    return max(rising, nested) / (len(values) - 1)


def parent_of(number: str, system: System) -> str | None:
    """The number of the parent through whom descent is counted (of the child, in an ahnentafel); None at the top."""
    if system is System.DABOVILLE:
        parts = re.split(r"[.-]", number)
        return ".".join(parts[:-1]) if len(parts) > 1 else None
    if system is System.HENRY:
        steps = _henry_steps(number)
        return "".join(steps[:-1]) if len(steps) > 1 else None
    if system is System.AHNENTAFEL:
        own = plain(number) or 0
        return str(own // 2) if own > 1 else None
    return None


def _henry_steps(number: str) -> list[str]:
    return re.findall(r"\(\d+\)|[0-9A-Z]", number)


def generation_of(number: str, system: System) -> int | None:
    """The generation that the number itself tells: its steps in d'Aboville and Henry, floor(log2 n) + 1 in an
    ahnentafel (arithmetic of Eytzinger's and Sosa's doubling); None for systems that merely count."""
    if system is System.DABOVILLE:
        return len(re.split(r"[.-]", number))
    if system is System.HENRY:
        return len(_henry_steps(number))
    if system is System.AHNENTAFEL:
        return (plain(number) or 0).bit_length() or None
    return None


def decide_system(numbers: Sequence[Number], surnames: Sequence[str], children: int, carried: int) -> System:
    """The numbering system of a draft.

    ``numbers`` and ``surnames`` are those of its entries, in order; ``children`` counts the lines of its child lists
    and ``carried`` those among them that bear a number.
    """
    if not numbers:
        return System.NONE
    forms = [number.form for number in numbers]
    if 3 * forms.count("dotted") >= len(forms):
        return System.DABOVILLE
    if "henry" in forms or _is_henry([number for number in numbers if number.form == "arabic"]):
        return System.HENRY
    if 2 * forms.count("roman") > len(forms):
        return System.ROMAN
    if not carried and _is_ahnentafel(numbers, surnames):
        return System.AHNENTAFEL
    return System.NGSQ if children and carried == children else System.REGISTER


def _is_henry(arabic: Sequence[Number]) -> bool:
    """True when nearly every number is another one with a digit added, and they do not simply count upwards."""
    numbers = [str(number.value) for number in arabic]
    known = set(numbers)
    longer = [number for number in numbers if len(number) > 1]
    nested = sum(number[:-1] in known for number in longer)
    counting = sum(int(after) == int(before) + 1 for before, after in pairwise(numbers))
    return len(longer) >= 2 and 10 * nested >= 8 * len(longer) and 2 * counting < len(numbers)


def _is_ahnentafel(numbers: Sequence[Number], surnames: Sequence[str]) -> bool:
    """True when fathers (2n) bear the surname of n and mothers (2n + 1) mostly another."""
    by_number = {n.value: surname.casefold() for n, surname in zip(numbers, surnames, strict=True) if n.value}
    pairs = [(by_number[n], by_number[2 * n], by_number.get(2 * n + 1)) for n in by_number if 2 * n in by_number]
    fathers = sum(own == father for own, father, _ in pairs)
    mothers = sum(own == mother for own, _, mother in pairs)
    return bool(pairs) and 3 * fathers >= 2 * len(pairs) and (3 * mothers <= len(pairs))
