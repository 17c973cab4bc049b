"""The promise that no network is ever used: a run in a Python that can reach nobody."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import DRAFT

DEMO = Path(__file__).parents[1] / "corpus_demo"
# Loaded by Python at start: every way out raises, and says so where no except clause can hide it.
BLOCK = """
import socket, sys

def refused(*args, **kwargs):
    sys.stderr.write("NETWORK USED\\n")
    sys.stderr.flush()
    raise OSError("no network in this test")

class Socket(socket.socket):  # one may be made (urllib3 does, to see what the machine can), but it leads nowhere
    connect = connect_ex = sendto = sendmsg = refused

socket.socket = socket.SocketType = Socket
for name in ("create_connection", "getaddrinfo", "gethostbyname", "gethostbyname_ex"):
    setattr(socket, name, refused)
"""


def offline(folder: Path, *argv: str) -> subprocess.CompletedProcess[str]:
    (folder / "sitecustomize.py").write_text(BLOCK)
    path = os.pathsep.join(filter(None, (str(folder), os.environ.get("PYTHONPATH"))))
    environment = os.environ | {"PYTHONPATH": path, "HOME": str(folder), "XDG_CACHE_HOME": str(folder / "cache")}
    return subprocess.run(
        [sys.executable, *argv], capture_output=True, text=True, check=False, timeout=300, cwd=folder, env=environment
    )


def test_the_block_blocks(tmp_path: Path) -> None:
    for code in (
        "import socket; socket.socket().connect(('127.0.0.1', 1))",
        "from urllib.request import urlopen; urlopen('http://localhost:1')",
    ):
        done = offline(tmp_path, "-c", code)
        assert done.returncode == 1
        assert "NETWORK USED" in done.stderr


@pytest.mark.parametrize("form", ["terminal", "json", "sarif"])
def test_a_first_run_without_a_network(tmp_path: Path, form: str) -> None:
    (tmp_path / "book.md").write_text(DRAFT, encoding="utf-8")
    done = offline(tmp_path, "-m", "storylint", "lint", "book.md", "--no-record", "--format", form)
    assert done.returncode == 0, done.stderr
    assert "NETWORK" not in done.stderr
    assert "Owen Prydderch" in done.stdout


def test_a_word_processor_draft_with_readability_without_a_network(tmp_path: Path) -> None:
    draft = str(DEMO / "working.docx")
    done = offline(tmp_path, "-m", "storylint", "lint", draft, "--no-record", "--format", "json")
    assert done.returncode in (0, 1), done.stderr
    assert "NETWORK" not in done.stderr
    measured = [section["readability"] for section in json.loads(done.stdout)["sections"] if section["readability"]]
    assert any(one["flesch_reading_ease"] is not None for one in measured)
