"""Finding and opening drafts: what each file really is, which reader takes it, and what to tell about the others."""

from __future__ import annotations

import difflib
import hashlib
import os
import re
import stat
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import IO

from storylint.cache import Cache, secret_of
from storylint.complaints import Unreadable
from storylint.draft import zips
from storylint.draft.model import Draft, Kind, Mark
from storylint.settings import limits_of

# What a folder is searched for. Other names are opened when they are given by name.
DRAFT_SUFFIXES = (".docx", ".docm", ".dotx", ".dotm", ".odt", ".ott", ".fodt", ".md", ".markdown", ".txt")
_SUFFIXES = {
    "docx": (".docx", ".docm", ".dotx", ".dotm"),
    "odt": (".odt", ".ott", ".fodt"),
    "md": (".md", ".markdown"),
    "txt": (".txt", ".text", ""),
}
# Manuscripts in forms that can't be read: a folder that holds nothing else deserves the reason.
_MANUSCRIPTS = {".doc": "doc", ".dot": "doc", ".rtf": "rtf", ".pages": "pages", ".wpd": "wpd", ".wps": "wps"}
_OTHER_SUFFIXES = (*_MANUSCRIPTS, ".pdf", ".epub", ".htm", ".html")
_MOST_OF_OLD = 64 * zips.MIB  # of a file that is only looked at, to say what it is

_SAVE = "open it in your word processor and save it as .docx"
_NOT_ALLOWED = "you are not allowed to read it; ask the owner, or copy it to a folder of your own"
_READS = "storylint reads .docx, .odt, .md and .txt"
_LOCK = re.compile(r"~\$|\.~lock\.|~.*\.tmp$")
# Papers that lie beside drafts and are none, and what storylint itself has written.
_NO_DRAFT = re.compile(
    r"(?:readme|change ?log|licen[cs]e|copying|contributing|authors|todo|install|security|developers|robots"
    r"|requirements|code[ _-]of[ _-]conduct)(?:[._-]\w{2,5})?\.(?:md|markdown|txt)"
    r"|.*(?:^|[ ._-])storylint(?:[ ._-].*)?\.\w+",
    re.IGNORECASE,
)


def read(path: Path, cache: Cache | None = None, before: Callable[[], object] = lambda: None) -> Draft:
    """The draft in a file of any kind that can be read, told by its content and not by its name.

    ``Draft.sha256`` is that of the file's bytes. ``before`` is called where no earlier run has read the same: there is
    work to come. Raises Unreadable with one line that says what to do.
    """
    _refuse_what_is_no_file(path)
    for _ in range(2):
        try:
            with path.open("rb") as stream:
                draft = _read_unchanged(path, stream, cache, before)
        except OSError as error:
            raise Unreadable(path, _cause(error)) from error
        if draft is not None:
            return replace(draft, remarks=(*draft.remarks, *_remarks(draft)))
    raise Unreadable(path, "changes while it is being read; wait until it is saved and run storylint again")


def drafts_in(paths: Iterable[Path]) -> list[Path]:
    """The files to read, in order. A folder is one book: its drafts and those of its folders, in natural name order.

    What is named stays, whatever it is, so that ``read`` can say what is wrong with it; a folder without drafts, too.
    """
    found: dict[Path, None] = {}
    for path in paths:
        found |= dict.fromkeys(_in_folder(path) if _is_folder(path) else [path])
    return list(found)


def passed_over(paths: Iterable[Path]) -> list[tuple[Path, str]]:
    """The manuscripts in folders of drafts that are of a form which can't be read, and of which no draft was saved; with
    what to do."""
    left: list[tuple[Path, str]] = []
    for folder in filter(_is_folder, paths):
        drafts, others = _sorted_out(sorted(_walk(folder, []), key=lambda path: natural(path.relative_to(folder))))
        saved = {path.with_suffix("") for path in drafts}
        unsaved = [path for path in others if path.suffix.lower() in _MANUSCRIPTS and path.with_suffix("") not in saved]
        left += [(path, _KINDS[_MANUSCRIPTS[path.suffix.lower()]]) for path in unsaved if drafts]
    return left


def _is_folder(path: Path) -> bool:
    """False, too, where the path leads through a folder that may not be entered: reading it will say so."""
    try:
        return path.is_dir()
    except OSError:
        return False


def without_twins(drafts: Sequence[Draft]) -> list[Draft]:
    """The drafts without those that hold the same text in another state, such as the original beside the working copy.

    Two are twins where at least five sentences, and a third of the shorter one's, are the same. A sixth is enough where
    a state between the two is a twin of both, and two thirds are needed where their headings differ: husband's and wife's
    chapters tell the same years. The one kept has the better name (working, revised), the higher version
    or the later date; its remarks name the others.
    """
    alike = _Likeness(drafts)
    kept: dict[int, list[int]] = {}
    for index in sorted(range(len(drafts)), key=lambda index: _rank(drafts[index]), reverse=True):
        twin = next((better for better, others in kept.items() if alike.states(index, better, others)), None)
        if twin is None:
            kept[index] = []
        else:
            kept[twin].append(index)
    return [_telling(drafts[index], [Path(drafts[at].path).name for at in kept[index]]) for index in sorted(kept)]


# --- one file ---------------------------------------------------------------------------------------------------


def _refuse_what_is_no_file(path: Path) -> None:
    try:
        mode = path.stat().st_mode
    except OSError as error:
        raise Unreadable(path, _missing(path) if isinstance(error, FileNotFoundError) else _cause(error)) from error
    except ValueError as error:  # a zero byte in the name
        raise Unreadable(path, "there is no such file") from error
    if stat.S_ISDIR(mode):
        raise Unreadable(path, _empty_folder(path))
    if not stat.S_ISREG(mode):
        raise Unreadable(path, f"is not a file with a draft in it; {_READS}")
    if _LOCK.match(path.name):
        raise Unreadable(path, "is the lock file that a word processor leaves while a draft is open; name the draft")


def _missing(path: Path) -> str:
    if path.is_symlink():
        return "is a link to a file that is no longer there; name the file itself"
    try:
        names = [entry.name for entry in path.parent.iterdir()]
    except OSError:
        return "there is no such file"
    near = difflib.get_close_matches(path.name, names, 1, 0.7)
    return f"there is no such file; did you mean '{near[0]}'?" if near else "there is no such file"


def _empty_folder(path: Path) -> str:
    if not os.access(path, os.R_OK | os.X_OK):
        return f"is a folder, and {_NOT_ALLOWED}"
    if path.suffix.lower() == ".pages":
        return _KINDS["pages"]
    return f"there is no draft in this folder; {_READS}"


def _cause(error: OSError) -> str:
    if isinstance(error, PermissionError):
        return _NOT_ALLOWED
    return f"can't be read ({(error.strerror or 'the disk does not answer').lower()})"


def _read_unchanged(path: Path, stream: IO[bytes], cache: Cache | None, before: Callable[[], object]) -> Draft | None:
    """The draft; None if the file was written to meanwhile, so that what was read may be half old and half new."""

    def anew() -> Draft:
        before()
        return _read_stream(path, stream, sha256)

    state = os.fstat(stream.fileno())
    try:
        sha256 = hashlib.file_digest(stream, "sha256").hexdigest()  # type: ignore[arg-type]
        draft = _read_once(path, stream, cache, anew) if cache else anew()
    except Unreadable:
        if _is_changed(state, os.fstat(stream.fileno())):
            return None
        raise
    return None if _is_changed(state, os.fstat(stream.fileno())) else draft


def _read_once(path: Path, stream: IO[bytes], cache: Cache, anew: Callable[[], Draft]) -> Draft:
    """The draft as an earlier run read the same bytes under a name with the same ending, else read now."""
    stream.seek(0)
    secret = hashlib.file_digest(stream, secret_of).digest()  # type: ignore[arg-type]
    draft = cache.once("draft", (secret, path.suffix), anew)
    return replace(draft, path=str(path), secret=secret)


def _is_changed(before: os.stat_result, after: os.stat_result) -> bool:
    return (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns)


def _read_stream(path: Path, stream: IO[bytes], sha256: str) -> Draft:
    limits = limits_of(path)
    kind = _kind_of(path, stream, limits)
    stream.seek(0)
    try:
        draft = _by(kind, path, stream, sha256, limits)
    except RecursionError as error:
        raise Unreadable(path, f"is nested deeper than any draft; {zips.SUSPECT}") from error
    except MemoryError as error:
        raise Unreadable(path, "is too large for the memory of this computer; split it by chapter") from error
    if max((len(block.text) for block in draft.blocks), default=0) > limits.letters:
        raise Unreadable(
            path,
            f"has a paragraph of more than {limits.letters:,} letters, as where all paragraphs have run together; "
            f"{zips.RAISE.format('letters')}",
        )
    if path.suffix.lower() in _SUFFIXES[kind]:
        return draft
    what = "plain text" if kind == "txt" else f"a .{kind} file"
    return replace(draft, remarks=(f"it is {what}, whatever its name says, and was read as such", *draft.remarks))


def _by(kind: str, path: Path, stream: IO[bytes], sha256: str, limits: zips.Limits) -> Draft:
    if kind == "docx":
        from storylint.draft import docx

        return docx.read(str(path), stream, sha256, limits)
    if kind == "odt":
        from storylint.draft import odt

        return odt.read(str(path), stream, sha256, limits)
    data = stream.read(limits.plain_mb * zips.MIB + 1)
    if len(data) > limits.plain_mb * zips.MIB:
        raise Unreadable(path, f"is larger than {limits.plain_mb} MB; {zips.RAISE.format('plain_mb')}")
    if max(data.count(b"\n"), data.count(b"\r")) > limits.paragraphs:
        raise Unreadable(path, f"has more than {limits.paragraphs:,} lines; {zips.RAISE.format('paragraphs')}")
    if kind == "md":
        from storylint.draft import markdown

        return markdown.read(str(path), data, sha256)
    from storylint.draft import txt

    return txt.read(str(path), data, sha256)


# --- what a file is ---------------------------------------------------------------------------------------------

_KINDS = {
    "doc": f"is an old .doc file; {_SAVE}",
    "rtf": f"is a rich-text file (.rtf); {_SAVE}",
    "pdf": "is a PDF, which is made for printing and has lost its paragraphs; go back to the file it was made from",
    "pages": "is a .pages file; export it as .docx from the program that made it",
    "wpd": f"is a .wpd file; {_SAVE}",
    "wps": f"is a .wps file; {_SAVE}",
    "sxw": f"is an .sxw file, the form before .odt; {_SAVE}",
    "picture": "is a picture; name the draft, or type out what the picture shows",
    "web page": f"is a web page; {_SAVE}",
    "spreadsheet": f"is a spreadsheet and no draft; {_READS}",
    "presentation": f"is a set of slides and no draft; {_READS}",
    "ebook": "is an e-book; go back to the file it was made from",
    "xml": f"is a document in the form of one XML file; {_SAVE}",
    "zip": "is a zip archive; unpack it and name the draft in it",
    "archive": "is a packed archive; unpack it and name the draft in it",
}
_MAGIC = (
    (b"{\\rtf", "rtf"),
    (b"%PDF", "pdf"),
    (b"\xffWPC", "wpd"),
    (b"\x89PNG", "picture"),
    (b"\xff\xd8\xff", "picture"),
    (b"GIF8", "picture"),
    (b"II*\0", "picture"),
    (b"MM\0*", "picture"),
    (b"BM", "bitmap"),
    (b"RIFF", "riff"),
    (b"\x1f\x8b", "archive"),
    (b"7z\xbc\xaf", "archive"),
    (b"Rar!", "archive"),
    (b"BZh", "archive"),
    (b"\xfd7zXZ", "archive"),
)
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WEB_PAGE = re.compile(rb"\s*(?:<\?xml[^>]*\?>\s*)?(?:<!--.*?-->\s*)?<(?:!doctype\s+html|html)\b", re.I | re.S)
_WEB_ARCHIVE = re.compile(rb"\s*(?:From:[^\n]*\n|Subject:[^\n]*\n|Date:[^\n]*\n)*MIME-Version: ?1\.0\b", re.I)
_HEAD = 4096


def _kind_of(path: Path, stream: IO[bytes], limits: zips.Limits) -> str:
    """One of the kinds that are read: docx, odt, md, txt. Raises Unreadable for any other, with what to do."""
    stream.seek(0)
    head = stream.read(_HEAD)
    if len(head) < _HEAD and not head.strip(b"\xef\xbb\xbf \t\r\n\0"):
        raise Unreadable(path, "is empty; look for an earlier copy" if not head else "holds nothing but white space")
    if head.startswith((b"PK\3\4", b"PK\5\6", b"PK\7\\8")):
        return _zip_kind(path, stream, limits)
    if head.startswith(_OLE):
        raise Unreadable(path, _ole_reason(stream))
    kind = next((kind for magic, kind in _MAGIC if head.startswith(magic)), "")
    if kind in ("bitmap", "riff"):  # two letters that a text may begin with, too
        kind = "picture" if b"\0" in head[:64] else ""
    if kind:
        raise Unreadable(path, _KINDS[kind])
    return _text_kind(path, head)


def _zip_kind(path: Path, stream: IO[bytes], limits: zips.Limits) -> str:
    package = zips.Package(str(path), stream, limits)
    names = package.names
    if "mimetype" in names:
        mime = package.plain("mimetype")
        if mime.startswith("application/vnd.oasis.opendocument.text"):
            return "odt"
        if "opendocument.spreadsheet" in mime or "opendocument.presentation" in mime:
            raise Unreadable(path, _KINDS["spreadsheet" if "spreadsheet" in mime else "presentation"])
        if mime.startswith("application/vnd.sun.xml.writer"):
            raise Unreadable(path, _KINDS["sxw"])
        if mime.startswith("application/epub"):
            raise Unreadable(path, _KINDS["ebook"])
    for folder, kind in (("xl/", "spreadsheet"), ("ppt/", "presentation")):
        if any(name.startswith(folder) for name in names):
            raise Unreadable(path, _KINDS[kind])
    if "[content_types].xml" in names or any(name.startswith("word/") for name in names):
        return "docx"
    if "content.xml" in names:
        return "odt"
    pages = any(name.endswith(".iwa") or name == "index.apxl" for name in names) or path.suffix.lower() == ".pages"
    raise Unreadable(path, _KINDS["pages" if pages else "zip"])


def _ole_reason(stream: IO[bytes]) -> str:
    """Why a compound file can't be read: old format or password. Its directory names what is in it."""
    stream.seek(0)
    data = stream.read(_MOST_OF_OLD)
    if "EncryptedPackage".encode("utf-16-le") in data:
        return zips.PASSWORD
    for name, kind in (("WordDocument", "doc"), ("Workbook", "spreadsheet"), ("PowerPoint Document", "presentation")):
        if name.encode("utf-16-le") in data:
            return _KINDS[kind]
    return f"is a file of an old Office program; {_SAVE}"


def _text_kind(path: Path, head: bytes) -> str:
    suffix = path.suffix.lower()
    bare = head.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe")
    if bare.lstrip().startswith(b"{\\rtf"):
        raise Unreadable(path, _KINDS["rtf"])
    if _WEB_ARCHIVE.match(bare):
        raise Unreadable(path, _KINDS["web page"])
    if bare.startswith((b"<?xml", b"<office:document")):
        if b"/2006/xmlPackage" in bare or b"/word/2003/wordml" in bare:
            raise Unreadable(path, _KINDS["xml"])
        if b"urn:oasis:names:tc:opendocument" in bare:
            return "odt"
    if _WEB_PAGE.match(bare) and suffix not in _SUFFIXES["md"]:
        raise Unreadable(path, _KINDS["web page"])
    if suffix in _SUFFIXES["md"]:
        return "md"
    if suffix in _SUFFIXES["txt"]:
        return "txt"
    if suffix in (*DRAFT_SUFFIXES, *_OTHER_SUFFIXES) and _is_plain(head):
        return "txt"
    if suffix in _MANUSCRIPTS:
        raise Unreadable(path, _KINDS[_MANUSCRIPTS[suffix]])
    if suffix in DRAFT_SUFFIXES:
        raise Unreadable(path, f"is not a {suffix} file, whatever its name says, or is damaged; {_READS}")
    raise Unreadable(path, f"is of a kind that storylint can't read; {_READS}")


def _is_plain(head: bytes) -> bool:
    """Whether the bytes are text in UTF-8; a character cut off at the end is forgiven."""
    try:
        head[: _HEAD - 4].decode("utf-8")
    except UnicodeDecodeError:
        return False
    return not re.search(rb"[\0-\x08\x0e-\x1f]", head)


# --- remarks ----------------------------------------------------------------------------------------------------


def _remarks(draft: Draft) -> Iterator[str]:
    if not draft.blocks:
        yield "there is no text in it"
    kinds = {draft.notes[mark.note].kind if mark.note is not None else "" for mark in _marks(draft) if mark.live}
    typed = sum(not mark.live for mark in _marks(draft))
    named = [f"{kind}s" for kind in ("footnote", "endnote") if kind in kinds]
    if typed and kinds:
        yield f"its notes are of two kinds: {' and '.join(named) or 'live notes'}, and marks typed as digits ({typed})"
    elif len(named) == 2:
        yield "it has both footnotes and endnotes"


def _marks(draft: Draft) -> Iterator[Mark]:
    return (mark for block in draft.blocks for mark in block.marks)


# --- a folder ---------------------------------------------------------------------------------------------------


def _in_folder(folder: Path) -> list[Path]:
    shut: list[Path] = []
    drafts, others = _sorted_out(sorted(_walk(folder, shut), key=lambda path: natural(path.relative_to(folder))))
    return [*(drafts or others), *shut] or [folder]


def _sorted_out(files: Iterable[Path]) -> tuple[list[Path], list[Path]]:
    """The drafts among these files, and what may be one in a form that can't be read."""
    known = [(path, path.suffix.lower()) for path in files]
    return [path for path, suffix in known if suffix in DRAFT_SUFFIXES], [
        path for path, suffix in known if suffix in _OTHER_SUFFIXES
    ]


def _walk(folder: Path, shut: list[Path]) -> Iterator[Path]:
    """The files in a folder and its folders that may be drafts; folders that can't be looked into go to ``shut``.

    A link to a folder is followed, each folder once. A .pages file may be a folder.
    """
    entered: set[str] = set()
    for root, folders, names in os.walk(
        folder, onerror=lambda fault: shut.append(Path(fault.filename)), followlinks=True
    ):
        if (real := os.path.realpath(root)) in entered:
            folders.clear()
            continue
        entered.add(real)
        packages = [name for name in folders if name.lower().endswith(".pages")]
        folders[:] = [name for name in folders if not name.startswith((".", "_")) and name not in packages]
        for name in (*names, *packages):
            if not name.startswith((".", "~")) and not _LOCK.match(name) and not _NO_DRAFT.fullmatch(name):
                yield Path(root, name)


def natural(path: Path) -> list[list[tuple[int, int, str]]]:
    """A sorting key by which chapter 2 comes before chapter 10."""
    return [
        [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in re.split(r"(\d{1,9})", name) if part]
        for name in (part.casefold() for part in path.parts)
    ]


# --- twins ------------------------------------------------------------------------------------------------------

_FEWEST_SHARED, _SHARE, _SHARE_UNTITLED = 5, 1 / 3, 2 / 3
_SENTENCE_WORDS = 6  # shorter ones are alike in any two chapters
_LATER = re.compile(
    r"(?<![^\W\d_])(?:working|work|revised|revision|rev|draft|current|new|latest|edited|final)(?![^\W\d_])", re.I
)
_EARLIER = re.compile(
    r"(?<![^\W\d_])(?:original|orig|raw|export(?:ed)?|generated|old|backup|bak|copy|archive|first|marked|markup|review"
    r"|commented|relinked)(?![^\W\d_])",
    re.I,
)
_VERSION = re.compile(r"(?<![^\W\d_])(?:v|ver|version|rev|revision|draft)[ ._-]?(\d{1,4})(?!\d)", re.I)


class _Likeness:
    """How many sentences each two of some drafts, named by their places, have in common."""

    def __init__(self, drafts: Sequence[Draft]) -> None:
        self._sizes: list[int] = []
        self._titles = [_titles(draft) for draft in drafts]
        self._shared: dict[tuple[int, int], int] = defaultdict(int)
        holders: dict[int, list[int]] = defaultdict(list)
        for index, draft in enumerate(drafts):
            sentences = _sentences(draft)
            self._sizes.append(len(sentences))
            for sentence in sentences:
                for holder in holders[sentence]:
                    self._shared[holder, index] += 1
                holders[sentence].append(index)

    def states(self, one: int, kept: int, others: Sequence[int]) -> bool:
        """Whether ``one`` is a state of the text of ``kept``, of which ``others`` are states."""
        between = any(self._share(one, other) >= _SHARE for other in others)
        return self._share(one, kept) >= (_SHARE / 2 if between else _SHARE)

    def _share(self, one: int, other: int) -> float:
        """The share of the shorter one's sentences that both have; 0 where they are few, or few for other headings."""
        shared = self._shared.get((min(one, other), max(one, other)), 0)
        share = shared / min(self._sizes[one], self._sizes[other]) if shared >= _FEWEST_SHARED else 0.0
        titles = self._titles[one], self._titles[other]
        alike = 2 * len(titles[0] & titles[1]) > min(map(len, titles))
        return share if alike or share >= _SHARE_UNTITLED else 0.0


def _titles(draft: Draft) -> set[str]:
    """The headings of a draft; without any, what it begins with."""
    headings = {block.text.casefold() for block in draft.blocks if block.kind is Kind.HEADING}
    return headings or {block.text.casefold() for block in draft.blocks[:1]}


def _sentences(draft: Draft) -> set[int]:
    found = set()
    for block in draft.blocks:
        if block.kind not in (Kind.HEADING, Kind.NOTES, Kind.PICTURE):
            for sentence in re.split(r"[.!?;:]+\s", block.text):
                words = re.findall(r"\w+", sentence.casefold())
                if len(words) >= _SENTENCE_WORDS:
                    found.add(hash(tuple(words)))
    return found


def _rank(draft: Draft) -> tuple[int, int, int, int, list[list[tuple[int, int, str]]]]:
    """What speaks for a draft among its twins. Files saved in one minute were copied or exported together: of them the
    word processor's is the one that is worked on."""
    path = Path(draft.path)
    version = _VERSION.search(path.stem)
    try:
        saved = int(path.stat().st_mtime // 60)
    except OSError:
        saved = 0
    name = bool(_LATER.search(path.stem)) - bool(_EARLIER.search(path.stem))
    form = ("txt", "md", "odt", "docx").index(draft.format)
    return name, int(version[1]) if version else 0, saved, form, natural(path)


def _telling(draft: Draft, twins: Sequence[str]) -> Draft:
    if not twins:
        return draft
    named = ", ".join(f"'{name}'" for name in twins)
    verb, was = ("holds", "was") if len(twins) == 1 else ("hold", "were")
    return replace(draft, remarks=(*draft.remarks, f"{named} {verb} the same text in another state and {was} left out"))
