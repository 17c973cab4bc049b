"""What an earlier run worked out, kept for the next one: what a file holds, and what the rules say of it.

* **Never stale.** An entry is found by a hash of all that it depends on: the tool's own files and those of the
  libraries it reads with, the bytes of the drafts and their paths, the settings and the files they name, the day. What
  has changed in any of it is not found.
* **Nothing to read.** An entry is sealed with a key made from the bytes of the very draft it is of, by a hash that is
  written down nowhere: whoever has the draft can open it, and whoever has the cache alone sees noise. So nothing of a
  living person's particulars lies there in the clear, and what was cut from a draft can't be found in its cache.
* **Not in the way.** It lies in the user's own cache folder, never beside a draft; it may be deleted at any time; the
  oldest entries go when it grows large. Whatever goes wrong with it costs time and nothing else.

The seal is the text under a key stream of SHAKE-256 (FIPS 202) with a keyed BLAKE2b (RFC 7693) over it, both from
Python's own library; no two entries share a key and a nonce.
"""

from __future__ import annotations

import hashlib
import hmac
import io
import os
import pickle
import secrets
import sys
import time
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, fields, is_dataclass
from functools import cache, partial
from importlib.util import find_spec
from operator import attrgetter
from pathlib import Path
from typing import Any, TypeVar

LIMIT = 200_000_000  # bytes; a book of 100,000 words takes about one million a revision
# What a draft is read and judged with. Another version of one of these may see other words in it.
LIBRARIES = ("spacy", "textstat", "pysyllables", "docx", "lxml", "markdown_it")
NONCE, SEAL = 16, 32  # bytes

Value = TypeVar("Value")
Part = bytes | str


def users() -> Cache | None:
    """The cache of the user who runs the tool; None where the system has no place for one."""
    folder = home()
    return Cache(folder) if folder else None


def home() -> Path | None:
    """The user's own folder for what may be thrown away, as the system has it; None where there is none."""
    if given := os.environ.get("XDG_CACHE_HOME"):
        return Path(given) / "storylint" if Path(given).is_absolute() else None
    if sys.platform == "win32":
        given = os.environ.get("LOCALAPPDATA")
        return Path(given) / "storylint" / "cache" if given else None
    try:
        own = Path.home()
    except RuntimeError:
        return None
    return own / ("Library/Caches" if sys.platform == "darwin" else ".cache") / "storylint"


def secret_of(data: bytes = b"") -> hashlib.blake2b:
    """The hash of a file's bytes from which its entries are found and sealed; it is written down nowhere."""
    return hashlib.blake2b(data, person=b"storylint secret")


@cache
def tool() -> bytes:
    """A hash of storylint as it is installed here: code, rules and word lists; with the libraries and Python itself."""
    digest = hashlib.blake2b(sys.version.encode())
    for file in sorted(own_files()):
        digest.update(f"\0{file.name}\0".encode() + file.read_bytes())
    for name in LIBRARIES:
        spec = find_spec(name)
        if spec is not None and spec.origin is not None:
            state = Path(spec.origin).stat()
            digest.update(f"\0{spec.origin}\0{state.st_size}\0{state.st_mtime_ns}".encode())
    return digest.digest()


def own_files() -> Iterator[Path]:
    """All files of the package."""
    import storylint

    rules = find_spec("storylint.rules")
    for folder in {
        Path(each) for each in (*storylint.__path__, *((rules.submodule_search_locations or ()) if rules else ()))
    }:
        yield from (file for file in folder.rglob("*") if file.is_file() and file.suffix not in (".pyc", ".pyo"))


def always(_: object) -> bool:
    """Every value is kept."""
    return True


def at_once(work: Callable[[], None]) -> None:
    """What is to be kept is kept before all else."""
    work()


@dataclass(frozen=True, slots=True)
class Cache:
    """The entries in one folder."""

    folder: Path

    def once(
        self,
        kind: str,
        parts: Iterable[Part],
        make: Callable[[], Value],
        keeps: Callable[[Value], bool] = always,
        when: Callable[[Callable[[], None]], None] = at_once,
    ) -> Value:
        """The value kept under these parts, else what ``make`` gives, which is kept if ``keeps`` says so; ``when`` is
        given the work of keeping it."""
        digest = digest_of(kind, parts)
        found: Value | None = self.recall(digest)
        if found is None:
            found = make()
            if keeps(found):
                when(partial(self.keep, digest, found))
        return found

    def recall(self, digest: bytes) -> Any:
        """The entry's value; None where there is none that is whole."""
        file = self.file(digest)
        try:
            value = read(zlib.decompress(opened(file.read_bytes(), digest)))
            os.utime(file)  # the oldest go first
        except Exception:
            return None
        return value

    def keep(self, digest: bytes, value: object) -> None:
        """Write the entry, whole or not at all."""
        half = self.folder / f"half-{os.getpid()}-{secrets.token_hex(4)}"
        try:
            data = sealed(zlib.compress(written(value), 1), digest)
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            half.touch(mode=0o600, exist_ok=False)
            half.write_bytes(data)
            half.replace(self.file(digest))
            self.thin()
        except Exception:
            with suppress(OSError):
                half.unlink(missing_ok=True)

    def file(self, digest: bytes) -> Path:
        """Where an entry lies."""
        return self.folder / derived(digest, b"name")[:20].hex()

    def thin(self) -> None:
        """Take away the oldest entries where all together are too large, and what a crash left half written."""
        with os.scandir(self.folder) as found:
            files = sorted((entry.stat().st_mtime, entry.stat().st_size, entry.path) for entry in found)
        over = sum(size for _, size, _ in files) - LIMIT
        yesterday = time.time() - 86_400
        for when, size, path in files:
            if over > 0 or (when < yesterday and Path(path).name.startswith("half-")):
                Path(path).unlink(missing_ok=True)
                over -= size


def digest_of(kind: str, parts: Iterable[Part]) -> bytes:
    """One hash of the tool and all parts; each part's length is hashed too, so that no two lists of parts are alike."""
    digest = hashlib.blake2b(tool() + kind.encode())
    for part in parts:
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(len(data).to_bytes(8, "big") + data)
    return digest.digest()


def derived(digest: bytes, use: bytes) -> bytes:
    """A key for one use, from which neither the digest nor the keys for other uses can be told."""
    return hashlib.blake2b(use, key=digest).digest()


def under_key(data: bytes, digest: bytes, nonce: bytes) -> bytes:
    """The data under the entry's key stream; the same again gives the data back."""
    stream = hashlib.shake_256(derived(digest, b"stream") + nonce).digest(len(data))
    return (int.from_bytes(data, "big") ^ int.from_bytes(stream, "big")).to_bytes(len(data), "big")


def sealed(data: bytes, digest: bytes) -> bytes:
    """Nonce, seal and hidden data."""
    nonce = secrets.token_bytes(NONCE)
    hidden = under_key(data, digest, nonce)
    return nonce + seal_of(nonce + hidden, digest) + hidden


def opened(kept: bytes, digest: bytes) -> bytes:
    """The data; raises ValueError where the seal is broken."""
    nonce, seal, hidden = kept[:NONCE], kept[NONCE : NONCE + SEAL], kept[NONCE + SEAL :]
    if not hmac.compare_digest(seal, seal_of(nonce + hidden, digest)):
        raise ValueError("the seal is broken")
    return under_key(hidden, digest, nonce)


def seal_of(data: bytes, digest: bytes) -> bytes:
    """The keyed hash that tells whether an entry is whole and ours."""
    return hashlib.blake2b(data, key=derived(digest, b"seal"), digest_size=SEAL).digest()


def read(data: bytes) -> Any:
    """The value that was written; raises what pickle raises."""
    return Reader(io.BytesIO(data)).load()


def written(value: object) -> bytes:
    """The value as ``read`` reads it."""
    stream = io.BytesIO()
    Writer(stream, pickle.HIGHEST_PROTOCOL).dump(value)
    return stream.getvalue()


class Writer(pickle.Pickler):
    """Writes a data class or a named tuple as a call of it with its values: so it is read in a third of the time."""

    def reducer_override(self, value: Any) -> Any:
        """The call, for these; whatever else there is, as pickle has it."""
        values = values_of(type(value))  # type: ignore[arg-type]  # types are hashable
        return (type(value), values(value)) if values else NotImplemented


@cache
def values_of(kind: Any) -> Callable[[Any], tuple[Any, ...]] | None:
    """Gives the values of a data class's or a named tuple's fields; None for anything else."""
    names = [field.name for field in fields(kind)] if is_dataclass(kind) else list(getattr(kind, "_fields", ()))
    if len(names) > 1:
        return attrgetter(*names)
    return (lambda value: (getattr(value, names[0]),)) if names else None


class Reader(pickle.Unpickler):
    """Makes nothing but storylint's own plain data."""

    def find_class(self, module: str, name: str) -> Any:
        if module.startswith("storylint."):
            return super().find_class(module, name)
        if (module, name) in (("builtins", "set"), ("builtins", "frozenset"), ("collections", "Counter")):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} has no place in the cache")
