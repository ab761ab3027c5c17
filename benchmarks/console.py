"""What every benchmark takes from its command line, and says of the computer it ran on."""

from __future__ import annotations

import argparse
import os
import platform
from collections.abc import Iterable
from importlib.metadata import version


def whole_number(text: str) -> int:
    """Give a whole number from 1.

    Args:
        text: As written on the command line.

    Raises:
        argparse.ArgumentTypeError: It is none.
    """
    if not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from 1")
    return int(text)


def head(packages: Iterable[str]) -> str:
    """Give computer and versions in two lines.

    Args:
        packages: Names of the packages that the figures depend on.
    """
    versions = ", ".join(f"{name} {version(name)}" for name in packages)
    where = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    return f"Python {platform.python_version()} on {where}\n{versions}\n"
