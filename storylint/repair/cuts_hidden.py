"""What a document carries beside the text that is read, and what of it must not go out with a redacted copy.

A cut sentence may live on in a tracked deletion, in a comment, in the second copy of a text box, in the description of
a picture or in the address behind a link, where nobody looks who reads the page. Deletions, hidden text, comments and
bound data go whole, since a copy that is sent round needs none of them; properties lose all but title and author;
descriptions, headers and footers only where they tell of people who may be living.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from storylint.draft.docx_styles import W, is_on
from storylint.repair.docx_package import Package
from storylint.repair.docx_runs import remove

if TYPE_CHECKING:
    from lxml.etree import _Element

Reveals = Callable[[str], bool]

STORY = re.compile(r"(?:^|/)(?:document|footnotes|endnotes|header\d*|footer\d*)\.xml$")
COMMENTS = re.compile(r"(?:^|/)(?:comments\w*|people)\.xml$")
MARGIN = re.compile(r"(?:^|/)(?:header|footer)\d*\.xml$")
FALLBACK = "{http://schemas.openxmlformats.org/markup-compatibility/2006}Fallback"
RELATION_ID = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
ANCHORS = frozenset(W + name for name in ("commentRangeStart", "commentRangeEnd", "commentReference", "dataBinding"))
DELETED = frozenset(W + name for name in ("del", "moveFrom"))
KEPT = frozenset(("title", "creator", "created", "modified", "revision", "language"))
TO_SOMEBODY = re.compile(r"^(?:mailto|tel|sms):", re.IGNORECASE)
IN_FIELD = re.compile(r"\"?(?:mailto|tel|sms):[^\s\"]*\"?", re.IGNORECASE)


def scrub(package: Package, data: bytes, names_one: Reveals, tells: Reveals) -> list[str]:
    """Take out what is not read on the page; ``names_one`` tells whether a text names somebody who may be living,
    ``tells`` whether it prints a particular of her.

    Gives what was taken out, in words, and never what it said.
    """
    with zipfile.ZipFile(io.BytesIO(data)) as found:
        names = [name for name in found.namelist() if name.lower().endswith(".xml")]
    gone: list[str] = []
    for name in names:
        low = name.lower()
        if STORY.search(low):
            root = package.root(name)
            gone += of_story(root, names_one)
            gone += links(root, package, name, names_one)
            if MARGIN.search(low):
                gone += margin(root, tells)
        elif COMMENTS.search(low):
            gone += ["comments"] * emptied(package.root(name))
        elif low.startswith("docprops/"):
            gone += ["file properties"] * properties(package.root(name))
        elif low.startswith("customxml/item") and "props" not in low:
            root = package.root(name)
            if names_one(" ".join(str(text) for text in root.itertext())):
                gone += ["bound data"] * emptied(root)
        elif posixpath.basename(low) == "settings.xml":
            gone += ["document variables"] * sum(map(drop, list(package.root(name).iter(W + "docVars"))))
    return list(dict.fromkeys(gone))


def drop(part: _Element) -> bool:
    """Take an element out."""
    remove(part)
    return True


def emptied(root: _Element) -> bool:
    """Leave nothing in a part; True where there was something."""
    had = len(root) > 0
    root[:] = []
    root.text = None
    return had


def of_story(root: _Element, reveals: Reveals) -> list[str]:
    """Tracked deletions, second copies, hidden text, comments' anchors and telling descriptions."""
    gone = []
    for part in list(root.iter(*DELETED)):
        if part.find(".//" + W + "r") is not None:
            gone += ["tracked deletions"] * drop(part)
    for part in list(root.iter(FALLBACK)):
        if part.find(".//" + W + "t") is not None:
            drop(part)
    for part in list(root.iter(*ANCHORS)):
        drop(part)
    for run in root.iter(W + "r"):
        hidden = run.find(f"{W}rPr/{W}vanish")
        if hidden is not None and is_on(hidden.get(W + "val", "1")):
            gone += ["hidden text"] * sum(map(drop, list(run.iter(W + "t"))))
    for part in root.iter():
        for key in ("descr", "title", "alt"):
            if reveals(str(part.attrib.get(key) or "")):
                part.set(key, "")
                gone.append("descriptions of pictures")
    return gone


def links(root: _Element, package: Package, name: str, reveals: Reveals) -> list[str]:
    """The addresses behind links to somebody's mail or telephone, and behind those whose words were cut."""
    gone = []
    found = list(root.iter(W + "hyperlink"))
    rels = {rel.get("Id"): rel for rel in package.rels(name)} if found else {}
    for link in found:
        rel = rels.get(link.get(RELATION_ID))
        target = "" if rel is None else rel.get("Target") or ""
        if rel is not None and (TO_SOMEBODY.match(target) or reveals(target) or not "".join(words(link)).strip()):
            del link.attrib[RELATION_ID]
            gone += ["links"] * drop(rel)
    for field in root.iter(W + "instrText"):
        if field.text and IN_FIELD.search(field.text):
            field.text = IN_FIELD.sub('""', field.text)
            gone.append("links")
    return gone


def words(part: _Element) -> Iterable[str]:
    """The text of an element's runs."""
    return (text.text or "" for text in part.iter(W + "t"))


def margin(root: _Element, reveals: Reveals) -> list[str]:
    """Lines of a header or a footer that tell of somebody."""
    gone = []
    for paragraph in root.iter(W + "p"):
        if reveals("".join(words(paragraph))):
            for text in paragraph.iter(W + "t"):
                text.text = ""
            gone.append("lines of headers and footers")
    return gone


def properties(root: _Element) -> bool:
    """All of a part of properties but title, author and dates."""
    parts = [part for part in root if str(part.tag).rpartition("}")[2] not in KEPT and (len(part) or part.text)]
    for part in parts:
        remove(part)
    return bool(parts)


# ------------------------------------------------------------------------------------------------------------- Markdown

FRONT = re.compile(r"\A\ufeff?---\n.*?\n(?:---|\.\.\.)\n", re.DOTALL)


def lines_without(lines: Iterable[str], names_one: Reveals) -> Iterable[str]:
    """The lines that name nobody."""
    return (line for line in lines if line.startswith(("title:", "author:")) or not names_one(line))
