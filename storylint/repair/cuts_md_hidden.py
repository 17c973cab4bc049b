"""What Markdown carries beside the text that is read, and what of it must not go out with a redacted copy.

Remarks and definitions that nothing uses go whole, as a writer hides notes to self in both; settings at the start of a
file that hold prose or name somebody; titles of links, addresses, attributes of tags and descriptions of pictures where
they tell of people who may be living. Of what is left every setting and every link works as before.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from storylint.draft.inline import ATTRIBUTES, normal
from storylint.repair.cuts_fields import TO_SOMEBODY

if TYPE_CHECKING:
    from storylint.draft.source import Line
    from storylint.repair.cuts import Plan
    from storylint.repair.cuts_md import Markup, Sign

Change = tuple[int, int, str]
Reveals = Callable[[str], bool]

ADDRESS = re.compile(r"\]\(\s*<?([^)>\s]*)")
TITLE = re.compile(r"""\s+(?:"[^"]*"|'[^']*'|\([^()]*\))\s*(?=\)$|$)""")
ATTRIBUTE = re.compile(r"""\s[A-Za-z_:][\w:.-]*\s*=\s*("[^"]*"|'[^']*'|[^\s"'>]+)""")
DEFINED = re.compile(r"\[((?:[^\[\]\\]|\\.)*)\]:\s*")
LABEL = re.compile(r"\[([^\[\]]+)\]")
OWN_KEYS = re.compile(r"(?:title|subtitle|author|date|lang)\b")
PROSE_KEYS = re.compile(
    r"(?:subject|abstract|description|summary|keywords|tags|comments?|notes?|remarks?|todo|contact)\b", re.I
)
FOLDED = re.compile(r":\s*[>|][+-]?\s*$", re.MULTILINE)
KEY = re.compile(r"[A-Za-z_][\w .-]*[:=]")
DIGIT = re.compile(r"\d")
WORD = re.compile(r"[^\W\d_]{2,}")
SETTING_WORDS = 7  # a setting of more words is prose; proposed for this tool, no source


def hidden(markup: Markup, made: Plan) -> list[Change]:
    """The changes that take these things out; ``made.hidden`` says what they were."""
    found: dict[str, list[Change]] = {
        "remarks": [(sign.start, sign.end, "") for sign in markup.signs if sign.text.startswith("<!--")],
        "links": list(links(markup, made)),
        "descriptions of pictures": [
            (*sign.inside, "") for sign in markup.signs if sign.inside and made.describes(markup.source[slice(*sign.inside)])
        ],
        "attributes of tags": list(attributes(markup.signs, made)),
        "anchors": list(anchors(markup, made)),
        "properties": list(properties(markup, made)),
    }  # fmt: skip
    made.hidden.extend(what for what, changes in found.items() if changes)
    return [change for changes in found.values() for change in changes]


def is_hers(address: str, names_one: Reveals) -> bool:
    """Whether an address leads to somebody's mail or telephone, or names her."""
    return bool(TO_SOMEBODY.match(address)) or names_one(address)


# ------------------------------------------------------------------------------------------------------------------ links


def links(markup: Markup, made: Plan) -> Iterator[Change]:
    """Addresses of people, titles that tell of them, and definitions."""
    for sign in markup.signs:
        address = ADDRESS.match(sign.text) if sign.mate else None
        if address and is_hers(address[1], made.names_one):
            yield from ((half.start, half.end, "") for half in (sign.mate, sign) if half is not None)
        elif sign.text.startswith(("](", "![")):
            yield from title_in(sign, made.describes)
    used = used_labels(markup)
    for first, last in markup.defined:
        yield from definition(markup, markup.lines[first:last], used, made)


def title_in(sign: Sign, describes: Reveals) -> Iterator[Change]:
    """The title of a link or a picture."""
    its = ATTRIBUTES.search(sign.text)
    title = TITLE.search(sign.text[: (its.start() if its else len(sign.text)) - 1])
    if title and describes(title[0]):
        yield sign.start + title.start(), sign.start + title.end(), ""


def used_labels(markup: Markup) -> set[str]:
    """The labels that stand anywhere but where they are defined."""
    own = {line for first, last in markup.defined for line in range(first, last)}
    text = "\n".join(line.text for at, line in enumerate(markup.lines) if at not in own)
    return {normal(label) for label in LABEL.findall(text)}


def anchors(markup: Markup, made: Plan) -> Iterator[Change]:
    """Attributes of headings, pictures and spans that name somebody beside a number."""
    places = [*markup.attributes]
    for sign in markup.signs:
        places += [(sign.start + its.start(), sign.start + its.end()) for its in ATTRIBUTES.finditer(sign.text)]
    for start, end in places:
        words = markup.source[start:end]
        if DIGIT.search(words) and made.names_one(words):
            yield start, end, ""


def definition(markup: Markup, lines: Sequence[Line], used: set[str], made: Plan) -> Iterator[Change]:
    """The definition of an address on these lines: all of it where nothing uses it, else what tells of somebody."""
    start, end = lines[0].start, lines[-1].start + len(lines[-1].text)
    text = markup.source[start:end]
    found = DEFINED.search(text)
    if found is None:
        return
    if normal(found[1]) not in used:
        yield start + found.start(), end, ""
        return
    address, _, title = text[found.end() :].partition(" ")
    if is_hers(address.strip("<>"), made.names_one):
        yield start + found.end(), start + found.end() + len(address), "<>"
    if title and made.describes(title):
        yield start + found.end() + len(address), end, ""


def attributes(signs: Sequence[Sign], made: Plan) -> Iterator[Change]:
    """Attributes of tags, but for where a picture lies."""
    for sign in signs:
        for found in ATTRIBUTE.finditer(sign.text) if sign.text.startswith("<") else ():
            key, words = found[0].strip().lower(), found[1].strip("\"'")
            telling = made.names_one if key.startswith("href") else made.describes
            if not key.startswith("src") and is_hers(words, telling):
                yield sign.start + found.start(), sign.start + found.end(), ""


# --------------------------------------------------------------------------------------------------------------- settings


def properties(markup: Markup, made: Plan) -> Iterator[Change]:
    """Of the settings at the start those that tell of somebody or hold prose, each with the lines that belong to it."""
    starts = [at for at, line in enumerate(markup.settings) if KEY.match(line.text)]
    for at, stop in pairwise([*starts, len(markup.settings)]):
        lines = markup.settings[at:stop]
        text = "\n".join(line.text for line in lines)
        if not OWN_KEYS.match(text) and (is_prose(text) or made.describes(text)):
            yield lines[0].start, end_of(markup, lines[-1]), ""


def is_prose(setting: str) -> bool:
    """Whether a setting holds words for readers; what has backslashes is written for a program that sets type."""
    told = FOLDED.search(setting) or len(WORD.findall(setting)) > SETTING_WORDS
    return bool(PROSE_KEYS.match(setting)) or (bool(told) and "\\" not in setting)


def end_of(markup: Markup, line: Line) -> int:
    """Where a line ends, with what ends it."""
    later = markup.lines[line.number : line.number + 1]
    return later[0].start if later else len(markup.source)
