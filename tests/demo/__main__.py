"""Write the demo journal anew: ``python -m tests.demo`` (``--texts`` leaves the pictures)."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.demo.pictures import draw_all
from tests.demo.write import write_texts

CONTENT = Path(__file__).parents[2] / "content"

if __name__ == "__main__":
    write_texts(CONTENT)
    if "--texts" not in sys.argv:
        draw_all(CONTENT / "photos", only_missing="--missing" in sys.argv)
