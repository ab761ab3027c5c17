"""Journals to hand on, a browser, and the program with a cache of its own."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from journal_tools.cache import Cache
from journal_tools.journal import load_journal
from journal_tools.pages.site import Site, gather_site
from tests.sharing import journals
from tests.site.program import Program


@pytest.fixture(scope="session")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("sharing")


@pytest.fixture(scope="session")
def program(tmp_path_factory: pytest.TempPathFactory) -> Program:
    """Give the program with the cache that the tests of built sites use: the demo is drawn once."""
    base = tmp_path_factory.getbasetemp()
    folder = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    return Program(folder / "site-tests/cache")


@pytest.fixture(scope="session")
def plain(base: Path) -> Path:
    return journals.no_photos(base / "plain")


@pytest.fixture(scope="session")
def german(base: Path) -> Path:
    return journals.german(base / "german")


@pytest.fixture(scope="session")
def demo(base: Path) -> Path:
    return journals.demo(base / "demo")


@pytest.fixture(scope="session")
def german_site(program: Program, german: Path) -> Site:
    journal = load_journal(german / "content", journals.START.replace(month=4))
    return gather_site(journal, Cache(program.cache))
