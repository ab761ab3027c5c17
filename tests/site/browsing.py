"""A real browser, and a site served to it below a sub-path of this computer."""

from __future__ import annotations

import contextlib
import os
import shutil
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, sync_playwright

SUB_PATH = "/reef/my-journal/"
_NAMES = ("chromium", "chromium-browser", "google-chrome")
_CALM = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
]  # fmt: skip


def browser_path() -> str:
    """Give the browser to use; without one, skip, but fail where the tests must be complete."""
    named = os.environ.get("CHROMIUM")
    found = named or next((path for name in _NAMES if (path := shutil.which(name))), None)
    if found is None:
        reason = f"no browser found: set CHROMIUM, or install one of {', '.join(_NAMES)}"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@contextlib.contextmanager
def launched() -> Iterator[Browser]:
    path = browser_path()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=_CALM)
        try:
            yield browser
        finally:
            browser.close()


class _Handler(SimpleHTTPRequestHandler):
    """Serves a folder below the sub-path, with the site's own page for unknown addresses."""

    def translate_path(self, path: str) -> str:
        inside = urlsplit(path).path.removeprefix(SUB_PATH)
        if inside.startswith("/"):
            return str(Path(self.directory) / "there is nothing outside the sub-path")
        return super().translate_path(f"/{inside}")

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        page = Path(self.directory) / "404.html"
        if code != 404 or not page.is_file():
            super().send_error(code, message, explain)
            return
        body = page.read_bytes()
        self.send_response(404)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: what the browser asks for is recorded in the browser."""


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve a folder and give the address of its first page."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Handler, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}{SUB_PATH}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@dataclass
class Record:
    """What a browser asked for and complained about."""

    home: str
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    @classmethod
    def of(cls, context: BrowserContext, home: str) -> Record:
        record = cls(home)
        context.on("request", lambda request: record.requests.append(request.url))
        context.on("console", record._console)
        context.on("weberror", lambda error: record.complaints.append(str(error.error)))
        return record

    def _console(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(f"{message.type}: {message.text}")

    @property
    def elsewhere(self) -> list[str]:
        """Requests that would have left for another host."""
        local = (self.home, "data:", "blob:", "about:")
        return [url for url in self.requests if not url.startswith(local)]
