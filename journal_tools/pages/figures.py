"""Charts as the pages show them: drawn once for the same content, with words and a table."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache as memoize
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from journal_tools import cache as store
from journal_tools import charts
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset
from journal_tools.parameters import Parameter
from journal_tools.words import reading_text, short_day

if TYPE_CHECKING:
    import altair as alt

    from journal_tools.charts.target import Bands
    from journal_tools.charts.theme import Shape

    Drawing = Callable[[Shape], alt.LayerChart]

TABLE_ROWS = 60
VEGA_ASSET = "assets/vega.js"
_BELOW_CHARTS = ("bands.py", "parameters.py", "units.py", "words.py")


@dataclass(frozen=True)
class TableRow:
    """One reading in the table behind a chart."""

    when: str
    value: str
    error: str
    kit: str
    entry: str


@dataclass(frozen=True)
class Figure:
    """A chart ready for a page.

    Attributes:
        name: Unique on the site.
        svg: Drawing for narrow and wide columns.
        description: The chart in words.
        rows: Newest readings for the table, newest first.
        more: How many older readings the table leaves out.
        interactive: Place of the script with the interactive chart, or ``""``.
    """

    name: str
    svg: str
    description: str
    rows: tuple[TableRow, ...] = ()
    more: int = 0
    interactive: str = ""


@memoize
def _code_version() -> str:
    """Give a digest of all code that draws or wraps a chart: a change asks for new drawings."""
    package = Path(charts.__file__).parent
    below = (package.parent / name for name in _BELOW_CHARTS)
    digest = hashlib.sha256(_drawing_versions().encode())
    for path in (*sorted(package.glob("*.py")), *below, Path(__file__)):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def _drawing_versions() -> str:
    return " ".join(version(name) for name in ("altair", "vl-convert-python"))


def cached_text(site: Site, kind: str, parts: tuple[str, ...], make: Callable[[], str]) -> str:
    """Give a text made before from the same parts by the same code, or make it now."""
    key = store.key(_code_version(), kind, *parts)
    text = site.cache.get_text("charts", key, ".txt")
    if text is None:
        text = make()
        site.cache.put_text("charts", key, ".txt", text)
    return text


def bands_of(site: Site, parameter: Parameter) -> Bands:
    """Give the target bands of a parameter with the days between which each holds."""
    rows = site.shown_tables.targets[site.shown_tables.targets["parameter"] == parameter.name]
    starts = [start.date() for start in rows["start"]]
    lows, highs = rows["low"].tolist(), rows["high"].tolist()
    ends = [*starts[1:], None][: len(starts)]
    return [
        (start, end, *(None if pd.isna(limit) else limit for limit in (low, high)))
        for start, end, low, high in zip(starts, ends, lows, highs, strict=True)
    ]


def parameter_figure(site: Site, parameter: Parameter) -> Figure:
    """Give the chart of a parameter over the whole life of the tank."""
    readings = site.shown_tables.readings_of(parameter.name)
    parts = _parts(site, parameter, readings)
    drawn = two_shapes(site, parameter.name, parts, _drawing(site, parameter, readings))
    newest = readings.iloc[::-1].head(TABLE_ROWS)
    return replace(
        drawn,
        rows=tuple(_row(row, parameter) for row in newest.itertuples()),
        more=max(0, len(readings) - TABLE_ROWS),
        interactive=f"assets/charts/{parameter.name}.js",
    )


def _parts(site: Site, parameter: Parameter, readings: pd.DataFrame) -> tuple[str, ...]:
    return (
        repr(parameter),
        readings.to_json(date_format="iso", date_unit="s"),
        site.events.to_json(date_format="iso", date_unit="s"),
        repr(bands_of(site, parameter)),
        site.today.isoformat(),
    )


def _drawing(
    site: Site, parameter: Parameter, readings: pd.DataFrame, *, interactive: bool = False
) -> Drawing:
    """Give what draws a parameter's chart in one shape."""

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.parameter import parameter_chart

        return parameter_chart(
            parameter, readings, site.events, bands_of(site, parameter), site.today, shape=shape,
            interactive=interactive,
        )  # fmt: skip

    return draw


def _row(row: object, parameter: Parameter) -> TableRow:
    value = reading_text(row.value, parameter, row.censored)  # type: ignore[attr-defined]
    error = f"± {row.error:.{parameter.decimals}f}"  # type: ignore[attr-defined]
    day = short_day(row.time.date())  # type: ignore[attr-defined]
    return TableRow(day, value, error, row.kit, row.entry)  # type: ignore[attr-defined]


def sparkline_svg(site: Site, parameter: Parameter, days: int = 90) -> str:
    """Give the small chart of the last days, or an empty text where nothing is so new."""
    readings = site.shown_tables.readings_of(parameter.name)
    recent = readings[readings["time"] >= site.tables.now - pd.DateOffset(days=days)]
    if len(recent) < 2:
        return ""
    band = site.shown_tables.band(parameter.name, site.today)
    parts = (*_parts(site, parameter, recent), repr(band))

    def draw() -> str:
        from journal_tools.charts.parameter import sparkline
        from journal_tools.charts.render import to_svg

        limits = (band.low, band.high) if band else None
        return to_svg(sparkline(parameter, recent, limits), name=f"{parameter.name}-spark")

    return cached_text(site, "spark", parts, draw)


def chart_assets(site: Site) -> list[Asset]:
    """Give the interactive charts and the script that draws them, for readers who ask."""
    assets = [
        Asset(f"assets/charts/{p.name}.js", _interactive(site, p).encode()) for p in site.tested
    ]
    if assets:
        from journal_tools.charts.render import vega_bundle

        bundle = cached_text(site, "vega", (), vega_bundle)
        assets.append(Asset(VEGA_ASSET, bundle.encode()))
    return assets


def _interactive(site: Site, parameter: Parameter) -> str:
    """Give a script that hands the chart over: ``file://`` pages may run scripts, not fetch."""
    readings = site.shown_tables.readings_of(parameter.name)

    draw = _drawing(site, parameter, readings, interactive=True)

    def make() -> str:
        from journal_tools.charts.render import to_spec
        from journal_tools.charts.theme import NARROW, WIDE

        specs = {shape.name: to_spec(draw(shape)) for shape in (WIDE, NARROW)}
        text = json.dumps(specs, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
        return f'journalChart("{parameter.name}",{text.replace("</", "<" + chr(92) + "/")});\n'

    return cached_text(site, "spec", _parts(site, parameter, readings), make)


def two_shapes(site: Site, name: str, parts: tuple[str, ...], draw: Drawing) -> Figure:
    """Draw a chart for wide and narrow columns; its description is cached with it.

    Args:
        site: The site.
        name: Unique on the site.
        parts: Everything that the drawing rests on.
        draw: What draws it in one shape.
    """

    def make() -> str:
        from journal_tools.charts.render import responsive, to_svg
        from journal_tools.charts.theme import NARROW, WIDE

        made = {shape.name: draw(shape) for shape in (WIDE, NARROW)}
        svgs = [to_svg(chart, name=f"{name}-{shape}") for shape, chart in made.items()]
        words = str(made["wide"].to_dict(validate=False).get("description", ""))
        return json.dumps([responsive(*svgs), words])

    svg, description = json.loads(cached_text(site, name, parts, make))
    return Figure(name, svg, description)


def cost_figure(site: Site) -> Figure | None:
    """Give the chart of money spent so far, or None where nothing is to be shown."""
    costs = site.tables.costs
    if costs.empty or not site.journal.profile.privacy.show_costs:
        return None
    currency = site.journal.profile.currency

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.monthly import cumulative_cost

        return cumulative_cost(costs, currency, site.today, shape=shape)

    parts = (costs.to_json(date_format="iso", date_unit="s"), currency, site.today.isoformat())
    return two_shapes(site, "cost", parts, draw)


def activity_figure(site: Site) -> Figure | None:
    """Give the chart of entries and photos by month, or None for an empty journal."""
    entries, photos = site.tables.entries["time"], site.tables.photos["time"]
    if entries.empty:
        return None

    def draw(shape: Shape) -> alt.LayerChart:
        from journal_tools.charts.monthly import bars_per_month

        return bars_per_month(entries, photos, site.today, shape=shape)

    series = (days.to_json(date_format="iso", date_unit="s") for days in (entries, photos))
    parts = (*series, site.today.isoformat())
    return two_shapes(site, "activity", parts, draw)
