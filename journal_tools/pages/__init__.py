"""From a site to its page tree: every page and file, and the order of the navigation."""

from __future__ import annotations

from pathlib import Path

from journal_tools.charts.render import stylesheet
from journal_tools.charts.theme import variables_css
from journal_tools.pages.build import build_pages
from journal_tools.pages.costs import costs_page
from journal_tools.pages.data import data_page
from journal_tools.pages.diary import entry_views, month_pages
from journal_tools.pages.dosing import dosing_page
from journal_tools.pages.entry_page import entry_assets
from journal_tools.pages.feeds import feed_assets
from journal_tools.pages.figures import chart_assets
from journal_tools.pages.gallery import photo_pages
from journal_tools.pages.glossary import glossary_page
from journal_tools.pages.linked_data import blog, dataset, with_head
from journal_tools.pages.livestock import livestock_page
from journal_tools.pages.phone_form import write_pages
from journal_tools.pages.preview import card_assets
from journal_tools.pages.second_opinion import second_opinion_page
from journal_tools.pages.site import Site
from journal_tools.pages.thumbs import thumb_assets
from journal_tools.pages.today import today_page
from journal_tools.pages.tree import Asset, PageTree
from journal_tools.pages.upkeep import upkeep_page
from journal_tools.pages.water import water_page
from journal_tools.pages.years import year_pages
from journal_tools.templates import find_template

STYLE_ASSET, SCRIPT_ASSET = "assets/journal.css", "assets/journal.js"
_STYLES = ("journal.css", "diary.css", "box.css")
_SCRIPTS = ("journal.js", "diary.js", "photos.js")


def build_tree(site: Site, own_templates: Path | None = None) -> PageTree:
    """Give every page and file of a journal's site."""
    views = entry_views(site)
    data, data_assets = data_page(site)
    upkeep, upkeep_assets = upkeep_page(site)
    costs = costs_page(site)
    build, equipment, report = build_pages(site)
    photos, films = photo_pages(site)
    form, form_assets = write_pages(site, own_templates)
    pages = [
        today_page(site), *year_pages(site, views), *month_pages(site, views), water_page(site),
        dosing_page(site), build, equipment, report, livestock_page(site), upkeep,
        *([costs] if costs else []), *photos, second_opinion_page(site), data,
        glossary_page(site),
    ]  # fmt: skip
    records = {"diary/index": blog(site), "data": dataset(site, data_assets)}
    assets = [
        Asset(STYLE_ASSET, _style(own_templates)),
        Asset(SCRIPT_ASSET, _joined(_SCRIPTS, own_templates).encode()),
        *chart_assets(site),
        *data_assets,
        *upkeep_assets,
        *_photo_assets(site),
        *thumb_assets(site),
        *films,
        *card_assets(site, views),
        *entry_assets(site, views, own_templates),
        *feed_assets(site, views),
        *form_assets,
    ]
    navigation = [
        ("Today", ""), ("Diary", "diary/index"), ("Water", "water"), ("Dosing", "dosing"),
        ("Build", "build"), ("Livestock", "livestock"), ("Upkeep", "upkeep"),
        *([("Costs", "costs")] if costs else []), ("Photos", "photos"),
        ("Second opinion", "second-opinion"), ("Data", "data"),
    ]  # fmt: skip
    headed = [with_head(site, page, records) for page in pages]
    return PageTree([*headed, *form], assets, navigation)


def _style(own_templates: Path | None) -> bytes:
    """Put the colours of the charts, the only palette, before the style sheet that uses them."""
    own = _joined(_STYLES, own_templates)
    palette = (
        f":root{{{variables_css('light')}}}\n"
        f'[data-md-color-scheme="slate"]{{{variables_css("dark")}}}\n'
        f"@media print{{:root,[data-md-color-scheme]{{{variables_css('light')}}}}}\n"
    )
    return f"{palette}{stylesheet()}\n{own}".encode()


def _joined(names: tuple[str, ...], own_templates: Path | None) -> str:
    files = (find_template(f"assets/{name}", own_templates) for name in names)
    return "\n".join(file.read_text(encoding="utf-8") for file in files)


def _photo_assets(site: Site) -> list[Asset]:
    renditions = (r for shown in site.shown_photos for r in shown.photo.renditions)
    return [Asset(r.name, r.path) for r in {r.name: r for r in renditions}.values()]
