"""Live notes in .docx: references in the text, their bodies in the footnotes or endnotes part, and all that a word
processor wants beside them (ISO/IEC 29500-1, 17.11): separators, styles, settings, content type, relationship.

The bodies are the paragraphs of the typed list themselves, with their italics and links.
"""

from __future__ import annotations

import copy
from functools import cached_property
from itertools import count, filterfalse
from typing import TYPE_CHECKING

from storylint.complaints import Misuse
from storylint.draft.docx_styles import Styles, W, value
from storylint.draft.docx_walk import Unit, Walk
from storylint.draft.model import Kind
from storylint.repair.docx_package import Package, add_relationship, element, text_element
from storylint.repair.docx_runs import Stretch, cut_out, meeting, raised_like, raw_between, remove, stretches
from storylint.repair.plan import DIGITS, Group, Link, Plan, Text

if TYPE_CHECKING:
    from lxml.etree import _Element

_R = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_FIRST_ID = 1
# What stands before w:endnotePr in the properties of a section (the order of the schema, ISO/IEC 29500-1, A.1).
_BEFORE_NOTES = frozenset(W + tag for tag in ("headerReference", "footerReference", "footnotePr"))
# What stands after w:footnotePr in the settings.
_AFTER_NOTES = frozenset(
    W + tag
    for tag in (
        "endnotePr", "compat", "docVars", "rsids", "attachedSchema", "themeFontLang", "clrSchemeMapping",
        "doNotIncludeSubdocsInStats", "doNotAutoCompressPictures", "forceUpgrade", "captions", "readModeInkLockDown",
        "smartTagType", "shapeDefaults", "doNotEmbedSmartTags", "decimalSymbol", "listSeparator",
    )
) | {"{http://schemas.openxmlformats.org/officeDocument/2006/math}mathPr"}  # fmt: skip
# What stands before w:numPr in the properties of a paragraph.
_BEFORE_NUMBER = frozenset(
    W + tag for tag in ("pStyle", "keepNext", "keepLines", "pageBreakBefore", "framePr", "widowControl")
)
# What a note can't hold.
_NOT_IN_NOTES = frozenset(
    W + tag for tag in ("commentRangeStart", "commentRangeEnd", "commentReference", "lastRenderedPageBreak")
)


def boxed(data: bytes) -> set[int]:
    """The indexes of the blocks in text boxes: word processors offer no notes there, and LibreOffice 7.4 opens no file
    that has one."""
    package = Package(data)
    body = package.root(package.main).find(W + "body")
    units = Walk().units(list(body)) if body is not None else ()
    return {unit.index for unit in units if next(unit.paragraph.iterancestors(W + "txbxContent"), None) is not None}


def write(data: bytes, made: Plan, kind: str, per: str) -> bytes:
    """The copy's bytes; ``kind`` is "footnotes" or "endnotes", ``per`` "book" or "chapter"."""
    return _Writer(data, made, kind.removesuffix("s"), per).copy()


class _Writer:
    """Makes one copy."""

    def __init__(self, data: bytes, made: Plan, kind: str, per: str) -> None:
        self.made, self.kind, self.per = made, kind, per
        self.package = Package(data)
        body = self.package.root(self.package.main).find(W + "body")
        if body is None:
            raise Misuse(f"{made.draft.path}: has no text; save it again from your word processor.")
        self.body = body
        self.styles = Styles(self.package.root_if_any("styles"))
        self.units = {unit.index: unit for unit in Walk().units(list(self.body))}
        self.notes = _NotesPart(self)
        self._found: dict[int, list[Stretch]] = {}

    def copy(self) -> bytes:
        """Do it all."""
        bodies = {id(link): self.notes.body(link) for link in self.made.links if link.body}
        for group in reversed(self.made.groups):
            self._replace(group, bodies)
        self._fill_repeated()
        self.notes.sort([ref.get(W + "id") or "" for ref in self.body.iter(f"{W}{self.kind}Reference")])
        self._empty_lists()
        if self.per == "chapter":
            self._divide()
        self._count_notes()
        return self.package.bytes()

    # --- marks ----------------------------------------------------------------------------------------------------

    def _replace(self, group: Group, bodies: dict[int, str]) -> None:
        """Put references in the place of a printed group of marks."""
        found = self._stretches(group.block.index)
        near = meeting(found, group.start, group.end)
        digits = DIGITS.search(raw_between([found[at] for at in near], group.start, group.end))
        if digits is None:
            return  # the reading of the copy tells
        start, end = group.start + digits.start(), group.start + digits.end()
        runs = []
        for at in reversed(near):
            if found[at].meets(start, end):
                runs.append(cut_out(found[at], start, end))
                found[at] = found[at].before(start)
        first = runs[-1]
        for number, link in enumerate(group.links):
            if number:
                first.addprevious(raised_like(first, ","))
            for run in self._called(link, bodies):
                first.addprevious(run)
        for run in runs:
            remove(run)

    def _stretches(self, index: int) -> list[Stretch]:
        """The pieces of a paragraph, found once; as its marks are replaced from the last to the first, those further up
        stay as they were."""
        if index not in self._found:
            self._found[index] = stretches(self.units[index], self.styles) if index in self.units else []
        return self._found[index]

    def _called(self, link: Link, bodies: dict[int, str]) -> list[_Element]:
        """The run with a reference, or the field that repeats the number of another."""
        if link.body:
            return [self.notes.reference(bodies[id(link)])]
        return self.notes.repeat(bodies[id(link.again)] if link.again is not None else self._live[link.live or 0])

    @cached_property
    def _live(self) -> dict[int, str]:
        """The ids of the draft's live notes, which stand in the order of their references."""
        notes = self.made.draft.notes
        found: dict[int, str] = {}
        for kind in {note.kind for note in notes if note.live}:
            ids = dict.fromkeys(ref.get(W + "id") or "" for ref in self.body.iter(f"{W}{kind}Reference"))
            indexes = (index for index, note in enumerate(notes) if note.live and note.kind == kind)
            found |= zip(indexes, (each for each in ids if each not in self.notes.new), strict=False)
        return found

    def _fill_repeated(self) -> None:
        """Write into fields what they show, and put bookmarks round what they repeat."""
        references = {ref.get(W + "id") or "": ref for ref in self.body.iter(f"{W}{self.kind}Reference")}
        numbers = {note: str(number) for number, note in enumerate(references, 1)}
        used = {mark.get(W + "id") for mark in self.body.iter(W + "bookmarkStart")}
        unused = filterfalse(used.__contains__, map(str, count()))
        for note, fields in self.notes.repeated.items():
            for field in fields:
                field.text = numbers.get(note, "")
            run = references[note].getparent() if note in references else None
            if run is not None:
                number = next(unused)
                run.addprevious(element("bookmarkStart", id=number, name=bookmark_name(self.kind, note)))
                run.addnext(element("bookmarkEnd", id=number))

    # --- lists ----------------------------------------------------------------------------------------------------

    def _empty_lists(self) -> None:
        """Take the entries that live on as notes out of their lists, and the headings of lists that are empty."""
        self._keep_numbers()
        self.made.gone = self.made.emptied(keep_last=self.kind == "endnote")
        taken = [block for index in self.made.taken for block in self.made.blocks_of(index)]
        for block in (*taken, *self.made.gone):
            for _, paragraph in self.units[block.index].parts:
                _drop(paragraph)

    def _keep_numbers(self) -> None:
        """Entries that stay in a list that numbers itself get their numbers as text, for the list would count anew."""
        for index, note in enumerate(self.made.draft.notes):
            blocks = self.made.blocks_of(index) if not note.live and index not in self.made.taken else []
            paragraph = self.units[blocks[0].index].paragraph if blocks else None
            if paragraph is not None and self._numbers_itself(paragraph):
                properties = _properties(paragraph)
                for old in properties.findall(W + "numPr"):
                    properties.remove(old)
                unnumbered = element("numPr")
                unnumbered.append(element("numId", val="0"))
                _insert_after(properties, unnumbered, _BEFORE_NUMBER)
                run = element("r")
                run.append(text_element(f"{note.number}. "))
                paragraph.insert(1, run)

    def _numbers_itself(self, paragraph: _Element) -> bool:
        properties = paragraph.find(W + "pPr")
        if properties is None:
            return False
        own = properties.find(f"{W}numPr/{W}numId")
        if own is not None:
            return own.get(W + "val") not in (None, "0")
        return self.styles.place(value(properties, "pStyle")).listed

    # --- sections -------------------------------------------------------------------------------------------------

    def _divide(self) -> None:
        """End a section of the document before each chapter but the first, so that its notes can begin anew."""
        last = self.body.find(W + "sectPr")
        if last is None:
            last = element("sectPr")
            self.body.append(last)
        for unit in _chapters(self.made, self.units)[1:]:
            before = unit.paragraph.getprevious()
            if before is None or before.tag != W + "p":
                before = element("p")
                unit.paragraph.addprevious(before)
            if before.find(f"{W}pPr/{W}sectPr") is None:
                _properties(before).append(_section_like(last))
        kind = last.find(W + "type")
        if kind is None:
            kind = element("type")
            _insert_after(last, kind, _BEFORE_NOTES | {W + "endnotePr"})
        kind.set(W + "val", "continuous")

    def _count_notes(self) -> None:
        """Tell how the notes are counted: 1, 2, 3, and anew in each section where chapters are wanted.

        Endnotes are i, ii, iii unless every section says otherwise. Footnotes are told once, in the settings, which
        stand for all sections (17.11.12): where each section repeated it, LibreOffice 7.4 printed 0 for every note.
        """
        if self.notes.had_some and self.per == "book":
            return
        self._count(self.notes.settings())
        for section in self.body.iter(W + "sectPr"):
            properties = section.find(f"{W}{self.kind}Pr")
            if properties is None and self.kind == "endnote":
                properties = element("endnotePr")
                _insert_after(section, properties, _BEFORE_NOTES)
            if properties is not None:
                self._count(properties)

    def _count(self, properties: _Element) -> None:
        """Set form and restart, in the order of the schema: position, form, start, restart, separators."""
        if properties.find(W + "numFmt") is None:
            _insert_after(properties, element("numFmt", val="decimal"), frozenset({W + "pos"}))
        if self.per == "chapter" and properties.find(W + "numRestart") is None:
            before = frozenset(W + tag for tag in ("pos", "numFmt", "numStart"))
            _insert_after(properties, element("numRestart", val="eachSect"), before)


# --- the part with the notes ----------------------------------------------------------------------------------------


class _NotesPart:
    """The footnotes or endnotes of the copy."""

    def __init__(self, writer: _Writer) -> None:
        self._writer, self.kind = writer, writer.kind
        self.package = writer.package
        self.had_some = self.package.root_if_any(self.kind + "s") is not None
        self.root = self.package.part(self.kind + "s")
        if not self.had_some:
            self.root.extend([self._separator("separator", "-1"), self._separator("continuationSeparator", "0")])
        self._next = max([int(note.get(W + "id") or 0) for note in self.root] + [_FIRST_ID - 1]) + 1
        self.new: set[str] = set()
        self.repeated: dict[str, list[_Element]] = {}
        self._mark_style = self._style("reference", "character")
        self._text_style = self._style("text", "paragraph")
        self.settings()

    def _separator(self, what: str, number: str) -> _Element:
        note, paragraph, run = element(self.kind, type=what, id=number), element("p"), element("r")
        run.append(element(what))
        paragraph.append(run)
        note.append(paragraph)
        return note

    def _style(self, role: str, sort: str) -> str:
        """The id of the style "footnote reference" or "footnote text", made if the draft has none."""
        root, wanted = self.package.part("styles"), f"{self.kind} {role}"
        ids = set()
        for style in root.iter(W + "style"):
            ids.add(style.get(W + "styleId"))
            if value(style, "name").lower() == wanted and style.get(W + "type") == sort:
                return style.get(W + "styleId") or ""
        own = f"{self.kind.title()}{role.title()}"
        while own in ids:
            own += "1"
        root.append(_new_style(own, wanted, sort, self._writer.styles.default))
        return own

    def settings(self) -> _Element:
        """The element of the settings that names the separators, made if there is none."""
        root = self.package.part("settings")
        properties = root.find(f"{W}{self.kind}Pr")
        if properties is None:
            properties = element(f"{self.kind}Pr")
            after = _AFTER_NOTES - ({W + "endnotePr"} if self.kind == "endnote" else set())
            later = next((child for child in root if child.tag in after), None)
            root.append(properties) if later is None else later.addprevious(properties)
        if properties.find(W + self.kind) is None:
            special = [note for note in self.root if note.get(W + "type") not in (None, "normal")]
            properties.extend([element(self.kind, id=note.get(W + "id") or "") for note in special])
        return properties

    def sort(self, order: list[str]) -> None:
        """Put the notes into the order of their references: some word processors go by it and not by the ids
        (LibreOffice 7.4, seen in print)."""
        turn = {note: at for at, note in enumerate(dict.fromkeys(order))}
        special = [note for note in self.root if note.get(W + "type") not in (None, "normal")]
        usual = [note for note in self.root if note.get(W + "type") in (None, "normal")]
        usual.sort(key=lambda note: turn.get(note.get(W + "id") or "", len(turn)))
        self.root[:] = [*special, *usual]

    def reference(self, note: str) -> _Element:
        """A run with a live mark."""
        return self._styled(element(f"{self.kind}Reference", id=note))

    def repeat(self, note: str) -> list[_Element]:
        """A field that shows the number of a note once more; its text is filled in when all are counted."""
        instruction = element("instrText")
        instruction.text = f" NOTEREF {bookmark_name(self.kind, note)} \\f \\h "
        instruction.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")
        shown = text_element("")
        self.repeated.setdefault(note, []).append(shown)
        begin, middle, end = (element("fldChar", fldCharType=kind) for kind in ("begin", "separate", "end"))
        return [self._styled(inside) for inside in (begin, instruction, middle, shown, end)]

    def _styled(self, inside: _Element) -> _Element:
        run, properties = element("r"), element("rPr")
        properties.append(element("rStyle", val=self._mark_style))
        run.extend([properties, inside])
        return run

    def body(self, link: Link) -> str:
        """Write the body of a note; gives its id."""
        number = str(self._next)
        self._next += 1
        self.new.add(number)
        note, paragraphs = element(self.kind, id=number), self._paragraphs(link)
        space = element("r")
        space.append(text_element(" "))
        for at, run in enumerate((self._styled(element(f"{self.kind}Ref")), space), 1):
            paragraphs[0].insert(at, run)
        note.extend(paragraphs)
        self.root.append(note)
        return number

    def _paragraphs(self, link: Link) -> list[_Element]:
        """The paragraphs of a note: those of the typed list, joined where there are several, or plain words."""
        paragraphs = [self._paragraph()]
        for text in link.body:
            if text.note is None:
                paragraphs[-1].append(_words(text))
                continue
            first, *more = self._copies(text.note)
            paragraphs[-1].extend([child for child in first if child.tag != W + "pPr"])
            paragraphs += more
        return paragraphs

    def _paragraph(self) -> _Element:
        paragraph = element("p")
        _properties(paragraph).append(element("pStyle", val=self._text_style))
        return paragraph

    def _copies(self, index: int) -> list[_Element]:
        """Copies of the paragraphs of a typed note, without its number, in the style of notes."""
        made, copies = self._writer.made, []
        words = made.draft.notes[index].text.split("\n")[0]
        for number, block in enumerate(made.blocks_of(index)):
            skip = block.source_offset(max(block.text.find(words), 0)) if not number else 0
            paragraph = self._paragraph()
            for _, part in self._writer.units[block.index].parts:
                paragraph.extend([child for child in self._copy(part, skip) if child.tag != W + "pPr"])
                skip = 0
            copies.append(paragraph)
        return copies

    def _copy(self, paragraph: _Element, skip: int) -> _Element:
        """A copy of a paragraph without the first ``skip`` characters of its raw text."""
        fresh = copy.deepcopy(paragraph)
        for stretch in reversed(stretches(Unit(0, (("", fresh),)), self._writer.styles)):
            if stretch.meets(0, skip):
                remove(cut_out(stretch, 0, skip))
        for unfit in [inside for inside in fresh.iter() if inside.tag in _NOT_IN_NOTES]:
            remove(unfit)
        self._carry_links(fresh)
        return fresh

    def _carry_links(self, paragraph: _Element) -> None:
        """Give links and pictures of a body the relationships of the notes part."""
        theirs = {rel.get("Id"): rel for rel in self.package.rels(self.package.main)}
        for inside in paragraph.iter():
            for name in [str(name) for name in inside.attrib if str(name).startswith(_R)]:
                rel = theirs.get(inside.get(name))
                if rel is not None:
                    own = self.package.rels(self.package.name_of(self.kind + "s"))
                    kind, target = rel.get("Type") or "", rel.get("Target") or ""
                    inside.set(name, add_relationship(own, kind, target, rel.get("TargetMode")))


def bookmark_name(kind: str, note: str) -> str:
    """The bookmark round the reference of a note."""
    return f"_Ref_{kind}_{note}"


def _words(text: Text) -> _Element:
    run = element("r")
    if text.italic:
        properties = element("rPr")
        properties.append(element("i"))
        run.append(properties)
    run.append(text_element(text.words))
    return run


def _new_style(own: str, name: str, sort: str, default: str) -> _Element:
    style = element("style", type=sort, styleId=own)
    style.append(element("name", val=name))
    if sort == "paragraph" and default:
        style.append(element("basedOn", val=default))
    style.extend([element("uiPriority", val="99"), element("unhideWhenUsed")])
    if sort == "paragraph":
        tight = element("pPr")
        tight.append(element("spacing", after="0", line="240", lineRule="auto"))
        style.append(tight)
    look = element("rPr")
    look.append(element("vertAlign", val="superscript") if sort == "character" else element("sz", val="20"))
    style.append(look)
    return style


# --- paragraphs and sections ----------------------------------------------------------------------------------------


def _properties(paragraph: _Element) -> _Element:
    """The properties of a paragraph, made if there are none."""
    properties = paragraph.find(W + "pPr")
    if properties is None:
        properties = element("pPr")
        paragraph.insert(0, properties)
    return properties


def _insert_after(parent: _Element, child: _Element, before: frozenset[str]) -> None:
    """Insert a child behind those that the schema puts before it."""
    parent.insert(sum(other.tag in before for other in parent), child)


def _drop(paragraph: _Element) -> None:
    """Take a paragraph out; one that ends a section or is all of a cell is emptied instead."""
    parent = paragraph.getparent()
    if parent is None:
        return
    needed = parent.tag == W + "tc" and len(parent.findall(W + "p")) == 1
    if needed or paragraph.find(f"{W}pPr/{W}sectPr") is not None:
        for child in [child for child in paragraph if child.tag != W + "pPr"]:
            paragraph.remove(child)
    else:
        parent.remove(paragraph)


def _section_like(last: _Element) -> _Element:
    """Properties of a section that looks like ``last``, goes on on the same page and does not count pages anew."""
    section = copy.deepcopy(last)
    numbers = section.find(W + "pgNumType")
    if numbers is not None and numbers.get(W + "start") is not None:
        del numbers.attrib[W + "start"]
    for kind in section.findall(W + "type"):
        section.remove(kind)
    _insert_after(section, element("type", val="continuous"), _BEFORE_NOTES | {W + "endnotePr"})
    return section


def _chapters(made: Plan, units: dict[int, Unit]) -> list[Unit]:
    """The headings that open chapters: those of the highest level that comes more than once."""
    headings = [block for block in made.draft.blocks if block.kind is Kind.HEADING and block not in made.gone]
    levels = [block.level for block in headings]
    level = min((level for level in set(levels) if levels.count(level) > 1), default=0)
    return [units[block.index] for block in headings if block.level == level and block.index in units]
