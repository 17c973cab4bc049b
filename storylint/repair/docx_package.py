"""The parts of a .docx that is being copied: a few are changed or added, all others go over byte for byte."""

from __future__ import annotations

import posixpath
import zipfile
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from storylint.complaints import Misuse
from storylint.draft import zips
from storylint.draft.docx_styles import W

if TYPE_CHECKING:
    from lxml.etree import _Element

_RELATIONSHIPS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_TYPE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
_CONTENT = "application/vnd.openxmlformats-officedocument.wordprocessingml."
_STRICT = b"http://purl.oclc.org/ooxml/"
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


def element(tag: str, **attributes: str) -> _Element:
    """An element of the vocabulary of word processing, its attributes too."""
    from lxml import etree

    return etree.Element(W + tag, {W + name: value for name, value in attributes.items()}, nsmap={"w": W[1:-1]})


def text_element(words: str) -> _Element:
    """A ``w:t`` that keeps its spaces."""
    made = element("t")
    made.text = words
    made.set(_SPACE, "preserve")
    return made


class Package:
    """The parts of one .docx as trees, read when they are asked for."""

    def __init__(self, path: Path) -> None:
        data = path.read_bytes()
        self._path = path
        self._zip = zipfile.ZipFile(BytesIO(data))
        self._names = {name.lower(): name for name in self._zip.namelist()}
        self._trees: dict[str, _Element] = {}
        self.main = self._main()

    def __contains__(self, name: str) -> bool:
        return name in self._trees or name.lower() in self._names

    def _main(self) -> str:
        rels = self.root("_rels/.rels")
        target = next((rel.get("Target") for rel in rels if (rel.get("Type") or "").endswith("/officeDocument")), None)
        return (target or "word/document.xml").lstrip("/")

    def root(self, name: str) -> _Element:
        """The root of a part, which is written back as it then is."""
        from lxml import etree

        known = self._names.get(name.lower(), name)
        if known not in self._trees:
            data = self._zip.read(known)
            zips.refuse_tricks(str(self._path), data[:65536])
            if _STRICT in data[:4096]:
                raise Misuse(f"{self._path}: is in the strict form of .docx; save it as an ordinary .docx first.")
            parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True)
            self._trees[known] = etree.fromstring(data, parser)
        return self._trees[known]

    def rels(self, part: str) -> _Element:
        """The relationships of a part, made if there are none."""
        from lxml import etree

        name = posixpath.join(posixpath.dirname(part), "_rels", posixpath.basename(part) + ".rels")
        if name not in self:
            root = etree.fromstring(f'<Relationships xmlns="{_RELATIONSHIPS}"/>'.encode())
            self._trees[name] = root
        return self.root(name)

    def name_of(self, kind: str) -> str:
        """The name of the part of this kind ("styles", "footnotes"), by relationship or else the usual one."""
        folder = posixpath.dirname(self.main)
        for rel in self.rels(self.main):
            if (rel.get("Type") or "").endswith("/" + kind):
                target = rel.get("Target") or ""
                return posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/")
        return posixpath.join(folder, kind + ".xml")

    def part(self, kind: str) -> _Element:
        """The root of the part of this kind, made with its relationship and content type if there is none."""
        from lxml import etree

        name = self.name_of(kind)
        if name not in self:
            types = self.root("[Content_Types].xml")
            attributes = {"PartName": "/" + name, "ContentType": f"{_CONTENT}{kind}+xml"}
            etree.SubElement(types, f"{{{_TYPES}}}Override", attributes)
            add_relationship(self.rels(self.main), _TYPE + kind, posixpath.basename(name))
            self._trees[name] = element(kind)
        return self.root(name)

    def root_if_any(self, kind: str) -> _Element | None:
        """The root of the part of this kind, None if there is none."""
        name = self.name_of(kind)
        return self.root(name) if name in self else None

    def bytes(self) -> bytes:
        """The package as a zip, its parts in their old order and the new ones last."""
        out = BytesIO()
        old = set(self._zip.namelist())
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target:
            for entry in self._zip.infolist():
                tree = self._trees.get(entry.filename)
                target.writestr(entry, self._zip.read(entry) if tree is None else _written(tree), entry.compress_type)
            for name in self._trees.keys() - old:
                target.writestr(name, _written(self._trees[name]))
        return out.getvalue()


def _written(root: _Element) -> bytes:
    from lxml import etree

    return etree.tostring(root.getroottree(), xml_declaration=True, encoding="UTF-8", standalone=True)


def add_relationship(rels: _Element, sort: str, target: str, mode: str | None = None) -> str:
    """Add a relationship, or find the same one; gives its id."""
    from lxml import etree

    for rel in rels:
        if (rel.get("Type"), rel.get("Target"), rel.get("TargetMode")) == (sort, target, mode):
            return rel.get("Id") or ""
    taken = {rel.get("Id") for rel in rels}
    own = next(f"rId{n}" for n in range(1, len(taken) + 2) if f"rId{n}" not in taken)
    attributes = {"Id": own, "Type": sort, "Target": target} | ({"TargetMode": mode} if mode else {})
    etree.SubElement(rels, f"{{{_RELATIONSHIPS}}}Relationship", attributes)
    return own
