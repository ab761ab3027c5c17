"""The tools that read the code find nothing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize(
    "arguments", ["ruff check --no-cache", "ruff format --check --no-cache", "mypy"]
)
def test_the_code_is_clean(arguments: str) -> None:
    command = [sys.executable, "-m", *arguments.split()]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
