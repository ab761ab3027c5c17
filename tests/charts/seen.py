"""What a reader of a drawing finds in it, for the tests of figures on a sheet."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import altair as alt

from journal_tools.charts.render import to_svg

HOSTILE = "<script>alert(\"x\")</script> & 'co' 🐠\u202e"


def drawing(chart: alt.LayerChart) -> ET.Element:
    return ET.fromstring(to_svg(chart))


def size(chart: alt.LayerChart) -> int:
    return len(to_svg(chart).encode())


def texts(chart: alt.LayerChart) -> list[str]:
    found = drawing(chart).iter("{http://www.w3.org/2000/svg}text")
    return ["".join(element.itertext()) for element in found]


def rows_of(chart: alt.LayerChart, name: str) -> list[dict]:
    layers = chart.to_dict(validate=False)["layer"]
    return next(x for x in layers if x.get("data", {}).get("name") == name)["data"]["values"]


def names(chart: alt.LayerChart) -> list[str]:
    return [x["data"]["name"] for x in chart.to_dict(validate=False)["layer"] if "data" in x]


def written(chart: alt.LayerChart) -> list[dict]:
    """All words that stand on a sheet, with their places."""
    found = []
    for layer in chart.to_dict(validate=False)["layer"]:
        if layer["mark"]["type"] == "text":
            found += [{**layer["mark"], **row} for row in layer["data"]["values"]]
    return found
