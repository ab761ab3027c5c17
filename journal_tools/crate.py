"""The data folder as a research object: who made what, under which terms, in one JSON-LD file."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from typing import Any

from journal_tools.citation import Citation

CRATE_FILE = "ro-crate-metadata.json"
_VERSION = "https://w3id.org/ro/crate/1.1"
_KINDS = {".csv": "text/csv", ".json": "application/json", ".txt": "text/plain"}


def crate_json(
    citation: Citation, published: dt.date, files: Iterable[tuple[str, int, str]]
) -> str:
    """Give the metadata of the data folder.

    Args:
        citation: Who made it, how it is called, its terms.
        published: Day of this version.
        files: Name, bytes and description of each file beside the metadata.

    Source:
        RO-Crate Metadata Specification 1.1 (w3id.org/ro/crate/1.1), sections on the root data
        entity, data entities and contextual entities.
    """
    listed = list(files)
    data = citation.licences.get("data")
    people = [{"@id": "#keeper", "@type": "Person", "name": citation.keeper}]
    terms = {
        "@id": (data.url if data else "") or "#terms",
        "@type": "CreativeWork",
        "name": data.name if data else "No licence chosen: ask the keeper.",
    }
    root: dict[str, Any] = {
        "@id": "./",
        "@type": "Dataset",
        "name": f"Tank journal: {citation.title}",
        "description": f"Water tests, doses, animals and equipment of the reef tank "
        f"“{citation.title}”, as tables.",
        "datePublished": published.isoformat(),
        "license": {"@id": terms["@id"]},
        "hasPart": [{"@id": name} for name, _, _ in listed],
    }
    root |= {"author": {"@id": "#keeper"}} if citation.keeper else {}
    root |= {"url": citation.url} if citation.url else {}
    descriptor = {
        "@id": CRATE_FILE,
        "@type": "CreativeWork",
        "conformsTo": {"@id": _VERSION},
        "about": {"@id": "./"},
    }
    graph = [descriptor, root, *map(_file, listed), *(people if citation.keeper else []), terms]
    whole = {"@context": f"{_VERSION}/context", "@graph": graph}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def _file(file: tuple[str, int, str]) -> dict[str, str]:
    name, size, words = file
    kind = next(kind for suffix, kind in _KINDS.items() if name.endswith(suffix))
    return {
        "@id": name,
        "@type": "File",
        "name": words,
        "contentSize": str(size),
        "encodingFormat": kind,
    }
