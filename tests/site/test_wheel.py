"""The wheel: what is in it, and that it works away from the repository."""

from __future__ import annotations

import email
import sys
import zipfile
from pathlib import Path

import pytest

from tests.site.links import BuiltSite
from tests.site.program import ROOT, Outcome, Program, run_command


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory, program: Program) -> Path:
    target = tmp_path_factory.mktemp("wheel")
    # Isolation would fetch the build back end again.
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation"]
    outcome = run_command(
        [*command, "--outdir", str(target), str(ROOT)], target, program.environment()
    )
    assert outcome.code == 0, outcome.said
    (found,) = target.glob("*.whl")
    return found


class Installed:
    """The wheel unpacked as pip does it, run from a folder of its own."""

    def __init__(self, folder: Path, program: Program) -> None:
        self.packages = folder / "packages"
        self.home = folder / "home"
        self.home.mkdir()
        self.environment = program.environment(PYTHONPATH=str(self.packages))

    def python(self, *arguments: str) -> Outcome:
        return run_command([sys.executable, *arguments], self.home, self.environment)

    def run(self, *arguments: str) -> Outcome:
        """Run the console script that pip wrote."""
        script = next(self.packages.glob("[bS]*/journal-tools*"))
        start = [] if script.suffix == ".exe" else [sys.executable]
        return run_command([*start, str(script), *arguments], self.home, self.environment)


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory, program: Program) -> Installed:
    place = Installed(tmp_path_factory.mktemp("installed"), program)
    outcome = place.python(
        "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", "--no-compile",
        "--disable-pip-version-check", "--target", str(place.packages), str(wheel),
    )  # fmt: skip
    assert outcome.code == 0, outcome.said
    return place


def test_the_wheel_holds_templates_and_code_and_nothing_else(wheel: Path):
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
    templates = {p.relative_to(ROOT).as_posix() for p in (ROOT / "site_templates").rglob("*.*")}
    assert templates - {name.removeprefix("journal_tools/") for name in names} == set()
    modules = {p.relative_to(ROOT).as_posix() for p in (ROOT / "journal_tools").rglob("*.py")}
    assert {name for name in names if name.endswith(".py")} == modules
    tops = {name.split("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"journal_tools"}
    assert not [name for name in names if "__pycache__" in name or "/tests/" in name]


def test_the_wheel_says_what_it_is(wheel: Path):
    with zipfile.ZipFile(wheel) as archive:
        folder = next(n for n in archive.namelist() if n.endswith("METADATA")).rpartition("/")[0]
        metadata = email.message_from_bytes(archive.read(f"{folder}/METADATA"))
        entry_points = archive.read(f"{folder}/entry_points.txt").decode()
        assert "MIT" in archive.read(f"{folder}/licenses/LICENSE").decode()
    assert metadata["Name"] == "journal-tools"
    assert metadata["License-Expression"] == "MIT"
    assert metadata["Requires-Python"] == ">=3.11"
    assert len(metadata.get_payload()) > 1000
    assert metadata["Description-Content-Type"] == "text/markdown"
    assert "journal-tools = journal_tools.cli:main" in entry_points
    assert "journal_tools = journal_tools.plugin:JournalPlugin" in entry_points


def test_a_journal_is_started_checked_and_built_away_from_the_repository(installed: Installed):
    where = installed.python("-c", "import journal_tools; print(journal_tools.__file__)")
    assert Path(where.out.strip()) == installed.packages / "journal_tools/__init__.py"
    started = installed.run("new", "my-reef", "--start", "2026-03-14", "--zone", "UTC")
    assert started.code == 0, started.said
    checked = installed.run("check", "my-reef")
    assert (checked.code, checked.out.strip()) == (0, "1 entry, 0 problems.")
    built = installed.run("build", "my-reef", "--strict")
    assert built.code == 0, built.said
    pages = BuiltSite.read(installed.home / "my-reef/site")
    assert len(pages.documents) >= 10
    assert pages.broken() == []
    assert (pages.folder / "assets/vega.js").exists() or (
        pages.folder / "assets/journal.css"
    ).exists()


def test_the_build_uses_the_templates_of_the_wheel(installed: Installed):
    installed.run("new", "reef", "--start", "2026-03-14", "--zone", "UTC")
    shipped = installed.packages / "journal_tools/site_templates/pages/photos.html"
    words = shipped.read_text(encoding="utf-8")
    shipped.write_text("<h1>From the wheel</h1>", encoding="utf-8")
    try:
        assert installed.run("build", "reef").code == 0
    finally:
        shipped.write_text(words, encoding="utf-8")
    page = (installed.home / "reef/site/photos/index.html").read_text(encoding="utf-8")
    assert "From the wheel" in page
