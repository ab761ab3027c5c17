"""``journal-tools serve``: a change is on the page a moment later, and nothing loops."""

from __future__ import annotations

import contextlib
import http.client
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.site.journals import save_photo, three_entries, write
from tests.site.program import ROOT, Program

PATIENCE_S = 40
QUIET_S = 4
# Watching sees a file that is written while it looks as two changes.
MOST_BUILDS = 2
MONTH = "diary/2026-03/"


def wait_until(holds: Callable[[], bool], what: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end, f"waited {PATIENCE_S} s for {what}"
        time.sleep(0.1)


@dataclass
class Server:
    """A running ``serve`` and what it has said so far."""

    journal: Path
    address: str
    log: Path
    process: subprocess.Popen[bytes]

    @property
    def said(self) -> str:
        return self.log.read_text(encoding="utf-8", errors="replace")

    @property
    def builds(self) -> int:
        return self.said.count("Building documentation")

    def get(self, path: str = "") -> bytes:
        with urllib.request.urlopen(self.address + path, timeout=10) as answer:
            return answer.read()

    def page(self, path: str = "") -> str:
        """Give a page, or nothing while it cannot be had."""
        try:
            return self.get(path).decode()
        except (urllib.error.URLError, http.client.HTTPException, ConnectionError, TimeoutError):
            return ""

    def answers(self) -> bool:
        alive = self.process.poll() is None
        assert alive, f"serve has ended:\n{self.said}"
        return bool(self.page())

    def write(self, path: str, text: str) -> None:
        """Write a file as an editor does: beside it, then in its place."""
        target = self.journal / path
        target.parent.mkdir(parents=True, exist_ok=True)
        unfinished = self.journal.with_name("unfinished")
        unfinished.write_text(text, encoding="utf-8")
        unfinished.replace(target)

    def replace(self, path: str, old: str, new: str) -> None:
        text = (self.journal / path).read_text(encoding="utf-8")
        assert old in text
        self.write(path, text.replace(old, new))

    def shows(self, words: str, path: str = "") -> None:
        wait_until(lambda: words in self.page(path), f"'{words}' on '/{path}'")

    def no_longer_shows(self, words: str, path: str = "") -> None:
        def gone() -> bool:
            page = self.page(path)
            return bool(page) and words not in page

        wait_until(gone, f"'{words}' to leave '/{path}'")

    @contextlib.contextmanager
    def one_change(self) -> Iterator[None]:
        """Check that what happens inside is followed by one or two builds, and then by quiet."""
        before = self.builds
        yield
        time.sleep(QUIET_S)
        assert 1 <= self.builds - before <= MOST_BUILDS, self.said[-3000:]
        assert self.process.poll() is None


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def serving(journal: Path, program: Program) -> Iterator[Server]:
    port, log = free_port(), journal.with_name("serve.log")
    command = [sys.executable, "-m", "journal_tools", "serve", str(journal), "--port", str(port)]
    with log.open("wb") as said:
        process = subprocess.Popen(
            command, cwd=ROOT, env=program.environment(PYTHONUNBUFFERED="1"), stdout=said,
            stderr=subprocess.STDOUT,
        )  # fmt: skip
        server = Server(journal, f"http://127.0.0.1:{port}/", log, process)
        try:
            wait_until(server.answers, "the first page")
            yield server
        finally:
            end(process)


def end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(10)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait(10)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory, program: Program) -> Iterator[Server]:
    journal = three_entries(tmp_path_factory.mktemp("serve") / "reef")
    write(journal, "site_templates/parts/hello.html", "not used by any page")
    with serving(journal, program) as started:
        yield started


def test_a_changed_entry_shows_and_nothing_else_is_built(server: Server):
    with server.one_change():
        server.replace("content/log/2026-03-14-the-first-day.yml", "heavier", "much heavier")
        server.shows("much heavier", MONTH)


def test_a_new_entry_shows(server: Server):
    with server.one_change():
        server.write("content/log/2026-05-05-visitors.yml", "title: Visitors from the club")
        server.shows("Visitors from the club", "diary/2026-05/")
    server.shows("Visitors from the club")
    assert 'href="2026-05/' in server.page("diary/")


def test_a_removed_entry_leaves(server: Server):
    server.write("content/log/2026-06-06-mistake.yml", "title: Never mind")
    server.shows("Never mind")
    with server.one_change():
        (server.journal / "content/log/2026-06-06-mistake.yml").unlink()
        server.no_longer_shows("Never mind")
    assert server.page("diary/2026-06/") == ""


def test_a_changed_profile_shows_on_every_page(server: Server):
    with server.one_change():
        server.replace("content/tank.yml", 'keeper: "Nobody"', 'keeper: "Somebody Else"')
        server.shows("Somebody Else")


def test_a_replaced_photo_shows(server: Server):
    before = server.page("photos/")
    with server.one_change():
        save_photo(server.journal / "content/photos/front-2.jpg", "salmon")
        wait_until(lambda: server.page("photos/") not in ("", before), "another picture")
    name = next(part for part in server.page("photos/").split('"') if "front-2" in part)
    assert len(server.get(f"photos/{name.split('/')[-1].split(' ')[0]}")) > 100


def test_a_template_of_ones_own_shows(server: Server):
    with server.one_change():
        server.write("site_templates/pages/data.html", "<h1>My own data page</h1>")
        server.shows("My own data page", "data/")


def test_a_broken_entry_is_said_on_the_page_and_in_the_terminal(server: Server):
    path = "content/log/2026-03-21.yml"
    whole = (server.journal / path).read_text(encoding="utf-8")
    with server.one_change():
        server.replace(path, "alkalinity", "alkalinty")
        server.shows("jt-problems", "water/")
    page = server.page("water/")
    assert "log/2026-03-21.yml:" in page
    assert "The key &#39;alkalinty&#39; is not known here." in page
    assert "log/2026-03-21.yml:2" in server.said
    assert "Did you mean 'alkalinity'?" in server.said
    with server.one_change():
        server.write(path, whole)
        server.no_longer_shows("jt-problems", "water/")


@pytest.mark.parametrize("text", ["{% edn %}", "{{ nobody.knows }}"])
def test_a_broken_template_leaves_the_site_up_and_is_said_on_the_page(server: Server, text: str):
    path = "site_templates/pages/photos.html"
    with server.one_change():
        server.write(path, f"<h1>Mine</h1>\n{text}")
        server.shows("jt-problems", "photos/")
    page = server.page("photos/")
    assert "site_templates/pages/photos.html:2" in page
    assert "This template cannot be used" in page
    assert "<h1>Photos</h1>" in page
    assert "Traceback" not in server.said
    with server.one_change():
        server.write(path, "<h1>Mended</h1>")
        server.no_longer_shows("jt-problems")
    assert "<h1>Mended</h1>" in server.page("photos/")


def test_it_starts_with_a_broken_template_and_a_broken_entry(tmp_path: Path, program: Program):
    journal = three_entries(tmp_path / "reef")
    write(journal, "content/log/2026-04-03.yml", "notes: [unclosed")
    write(journal, "site_templates/parts/problems.html", "{{ oops")
    with serving(journal, program) as server:
        page = server.page()
        assert "site_templates/parts/problems.html:1" in page
        assert "log/2026-04-03.yml:" in page
        assert "Traceback" not in server.said
        server.write("site_templates/parts/problems.html", "<p>Own words</p>")
        server.shows("Own words")
