"""The committed demonstration book is what its sources build, byte for byte."""

import runpy
from pathlib import Path

import pytest

DEMO = Path(__file__).resolve().parent.parent / "corpus_demo"


@pytest.fixture(scope="module")
def rebuilt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    runpy.run_path(str(DEMO / "build.py"))["build"](folder)
    return folder


@pytest.mark.parametrize("kind", ["md", "docx"])
@pytest.mark.parametrize("book", ["original", "working", "chapter"])
def test_committed_file_is_what_the_sources_build(rebuilt: Path, book: str, kind: str) -> None:
    name = f"{book}.{kind}"
    assert (rebuilt / name).read_bytes() == (DEMO / name).read_bytes(), f"{name} is old: run corpus_demo/build.py"
