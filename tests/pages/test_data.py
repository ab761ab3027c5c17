"""The data page: every file, and every method in use."""

from __future__ import annotations

from journal_tools.metrics import METRICS
from tests.pages.built import Built, text_of


def test_every_data_file_is_offered_and_exists(built: Built) -> None:
    page = built.html["data"]
    offered = {e.get("href") for e in page.all("a") if "download" in e.attrib}
    files = {f"site:{a.path}" for a in built.tree.assets if a.path.startswith("data/")}
    assert offered == files


def test_rows_are_counted(demo: Built) -> None:
    files = {asset.path: asset for asset in demo.tree.assets}
    table = demo.html["data"].by_id("files")
    assert text_of(table) == "Files"
    for row in demo.html["data"].all("tr"):
        cells = [text_of(cell) for cell in row]
        if cells[0].endswith(".csv"):
            text = files[f"data/{cells[0]}"].read().decode()
            # notes of one line only: no record of the demo spans lines
            assert int(cells[1] or 0) == text.count("\r\n") - 1, cells[0]
            header = text.partition("\r\n")[0].split(",")
            named = cells[2].replace(", fresh_… (new water by parameter)", "").split(", ")
            assert named == [c for c in header if not c.startswith("fresh_")]


def test_methods_in_use_are_printed_with_source_and_caution(built: Built) -> None:
    page = built.html["data"]
    used = {result.metric for result in built.site.metrics}
    titles = [e.get("id") for e in page.all("dt")]
    assert titles == [f"method-{metric.name}" for metric in METRICS if metric.name in used]
    for metric in METRICS:
        if metric.name in used:
            assert metric.method in page.text and f"Source: {metric.source}" in page.text
            assert metric.caution in page.text


def test_an_empty_journal_offers_empty_tables(empty: Built) -> None:
    page = empty.html["data"]
    assert "How the journal was kept" not in page.text
    assert len([e for e in page.all("a") if "download" in e.attrib]) > 10
