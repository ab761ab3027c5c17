"""Where the time of one build goes: the same build inside this process, clocked by stage.

Each stage counts only its own time, not that of a stage inside it. The functions of the package
are wrapped from outside, so that a journal's build carries no clocks.
"""

from __future__ import annotations

import functools
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import FunctionType
from typing import Any

STAGES = (
    "libraries", "read and check", "tables", "metrics", "photos", "charts", "pages",
    "cache writes", "mkdocs",
)  # fmt: skip


class Clock:
    """Seconds by stage; exactly one stage runs at a time."""

    def __init__(self, stage: str) -> None:
        self.seconds = dict.fromkeys(STAGES, 0.0)
        self._stage, self._since_s = stage, time.perf_counter()

    def turn_to(self, stage: str) -> str:
        """Let another stage run from now on, and give the one that ran until now."""
        now_s = time.perf_counter()
        self.seconds[self._stage] += now_s - self._since_s
        before, self._stage, self._since_s = self._stage, stage, now_s
        return before

    def wrapped(self, stage: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """Give the function with its time counted for a stage."""

        @functools.wraps(function)
        def clocked(*args: Any, **kwargs: Any) -> Any:
            before = self.turn_to(stage)
            try:
                return function(*args, **kwargs)
            finally:
                self.turn_to(before)

        return clocked


def build_by_stage(settings_file: Path, site_folder: Path) -> dict[str, float]:
    """Build a journal's site in this process and give the seconds of each stage.

    Args:
        settings_file: The journal's ``mkdocs.yml``.
        site_folder: Where the site is written.
    """
    clock = Clock("libraries")
    from mkdocs.commands.build import build
    from mkdocs.config import load_config

    import journal_tools.plugin  # noqa: F401  (its imports are what is clocked)

    _clock_functions(clock)
    clock.turn_to("mkdocs")
    config = load_config(str(settings_file), site_dir=str(site_folder))
    config.plugins.run_event("startup", command="build", dirty=False)
    build(config)
    clock.turn_to("mkdocs")
    return clock.seconds


def _clock_functions(clock: Clock) -> None:
    from journal_tools import embed, journal, metrics, pages, tables
    from journal_tools.cache import Cache
    from journal_tools.pages import figures, site

    stages: dict[Callable[..., Any], str] = {
        journal.load_journal: "read and check",
        tables.build_tables: "tables",
        metrics.compute_metrics: "metrics",
        site.prepare_photos: "photos",
        pages.build_tree: "pages",
        embed.render_embed: "pages",
    }
    for name, value in vars(figures).items():
        own = isinstance(value, FunctionType) and value.__module__ == figures.__name__
        if own and not name.startswith("_"):
            stages[value] = "charts"
    for function, stage in stages.items():
        _replace(function, clock.wrapped(stage, function))
    setattr(Cache, "put_bytes", clock.wrapped("cache writes", Cache.put_bytes))  # noqa: B010


def _replace(function: Callable[..., Any], other: Callable[..., Any]) -> None:
    """Put another function in place wherever a module of the package has imported it."""
    modules = [m for name, m in sys.modules.items() if name.partition(".")[0] == "journal_tools"]
    for module in modules:
        for name, value in list(vars(module).items()):
            if value is function:
                setattr(module, name, other)


if __name__ == "__main__":
    seconds = build_by_stage(Path(sys.argv[1]), Path(sys.argv[2]))
    Path(sys.argv[3]).write_text(json.dumps(seconds), encoding="utf-8")
