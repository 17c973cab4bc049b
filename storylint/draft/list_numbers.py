"""Numbers as word processors print them in lists and note marks."""

from __future__ import annotations

from collections.abc import Callable

_ROMAN = (
    (1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"),
    (50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"),
)  # fmt: skip
# The order of note symbols that word processors share ("Chicago" in ISO/IEC 29500-1, 17.18.59).
_SYMBOLS = "*†‡§"
_ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_ORDINALS = {"one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth", "nine": "ninth",
             "twelve": "twelfth"}  # fmt: skip
_LARGEST_ROMAN = 3999
# Characters of a printed list number. "Generation the twenty-second:" has 30; a file says it once for all entries, so that
# a few KiB of it could fill the memory.
LONGEST_LABEL = 200


def formatted(number: int, form: str) -> str:
    """``number`` in a format of ISO/IEC 29500-1 (17.18.59): "lowerRoman" gives iv; an unknown one gives digits."""
    return _FORMS.get(form, str)(number) if number > 0 or form == "none" else str(number)


def roman(number: int) -> str:
    """4 gives iv; digits beyond 3999."""
    if not 0 < number <= _LARGEST_ROMAN:
        return str(number)
    text = ""
    for value, numeral in _ROMAN:
        times, number = divmod(number, value)
        text += numeral * times
    return text


def letters(number: int) -> str:
    """1 gives a, 26 z, 27 aa, 28 bb: as word processors count, which is not as spreadsheets do."""
    times, letter = divmod(number - 1, 26)
    return chr(ord("a") + letter) * min(times + 1, 20)


def ordinal(number: int) -> str:
    """22 gives 22nd."""
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"


def spelled(number: int) -> str:
    """22 gives Twenty-two; digits from 1000 on."""
    if number >= 1000:
        return str(number)
    hundreds, rest = divmod(number, 100)
    parts = [f"{_ONES[hundreds]} hundred"] if hundreds else []
    if rest or not hundreds:
        parts.append(_ONES[rest] if rest < 20 else _TENS[rest // 10] + (f"-{_ONES[rest % 10]}" if rest % 10 else ""))
    return " ".join(parts).capitalize()


def spelled_ordinal(number: int) -> str:
    """22 gives Twenty-second."""
    stem, joint, last = spelled(number).rpartition("-" if "-" in spelled(number) else " ")
    if last.isdecimal():
        return ordinal(number)
    word = _ORDINALS.get(last.lower()) or (last.lower().removesuffix("y") + ("ie" if last.endswith("y") else "") + "th")
    return (stem + joint + word).capitalize()


def symbol(number: int) -> str:
    """1 gives *, 2 †, 5 **."""
    times, which = divmod(number - 1, len(_SYMBOLS))
    return _SYMBOLS[which] * min(times + 1, 20)


_FORMS: dict[str, Callable[[int], str]] = {
    "lowerRoman": roman,
    "upperRoman": lambda number: roman(number).upper(),
    "lowerLetter": letters,
    "upperLetter": lambda number: letters(number).upper(),
    "ordinal": ordinal,
    "cardinalText": spelled,
    "ordinalText": spelled_ordinal,
    "decimalZero": lambda number: f"{number:02d}",
    "chicago": symbol,
    "none": lambda _: "",
    "bullet": lambda _: "•",
}
