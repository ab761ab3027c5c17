"""Modules import only from below, and the site generator is known to its adapter alone."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from journal_tools.pages import figures

PACKAGE = Path(__file__).parents[1] / "journal_tools"
LAYERS = (
    (
        "__init__",
        "problems",
        "parameters",
        "names",
        "cache",
        "science",
        "markup",
        "records",
        "bands",
        "licences",
        "key_meanings",
        "key_examples",
    ),
    ("words", "units", "read", "photos", "templates", "strays"),
    ("kinds", "validate"),
    ("quantities",),
    ("gear", "instruments"),
    ("entries", "system"),
    ("logged", "profile"),
    ("moments", "citation", "keys"),
    ("requests", "correction", "probes"),
    ("check", "schema"),
    ("journal", "starter"),
    ("rows", "publishing", "crate"),
    ("tables", "bottles"),
    ("metrics", "events", "tasks"),
    ("attention", "outlook", "display", "export", "charts"),
    ("pages",),
    ("embed", "stage", "arguments"),
    ("writing",),
    ("sharing",),
    ("plugin", "cli"),
    ("__main__",),
)
"""Modules and packages from bottom to top; those of one layer know nothing of each other."""

BELOW_CHARTS = {"bands", "charts", "words", "parameters", "units"}
MODULES = sorted(PACKAGE.rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Give the full names that a module imports, wherever in it the import stands."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_a_module_imports_only_from_below(path: Path) -> None:
    height = {name: level for level, layer in enumerate(LAYERS) for name in layer}
    own, names = path.relative_to(PACKAGE).with_suffix("").parts[0], imported(path)
    ours = {name.split(".")[1] for name in names if name.startswith("journal_tools.")}
    ours = {"__init__" if name == "__version__" else name for name in ours} - {own}
    assert {name for name in ours if height[name] >= height[own]} == set()
    if own == "charts":
        assert ours <= BELOW_CHARTS
    if own not in ("plugin", "cli"):
        assert not any(name.split(".")[0] in ("mkdocs", "material") for name in names)


def test_the_adapter_stays_thin() -> None:
    assert len((PACKAGE / "plugin.py").read_text(encoding="utf-8").splitlines()) < 300


def test_a_change_of_what_charts_rest_on_asks_for_new_drawings() -> None:
    """The key of a kept drawing holds the code of every module that charts may import."""
    assert {f"{name}.py" for name in BELOW_CHARTS - {"charts"}} == set(figures._BELOW_CHARTS)


def test_what_is_kept_off_the_site_is_named_as_the_journal_names_it() -> None:
    from journal_tools import journal, schema, strays

    names = (journal.PROFILE_FILE, schema.PROFILE_SCHEMA, f"{journal.LOG_FOLDER}/",
             f"{journal.PHOTO_FOLDER}/")  # fmt: skip
    assert all(strays.is_source(name) for name in names)
