"""How people are called in findings: as the draft spells them."""

from __future__ import annotations

import pytest

from storylint.draft import markdown
from storylint.engine import Run, reading_of
from storylint.settings import Settings


@pytest.mark.parametrize(
    ("capitals", "running", "called"),
    [
        ("JANE MCKELVIE", "Jane McKelvie", "Jane McKelvie"),
        ("JANE MCKELVIE", "She", "Jane McKelvie"),
        ("JANE MACDONALD", "Jane MacDonald", "Jane MacDonald"),
        ("JANE MACDONALD", "Jane Macdonald", "Jane Macdonald"),
        ("JANE DUBOIS", "Jane DuBois", "Jane DuBois"),
        ("JANE DE LA CRUZ", "Jane de la Cruz", "Jane de la Cruz"),
        ("JANE DE LA CRUZ", "She", "Jane de la Cruz"),
        ("Jane de la Cruz", "She", "Jane de la Cruz"),
        ("JANE VAN DYKE", "She", "Jane van Dyke"),
        ("JANE LE FEBVRE", "Jane Le Febvre", "Jane Le Febvre"),
        ("JANE LE FEBVRE", "Jane le Febvre", "Jane le Febvre"),
        ("JANE LE FEBVRE", "She", "Jane Le Febvre"),
        ("JANE O'BRIEN", "She", "Jane O'Brien"),
    ],
)
def test_a_name_in_capitals_is_spelled_as_in_running_text(capitals: str, running: str, called: str) -> None:
    text = f"""# Owen Trefnant

Owen Trefnant was born in 1788 and died in 1850.

Children of Owen Trefnant:

- i. {capitals}, b. 1 May 1820; d. 3 June 1815.
- ii. HUW TREFNANT, b. 1813.

# {capitals}

{capitals} was born on 1 May 1820 and died on 3 June 1815. {running} was a weaver.
"""
    reading = reading_of([markdown.read("book.md", text.encode(), "0")], Run(Settings(), only=("dates",)))
    messages = [finding.message for section in reading.sections for finding in section.findings]
    assert {message.split(":")[0] for message in messages} == {called}


def test_a_name_is_not_respelled_after_another_family() -> None:
    text = """# Jane Macdonald

Jane Macdonald was born on 1 May 1820 and died on 3 June 1815. Her neighbour was Huw MacDonald.
"""
    reading = reading_of([markdown.read("book.md", text.encode(), "0")], Run(Settings(), only=("dates",)))
    assert [section.person for section in reading.sections] == ["Jane Macdonald"]
    assert reading.sections[0].findings[0].message.startswith("Jane Macdonald: ")
