"""What was made of a probe's file, kept by its content, so that a later build need not read it."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from dataclasses import asdict, fields
from functools import cache as memoize
from pathlib import Path

import numpy as np

from journal_tools import cache as store
from journal_tools.cache import Cache
from journal_tools.probes.days import Reduced
from journal_tools.probes.faults import Fault
from journal_tools.science.series import probe_quality, probes

_KIND, _SUFFIX = "probes", ".npz"
_FAULTS = "faults"
_BESIDE = ("units.py", "parameters.py", "quantities.py")

Contents = tuple[dict[str, Reduced], list[Fault]]
"""What a file holds by parameter, and what is wrong with it."""


@memoize
def code_version() -> str:
    """Give a digest of all code that a reduction rests on: a change asks for a new one."""
    package = Path(__file__).parent
    science = (Path(str(module.__file__)) for module in (probes, probe_quality))
    beside = (package.parent / name for name in _BESIDE)
    digest = hashlib.sha256()
    for path in (*sorted(package.glob("*.py")), *science, *beside):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def get(cache: Cache | None, key: str) -> Contents | None:
    """Give what was kept, or None; a spoilt file counts as none."""
    path = cache.get(_KIND, key, _SUFFIX) if cache else None
    if path is None:
        return None
    try:
        with np.load(path, allow_pickle=False) as arrays:
            faults = json.loads(bytes(arrays[_FAULTS]))
            names = [field.name for field in fields(Reduced)]
            parameters = dict.fromkeys(
                name.partition("/")[0] for name in arrays.files if "/" in name
            )
            found = {
                parameter: Reduced(**{name: arrays[f"{parameter}/{name}"] for name in names})
                for parameter in parameters
            }
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    return found, [Fault(**fault) for fault in faults]


def put(cache: Cache | None, key: str, contents: Contents) -> None:
    """Keep what was made of a file."""
    if cache is None:
        return
    found, faults = contents
    text = json.dumps([asdict(fault) for fault in faults]).encode()
    arrays = {_FAULTS: np.frombuffer(text, np.uint8)}
    for parameter, reduction in found.items():
        for field in fields(Reduced):
            arrays[f"{parameter}/{field.name}"] = getattr(reduction, field.name)
    stream = io.BytesIO()
    np.savez(stream, allow_pickle=False, **arrays)
    cache.put_bytes(_KIND, key, _SUFFIX, stream.getvalue())


def key_of(content: bytes, *recipe: str) -> str:
    """Give the key of what is made from a file's content by a recipe."""
    return store.key(content, code_version(), *recipe)
