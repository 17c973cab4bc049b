"""The author's settings: ``storylint.toml``, the nearest one wins whole."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from storylint.complaints import Misuse
from storylint.draft.zips import USUAL, Limits
from storylint.rule import Card, Option, Options

if TYPE_CHECKING:
    from storylint.cache import Cache

FILE = "storylint.toml"
# The settings of the book itself; those of a rule stand on its card.
BOOK = (
    Option("reader_grade", 9.0, "the school grade your readers read at with ease; 8 or 9 suits a book for relatives"),
    Option("home", (), "places the family lived in, for sections that name none: ['Bethesda, Caernarfonshire']"),
    Option("goal", 85.0, "the overall score, up to 100, at which you call a person done"),
    Option("reference_work", False, "true for a compiled genealogy, in which dense vital paragraphs are right"),
)
# How large a draft may be before it is refused.
LIMITS = (
    Option("part_mb", USUAL.part_mb, "megabytes that the text of a .docx or .odt may unpack to"),
    Option("package_files", USUAL.package_files, "files in a .docx or .odt, of which each picture is one"),
    Option("paragraphs", USUAL.paragraphs, "paragraphs, or lines of a .txt or .md"),
    Option("plain_mb", USUAL.plain_mb, "megabytes of a .txt or .md"),
    Option("letters", USUAL.letters, "letters, signs and spaces of one paragraph"),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of one run. ``table`` is the file as read; ``path`` where it stands, None for the defaults."""

    grade: float = 9.0  # the reader's grade the author aims at
    home: tuple[str, ...] = ()  # places the family lived in, for sections that name none
    goal: float = 85.0  # the overall score at which the author calls a person done
    off: frozenset[str] = frozenset()
    table: dict[str, Any] = field(default_factory=dict)
    path: str | None = None

    def is_on(self, rule: str) -> bool:
        """True unless the author has turned the rule off."""
        return rule not in self.off

    def options(self, card: Card) -> Options:
        """The rule's options: the author's values over the defaults of the card."""
        own: Options = self.table.get(card.name, {})
        return {option.name: option.default for option in card.options} | own


def load(start: Path, cache: Cache | None = None) -> Settings:
    """The settings for a draft or folder at ``start``: the nearest ``storylint.toml`` there or above, else defaults."""
    file = nearest(start)
    if file is None:
        return Settings()
    text = read(file)
    if cache is None:
        return parse(file, text)
    return cache.once("settings", (str(file), text), lambda: parse(file, text))


def limits_of(draft: Path) -> Limits:
    """How large this draft may be: the table [limits] of its nearest settings file, else the defaults."""
    file = nearest(draft)
    if file is None:
        return USUAL
    text = read(file)
    own = tables_of(file, text).get("limits")
    return Limits(**Check(file, text).options("limits", LIMITS, own)) if isinstance(own, dict) else USUAL


def nearest(start: Path) -> Path | None:
    """The settings file in the folder ``start``, beside the file ``start``, or nearest above."""
    start = Path(os.path.realpath(start))  # Path.resolve raises where links lead round in a circle
    return next((folder / FILE for folder in (start, *start.parents) if is_file(folder / FILE)), None)


def is_file(path: Path) -> bool:
    """False, too, where the path leads through a folder that may not be entered or has a name that no disk takes."""
    try:
        return path.is_file()
    except OSError:
        return False


def read(path: Path) -> str:
    """The file's text; what Windows editors put before it is no part of it."""
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise Misuse(f"{path}: is not UTF-8 text; save it as plain text with the encoding UTF-8.") from None
    except OSError as fault:
        raise Misuse(f"{path}: can't be read ({fault.strerror}); check that you may open it.") from None


def tables_of(path: Path, text: str) -> dict[str, Any]:
    """The settings as they are written."""
    import tomllib

    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise Misuse(f"{path}: can't be understood: {fault}; texts need quotes, each setting its own line.") from None


def parse(path: Path, text: str) -> Settings:
    """Settings from the text of the file at ``path``; anything unknown or of the wrong type is a Misuse."""
    from storylint.rule import rules

    table = tables_of(path, text)
    check = Check(path, text)
    cards = {name: module.CARD for name, module in rules().items()}
    check.tables(table, cards)
    book = check.options("book", BOOK, table.get("book", {}))
    check.options("limits", LIMITS, table.get("limits", {}))
    switches = tuple(Option(name, True, "") for name in cards)
    on = check.options("rules", switches, table.get("rules", {}))
    own = {name: check.options(name, card.options, table[name]) for name, card in cards.items() if name in table}
    for name, card in cards.items():
        if book.get("reference_work") and any(option.name == "reference_work" for option in card.options):
            own[name] = {"reference_work": True} | own.get(name, {})
        if "files" in own.get(name, {}):  # they stand where the settings file stands, wherever the command runs
            own[name]["files"] = [str(path.parent / file) for file in own[name]["files"]]
    whole = {option.name: option.default for option in BOOK} | book
    return Settings(
        grade=float(whole["reader_grade"]),
        home=whole["home"],
        goal=float(whole["goal"]),
        off=frozenset(name for name, is_on in on.items() if not is_on),
        table={"book": book, "rules": on} | own,
        path=str(path),
    )


@dataclass(frozen=True, slots=True)
class Check:
    """Compares a settings file with what there is to set. Complaints name the line."""

    path: Path
    text: str

    def tables(self, table: dict[str, Any], cards: dict[str, Card]) -> None:
        """Every table of the file is [book], [limits], [rules] or a rule's."""
        from storylint.complaints import near
        from storylint.rule import RETIRED

        known = ["book", "limits", "rules", *cards]
        for name, value in table.items():
            if name in RETIRED:
                raise self.misuse(name, "", f"the rule '{name}' is gone; use '{RETIRED[name]}'.")
            if name not in known and isinstance(value, dict):
                raise self.misuse(name, "", f"there is no table [{name}].{near(name, known)}")
            if not isinstance(value, dict):
                home = [table for table, options in self.keys(cards) if name in options]
                hint = f" It belongs under [{home[0]}]." if home else near(name, known)
                raise self.misuse("", name, f"'{name}' stands under no table.{hint}")

    def keys(self, cards: dict[str, Card]) -> Iterator[tuple[str, list[str]]]:
        """Each table with the names of its settings."""
        yield "book", [option.name for option in BOOK]
        yield "limits", [option.name for option in LIMITS]
        yield "rules", list(cards)
        yield from ((name, [option.name for option in card.options]) for name, card in cards.items())

    def options(self, table: str, options: tuple[Option, ...], values: dict[str, Any]) -> dict[str, Any]:
        """The values of one table, each of the type of its default."""
        from storylint.complaints import near

        known = {option.name: option for option in options}
        for key in values:
            if key not in known:
                what = "rule" if table == "rules" else "setting"
                raise self.misuse(table, key, f"[{table}] has no {what} '{key}'.{near(key, known)}")
        return {key: self.value(table, known[key], value) for key, value in values.items()}

    def value(self, table: str, option: Option, value: Any) -> Any:
        """The value, if it is of the type of the option's default and, for numbers, not below 0."""
        kind = kind_of(option.default)
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        right = {
            "true or false": isinstance(value, bool),
            "a whole number": is_number and isinstance(value, int),
            "a number": is_number,
            "a text in quotes": isinstance(value, str),
            "a list of texts": isinstance(value, list) and all(isinstance(part, str) for part in value),
        }[kind]
        if not right:
            got = json.dumps(value, default=str)
            raise self.misuse(table, option.name, f"'{option.name}' must be {kind}, not {got}.")
        if is_number and value < 0:
            raise self.misuse(table, option.name, f"'{option.name}' can't be below 0.")
        if option.choices and value not in option.choices:
            listed = " or ".join(f"'{choice}'" for choice in option.choices)
            raise self.misuse(table, option.name, f"'{option.name}' must be {listed}, not '{value}'.")
        return type(option.default)(value) if isinstance(value, list) else value

    def misuse(self, table: str, key: str, what: str) -> Misuse:
        """The complaint, with the line where one can be found."""
        line = line_of(self.text, table, key)
        return Misuse(f"{self.path}:{line}: {what}" if line else f"{self.path}: {what}")


def kind_of(default: object) -> str:
    """What a setting with this default takes, in the author's words."""
    if isinstance(default, bool):
        return "true or false"
    if isinstance(default, int):
        return "a whole number"
    if isinstance(default, float):
        return "a number"
    return "a text in quotes" if isinstance(default, str) else "a list of texts"


def line_of(text: str, table: str, key: str) -> int | None:
    """The 1-based line on which a table, or a key in it, is written; None where it can't be told."""
    within = ""
    for number, line in enumerate(text.splitlines(), 1):
        header = re.match(r"\s*\[\s*[\"']?([^\"'\]]+?)[\"']?\s*\]", line)
        within = header.group(1) if header else within
        if header and not key and within == table:
            return number
        if key and within == table and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[=.]", line):
            return number
    return None


def starter() -> str:
    """A settings file that says what can be set and changes nothing; made from the rules' cards."""
    from storylint.rule import rules

    cards = [module.CARD for module in rules().values()]
    lines = [
        "# Settings of storylint for this book. Keep this file in the folder of your drafts.",
        "# Take away the '# ' before a setting to change it; what you leave alone stays at the value shown.",
        "",
        "[book]",
        *(line for option in BOOK for line in setting(option)),
        "",
        "# How large a draft may be; far more than the longest family history needs.",
        "[limits]",
        *(line for option in LIMITS for line in setting(option)),
        "",
        "# Rules you do not want: set them to false.",
        "[rules]",
        *(f"# {card.name} = true  # {card.summary}" for card in cards),
    ]
    for card in cards:
        if card.options:
            lines += ["", f"# {card.summary}; more with: storylint rulebook {card.name}", f"[{card.name}]"]
            lines += [line for option in card.options for line in setting(option)]
    return "\n".join(lines) + "\n"


def setting(option: Option) -> tuple[str, str]:
    """A setting in the starter file: its meaning, then the line itself, turned off."""
    return f"## {option.meaning}", f"# {option.name} = {toml(option.default)}"


def toml(value: object) -> str:
    """A default as TOML writes it: JSON's spelling of these types is TOML's too."""
    return json.dumps(value, ensure_ascii=False)
