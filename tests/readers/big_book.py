"""A book as long as the longest that practitioners write, to see what its reading costs.

    python tests/readers/big_book.py WORDS FILE.docx        writes the book
    python tests/readers/big_book.py WORDS [OPTIONS]        lints it with these options, and measures; one line a number

With the usual 250 words to a note and 1,000 to a picture, 500,000 words have 2,000 notes and 500 pictures.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import tempfile
import zipfile
from io import BytesIO
from pathlib import Path

from small_files import TYPES, note, notes, p, part, picture, r, relationships, style, zipped

FORENAMES = ("Owen", "Jane", "William", "Ellen", "Robert", "Catherine", "Hugh", "Margaret", "Griffith", "Ann", "Evan")
SURNAMES = ("Prydderch", "Tregarth", "Bevan", "Hopkin", "Gethin", "Parry", "Roberts", "Lloyd", "Maddocks", "Trefor")
PLACES = ("Llanllechid", "Gerlan", "Carneddi", "Tregarth", "Poultney", "Granville", "Fair Haven", "Hydeville")
TRADES = ("slate splitter", "rockman", "quarry labourer", "engine driver", "shopkeeper", "carter")
TOLD = (
    "{name} was born on {day} May {year} at {place}, and was baptised there {later} days afterwards.",
    "{first} was living at {place} in {census} as a {trade}.",
    "By then the {trade} was paid by the ton, and the ton was weighed by the man who paid.",
    "It is said in the family that {first} walked from {place} with the tools in a flour sack.",
    "When the quarry closed its gates in {census}, {first} took what work there was at {place} and said little of it.",
    "The chapel at {place} kept a book of those who had left, and nobody ever crossed out a name in it.",
    "{first} died on {day} March {death} at {place}, aged {age}, and was buried beside the road to {other}.",
    "A letter of {census} from {place} says that the bread was dear and the slate was good.",
    "What {first} thought of Vermont is in no record; what {first} paid for a stove there is in three.",
)
STRETCH = 250  # words to a note
PLATE = 1000  # words to a picture


def book(words: int, seed: int = 4) -> bytes:
    """A .docx of about so many words: an entry of 300 for each person, one note in 250 words, one picture in 1,000."""
    rng = random.Random(seed)
    body: list[str] = []
    written = noted = pictured = person = 0
    while written < words:
        person += 1
        name = f"{rng.choice(FORENAMES)} {rng.choice(SURNAMES)}"
        body.append(p(f"{person}. {name}", style="Heading1"))
        for _ in range(4):
            sentences = [_sentence(rng, name) for _ in range(5)]
            written += sum(len(sentence.split()) for sentence in sentences)
            runs = [r(f"{sentence} ", rng.choice(("", "", "<w:i/>"))) for sentence in sentences]
            while noted * STRETCH < written:
                noted += 1
                runs.insert(rng.randrange(1, len(runs) + 1), note(noted))
            body.append(p(*runs))
        while pictured * PLATE < written:
            pictured += 1
            body.append(p(picture(f"The incline at {rng.choice(PLACES)}").replace("rId9", f"picture{pictured}")))
            body.append(p(f"Figure {pictured}. The incline, photographed by a visitor.", style="Caption"))
    texts = (f"Parish register of {rng.choice(PLACES)}, p. {at}, Gwynedd Archives, Caernarfon." for at in range(noted))
    return _package("".join(body), notes("footnote", *texts), pictured)


def _sentence(rng: random.Random, name: str) -> str:
    year = rng.randint(1780, 1860)
    age = rng.randint(20, 88)
    place, other = rng.sample(PLACES, 2)
    return rng.choice(TOLD).format(
        name=name, first=name.split()[0], place=place, other=other, trade=rng.choice(TRADES), year=year, age=age,
        census=year // 10 * 10 + 31, death=year + age, day=rng.randint(1, 30), later=rng.randint(5, 40),
    )  # fmt: skip


def _package(body: str, footnotes: str, pictures: int) -> bytes:
    names = [f"media/picture{at}.png" for at in range(1, pictures + 1)]
    links = relationships(
        ("styles", "styles.xml"), ("footnotes", "footnotes.xml"), *(("image", name) for name in names)
    )
    for at in range(pictures):  # the helper numbers its links from 0
        links = links.replace(f'"rId{at + 2}"', f'"picture{at + 1}"', 1)
    return zipped(
        {
            "[Content_Types].xml": TYPES,
            "_rels/.rels": relationships(("officeDocument", "word/document.xml")),
            "word/document.xml": part("document", f"<w:body>{body}</w:body>"),
            "word/_rels/document.xml.rels": links,
            "word/styles.xml": part("styles", style("Heading1", "heading 1") + style("Caption", "caption")),
            "word/footnotes.xml": part("footnotes", footnotes),
            **{f"word/{name}": b"\x89PNG\r\n\x1a\n" + random.Random(name).randbytes(20_000) for name in names},
        }
    )


def unpacked(data: bytes) -> float:
    """MiB of the main part."""
    return zipfile.ZipFile(BytesIO(data)).getinfo("word/document.xml").file_size / 2**20


def measured(file: Path, *options: str) -> tuple[float, float]:
    """Seconds of processor time and peak memory in MiB of a whole ``storylint lint`` in a process of its own."""
    command = [sys.executable, "-c", _LINT, "lint", str(file), "--no-record", "--fail-on", "never", *options]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, int(done.stderr.split()[-1]) / 1024


_LINT = (
    "import sys, resource; from storylint.cli import main; code = main(sys.argv[1:]);"
    "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr); sys.exit(code)"
)


def report(words: int, options: list[str]) -> str:
    """What a book of so many words costs."""
    data = book(words)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "book.docx"
        file.write_bytes(data)
        seconds, peak = measured(file, *options)
    return f"{words:>8,} words: {seconds:6.1f} s, {peak:5.0f} MiB at most, of {unpacked(data):.2f} MiB of XML"


if __name__ == "__main__":
    if sys.argv[-1].endswith(".docx"):
        Path(sys.argv[2]).write_bytes(book(int(sys.argv[1])))
    else:
        for size in filter(str.isdecimal, sys.argv[1:]):
            print(report(int(size), [word for word in sys.argv[1:] if not word.isdecimal()]), flush=True)
