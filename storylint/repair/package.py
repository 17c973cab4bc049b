"""A zip package that is copied part by part: what is not changed stays byte for byte as it was."""

from __future__ import annotations

import os
import posixpath
import zipfile
from collections.abc import Iterable
from pathlib import Path
from typing import IO, TYPE_CHECKING
from urllib.parse import quote, unquote

from storylint.complaints import Misuse

if TYPE_CHECKING:
    from lxml.etree import _Element

RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
_LINK = f"{{{RELATIONSHIPS}}}Relationship"
# The two names of one vocabulary (ISO/IEC 29500): strict (part 1) and transitional (part 4). Parts are worked on with
# the second and written with their own.
_STRICT = (
    ("http://purl.oclc.org/ooxml/officeDocument/", "http://schemas.openxmlformats.org/officeDocument/2006/"),
    ("http://purl.oclc.org/ooxml/wordprocessingml/", "http://schemas.openxmlformats.org/wordprocessingml/2006/"),
    ("http://purl.oclc.org/ooxml/drawingml/", "http://schemas.openxmlformats.org/drawingml/2006/"),
)


class Copy:
    """A package on its way into another file. Parts are changed with ``put``, or dropped with it (None)."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(stream)
        self._names = {name.replace("\\", "/").lstrip("/").lower(): name for name in self._zip.namelist()}
        self._new: dict[str, bytes | None] = {}
        self.strict = False  # set by the first part with strict names

    def __contains__(self, name: str) -> bool:
        name = self.spelled(name)
        if name in self._new:
            return self._new[name] is not None
        return name.lower() in self._names

    def spelled(self, name: str) -> str:
        """A part's name as the package spells it: capitals make no difference (ISO/IEC 29500-2), nor does a slash."""
        return self._names.get(name.lower(), name).replace("\\", "/").lstrip("/")

    @property
    def names(self) -> list[str]:
        """The parts as they stand now, in their order; of two of one name the last counts."""
        names = dict.fromkeys((*map(self.spelled, self._names), *self._new))
        return [name for name in names if not name.endswith("/") and name in self]

    def bytes_of(self, name: str) -> bytes:
        """A part as it stands now."""
        new = self._new.get(self.spelled(name))
        return self._zip.read(self._names[name.lower()]) if new is None else new

    def root(self, name: str) -> _Element:
        """A part as a tree, with transitional names. The draft has been read before, within the reader's limits."""
        from lxml import etree

        data = self.bytes_of(name)
        end = data.find(b">", data.find(b"<", data.find(b"?>") + 1)) + 1
        head = data[:end]
        for strict, transitional in _STRICT:
            self.strict = self.strict or strict.encode() in head
            head = head.replace(strict.encode(), transitional.encode())
        parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True)
        return etree.fromstring(head + data[end:], parser)

    def put(self, name: str, root: _Element | None) -> None:
        """Change, add or drop a part."""
        from lxml import etree

        name = self.spelled(name)
        if root is None:
            self._new[name] = None
            return
        data = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
        if self.strict:
            start = data.find(b"<", data.find(b"?>"))
            end = data.find(b">", start) + 1
            head = data[:end]
            for strict, transitional in _STRICT:
                head = head.replace(transitional.encode(), strict.encode())
            data = head + data[end:]
        self._new[name] = data

    def save(self, stream: IO[bytes]) -> None:
        """Write the package: entries in their order, with their dates and compression."""
        changed = {self._names.get(name.lower(), name): data for name, data in self._new.items()}
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as target:
            last = {info.filename: info for info in self._zip.infolist()}  # of two entries of one name the last counts
            for name, info in last.items():
                data = changed[name] if name in changed else self._zip.read(info)
                if data is not None:
                    target.writestr(info, data, info.compress_type)
            for name, data in changed.items():
                if data is not None and name not in last:
                    target.writestr(name, data)

    # --- relationships, for .docx -----------------------------------------------------------------------------------

    def main(self) -> str:
        """The part with the text."""
        return self.related("").get("officeDocument", "word/document.xml")

    def related(self, source: str) -> dict[str, str]:
        """Targets by the last step of the relationship's type; the first of each type counts."""
        rels = _rels(source)
        if rels not in self:
            return {}
        found: dict[str, str] = {}
        for link in self.root(rels).iter(_LINK):
            if link.get("TargetMode") != "External":
                target = unquote((link.get("Target") or "").replace("\\", "/"))
                path = posixpath.normpath(posixpath.join("/", posixpath.dirname(source), target)).lstrip("/")
                found.setdefault((link.get("Type") or "").rpartition("/")[2], path)
        return found

    def add(self, source: str, name: str, kind: str, content_type: str, root: _Element) -> None:
        """Add a part of this kind that ``source`` is related to."""
        from lxml import etree

        base = f"{_STRICT[0][0] if self.strict else _STRICT[0][1]}relationships/"
        rels = _rels(source)
        none = etree.fromstring(f'<Relationships xmlns="{RELATIONSHIPS}"/>')
        links = self.root(rels) if rels in self else none
        taken = {link.get("Id") for link in links}
        free = next(f"rId{n}" for n in range(1, len(taken) + 2) if f"rId{n}" not in taken)
        target = quote(posixpath.relpath(name, posixpath.dirname(source) or "."))
        etree.SubElement(links, _LINK, {"Id": free, "Type": base + kind, "Target": target})
        types = self.root("[Content_Types].xml")
        etree.SubElement(types, f"{TYPES}Override", {"PartName": f"/{quote(name)}", "ContentType": content_type})
        self.put(rels, links)
        self.put("[Content_Types].xml", types)
        self.put(name, root)


def _rels(source: str) -> str:
    folder, name = posixpath.split(source)
    return posixpath.join(folder, "_rels", f"{name}.rels")


def refuse(draft: Path, copy: Path, force: bool, suffixes: Iterable[str]) -> None:
    """Complain if the copy must not be written there. The draft itself never is, whatever ``force`` says."""
    if copy.exists() and copy.resolve() == draft.resolve():
        raise Misuse(f"{copy}: is the draft itself, which is never changed; give the copy another name.")
    if copy.is_dir():
        raise Misuse(f"{copy}: is a folder; give the copy a name in it.")
    if copy.suffix.lower() not in suffixes:
        raise Misuse(f"{copy}: the copy of {draft.name} needs a name that ends in {' or '.join(suffixes)}.")
    if copy.exists() and not force:
        raise Misuse(f"{copy}: is there already; choose another name, or say --force to replace it.")


def written(copy: Path, data: bytes) -> None:
    """Write a file whole or not at all."""
    half = copy.with_name(f".{copy.name}.{os.getpid()}")
    try:
        half.write_bytes(data)
        half.replace(copy)
    except OSError as fault:
        half.unlink(missing_ok=True)
        raise Misuse(f"{copy}: can't be written ({fault.strerror}); choose a folder with room in it.") from None
