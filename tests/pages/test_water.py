"""The water page: a section for each tested parameter."""

from __future__ import annotations

from tests.pages.built import Built, text_of


def test_an_empty_journal_says_what_to_write(empty: Built) -> None:
    page = empty.html["water"]
    assert "No tests yet." in page.text and "readings: {alkalinity: 8.2}" in page.text
    assert list(page.all("h2")) == []


def test_every_tested_parameter_has_its_section(built: Built) -> None:
    headings = [e.get("id") for e in built.html["water"].all("h2")]
    assert headings[: len(built.site.tested)] == [p.name for p in built.site.tested]
    assert headings[len(built.site.tested) :] in ([], ["together"])
    assert ("together" in headings) == ("alkalinity" in headings and "ph" in headings)


def test_a_chart_has_words_and_a_table(three: Built) -> None:
    page = three.html["water"]
    figure = page.by_id("chart-alkalinity")
    (caption,) = figure.iter("figcaption")
    assert "2 readings from 31 January 2026 to 10 February 2026" in text_of(caption)
    cells = [[text_of(td) for td in tr.iter("td")] for tr in figure.iter("tr")]
    # newest first; 0.2 dKH is the usual error of the parameter table
    assert cells == [
        [], ["10 Feb 2026", "12.0 dKH", "± 0.2", ""], ["31 Jan 2026", "8.0 dKH", "± 0.2", ""],
    ]  # fmt: skip


def test_the_overview_gives_the_share_of_time_in_the_band(three: Built) -> None:
    (table,) = three.html["water"].by_class("jt-overview")
    rows = {
        text_of(next(tr.iter("th"))): [text_of(td) for td in tr.iter("td")]
        for tr in table.iter("tr")
    }
    # 8 to 12 in ten days of which 7 to 11 is left after three quarters
    assert rows["Alkalinity"] == ["12.0 dKH", "7.0 to 11.0 dKH", "7 weeks ago", "75 % of 10 days"]
    assert rows["Nitrate"] == ["< 5.0 mg/L", "2.0 to 15.0 mg/L", "8 weeks ago", "–"]


def test_long_tables_are_cut_and_the_rest_is_named(demo: Built) -> None:
    for parameter in demo.site.tested:
        figure = demo.html["water"].by_id(f"chart-{parameter.name}")
        count = len(demo.site.tables.readings_of(parameter.name))
        shown = sum(1 for tr in figure.iter("tr")) - 1
        assert shown == min(count, 60)
        left = f"{count - 60} older readings are in readings.csv."
        assert (left in text_of(figure)) == (count > 60)


def test_interactive_charts_lie_where_the_buttons_say(demo: Built) -> None:
    files = {f"site:{asset.path}" for asset in demo.tree.assets}
    buttons = [e for e in demo.html["water"].all("button") if e.get("data-chart")]
    assert len(buttons) == len(demo.site.tested)
    assert {e.get("data-src") for e in buttons} | {e.get("data-vega") for e in buttons} <= files
