"""Small .docx and .odt files, put together from raw XML so that a test can hold anything a word processor writes."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_NAMESPACES = (
    f'xmlns:w="{W}" '
    'xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006" '
    'xmlns:wp="http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing" '
    'xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" '
    'xmlns:wps="http://schemas.microsoft.com/office/word/2010/wordprocessingShape" '
    'xmlns:v="urn:schemas-microsoft-com:vml" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
)
_WORD = "application/vnd.openxmlformats-officedocument.wordprocessingml"
TYPES = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/><Default Extension="png" ContentType="image/png"/>'
    f'<Override PartName="/word/document.xml" ContentType="{_WORD}.document.main+xml"/></Types>'
)
_RELATIONSHIPS = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">%s</Relationships>'
)
OFFICE_RELATIONSHIPS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def zipped(parts: Mapping[str, str | bytes]) -> bytes:
    """A zip of these parts."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return stream.getvalue()


def relationships(*links: tuple[str, str]) -> str:
    """A relationships part: pairs of the last step of the type, and the target."""
    return _RELATIONSHIPS % "".join(
        f'<Relationship Id="rId{number}" Type="{OFFICE_RELATIONSHIPS}/{kind}" Target="{target}"/>'
        for number, (kind, target) in enumerate(links)
    )


def part(root: str, content: str) -> str:
    """One WordprocessingML part with this root element."""
    return f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?><w:{root} {_NAMESPACES}>{content}</w:{root}>'


def docx(body: str, **parts: str) -> bytes:
    """A .docx with this body; ``parts`` are the contents of further parts, such as styles, numbering or footnotes."""
    files = {
        "[Content_Types].xml": TYPES,
        "_rels/.rels": relationships(("officeDocument", "word/document.xml")),
        "word/document.xml": part("document", f"<w:body>{body}</w:body>"),
        "word/_rels/document.xml.rels": relationships(*((name, f"{name}.xml") for name in parts)),
    }
    return zipped(files | {f"word/{name}.xml": part(name, content) for name, content in parts.items()})


def p(*content: str, style: str = "", properties: str = "") -> str:
    """A paragraph: each piece of content is XML, or plain words for a run."""
    named = f'<w:pStyle w:val="{style}"/>' if style else ""
    before = f"<w:pPr>{named}{properties}</w:pPr>" if named or properties else ""
    return f"<w:p>{before}{''.join(piece if piece.startswith('<') else r(piece) for piece in content)}</w:p>"


def r(text: str, properties: str = "") -> str:
    """A run of words."""
    looks = f"<w:rPr>{properties}</w:rPr>" if properties else ""
    return f'<w:r>{looks}<w:t xml:space="preserve">{text}</w:t></w:r>'


def raised(text: str) -> str:
    """A run in superscript."""
    return r(text, '<w:vertAlign w:val="superscript"/>')


def note(number: int, kind: str = "footnote", own: str = "") -> str:
    """A reference to a note; ``own`` is the writer's own mark."""
    if own:
        return f'<w:r><w:{kind}Reference w:id="{number}" w:customMarkFollows="1"/><w:t>{own}</w:t></w:r>'
    return f'<w:r><w:{kind}Reference w:id="{number}"/></w:r>'


def notes(kind: str, *texts: str) -> str:
    """The content of a notes part: separators, then notes with ids from 1."""
    separators = "".join(
        f'<w:{kind} w:type="{name}" w:id="{number}"><w:p><w:r><w:t>line</w:t></w:r></w:p></w:{kind}>'
        for number, name in ((-1, "separator"), (0, "continuationSeparator"))
    )
    return separators + "".join(
        f'<w:{kind} w:id="{number}"><w:p><w:r><w:{kind}Ref/></w:r>{r(" " + text)}</w:p></w:{kind}>'
        for number, text in enumerate(texts, 1)
    )


def style(style_id: str, name: str, properties: str = "", based_on: str = "", kind: str = "paragraph") -> str:
    """A style definition."""
    base = f'<w:basedOn w:val="{based_on}"/>' if based_on else ""
    return f'<w:style w:type="{kind}" w:styleId="{style_id}"><w:name w:val="{name}"/>{base}{properties}</w:style>'


def numbering(*levels: tuple[str, str], overrides: str = "") -> str:
    """One list style whose levels are (format, text), used by list 1, and by list 2 with ``overrides``."""
    definition = "".join(
        f'<w:lvl w:ilvl="{at}"><w:start w:val="1"/><w:numFmt w:val="{form}"/><w:lvlText w:val="{text}"/></w:lvl>'
        for at, (form, text) in enumerate(levels)
    )
    return (
        f'<w:abstractNum w:abstractNumId="7">{definition}</w:abstractNum>'
        '<w:num w:numId="1"><w:abstractNumId w:val="7"/></w:num>'
        f'<w:num w:numId="2"><w:abstractNumId w:val="7"/>{overrides}</w:num>'
    )


def listed(list_id: int, level: int = 0) -> str:
    """Paragraph properties of a list entry."""
    return f'<w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{list_id}"/></w:numPr>'


def text_box(content: str) -> str:
    """A run with a text box, in both the versions that word processors write."""
    return (
        "<w:r><mc:AlternateContent>"
        f'<mc:Choice Requires="wps"><w:drawing><wp:anchor><wp:docPr id="1" name="Box"/><a:graphic><a:graphicData '
        f'uri="http://schemas.microsoft.com/office/word/2010/wordprocessingShape"><wps:wsp><wps:txbx><w:txbxContent>'
        f"{content}</w:txbxContent></wps:txbx></wps:wsp></a:graphicData></a:graphic></wp:anchor></w:drawing></mc:Choice>"
        f"<mc:Fallback><w:pict><v:shape><v:textbox><w:txbxContent>{content}</w:txbxContent></v:textbox></v:shape>"
        "</w:pict></mc:Fallback></mc:AlternateContent></w:r>"
    )


def picture(description: str) -> str:
    """A run with a picture."""
    return (
        f'<w:r><w:drawing><wp:inline><wp:docPr id="3" name="P" descr="{description}"/><a:graphic><a:graphicData '
        'uri="http://schemas.openxmlformats.org/drawingml/2006/picture"><a:blip r:embed="rId9"/></a:graphicData>'
        "</a:graphic></wp:inline></w:drawing></w:r>"
    )


def field(instruction: str, result: str) -> str:
    """A complex field with its result."""
    mark = '<w:r><w:fldChar w:fldCharType="%s"/></w:r>'
    return (
        mark % "begin"
        + f"<w:r><w:instrText> {instruction} </w:instrText></w:r>"
        + mark % "separate"
        + r(result)
        + mark % "end"
    )


def table(*rows: tuple[str, ...]) -> str:
    """A table: each cell is XML of paragraphs, or plain words for one."""
    cells = (
        "".join(f"<w:tc>{cell if cell.startswith('<') else p(cell) if cell else '<w:p/>'}</w:tc>" for cell in row)
        for row in rows
    )
    return f"<w:tbl>{''.join(f'<w:tr>{row}</w:tr>' for row in cells)}</w:tbl>"


# --- OpenDocument -------------------------------------------------------------------------------------------------

_OASIS = "urn:oasis:names:tc:opendocument:xmlns"
_ODF = (
    " ".join(f'xmlns:{name}="{_OASIS}:{name}:1.0"' for name in ("office", "text", "style", "table"))
    + f' xmlns:draw="{_OASIS}:drawing:1.0" xmlns:fo="{_OASIS}:xsl-fo-compatible:1.0"'
    f' xmlns:svg="{_OASIS}:svg-compatible:1.0" xmlns:dc="http://purl.org/dc/elements/1.1/"'
)
ODT_TYPE = "application/vnd.oasis.opendocument.text"


def odt(body: str, automatic: str = "", styles: str = "", mimetype: str = ODT_TYPE, manifest: str = "") -> bytes:
    """An .odt with this body; ``automatic`` and ``styles`` are style definitions."""
    return zipped(
        {
            "mimetype": mimetype,
            "content.xml": f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {_ODF}>'
            f"<office:automatic-styles>{automatic}</office:automatic-styles>"
            f"<office:body><office:text>{body}</office:text></office:body></office:document-content>",
            "styles.xml": f'<?xml version="1.0" encoding="UTF-8"?><office:document-styles {_ODF}>'
            f"<office:styles>{styles}</office:styles></office:document-styles>",
            "META-INF/manifest.xml": f"<manifest>{manifest}</manifest>",
        }
    )


def flat_odt(body: str) -> bytes:
    """The same in one file."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document {_ODF} office:mimetype="{ODT_TYPE}">'
        f"<office:body><office:text>{body}</office:text></office:body></office:document>"
    ).encode()


def odt_note(number: str, text: str, kind: str = "footnote", label: str = "") -> str:
    """A note of an .odt."""
    own = f' text:label="{label}"' if label else ""
    return (
        f'<text:note text:note-class="{kind}"><text:note-citation{own}>{number}</text:note-citation>'
        f"<text:note-body><text:p>{text}</text:p></text:note-body></text:note>"
    )
