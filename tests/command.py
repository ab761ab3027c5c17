"""The command line inside this process: quick, and enough where no process of its own is needed."""

from __future__ import annotations

from pathlib import Path

from typer.testing import CliRunner

from journal_tools.cli import app


class Outcome:
    """What one run of the command line gave."""

    def __init__(self, *arguments: str | Path) -> None:
        result = CliRunner().invoke(app, [str(argument) for argument in arguments])
        assert result.exception is None or isinstance(result.exception, SystemExit)
        self.code, self.out, self.err = result.exit_code, result.stdout, result.stderr
