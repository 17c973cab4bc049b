"""Labelled drafts: one sentence a line, with what an editor would say of it.

    @person 2. Thomas Kestle (Richard1) | Thomas Kestle | context=none
    B C U t=a | Sentence text without its mark. | 3
    - U | + 2 i. Thomas Kestle, b. 19 November 1820. |

B boilerplate, C claim, U unsourced, t=ID template family, L legend unweighed, W legend weighed, K sets the life in the world
outside the family, N none of these. A blank line begins a new paragraph.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from storylint.draft.model import Block, Draft, Kind, Mark, Section

HERE = Path(__file__).parent


@dataclass(slots=True)
class Labelled:
    """One labelled sentence or child entry; ``labels`` are its letters, ``family`` its template id."""

    text: str
    labels: frozenset[str]
    family: str | None
    child: bool
    person: str | None


@dataclass(slots=True)
class LabelledDraft:
    """A draft with its labels, as sections that are ready to be studied."""

    name: str
    sections: list[Section]
    sentences: list[Labelled]
    context: dict[str, str] = field(default_factory=dict)  # person → event | social | none


def load(path: Path) -> LabelledDraft:
    """Read one file of labelled sentences."""
    builder = Builder(path.stem)
    for line in path.read_text(encoding="utf-8").splitlines():
        builder.line(line.rstrip())
    return builder.done()


def load_all(part: str) -> list[LabelledDraft]:
    """All drafts of one part: 'tune' or 'measure'."""
    return [load(path) for path in sorted((HERE / part).glob("*.txt"))]


class Builder:
    """Takes lines, gives sections."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.draft = Draft(f"{name}.md", "md", "", ())
        self.sections = [Section("front", self.draft, "front", None)]
        self.sentences: list[Labelled] = []
        self.context: dict[str, str] = {}
        self.text, self.marks, self.kind, self.index = "", [], Kind.PARAGRAPH, 0
        self.in_notes = False

    def line(self, line: str) -> None:
        """One line of the file."""
        if line.startswith("@notes"):
            self.in_notes = True
        if self.in_notes or line.startswith(("@title", "@author", "@style", "@marks")):
            return self.flush()
        if not line:
            return self.flush()
        if line.startswith("@person"):
            return self.person(line)
        if line.startswith("@caption"):
            return self.block(Kind.CAPTION, line[8:].strip())
        if line.startswith("#"):
            return self.block(Kind.HEADING, line.lstrip("#").strip())
        return self.sentence(line)

    def person(self, line: str) -> None:
        """An entry line opens a section."""
        self.flush()
        entry, name, context = (part.strip() for part in line[7:].split("|"))
        self.context[name] = context.removeprefix("context=")
        block = Block(self.index, Kind.HEADING, entry, line=1, level=3)
        self.index += 1
        number = entry.split(".")[0].strip() if entry[:1].isdigit() else None
        self.sections.append(Section(f"s{len(self.sections)}", self.draft, entry, block, person=name, number=number))

    def block(self, kind: Kind, text: str, marks: tuple[Mark, ...] = (), label: str = "") -> None:
        """A block that is no paragraph."""
        self.flush()
        self.add(kind, text, marks, label)

    def add(self, kind: Kind, text: str, marks: tuple[Mark, ...] = (), label: str = "") -> None:
        """Append a block to the open section."""
        self.sections[-1].body.append(Block(self.index, kind, text, line=1, marks=marks, label=label))
        self.index += 1

    def sentence(self, line: str) -> None:
        """A labelled sentence, quotation line or child entry."""
        child, quoted = line.startswith("-"), line.startswith(">")
        if quoted and self.kind is not Kind.QUOTATION:
            self.flush()
        self.kind = Kind.QUOTATION if quoted else self.kind
        labels, text, *rest = (part.strip() for part in line.lstrip("->").split("|"))
        text = text.strip('"') if quoted else text
        numbers = rest[0].replace(" ", "").split(",") if rest and rest[0] else []
        letters = frozenset(part for part in labels.split() if not part.startswith("t="))
        family = next((part[2:] for part in labels.split() if part.startswith("t=")), None)
        person = self.sections[-1].person
        if child:
            label, _, rest_text = text.partition(". ") if "." in text[:14] else ("", "", text)
            while rest_text and rest_text.split(". ")[0].strip() in ROMAN:
                more, _, rest_text = rest_text.partition(". ")
                label += ". " + more
            self.block(Kind.CHILD, rest_text, tuple(Mark(len(rest_text), n, True) for n in numbers), label + ".")
            text = rest_text
        else:
            self.text += (" " if self.text else "") + text
            self.marks += [Mark(len(self.text), n, True) for n in numbers]
        if not quoted:
            self.sentences.append(Labelled(text, letters, family, child, person))

    def flush(self) -> None:
        """End the open paragraph."""
        if self.text:
            self.add(self.kind, self.text, tuple(self.marks))
        self.text, self.marks, self.kind = "", [], Kind.PARAGRAPH

    def done(self) -> LabelledDraft:
        """The draft, with its notes left out: the rules measured here do not read them."""
        self.flush()
        blocks = tuple(
            block for section in self.sections for block in ([section.entry] if section.entry else []) + section.body
        )
        draft = Draft(f"{self.name}.md", "md", "", blocks, (), (0,))
        for section in self.sections:
            section.draft = draft
        return LabelledDraft(self.name, self.sections, self.sentences, self.context)


ROMAN = frozenset("i ii iii iv v vi vii viii ix x xi xii xiii xiv xv".split())
