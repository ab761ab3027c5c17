"""A built site made fit for opening from a folder: search that starts, nothing that needs a server.

Pages opened by a double click (``file://``) may run scripts, but neither fetch files nor start
workers. The theme reads ``search/search_index.js`` there instead of the JSON file, and its search
runs in a frame that ``file-worker.js`` gives it.
"""

from __future__ import annotations

import json
import os
import posixpath
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from journal_tools.templates import find_template

WORKER_SCRIPT = "assets/javascripts/file-worker.js"
_INDEX = "search/search_index"
# Only servers and robots read these; `404.html` links from the root of a host.
_FOR_SERVERS = ("404.html", "sitemap.xml", "sitemap.xml.gz", "CNAME", ".nojekyll", "robots.txt",
                f"{_INDEX}.json")  # fmt: skip
# Pictures of the size that chats show beside a link: no page shows them.
_PREVIEW_CARDS = "e/**/card.jpg"
_THEME_SCRIPT = re.compile(r'<script src="[^"]*assets/javascripts/bundle\.[^"]*"></script>')
_OUTSIDE_HINT = re.compile(r'<link[^>]+rel="(?:preconnect|dns-prefetch)"[^>]*>')


class BuildError(RuntimeError):
    """The site could not be built: what the site generator said last."""


def build_site(
    settings: Path, target: Path, *, as_files: bool = False, longest_s: float | None = None
) -> str:
    """Build a journal's site, and give what was said meanwhile.

    The site generator runs as a process of its own: it keeps state, and settings may load plugins.

    Args:
        settings: The journal's ``mkdocs.yml``.
        target: Folder for the site.
        as_files: Whether a page is a file (``water.html``) and not a folder (``water/``).
        longest_s: Seconds after which it is given up; None waits for ever.

    Raises:
        BuildError: If it does not build.
    """
    command = [sys.executable, "-m", "mkdocs", "build", "--quiet"]
    command += ["--no-directory-urls"] if as_files else []
    command += ["-f", str(settings), "-d", str(target.resolve())]
    # The theme would put an announcement of another program on every message.
    environment = os.environ | {"NO_MKDOCS_2_WARNING": "1", "PYTHONUTF8": "1"}
    try:
        done = subprocess.run(
            command, env=environment, capture_output=True, encoding="utf-8", errors="replace",
            check=False, timeout=longest_s,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise BuildError(f"it took longer than {longest_s:g} seconds.") from error
    if done.returncode:
        raise BuildError((done.stderr + done.stdout).strip() or "it says nothing of the reason.")
    return (done.stderr + done.stdout).strip()


def make_offline(site: Path, own_templates: Path | None) -> None:
    """Change a site that was built without folder addresses so that it works from a folder.

    Args:
        site: Folder of the site.
        own_templates: The journal's own templates, if it has any.
    """
    index = site / f"{_INDEX}.json"
    searchable = index.is_file()
    if searchable:
        text = json.dumps(json.loads(index.read_text(encoding="utf-8")), separators=(",", ":"))
        index.with_suffix(".js").write_text(f"var __index = {text};\n", encoding="utf-8")
        script = site / WORKER_SCRIPT
        script.parent.mkdir(parents=True, exist_ok=True)
        script.write_bytes(find_template("sharing/file-worker.js", own_templates).read_bytes())
    for name in _FOR_SERVERS:
        (site / name).unlink(missing_ok=True)
    for unused in (*site.rglob("*.map"), *site.glob(_PREVIEW_CARDS)):
        unused.unlink()
    for page in _pages(site):
        here = page.relative_to(site).as_posix()
        text = page.read_text(encoding="utf-8")
        page.write_text(offline_page(text, here, searchable=searchable), encoding="utf-8")


def offline_page(html: str, here: str, *, searchable: bool) -> str:
    """Give a page of the theme with the search script's stand-in before the theme's own script.

    Args:
        html: The page.
        here: Its place on the site.
        searchable: Whether the site has a search index.
    """
    html = _OUTSIDE_HINT.sub("", html)
    if not searchable:
        return html
    worker = posixpath.relpath(WORKER_SCRIPT, posixpath.dirname(here) or ".")
    return _THEME_SCRIPT.sub(lambda found: f'<script src="{worker}"></script>{found[0]}', html)


def _pages(site: Path) -> Iterator[Path]:
    yield from sorted(site.rglob("*.html"))
