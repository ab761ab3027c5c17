"""The data page: every table to take away, and how the journal was kept."""

from __future__ import annotations

from journal_tools.export import data_files
from journal_tools.metrics import METRICS
from journal_tools.pages.figures import activity_figure
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page
from journal_tools.parameters import PARAMETERS


def data_page(site: Site) -> tuple[Page, list[Asset]]:
    """Give the data page and the files that it offers."""
    files = data_files(site.tables, site.metrics)
    used = {result.metric for result in site.metrics}
    page = site.page(
        "data.html",
        "data",
        "Data",
        description=f"The data of {site.journal.profile.name} as open files.",
        files=files,
        metrics=[metric for metric in METRICS if metric.name in used],
        fresh_columns=[f"fresh_{name}" for name in PARAMETERS],
        activity=activity_figure(site),
    )
    return page, [Asset(f"data/{file.name}", file.text.encode()) for file in files]
