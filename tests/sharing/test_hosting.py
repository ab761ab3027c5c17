"""Recipes for publishing: workflows by their published schemas, a site below a sub-path."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Browser, Route

from journal_tools.starter import HOSTS, hosting_files
from journal_tools.templates import shipped_folder
from tests.site.browsing import Record, served
from tests.site.links import BuiltSite
from tests.site.program import Program

_FOLDER = shipped_folder() / "hosting"
_SCHEMAS = {
    "github.yml": ["--builtin-schema", "vendor.github-workflows"],
    "gitlab.yml": ["--builtin-schema", "vendor.gitlab-ci", "--data-transform", "gitlab-ci"],
    "codeberg.yml": ["--builtin-schema", "vendor.woodpecker-ci"],
}


@pytest.mark.parametrize("name", _SCHEMAS)
def test_a_workflow_keeps_its_schema(name: str) -> None:
    """The JSON Schemas of SchemaStore and GitLab, as `check-jsonschema` carries them."""
    command = [sys.executable, "-m", "check_jsonschema", *_SCHEMAS[name], str(_FOLDER / name)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_a_broken_workflow_would_be_seen(tmp_path: Path) -> None:
    broken = tmp_path / "site.yml"
    text = (_FOLDER / "github.yml").read_text(encoding="utf-8")
    broken.write_text(text.replace("runs-on:", "runs_on:"), encoding="utf-8")
    command = [sys.executable, "-m", "check_jsonschema", *_SCHEMAS["github.yml"], str(broken)]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 1


def test_the_site_is_published_from_where_it_is_built() -> None:
    github = yaml.safe_load((_FOLDER / "github.yml").read_text(encoding="utf-8"))
    steps = github["jobs"]["publish"]["steps"]
    (upload,) = [s for s in steps if s.get("uses", "").startswith("actions/upload-pages")]
    assert f"--site {upload['with']['path']}" in "".join(s.get("run", "") for s in steps)
    assert github["permissions"] == {"contents": "read", "pages": "write", "id-token": "write"}
    gitlab = yaml.safe_load((_FOLDER / "gitlab.yml").read_text(encoding="utf-8"))["pages"]
    assert f"--site {gitlab['artifacts']['paths'][0]}" in " ".join(gitlab["script"])


def test_every_recipe_is_offered() -> None:
    offered = {name for files in HOSTS.values() for name in files.values()}
    assert offered == {path.name for path in _FOLDER.iterdir()}
    assert hosting_files("") == {}


@pytest.mark.parametrize("host", HOSTS)
def test_a_new_journal_takes_the_recipe_along(host: str, tmp_path: Path, program: Program) -> None:
    made = program.run("new", tmp_path / "reef", "--host", host)
    assert made.code == 0, made.said
    for path, text in hosting_files(host).items():
        assert (tmp_path / "reef" / path).read_text(encoding="utf-8") == text
        assert f"wrote {tmp_path / 'reef' / path}" in made.out


def test_an_unknown_host_writes_nothing(tmp_path: Path, program: Program) -> None:
    made = program.run("new", tmp_path / "reef", "--host", "attic")
    assert made.code == 2 and "'attic' is not known" in made.err
    assert not (tmp_path / "reef").exists()


def _policy(name: str) -> str:
    (found,) = re.findall(r'Content-Security-Policy"? "([^"]+)"', (_FOLDER / name).read_text())
    return str(found)


def _as_the_server_would(route: Route) -> None:
    answer = route.fetch()
    headers = answer.headers | {"content-security-policy": _policy("nginx.conf")}
    route.fulfill(response=answer, headers=headers)


def test_both_servers_hold_browsers_to_the_same() -> None:
    assert _policy("nginx.conf") == _policy("apache.conf")


@pytest.mark.parametrize("name", ["plain", "german"])
def test_a_site_works_below_a_sub_path(
    name: str, request: pytest.FixtureRequest, program: Program, tmp_path: Path, browser: Browser
) -> None:
    site = tmp_path / "site"
    built = program.run("build", request.getfixturevalue(name), "--site", site)
    assert built.code == 0, built.said
    assert BuiltSite.read(site).broken() == []
    with served(site) as home:
        context = browser.new_context()
        context.route("**/*", _as_the_server_would)
        record = Record.of(context, home)
        page = context.new_page()
        for path in ("", "water/", "diary/2026-03/", "data/"):
            answer = page.goto(f"{home}{path}")
            assert answer is not None and answer.status == 200
            assert "default-src" in answer.headers["content-security-policy"]
        page.goto(f"{home}water/")
        page.locator("button[data-chart=alkalinity]").click()
        page.wait_for_selector(".jt-live svg")
        page.keyboard.press("/")
        page.keyboard.type("alkalinity")
        page.wait_for_selector(".md-search-result__link")
        context.close()
    assert record.elsewhere == [] and record.complaints == []
