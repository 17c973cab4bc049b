"""Safe access to the zip packages and the XML inside .docx and .odt files.

A draft may come from anywhere, so nothing in it is believed: sizes are counted while the bytes come out, entities and
document types are refused, nothing is fetched, and a part is read as a stream, so that memory follows the largest
table and not the book. What breaks a limit is refused with ``Unreadable``.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING

from storylint.complaints import Unreadable

if TYPE_CHECKING:
    from lxml.etree import _Element

MIB = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Limits:
    """How large a draft may be, several times longer than the longest family history; the author may raise it
    (``storylint.settings``). What follows below is what no draft needs, however long."""

    part_mb: int = 256  # 500,000 words make 15 to 45 MiB of XML, depending on how the word processor cuts its runs
    package_files: int = 5_000  # a book of 500 pictures has about 520 entries
    paragraphs: int = 250_000  # a draft of 500,000 words has 10,000 to 30,000, and 50,000 lines of a typewriter
    plain_mb: int = 64  # 500,000 words are 3 MB of plain text
    letters: int = 2_000_000  # of one paragraph: 350,000 words without a break

    @property
    def total_mb(self) -> int:
        """Everything that is read of one draft: the text, its notes, its styles."""
        return self.part_mb * 3 // 2

    @property
    def markup(self) -> int:
        """Tags and attributes of one part, which cost memory and time that bytes don't show: each becomes a node of 100
        to 200 bytes. 500,000 words of which each is a run of its own make about 12 million."""
        return self.part_mb * 93_750


USUAL = Limits()
# The table of contents of a zip takes about 100 bytes an entry.
MAX_DIRECTORY = 2 * MIB
# Deflate reaches 1032:1 at most; word-processor XML stays under 20:1, and under 200:1 where one page is repeated again
# and again. Below the floor a part is harmless whatever its ratio.
MAX_RATIO = 300
RATIO_FLOOR = 48 * MIB
# Tags and attributes of one paragraph or table, which is held in memory whole: about 700 MiB at the very worst.
MAX_MARKUP_AT_ONCE = 5_000_000
# And its bytes; of its letters see Limits.letters.
MAX_AT_ONCE = 48 * MIB
# Styles, list numbering, settings: a few hundred KiB in the largest templates.
MAX_SMALL = 32 * MIB

_CHUNK = 1 << 16
_SAVE_AGAIN = "open it in your word processor and save it again"
DAMAGED = f"is damaged or was only partly copied; {_SAVE_AGAIN}, or take your last good copy"
SUSPECT = f"storylint won't read it; if it is a real draft, {_SAVE_AGAIN}"
RAISE = "if it is a real draft, raise '{}' under [limits] in storylint.toml, or split it by chapter"
PASSWORD = "is protected by a password; save a copy without one, as .docx"

# The two names of one vocabulary in ISO/IEC 29500: strict (part 1) and transitional (part 4), which nearly all use.
_STRICT = (
    (b"http://purl.oclc.org/ooxml/officeDocument/", b"http://schemas.openxmlformats.org/officeDocument/2006/"),
    (b"http://purl.oclc.org/ooxml/wordprocessingml/", b"http://schemas.openxmlformats.org/wordprocessingml/2006/"),
    (b"http://purl.oclc.org/ooxml/drawingml/", b"http://schemas.openxmlformats.org/drawingml/2006/"),
)
_LONGEST_NAME = max(len(strict) for strict, _ in _STRICT)
_ENCODING = re.compile(rb"<\?xml[^>]*?encoding\s*=\s*[\"']([^\"']*)")
_PLAIN_ENCODING = re.compile(rb"utf-?8|utf-?16(?:le|be)?|us-ascii|iso-8859-\d+|windows-125\d", re.IGNORECASE)
_ASIDE = re.compile(rb"<!--.*?(?:-->|\Z)|<\?.*?(?:\?>|\Z)", re.DOTALL)
_ROOT = re.compile(rb"<[A-Za-z_\x80-\xff]")
# Each of these says in its own way that a read from a broken or hostile zip failed.
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError)


class Part:
    """The bytes of one XML part, as a stream that counts what comes out of it and stops at the limits.

    ``packed`` is the size in the zip; ``spend`` is told each chunk's size. The head of the part is looked at
    beforehand: a document type is refused. Strict names become transitional ones wherever they stand, for a picture far
    down may declare its own; a part that has none in its head is left as it is.
    """

    def __init__(
        self,
        path: str,
        stream: IO[bytes],
        packed: int,
        spend: Callable[[int], None] | None = None,
        limits: Limits = USUAL,
    ) -> None:
        self.path = path
        self._limits = limits
        self._stream = stream
        self._packed = max(packed, 1)
        self._spend = spend
        self._out = self._markup = self._at_once = self._markup_at_once = 0
        self._ready = self._next(_CHUNK)
        refuse_tricks(path, self._ready)
        self._strict = any(strict in self._ready for strict, _ in _STRICT)
        self._half = b""  # the end of what was read of a strict part, in which half a name may stand
        if self._strict:
            self._ready = self._transitional(self._ready)

    def read(self, size: int = -1) -> bytes:
        """At most ``size`` bytes, or as many as fit at once."""
        while self._strict and not self._ready:
            chunk = self._next(_CHUNK)
            self._strict = bool(chunk)
            self._ready = self._transitional(chunk) if chunk else self._half
        if self._ready:
            size = size if size >= 0 else _CHUNK
            chunk, self._ready = self._ready[:size], self._ready[size:]
            return chunk
        return self._next(size)

    def breathe(self) -> None:
        """A paragraph or table is done and out of memory: count the next from nothing."""
        self._at_once = self._markup_at_once = 0

    def _transitional(self, chunk: bytes) -> bytes:
        chunk = self._half + chunk
        for strict, transitional in _STRICT:
            chunk = chunk.replace(strict, transitional)
        whole = max(len(chunk) - _LONGEST_NAME, 0)
        self._half = chunk[whole:]
        return chunk[:whole]

    def _next(self, size: int) -> bytes:
        try:
            chunk = self._stream.read(size if 0 <= size <= _CHUNK else _CHUNK)
        except _BROKEN as error:
            raise Unreadable(self.path, DAMAGED) from error
        self._count(chunk)
        return chunk

    def _count(self, chunk: bytes) -> None:
        self._out += len(chunk)
        if self._spend:
            self._spend(len(chunk))
        if self._out > self._limits.part_mb * MIB:
            why = f"unpacks to more than {self._limits.part_mb} MB of text; {RAISE.format('part_mb')}"
            raise Unreadable(self.path, why)
        if self._out > RATIO_FLOOR and self._out > MAX_RATIO * self._packed:
            raise Unreadable(self.path, f"unpacks to {MAX_RATIO} times its size, as zip bombs do; {SUSPECT}")
        self._at_once += len(chunk)
        if self._at_once > MAX_AT_ONCE:
            raise Unreadable(self.path, f"has a paragraph or table of more than {MAX_AT_ONCE // MIB} MB; {SUSPECT}")
        markup = chunk.count(b"<") + chunk.count(b"=")
        self._markup += markup
        self._markup_at_once += markup
        if self._markup > self._limits.markup or self._markup_at_once > MAX_MARKUP_AT_ONCE:
            raise Unreadable(self.path, f"has far more markup than any draft; {SUSPECT}")


class Package:
    """The zip of one draft. Opens single parts by name, each within the limits.

    Names are matched as the Open Packaging Conventions (ISO/IEC 29500-2) match them: without regard to case.
    """

    def __init__(self, path: str, stream: IO[bytes], limits: Limits = USUAL) -> None:
        self.path = path
        self.limits = limits
        self._left = limits.total_mb * MIB
        try:
            self._zip = zipfile.ZipFile(_Capped(stream))
        except _TooLarge as error:
            raise Unreadable(path, f"has a table of contents longer than any draft's; {SUSPECT}") from error
        except _BROKEN as error:
            raise Unreadable(path, DAMAGED) from error
        entries = self._zip.infolist()
        if len(entries) > limits.package_files:
            raise Unreadable(path, f"is a package of {len(entries):,} files; {RAISE.format('package_files')}")
        self._entries = {_key(entry.filename): entry for entry in entries}

    @property
    def names(self) -> Collection[str]:
        """The names of the parts, in small letters."""
        return self._entries.keys()

    def __contains__(self, name: str) -> bool:
        return _key(name) in self._entries

    def open(self, name: str) -> Part:
        """The part as a stream. KeyError if there is no such part."""
        entry = self._entries[_key(name)]
        if entry.flag_bits & 1:
            raise Unreadable(self.path, PASSWORD)
        try:
            return Part(self.path, self._zip.open(entry), entry.compress_size, self._count, self.limits)
        except _BROKEN as error:
            raise Unreadable(self.path, DAMAGED) from error

    def plain(self, name: str) -> str:
        """The first line of a part that is no XML, such as ``mimetype``; "" if it can't be read."""
        try:
            with self._zip.open(self._entries[_key(name)]) as stream:
                return stream.read(256).decode("ascii", "replace").strip()
        except _BROKEN:
            return ""

    def _count(self, size: int) -> None:
        self._left -= size
        if self._left < 0:
            why = f"unpacks to more than {self.limits.total_mb} MB of text; {RAISE.format('part_mb')}"
            raise Unreadable(self.path, why)


def _key(name: str) -> str:
    return name.replace("\\", "/").lstrip("/").lower()


class _TooLarge(ValueError):
    """More was asked for in one go than any honest package needs."""


class _Capped(io.RawIOBase):
    """A seekable file that hands out at most ``MAX_DIRECTORY`` bytes in one go.

    ``zipfile`` reads a table of contents whole, however long the file says it is.
    """

    def __init__(self, stream: IO[bytes]) -> None:
        self._stream = stream

    def read(self, size: int = -1, /) -> bytes:
        if size > MAX_DIRECTORY:
            raise _TooLarge
        return self._stream.read(size if size >= 0 else MAX_DIRECTORY)

    def seek(self, offset: int, whence: int = io.SEEK_SET, /) -> int:
        return self._stream.seek(offset, whence)

    def tell(self) -> int:
        return self._stream.tell()

    def seekable(self) -> bool:
        return True


def root_of(part: Part) -> _Element:
    """The root element of a small part such as styles or settings."""
    from lxml import etree

    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True, remove_comments=True, remove_pis=True
    )
    try:
        return etree.fromstring(_all_of(part), parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise Unreadable(part.path, DAMAGED) from error


def _all_of(part: Part) -> bytes:
    data = bytearray()
    while chunk := part.read(_CHUNK):
        data += chunk
        if len(data) > MAX_SMALL:
            raise Unreadable(part.path, f"has more than {MAX_SMALL // MIB} MB of styles; {SUSPECT}")
    return bytes(data)


def children_of(
    part: Part, parents: Collection[str], tags: Sequence[str], keep: Callable[[_Element], bool] = lambda _: False
) -> Iterator[_Element]:
    """Every element with one of ``tags`` that stands right in one of ``parents``, in order, as the part streams by.

    An element and all before it are emptied when the next is asked for, unless ``keep`` says that it is still needed.
    """
    from lxml import etree

    # huge_tree lifts the 10 MB limit on one run of text, which a pasted register can pass. What it would open the door
    # to is shut by the limits above: no document type, so no entities; markup is counted.
    events = etree.iterparse(
        part,
        events=("end",),
        tag=tags,
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        huge_tree=True,
        remove_comments=True,  # they would cut the text of an element in two
        remove_pis=True,
    )
    try:
        for _, element in events:
            parent = element.getparent()
            if parent is None or parent.tag not in parents:
                continue
            yield element
            if not keep(element):
                _forget(element, parent)
                part.breathe()
    except (etree.XMLSyntaxError, ValueError) as error:
        raise Unreadable(part.path, DAMAGED) from error


def _forget(element: _Element, parent: _Element) -> None:
    element.clear()
    while element.getprevious() is not None:
        del parent[0]


def refuse_more_paragraphs(path: str, count: int, limits: Limits) -> None:
    """Refuse a draft that has more paragraphs than the limits allow."""
    if count > limits.paragraphs:
        raise Unreadable(path, f"has more than {limits.paragraphs:,} paragraphs; {RAISE.format('paragraphs')}")


def refuse_tricks(path: str, head: bytes) -> None:
    """Refuse the head of an XML part that declares a document type, or could hide one.

    No word processor writes one, and entities that swell or reach out need it. NUL bytes are taken out before looking,
    so that UTF-16 hides nothing; the root must come into sight; only the encodings that the formats allow are taken.
    """
    head = head.replace(b"\0", b"")
    if b"<!DOCTYPE" in head.upper():
        raise Unreadable(path, f"has a document type declaration inside, as hostile files do; {SUSPECT}")
    encoding = _ENCODING.search(head[:200])
    if encoding and not _PLAIN_ENCODING.fullmatch(encoding[1]):
        raise Unreadable(path, f"is in an encoding that its format doesn't allow; {SUSPECT}")
    if head and not _ROOT.search(_ASIDE.sub(b"", head)):
        raise Unreadable(path, DAMAGED)
