"""The parts of a .docx that is being copied, as trees that are changed together and written at the end."""

from __future__ import annotations

import io
import posixpath
from typing import TYPE_CHECKING
from urllib.parse import quote, unquote

from storylint.draft.docx_styles import W
from storylint.repair.package import RELATIONSHIPS, TYPES, Copy

if TYPE_CHECKING:
    from lxml.etree import _Element

_STRICT_TYPE = "http://purl.oclc.org/ooxml/officeDocument/relationships/"
_TYPE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
_CONTENT = "application/vnd.openxmlformats-officedocument.wordprocessingml."
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
    """The parts of one .docx, read when they are asked for."""

    def __init__(self, data: bytes) -> None:
        self._copy = Copy(io.BytesIO(data))
        self._trees: dict[str, _Element] = {}
        self._kinds: dict[str, str] = {}
        self.main = self._copy.main()
        self.root(self.main)  # tells whether the names are strict

    def __contains__(self, name: str) -> bool:
        return self._copy.spelled(name) in self._trees or name in self._copy

    def root(self, name: str) -> _Element:
        """The root of a part, which is written back as it then is."""
        name = self._copy.spelled(name)
        if name not in self._trees:
            self._trees[name] = self._copy.root(name)
        return self._trees[name]

    @property
    def names(self) -> list[str]:
        """The parts that there are, without those that only say how they hang together."""
        return [name for name in self._copy.names if not name.lower().endswith((".rels", "[content_types].xml"))]

    def kind(self, name: str) -> str:
        """What a part is, by the name of its root without its vocabulary; "" for what is no XML."""
        from lxml import etree

        if name not in self._kinds:
            self._kinds[name] = ""
            head = io.BytesIO(self._copy.bytes_of(name) if name.lower().endswith(".xml") else b"")
            try:
                for _, root in etree.iterparse(head, events=("start",), resolve_entities=False, no_network=True):
                    self._kinds[name] = etree.QName(root).localname
                    break
            except etree.XMLSyntaxError:
                pass
        return self._kinds[name]

    @staticmethod
    def rels_name(part: str) -> str:
        """The name of the part with the relationships of a part."""
        return posixpath.join(posixpath.dirname(part), "_rels", posixpath.basename(part) + ".rels")

    def drop(self, name: str) -> None:
        """Leave a part out of the copy, with its relationships and what is said of its content."""
        for each in (name, self.rels_name(name)):
            if each in self:
                self._trees.pop(self._copy.spelled(each), None)
                self._copy.put(each, None)
        said = self.root("[Content_Types].xml")
        for part in list(said.iter(f"{TYPES}Override")):
            if unquote(part.get("PartName") or "").lstrip("/").lower() == name.lower():
                said.remove(part)

    def drop_unused(self) -> None:
        """Drop the parts to which none leads any more, and the relationships that lead to none. A part beside the main
        one is found by its name, too."""
        seen, new = {""}, [""]
        known = {name.lower(): name for name in self.names}
        folder = posixpath.dirname(self.main)
        new += [name for name in self.names if posixpath.dirname(name) == folder and name.endswith(".xml")]
        while new:
            source = new.pop()
            seen.add(source)
            if self.rels_name(source) not in self:
                continue
            for rel in list(self.rels(source)):
                if rel.get("TargetMode") == "External":
                    continue
                target = known.get(target_of(source, rel.get("Target") or "").lower())
                if target is None:
                    rel.getparent().remove(rel)  # type: ignore[union-attr]
                elif target not in seen:
                    seen.add(target)
                    new.append(target)
        for name in self.names:
            if name not in seen:
                self.drop(name)

    def rels(self, part: str) -> _Element:
        """The relationships of a part, made if there are none."""
        from lxml import etree

        name = self.rels_name(part)
        if name not in self:
            name = self._copy.spelled(name)
            self._trees[name] = etree.fromstring(f'<Relationships xmlns="{RELATIONSHIPS}"/>'.encode())
        return self.root(name)

    def name_of(self, kind: str) -> str:
        """The name of the part of this kind ("styles", "footnotes"), by relationship or else the usual one."""
        folder = posixpath.dirname(self.main)
        return self._copy.related(self.main).get(kind, posixpath.join(folder, kind + ".xml"))

    def part(self, kind: str) -> _Element:
        """The root of the part of this kind, made with its relationship and content type if there is none."""
        from lxml import etree

        name = self.name_of(kind)
        if name not in self:
            attributes = {"PartName": f"/{quote(name)}", "ContentType": f"{_CONTENT}{kind}+xml"}
            etree.SubElement(self.root("[Content_Types].xml"), f"{TYPES}Override", attributes)
            base = _STRICT_TYPE if self._copy.strict else _TYPE
            add_relationship(self.rels(self.main), base + kind, quote(posixpath.basename(name)))
            self._trees[name] = element(kind)
        return self.root(name)

    def root_if_any(self, kind: str) -> _Element | None:
        """The root of the part of this kind, None if there is none."""
        name = self.name_of(kind)
        return self.root(name) if name in self else None

    def bytes(self) -> bytes:
        """The package as a zip."""
        for name, root in self._trees.items():
            self._copy.put(name, root)
        out = io.BytesIO()
        self._copy.save(out)
        return out.getvalue()


def add_relationship(rels: _Element, sort: str, target: str, mode: str | None = None) -> str:
    """Add a relationship, or find the same one; gives its id."""
    from lxml import etree

    for rel in rels:
        if (rel.get("Type"), rel.get("Target"), rel.get("TargetMode")) == (sort, target, mode):
            return rel.get("Id") or ""
    taken = {rel.get("Id") for rel in rels}
    own = next(f"rId{n}" for n in range(1, len(taken) + 2) if f"rId{n}" not in taken)
    attributes = {"Id": own, "Type": sort, "Target": target} | ({"TargetMode": mode} if mode else {})
    etree.SubElement(rels, f"{{{RELATIONSHIPS}}}Relationship", attributes)
    return own


def target_of(source: str, target: str) -> str:
    """The name of the part to which a relationship of another leads."""
    path = unquote(target.replace("\\", "/")).partition("#")[0]
    return posixpath.normpath(posixpath.join("/", posixpath.dirname(source), path)).lstrip("/")
