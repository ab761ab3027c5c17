"""From a site to its page tree: every page and file, and the order of the navigation."""

from __future__ import annotations

from pathlib import Path

from journal_tools.charts.render import stylesheet
from journal_tools.charts.theme import variables_css
from journal_tools.pages.build import build_pages
from journal_tools.pages.costs import costs_page
from journal_tools.pages.data import data_page
from journal_tools.pages.diary import diary_pages
from journal_tools.pages.dosing import dosing_page
from journal_tools.pages.figures import chart_assets
from journal_tools.pages.gallery import photos_page
from journal_tools.pages.livestock import livestock_page
from journal_tools.pages.site import Site
from journal_tools.pages.today import today_page
from journal_tools.pages.tree import Asset, PageTree
from journal_tools.pages.upkeep import upkeep_page
from journal_tools.pages.water import water_page
from journal_tools.templates import find_template

STYLE_ASSET, SCRIPT_ASSET = "assets/journal.css", "assets/journal.js"


def build_tree(site: Site, own_templates: Path | None = None) -> PageTree:
    """Give every page and file of a journal's site."""
    diary = diary_pages(site)
    data, data_assets = data_page(site)
    upkeep, upkeep_assets = upkeep_page(site)
    costs = costs_page(site)
    build, equipment, report = build_pages(site)
    pages = [
        today_page(site), *diary, water_page(site), dosing_page(site), build, equipment, report,
        livestock_page(site), upkeep, *([costs] if costs else []), photos_page(site), data,
    ]  # fmt: skip
    assets = [
        Asset(STYLE_ASSET, _style(own_templates)),
        Asset(SCRIPT_ASSET, find_template("assets/journal.js", own_templates)),
        *chart_assets(site),
        *data_assets,
        *upkeep_assets,
        *_photo_assets(site),
    ]
    navigation = [
        ("Today", ""), ("Diary", "diary/index"), ("Water", "water"), ("Dosing", "dosing"),
        ("Build", "build"), ("Livestock", "livestock"), ("Upkeep", "upkeep"),
        *([("Costs", "costs")] if costs else []), ("Photos", "photos"), ("Data", "data"),
    ]  # fmt: skip
    return PageTree(pages, assets, navigation)


def _style(own_templates: Path | None) -> bytes:
    """Put the colours of the charts, the only palette, before the style sheet that uses them."""
    own = find_template("assets/journal.css", own_templates).read_text(encoding="utf-8")
    palette = (
        f":root{{{variables_css('light')}}}\n"
        f'[data-md-color-scheme="slate"]{{{variables_css("dark")}}}\n'
        f"@media print{{:root,[data-md-color-scheme]{{{variables_css('light')}}}}}\n"
    )
    return f"{palette}{stylesheet()}\n{own}".encode()


def _photo_assets(site: Site) -> list[Asset]:
    renditions = (r for shown in site.shown_photos for r in shown.photo.renditions)
    return [Asset(r.name, r.path) for r in {r.name: r for r in renditions}.values()]
