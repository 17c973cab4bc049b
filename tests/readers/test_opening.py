"""Opening files: each is read or refused with one line that says what to do; folders are books."""

from __future__ import annotations

import hashlib
import io
import os
import random
import re
import resource
import struct
import time
import zipfile
from pathlib import Path

import fuzz
import pytest
from small_files import ODT_TYPE, docx, note, notes, odt, p, part, r, relationships, table, zipped

from storylint.complaints import Unreadable
from storylint.draft import opening, zips
from tests.effort import calls

WORDS = docx(p("Owen Prydderch split slate at Penrhyn."))
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)


def saved(folder: Path, name: str, data: bytes | str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


def refusal(path: Path) -> str:
    with pytest.raises(Unreadable) as caught:
        opening.read(path)
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith(f"{path}: ")
    return caught.value.why


# --- one file -----------------------------------------------------------------------------------------------------


def test_every_format_is_read_and_its_bytes_are_named(tmp_path: Path) -> None:
    for name, data in fuzz.drafts().items():
        draft = opening.read(saved(tmp_path, name, data))
        assert (draft.format, draft.path) == (name.partition(".")[2], str(tmp_path / name))
        assert draft.sha256 == hashlib.sha256(data).hexdigest()
        assert draft.words > 5


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("a.doc", OLE + "WordDocument".encode("utf-16-le"), "old .doc file; open it .* save it as .docx"),
        ("a.docx", OLE + "EncryptedPackage".encode("utf-16-le"), "password; save a copy without one"),
        ("a.docx", OLE, "old Office"),
        ("a.rtf", "{\\rtf1 Owen}", r"rich-text file \(.rtf\); .* save it as .docx"),
        ("a.docx", "{\\rtf1 Owen}", "rich-text"),
        ("a.rtf", "\n{\\rtf1 Owen}", "rich-text"),
        ("a.doc", b"\xdb\xa5\x2d\0" + bytes(range(64)), r"old .doc file; .* save it as .docx"),
        ("a.sxw", zipped({"mimetype": "application/vnd.sun.xml.writer", "content.xml": "x"}), ".sxw file"),
        ("a.doc", "MIME-Version: 1.0\nContent-Type: multipart/related\n\n<html>", "web page"),
        ("a.xml", '<?xml?><w:d xmlns:w="http://schemas.microsoft.com/office/word/2003/wordml" '
         'xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0"/>', "XML"),
        ("a.pdf", "%PDF-1.7 ...", "PDF, .* go back to the file"),
        ("a.pages", zipped({"Index/Document.iwa": "x", "preview.jpg": "x"}), ".pages file; export it as .docx"),
        ("a.docx", b"\x89PNG\r\n\x1a\n" + bytes(60), "picture"),
        ("a.docx", b"\xff\xd8\xff\xe0" + bytes(60), "picture"),
        ("a.docx", b"", "is empty"),
        ("a.txt", " \n \n", "white space"),
        ("a.docx", zipped({"xl/workbook.xml": "x", "[Content_Types].xml": "x"}), "spreadsheet"),
        ("a.odt", zipped({"mimetype": ODT_TYPE.replace("text", "spreadsheet"), "content.xml": "x"}), "spreadsheet"),
        ("a.docx", zipped({"photo.jpg": "x"}), "zip archive; unpack"),
        ("a.epub", zipped({"mimetype": "application/epub+zip"}), "e-book"),
        ("a.docx", zipped({}), "zip archive|damaged"),
        ("a.docx", "<!DOCTYPE html><html><body>Owen</body></html>", "web page"),
        ("a.xml", '<?xml?><a:package xmlns:a="http://schemas.microsoft.com/office/2006/xmlPackage"/>', "XML"),
        ("a.docx", bytes(range(256)), "is not a .docx file"),
        ("a.tex", "\\section{Owen}", "can't read; storylint reads .docx"),
        ("a.txt", b"Owen\0Prydderch\0sailed", "zero bytes"),
        ("~$a.docx", b"\x05owner" + bytes(50), "lock file"),
        (".~lock.a.odt#", b",owner,", "lock file"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_gets_one_line(tmp_path: Path, name: str, data: bytes, told: str) -> None:
    assert re.search(told, refusal(saved(tmp_path, name, data)))


def test_what_is_not_there(tmp_path: Path) -> None:
    saved(tmp_path, "slate.docx", WORDS)
    assert refusal(tmp_path / "slaet.docx") == "there is no such file; did you mean 'slate.docx'?"
    assert refusal(tmp_path / "nowhere" / "x.docx") == "there is no such file"
    (tmp_path / "empty").mkdir()
    assert "no draft in this folder" in refusal(tmp_path / "empty")
    os.mkfifo(tmp_path / "pipe.docx")
    assert "not a file" in refusal(tmp_path / "pipe.docx")


def test_what_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = saved(tmp_path, "a.docx", WORDS)
    monkeypatch.setattr(Path, "open", refuse)
    assert "not allowed to read it" in refusal(path)


def test_a_text_may_begin_with_any_letters(tmp_path: Path) -> None:
    for name, words in (("a.txt", "PK Lewis split slate."), ("a.md", "BM Lewis split slate."), ("b.txt", "II* Owen")):
        assert opening.read(saved(tmp_path, name, words)).words > 1


@pytest.mark.parametrize(
    ("name", "data", "remark"),
    [
        ("a.txt", WORDS, "it is a .docx file"),
        ("a.docx", odt("<text:p>Owen</text:p>"), "it is a .odt file"),
        ("a.docx", "Owen sailed.", "it is plain text"),
        ("a.doc", WORDS, "it is a .docx file"),
    ],
)
def test_content_counts_and_not_the_name(tmp_path: Path, name: str, data: bytes, remark: str) -> None:
    draft = opening.read(saved(tmp_path, name, data))
    assert draft.remarks[0].startswith(remark)
    assert draft.words > 0


@pytest.mark.parametrize("name", ["a.docm", "a.dotx", "a.dotm"])
def test_macros_and_templates_are_drafts_too(tmp_path: Path, name: str) -> None:
    assert opening.read(saved(tmp_path, name, WORDS)).remarks == ()


def test_mixed_notes_are_told(tmp_path: Path) -> None:
    body = p("One.", note(1), " Two.") + p("Three.", note(1, "endnote"), " Four.¹") + p("Notes") + p("1. Typed.")
    data = docx(body, footnotes=notes("footnote", "a"), endnotes=notes("endnote", "b"))
    assert (
        "of two kinds: footnotes and endnotes, and marks typed as digits (1)"
        in opening.read(saved(tmp_path, "a.docx", data)).remarks[0]
    )
    assert opening.read(saved(tmp_path, "b.docx", docx(p("")))).remarks == ("there is no text in it",)


class _Changing(io.BytesIO):
    """A file that is written to once, or again and again, while it is read."""

    def __init__(self, path: Path, data: bytes, times: list[int]) -> None:
        super().__init__(data)
        self._path, self._times = path, times
        self._handle = os.open(path, os.O_RDONLY)

    def fileno(self) -> int:
        return self._handle

    def close(self) -> None:
        if not self.closed:
            os.close(self._handle)
        super().close()

    def read(self, size: int | None = -1, /) -> bytes:
        if self._times:
            with self._path.open("ab") as file:
                file.write(b" " * self._times.pop())
        return super().read(size)


@pytest.mark.parametrize(("times", "read"), [([1], True), ([1] * 1000, False)])
def test_a_file_that_changes_while_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, times: list[int], read: bool
) -> None:
    path = saved(tmp_path, "a.docx", WORDS)
    real = Path.open

    def opens(self: Path, mode: str = "r") -> object:
        return _Changing(path, WORDS, times) if mode == "rb" else real(self, mode)

    monkeypatch.setattr(Path, "open", opens)
    if read:
        assert opening.read(path).words == 6
    else:
        assert "changes while it is being read" in refusal(path)


# --- hostile files --------------------------------------------------------------------------------------------------


def test_a_bomb_is_stopped_while_it_unpacks(tmp_path: Path) -> None:
    bomb = docx("".join(p("a" * zips.MIB) for _ in range(60)))
    assert len(bomb) < 200_000
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert "as zip bombs do" in refusal(saved(tmp_path, "a.docx", bomb))
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100 * 1024


@pytest.mark.parametrize(
    ("limit", "value", "told"),
    [
        ("MAX_DIRECTORY", 64, "table of contents"),
        ("MAX_MARKUP_AT_ONCE", 8, "markup"),
        ("MAX_AT_ONCE", 100, "paragraph or table"),
        ("MAX_SMALL", 100, "styles"),
    ],
)
def test_each_limit_holds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: str, value: int, told: str) -> None:
    path = saved(tmp_path, "a.docx", WORDS)
    assert opening.read(path).words == 6
    monkeypatch.setattr(zips, limit, value)
    assert told in refusal(path)


@pytest.mark.parametrize(
    ("name", "data", "limit", "told"),
    [
        ("a.docx", docx(p("Owen " * 300_000)), "part_mb = 1", "more than 1 MB of text"),
        ("a.odt", odt(f"<text:p>{'Owen ' * 300_000}</text:p>"), "part_mb = 1", "more than 1 MB of text"),
        ("a.docx", docx(p("Owen"), comments="x" * 900_000, styles="x" * 900_000), "part_mb = 1", ""),
        ("a.docx", docx(p("Owen " * 100_000), styles=f"<w:x>{'x' * 600_000}</w:x>", numbering=f"<w:x>{'x' * 600_000}</w:x>"),
         "part_mb = 1", "more than 1 MB of text"),
        ("a.docx", docx("<w:p/>" * 40_000), "part_mb = 1", ""),
        ("a.docx", WORDS, "package_files = 2", "package of 4 files"),
        ("a.docx", docx(p("x") * 5), "paragraphs = 3", "more than 3 paragraphs"),
        ("a.odt", odt("<text:p>x</text:p>" * 5), "paragraphs = 3", "more than 3 paragraphs"),
        ("a.txt", b"Owen\r\n\r\n" * 2, "paragraphs = 3", "more than 3 lines"),
        ("a.txt", b"Owen\r\n" * 3, "paragraphs = 3", ""),
        ("a.txt", b"Owen " * 300_000, "plain_mb = 1", "larger than 1 MB"),
        ("a.txt", b"Owen sailed. " * 100, "letters = 1000", "paragraph of more than 1,000 letters"),
        ("a.docx", docx(p("Owen sailed. " * 100)), "letters = 1000", "paragraph of more than 1,000 letters"),
        ("a.docx", docx(p("Owen sailed. ") * 100), "letters = 1000", ""),
    ],
)  # fmt: skip
def test_how_large_a_draft_may_be_is_for_the_author_to_say(
    tmp_path: Path, name: str, data: bytes, limit: str, told: str
) -> None:
    path = saved(tmp_path, name, data)
    opening.read(path)
    (tmp_path / "storylint.toml").write_text(f"[limits]\n{limit}\n", encoding="utf-8")
    if told:
        why = refusal(path)
        assert told in why
        assert f"raise '{limit.split()[0]}' under [limits] in storylint.toml" in why
    else:
        opening.read(path)


def test_sizes_that_lie_are_not_believed(tmp_path: Path) -> None:
    at = WORDS.rindex(b"PK\x01\x02")
    for size in (10, 10_000_000):
        lying = bytearray(WORDS)
        start = WORDS.index(b"PK\x01\x02")
        while start <= at and start >= 0:
            struct.pack_into("<I", lying, start + 24, size)  # the unpacked size in the table of contents
            start = WORDS.find(b"PK\x01\x02", start + 1)
        path = saved(tmp_path, "a.docx", bytes(lying))
        assert size > 10 or "damaged" in refusal(path)


def test_a_truncated_file_is_refused_wherever_it_breaks_off(tmp_path: Path) -> None:
    for end in range(4, len(WORDS), 37):
        assert refusal(saved(tmp_path, "a.docx", WORDS[:end]))


def hostile(document: bytes | str) -> bytes:
    return zipped({"[Content_Types].xml": "<Types/>", "word/document.xml": document})


DOCUMENT = part("document", f"<w:body>{p('&b;')}</w:body>").partition("?>")[2]
ENTITY = '<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]>'


@pytest.mark.parametrize(
    "document",
    [
        ENTITY + DOCUMENT,
        OUTSIDE + DOCUMENT,
        ENTITY.replace("DOCTYPE", "doctype") + DOCUMENT,
        f"<!--{'x' * 70_000}-->" + ENTITY + DOCUMENT,
        ('<?xml version="1.0" encoding="UTF-16"?>' + ENTITY + DOCUMENT).encode("utf-16"),
        b'<?xml version="1.0" encoding="UTF-7"?>' + (ENTITY + DOCUMENT).encode("utf-7"),
    ],
)
def test_entities_are_never_expanded(tmp_path: Path, document: bytes | str) -> None:
    assert refusal(saved(tmp_path, "a.docx", hostile(document)))


def test_utf_16_parts_are_lawful(tmp_path: Path) -> None:
    document = (
        '<?xml version="1.0" encoding="UTF-16"?>' + part("document", f"<w:body>{p('Owen')}</w:body>").partition("?>")[2]
    )
    assert opening.read(saved(tmp_path, "a.docx", hostile(document.encode("utf-16")))).blocks[0].text == "Owen"


@pytest.mark.parametrize(
    "body",
    [
        "<w:sdt><w:sdtContent>" * 900 + "<w:p/>" + "</w:sdtContent></w:sdt>" * 900,
        f"<w:p>{'<w:ins>' * 1900}{r('x')}{'</w:ins>' * 1900}</w:p>",
        "<w:tbl><w:tr><w:tc>" * 2000 + "<w:p/>" + "</w:tc></w:tr></w:tbl>" * 2000,
    ],
)
def test_deep_nesting_is_refused(tmp_path: Path, body: str) -> None:
    assert refusal(saved(tmp_path, "a.docx", docx(body)))


def test_lists_deeper_than_the_format_numbers_are_read(tmp_path: Path) -> None:
    listed = "<text:list><text:list-item>" * 30 + "<text:p>Owen</text:p>" + "</text:list-item></text:list>" * 30
    assert opening.read(saved(tmp_path, "a.odt", odt(listed))).words == 1


def test_a_text_may_begin_far_down(tmp_path: Path) -> None:
    assert opening.read(saved(tmp_path, "a.txt", b"\n" * 10_000 + b"Owen")).words == 1


def test_deep_spans_are_refused(tmp_path: Path) -> None:
    body = f"<text:p>{'<text:span>' * 1900}x{'</text:span>' * 1900}</text:p>"
    assert "nested" in refusal(saved(tmp_path, "a.odt", odt(body)))


def test_relationships_in_a_circle_or_out_of_the_package(tmp_path: Path) -> None:
    files = {
        "[Content_Types].xml": "<Types/>",
        "_rels/.rels": relationships(("officeDocument", "../../../word/document.xml")),
        "word/document.xml": part("document", f"<w:body>{p('Owen', note(1))}</w:body>"),
        "word/_rels/document.xml.rels": relationships(("footnotes", "document.xml"), ("styles", "/etc/passwd")),
    }
    draft = opening.read(saved(tmp_path, "a.docx", zipped(files)))
    assert (draft.blocks[0].text, draft.blocks[0].marks[0].note) == ("Owen", None)


def test_a_paragraph_of_20_megabytes_is_refused_unless_the_author_wants_it(tmp_path: Path) -> None:
    path = saved(tmp_path, "a.docx", docx(p("slate and more slate " * 1_000_000)))
    assert "more than 2,000,000 letters" in refusal(path)
    (tmp_path / "storylint.toml").write_text("[limits]\nletters = 30_000_000\n", encoding="utf-8")
    assert opening.read(path).words == 4_000_000


def test_an_encrypted_entry_is_told(tmp_path: Path) -> None:
    data = bytearray(WORDS)
    start = -1
    while (start := WORDS.find(b"PK\x01\x02", start + 1)) >= 0:
        data[start + 8] |= 1
    assert "password" in refusal(saved(tmp_path, "a.docx", bytes(data)))


def test_damage_of_every_kind_is_survived(tmp_path: Path) -> None:
    read, refused = fuzz.run(400, seed=5, sources=fuzz.drafts(), folder=tmp_path)
    assert min(read, refused) > 40


def test_damage_to_the_demonstration_book_is_survived_by_the_whole_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    demo = Path(__file__).parents[2] / "corpus_demo"
    files = [*demo.glob("*.docx"), *demo.glob("*.md")]
    monkeypatch.setattr(fuzz, "WHOLE", 1.0)
    read, refused = fuzz.run(40, seed=6, sources={file.name: file.read_bytes() for file in files}, folder=tmp_path)
    assert min(read, refused) > 4


def test_the_fuzzer_finds_a_crash(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(path: Path, *_: object) -> None:
        raise KeyError(path.name)

    monkeypatch.setattr(opening, "read", crash)
    for share in (0.0, 1.0):
        monkeypatch.setattr(fuzz, "WHOLE", share)
        with pytest.raises(AssertionError, match="KeyError"):
            fuzz.run(1, seed=1, sources={"a.txt": b"Owen"}, folder=tmp_path)


def test_the_fuzzer_finds_a_hang(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "read", lambda path: time.sleep(60))
    monkeypatch.setattr(fuzz, "LONGEST", 0.1)
    with pytest.raises(AssertionError, match="takes"):
        fuzz.run(1, seed=1, sources={"a.txt": b"Owen"}, folder=tmp_path)


def test_work_is_linear_and_memory_is_not_that_of_the_book(tmp_path: Path) -> None:
    rng = random.Random(7)
    words = [f"slate{rng.randrange(5000)}" for _ in range(1000)]
    paragraph = p(*(r(" ".join(rng.choices(words, k=9)) + ". ", "<w:sz/>") for _ in range(10)), note(1))
    spent = []
    for times in (60, 600):
        path = saved(tmp_path, f"{times}.docx", docx(paragraph * times, footnotes=notes("footnote", "n")))
        spent.append(calls(lambda path=path: opening.read(path)))  # type: ignore[misc]
    assert spent[1] < 12 * spent[0]  # 10 times the words


# --- folders --------------------------------------------------------------------------------------------------------


def test_a_folder_is_a_book_in_natural_order(tmp_path: Path) -> None:
    names = ["chapter 10.docx", "Chapter 2.docx", "chapter 1.md", "part/2.odt", "part/10.txt"]
    others = [
        "~$chapter 2.docx", ".~lock.2.odt#", ".hidden.md", "README.md", "changelog.txt", "Licence.txt", ".git/x.md",
        "stet.toml", "photo.jpg", "old.doc", "chapter 2.storylint.docx",
    ]  # fmt: skip
    for name in names + others:
        saved(tmp_path, name, "Owen")
    found = [str(path.relative_to(tmp_path)) for path in opening.drafts_in([tmp_path])]
    assert found == ["chapter 1.md", "Chapter 2.docx", "chapter 10.docx", "part/2.odt", "part/10.txt"]
    named = tmp_path / "README.md"
    assert opening.drafts_in([named, tmp_path / "part", named]) == [
        named,
        tmp_path / "part/2.odt",
        tmp_path / "part/10.txt",
    ]


def test_a_folder_that_a_link_leads_to_is_read_once(tmp_path: Path) -> None:
    part = saved(tmp_path, "elsewhere/chapter.md", "Owen").parent
    book = saved(tmp_path, "book/1.md", "Owen").parent
    (book / "part").symlink_to(part)
    (book / "again").symlink_to(part)
    (part / "round").symlink_to(book)
    assert [path.name for path in opening.drafts_in([book])] == ["1.md", "chapter.md"]


def test_chapters_of_another_form_are_told(tmp_path: Path) -> None:
    for name in ("1.docx", "2.doc", "3.rtf", "4.pages/Index/Document.iwa", "5.docx", "5.doc", "scan.pdf"):
        saved(tmp_path, name, "x")
    told = [(path.name, why.partition(";")[0]) for path, why in opening.passed_over([tmp_path, tmp_path / "1.docx"])]
    assert told == [
        ("2.doc", "is an old .doc file"),
        ("3.rtf", "is a rich-text file (.rtf)"),
        ("4.pages", "is a .pages file"),
    ]
    saved(tmp_path, "alone/4.pages/Index/Document.iwa", "x")
    assert [path.name for path in opening.drafts_in([tmp_path / "alone"])] == ["4.pages"]
    assert opening.passed_over([tmp_path / "alone"]) == []  # it is read, and so refused


def test_a_folder_without_drafts_is_told_by_reading_it(tmp_path: Path) -> None:
    assert opening.drafts_in([tmp_path]) == [tmp_path]
    old = saved(tmp_path, "old.doc", OLE)
    assert opening.drafts_in([tmp_path]) == [old]
    assert opening.drafts_in([tmp_path / "gone.docx"]) == [tmp_path / "gone.docx"]


SENTENCES = [f"Owen worked {n} years in the Penrhyn quarry under agent number {n}." for n in range(30)]


def text_of(sentences: list[str]) -> str:
    return "\n\n".join(sentences)


@pytest.mark.parametrize(
    ("first", "second", "kept"),
    [
        ("book original.txt", "book working.txt", "book working.txt"),
        ("a revised.txt", "z.txt", "a revised.txt"),
        ("slate v9.txt", "slate v10.txt", "slate v10.txt"),
        ("slate.txt", "slate backup.txt", "slate.txt"),
    ],
)
def test_of_two_states_of_a_draft_the_working_one_is_kept(tmp_path: Path, first: str, second: str, kept: str) -> None:
    rewritten = [*SENTENCES[:12], *(f"Nobody knows what he did in the winter of the year {n}." for n in range(20))]
    saved(tmp_path, first, text_of(SENTENCES))
    saved(tmp_path, second, text_of(rewritten))
    saved(
        tmp_path,
        "another.txt",
        text_of([f"Jane kept a shop of her own for {n} years at Granville." for n in range(20)]),
    )
    drafts = [opening.read(path) for path in opening.drafts_in([tmp_path])]
    left = opening.without_twins(drafts)
    assert {Path(draft.path).name for draft in left} == {kept, "another.txt"}
    (told,) = [remark for draft in left for remark in draft.remarks]
    assert told == f"'{second if kept == first else first}' holds the same text in another state and was left out"


def test_of_two_equal_names_the_later_is_kept(tmp_path: Path) -> None:
    old, new = saved(tmp_path, "b.txt", text_of(SENTENCES)), saved(tmp_path, "a.txt", text_of(SENTENCES))
    os.utime(old, (1, 1))
    assert [draft.path for draft in opening.without_twins([opening.read(old), opening.read(new)])] == [str(new)]


@pytest.mark.parametrize("title", ["", "# The Prydderchs\n\n"])
def test_husband_and_wife_tell_the_same_years_and_are_no_twins(tmp_path: Path, title: str) -> None:
    own = [f"Nobody knows what the other one did in the winter of {n}." for n in range(1850, 1862)]
    owen = saved(tmp_path, "1.md", f"{title}## Owen Prydderch\n\n" + text_of(SENTENCES[:14]))
    ellen = saved(tmp_path, "2.md", f"{title}## Ellen Thomas\n\n" + text_of([*SENTENCES[:7], *own]))
    drafts = [opening.read(owen), opening.read(ellen)]
    assert opening.without_twins(drafts) == drafts


def test_chapters_are_no_twins(tmp_path: Path) -> None:
    shared = "The same four words of thanks stand at the head of each chapter."
    paths = [saved(tmp_path, f"{n}.txt", text_of([shared, *SENTENCES[n * 10 : n * 10 + 10]])) for n in range(3)]
    drafts = [opening.read(path) for path in paths]
    assert opening.without_twins(drafts) == drafts


def test_formats_of_one_text_are_twins(tmp_path: Path) -> None:
    word = saved(tmp_path, "slate.docx", docx("".join(p(sentence) for sentence in SENTENCES) + table(("a", "b"))))
    plain = saved(tmp_path, "slate.txt", text_of(SENTENCES))
    os.utime(plain, (1, 1))
    assert [draft.format for draft in opening.without_twins([opening.read(plain), opening.read(word)])] == ["docx"]


def test_zip_files_that_are_no_packages_of_the_type_they_say(tmp_path: Path) -> None:
    assert "without a text" in refusal(saved(tmp_path, "a.odt", zipped({"mimetype": ODT_TYPE, "content.xml": "<x/>"})))
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as package:
        package.writestr("word/document.xml", "")
    assert refusal(saved(tmp_path, "a.docx", stream.getvalue()))
