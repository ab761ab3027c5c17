"""The data page: every table to take away, how to read and cite them, how the journal was kept."""

from __future__ import annotations

from journal_tools.citation import citation_of
from journal_tools.export import data_files
from journal_tools.metrics import METRICS
from journal_tools.pages.figures import activity_figure
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page
from journal_tools.parameters import PARAMETERS


def data_page(site: Site) -> tuple[Page, list[Asset]]:
    """Give the data page and the files that it offers."""
    home = site.address.root
    files = data_files(site.tables, site.metrics, home)
    used = {result.metric for result in site.metrics}
    page = site.page(
        "data.html",
        "data",
        "Data",
        description=f"The data of {site.journal.profile.name} as open files.",
        files=files,
        examples=reading_examples(home, parsed=site.journal.profile.privacy.exact_times),
        citation=citation_of(site.journal.profile, site.today, home),
        metrics=[metric for metric in METRICS if metric.name in used],
        fresh_columns=[f"fresh_{name}" for name in PARAMETERS],
        activity=activity_figure(site),
    )
    return page, [Asset(f"data/{file.name}", file.text.encode()) for file in files]


def reading_examples(home: str, *, parsed: bool) -> list[tuple[str, str]]:
    """Give how the readings are opened in a few programs, one line each.

    Args:
        home: Address of the site, or ``""``: then the file is taken from the reader's folder.
        parsed: Whether moments hold times; they may cross clock changes, hence the UTC.
    """
    file = f"{home}data/readings.csv" if home else "readings.csv"
    times = 'pandas.to_datetime(readings["time"], utc=True)' if parsed else ""
    python = (
        f'readings = pandas.read_csv("{file}", keep_default_na=False, na_values={{"value": ""}})'
    )
    examples = [("Python with pandas", python)]
    if times:
        examples.append(("and its moments", f'readings["time"] = {times}'))
    r = f'readings <- read.csv("{file}", encoding = "UTF-8", na.strings = "")'
    return [*examples, ("R", r)]
