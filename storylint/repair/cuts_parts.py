"""The parts of a .docx that are no text: remarks, properties, bound data, embedded files, addresses of links.

What nothing refers to any more goes too: pictures of remarks, files behind an object that has become its picture.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING
from urllib.parse import unquote

from storylint.draft.docx_styles import W
from storylint.repair.cuts_fields import TO_SOMEBODY
from storylint.repair.docx_runs import remove

if TYPE_CHECKING:
    from lxml.etree import _Element

    from storylint.repair.docx_package import Package

Reveals = Callable[[str], bool]

_O = "{urn:schemas-microsoft-com:office:office}"
_C = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"
_A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
RELATION_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
REMARKS = frozenset(("comments", "commentsEx", "commentsIds", "commentsExtensible", "people"))
PROPERTIES = frozenset(("coreProperties", "Properties"))
KEPT = frozenset(("title", "creator", "created", "modified", "revision", "language"))
EMBEDDED = (_O + "OLEObject", W + "objectEmbed", W + "objectLink", _C + "externalData")
ON_PICTURES = (_A + "hlinkClick", _A + "hlinkHover")
# What a part may have without naming it: of these none is looked for in its text.
UNNAMED = re.compile(
    r"(?:styles\w*|numbering|settings|webSettings|fontTable|theme|footnotes|endnotes|comments\w*|people|glossaryDocument"
    r"|customXml\w*|stylesWithEffects|vbaProject|wordVbaData|keyMapCustomizations|attachedToolbars|attachedTemplate"
    r"|mailMergeSource|mailMergeHeaderSource|diagram\w*|chart\w+|themeOverride|printerSettings|.*(?i:properties|origin|signature))$"
)
NOWHERE = "about:blank"


def scrub(package: Package, names_one: Reveals) -> Iterator[str]:
    """Take out what these parts tell; gives what it was."""
    for name in package.names:
        kind = package.kind(name)
        low = name.lower()
        if kind in REMARKS:
            yield from ["comments"] * emptied(package.root(name))
            package.drop(package.rels_name(name))
        elif low.startswith("docprops/") and kind in PROPERTIES:
            yield from ["file properties"] * properties(package.root(name))
        elif low.startswith(("docprops/thumbnail", "[trash]/")):
            package.drop(name)
            yield "a picture of the first page" if low.startswith("docprops/") else "what was thrown away"
        elif kind == "glossaryDocument":
            yield from ["building blocks"] * building_blocks(package.root(name), names_one)
        elif low.startswith("customxml/item") and "props" not in low:
            if names_one(" ".join(str(text) for text in package.root(name).itertext())):
                yield from ["bound data"] * emptied(package.root(name))
        elif kind == "settings":
            yield from settings(package.root(name))
    yield from links(package, names_one)
    package.drop_unused()


def emptied(root: _Element) -> bool:
    """Leave nothing in a part; True where there was something."""
    had = len(root) > 0
    root[:] = []
    root.text = None
    return had


def properties(root: _Element) -> bool:
    """All of a part of properties but title, author and dates."""
    parts = [part for part in root if str(part.tag).rpartition("}")[2] not in KEPT and (len(part) or part.text)]
    for part in parts:
        remove(part)
    return bool(parts)


def settings(root: _Element) -> Iterator[str]:
    """Document variables, and the list from which letters are merged."""
    for part in list(root.iter(W + "docVars", W + "mailMerge")):
        remove(part)
        yield "document variables" if part.tag == W + "docVars" else "the list behind merged fields"


def building_blocks(root: _Element, names_one: Reveals) -> bool:
    """The author's own building blocks, and of those that boxes show while they are empty the ones that name somebody."""
    found = False
    for block in list(root.iter(W + "docPart")):
        gallery = block.find(f"{W}docPartPr/{W}category/{W}gallery")
        words = "".join(text.text or "" for text in block.iter(W + "t"))
        if gallery is None or gallery.get(W + "val") != "placeholder" or names_one(words):
            remove(block)
            found = True
    return found


# ------------------------------------------------------------------------------------------------- links and other files


def links(package: Package, names_one: Reveals) -> Iterator[str]:
    """Addresses that lead to somebody, those behind words that were cut, and embedded files."""
    for name in [name for name in package.names if package.kind(name) and package.rels_name(name) in package]:
        root = package.root(name)
        rels = {rel.get("Id"): rel for rel in package.rels(name)}
        for link in list(root.iter(W + "hyperlink", *ON_PICTURES)):
            rel = rels.get(link.get(RELATION_ID))
            target = "" if rel is None else rel.get("Target") or ""
            bare = link.tag == W + "hyperlink" and not "".join(words(link)).strip()
            if rel is not None and (is_hers(target, names_one) or bare):
                del link.attrib[RELATION_ID]
                yield from _without(link)
        for part in list(root.iter(*EMBEDDED)):
            remove(part)
            yield "embedded files"
        for rel in list(package.rels(name)):
            if rel.get("TargetMode") == "External" and is_hers(rel.get("Target") or "", names_one):
                rel.set("Target", NOWHERE)
                yield "links"
        drop_unnamed(root, package.rels(name))


def _without(link: _Element) -> Iterator[str]:
    if link.tag in ON_PICTURES:
        remove(link)
    yield "links"


def is_hers(address: str, names_one: Reveals) -> bool:
    """Whether an address leads to somebody's mail or telephone, or names her."""
    return bool(TO_SOMEBODY.match(address)) or names_one(unquote(address))


def drop_unnamed(root: _Element, rels: _Element) -> None:
    """Of what a part refers to by a name of its own, drop what it no longer names."""
    named = {str(value) for part in root.iter() for value in part.attrib.values()}
    for rel in list(rels):
        if rel.get("Id") not in named and not UNNAMED.match((rel.get("Type") or "").rpartition("/")[2]):
            remove(rel)


def words(part: _Element) -> Iterator[str]:
    """The text of an element's runs."""
    return (text.text or "" for text in part.iter(W + "t"))
