"""The demo, built once for all workers, and what tests of a built site share."""

from __future__ import annotations

import json
import os
import time
from dataclasses import asdict
from pathlib import Path

import pytest

from tests.site.program import ROOT, Demo, Outcome, Program

_PATIENCE_S = 300


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder that all workers of this session see."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "site-tests"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def program(shared: Path) -> Program:
    return Program(shared / "cache")


@pytest.fixture(scope="session")
def demo(shared: Path, program: Program) -> Demo:
    """Build the demo, or wait until the worker that came first has built it."""
    site, done = shared / "demo", shared / "demo.json"
    try:
        (shared / "demo-begun").mkdir()
    except FileExistsError:
        _wait_for(done)
    else:
        outcome = program.run("build", ROOT, "--strict", "--site", site)
        unfinished = done.with_suffix(".part")
        unfinished.write_text(json.dumps(asdict(outcome)), encoding="utf-8")
        unfinished.replace(done)
    return Demo(site, Outcome(**json.loads(done.read_text(encoding="utf-8"))))


def _wait_for(path: Path) -> None:
    end = time.monotonic() + _PATIENCE_S
    while not path.exists():
        assert time.monotonic() < end, "the worker that builds the demo never finished"
        time.sleep(0.1)
