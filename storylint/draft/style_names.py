"""What a paragraph style's name says about the paragraph, in the names that word processors give their own styles."""

from __future__ import annotations

import re
from functools import lru_cache

# Built-in heading styles keep an English name inside the file; converters write the name the user sees.
_HEADING = re.compile(
    r"(?:heading|überschrift|titre|t[íi]tulo|titolo|kop|rubrik|overskrift|otsikko|pennawd|cabe[çc]alho|encabezado"
    r"|nagłówek|nadpis|címsor|заголовок)[ _]*(\d{1,2})(?:[ _]*char)?",
    re.IGNORECASE,
)
_TITLE = re.compile(r"(?:book |chapter )?title|titel|toc heading|contents heading|heading", re.IGNORECASE)
_SUBTITLE = re.compile(r"sub-?title|untertitel", re.IGNORECASE)
_CAPTION = re.compile(r"(?:\w+ )?captions?(?: \w+)?|beschriftung|légende|didascalia|leyenda|bijschrift", re.IGNORECASE)
_QUOTATION = re.compile(
    r"(?:intense |block |long |displayed )?(?:quote|quotation)s?(?: text| block)?|blockquotes?|block text|extract"
    r"|(?:intensives )?zitat|letter text|transcri(?:pt|ption)",
    re.IGNORECASE,
)
_CONTENTS = re.compile(
    r"(?:toc|contents|table of (?:figures|authorities)|(?:\w+ )?index|bibliography) ?\d{0,2}", re.IGNORECASE
)


@lru_cache(maxsize=1024)
def heading_level(name: str) -> int:
    """The level of a heading style, from 1; 0 for any other style."""
    name = _plain(name)
    if match := _HEADING.fullmatch(name):
        return int(match[1])
    if _TITLE.fullmatch(name):
        return 1
    return 2 if _SUBTITLE.fullmatch(name) else 0


@lru_cache(maxsize=1024)
def is_caption(name: str) -> bool:
    """Whether the style is that of a picture's or table's caption."""
    return bool(_CAPTION.fullmatch(_plain(name)))


@lru_cache(maxsize=1024)
def is_quotation(name: str) -> bool:
    """Whether the style is that of a displayed quotation or document."""
    return bool(_QUOTATION.fullmatch(_plain(name)))


@lru_cache(maxsize=1024)
def is_contents(name: str) -> bool:
    """Whether the style is that of a line of a table of contents, an index or a bibliography."""
    return bool(_CONTENTS.fullmatch(_plain(name)))


def _plain(name: str) -> str:
    return " ".join(name.replace("_20_", " ").replace("_", " ").split())
