"""The data folder, judged by the reference implementation of Data Package and Table Schema."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from frictionless import Package, system

from journal_tools.cache import Cache
from journal_tools.export import data_files
from journal_tools.journal import load_journal
from journal_tools.pages.data import reading_examples
from journal_tools.pages.site import gather_site
from tests.site.program import Program

_NAMES = ("plain", "german", "demo")


@pytest.fixture(scope="module", params=[*_NAMES, "hidden"])
def folder(
    request: pytest.FixtureRequest, program: Program, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    name = "german" if request.param == "hidden" else request.param
    journal = load_journal(request.getfixturevalue(name) / "content")
    if request.param == "hidden":
        privacy = type(journal.profile.privacy).nothing_shown()
        profile = journal.profile.model_copy(update={"privacy": privacy})
        journal = type(journal)(**vars(journal) | {"profile": profile})
    site = gather_site(journal, Cache(program.cache))
    target = tmp_path_factory.mktemp("data")
    for file in data_files(site.tables, site.metrics, "https://example.org/reef/"):
        (target / file.name).write_bytes(file.text.encode())
    return target


def test_the_package_is_valid(folder: Path) -> None:
    with system.use_context(trusted=True):
        report = Package(str(folder / "datapackage.json")).validate()
    assert report.flatten(["type", "note", "rowNumber", "fieldName"]) == []
    assert report.stats["tasks"] >= 12


def test_the_package_says_who_and_under_which_terms(folder: Path) -> None:
    package = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    assert package["homepage"] == "https://example.org/reef/"
    assert package["created"].endswith("T00:00:00Z")


def test_every_file_is_in_the_crate(folder: Path) -> None:
    crate = json.loads((folder / "ro-crate-metadata.json").read_text(encoding="utf-8"))
    sizes = {e["@id"]: e["contentSize"] for e in crate["@graph"] if e["@type"] == "File"}
    files = {p.name: str(p.stat().st_size) for p in folder.iterdir()}
    files.pop("ro-crate-metadata.json")
    assert sizes == files


def test_the_line_for_pandas_runs(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The example as printed, run on the file that it names."""
    monkeypatch.chdir(folder)
    package = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    kinds = {f["name"]: f["type"] for f in package["resources"][0]["schema"]["fields"]}
    names: dict[str, object] = {"pandas": pd}
    examples = reading_examples("", parsed=kinds["time"] == "datetime")
    for program, line in examples:
        if program != "R":
            exec(line, names)
    readings = names["readings"]
    assert isinstance(readings, pd.DataFrame) and readings["value"].dtype == "float64"
    assert len(readings) == len((folder / "readings.csv").read_text().splitlines()) - 1
    is_time = pd.api.types.is_datetime64_any_dtype(readings["time"])
    assert is_time == (kinds["time"] == "datetime")
