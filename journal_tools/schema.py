"""The JSON schema of profile and entry, for completion and hints in an editor."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from journal_tools.entries import Entry
from journal_tools.key_meanings import meaning_of
from journal_tools.keys import kind_of, models_in
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.records import Record

PROFILE_SCHEMA, ENTRY_SCHEMA = "tank.schema.json", "entry.schema.json"
_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def profile_schema() -> dict[str, Any]:
    """Give the schema of ``tank.yml``."""
    return {"$schema": _DIALECT, **_told(Profile), "title": "Tank profile"}


def entry_schema() -> dict[str, Any]:
    """Give the schema of a log entry."""
    return {"$schema": _DIALECT, **_told(Entry), "title": "Journal entry"}


def _told(root: type[Record]) -> dict[str, Any]:
    """Give a model's schema in which every key says what it is for and what to write there."""
    schema = root.model_json_schema()
    parts = {**schema["$defs"], root.__name__: schema}
    for name, model in models_in(root).items():
        for field, described in parts[name]["properties"].items():
            meaning = meaning_of(model, field) or f"{PARAMETERS[field].label}."
            described["description"] = f"{meaning} Write {kind_of(model, field)}."
    return schema


def schema_text(schema: dict[str, Any]) -> str:
    """Give a schema as the text of a file."""
    return json.dumps(schema, ensure_ascii=False, indent=1) + "\n"


def write_schemas(journal: Path) -> list[Path]:
    """Write both schemas where the modelines of the starter files look for them."""
    files = {
        journal / PROFILE_SCHEMA: profile_schema(),
        journal / "log" / ENTRY_SCHEMA: entry_schema(),
    }
    for path, schema in files.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(schema_text(schema), encoding="utf-8")
    return list(files)


def modeline(schema: str) -> str:
    """Give the comment by which an editor's YAML language server finds a schema.

    >>> modeline("entry.schema.json")
    '# yaml-language-server: $schema=entry.schema.json'
    """
    return f"# yaml-language-server: $schema={schema}"
