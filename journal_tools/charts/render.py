"""From a chart to text: static SVG for the page, Vega-Lite for readers who want to zoom."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache
from typing import Any

import altair as alt
import vl_convert

# vl-convert names a version by its first two numbers, Altair by three.
VEGA_LITE = ".".join(alt.VEGALITE_VERSION.split(".")[:2])

_SVG = "http://www.w3.org/2000/svg"
_SPACE = f"{{{_SVG}}}"
_DROPPED = {"class", "role", "version", "pointer-events", "stroke-miterlimit", "font-family"}
# XML 1.0 knows no such characters, escaped or not, and vl-convert 1.9 ends the whole process at
# the first of them.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NUMBER = re.compile(r"-?\d*\.\d+(?:e-?\d+)?|-?\d+e-?\d+")
_SIMPLE_PATH = re.compile(r"(?:[ML]-?[\d.e-]+,-?[\d.e-]+|Z)+")
_PIECE = re.compile(r"([ML])(-?[\d.e-]+),(-?[\d.e-]+)|Z")
_REFERENCE = re.compile(r"url\(#([^)]+)\)")


def to_svg(chart: alt.LayerChart, *, name: str = "", title: str = "") -> str:
    """Give a chart as an SVG element to put into a page, the same bytes for the same chart.

    It follows the page's width, font and colours (the CSS variables of `theme`), refers to nothing
    outside, and carries title and description for readers who do not see it.

    Args:
        chart: What to draw; its description becomes the text alternative.
        name: Start of all ids, unique on the page; by default the chart's own name.
        title: Short name for screen readers; by default the chart's own title.

    Returns:
        One ``<svg>`` element.
    """
    spec = printable(chart.to_dict(validate=False))
    name = name or str(spec.get("name", "chart"))
    title = printable(title) or str(spec.get("usermeta", {}).get("title", name))
    drawn = vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE)
    root = ET.fromstring(drawn)
    for child in list(root):
        _clean(child)
        if _is_empty(child):
            root.remove(child)
    _rename_ids(root, name)
    _label(root, name, title, str(spec.get("description", "")))
    return ET.tostring(root, encoding="unicode")


def to_spec(chart: alt.LayerChart) -> dict[str, Any]:
    """Give a chart as Vega-Lite for the page's script, as wide as its container.

    Colours stay CSS variables: Vega's SVG renderer passes them on and they follow the page; the
    canvas renderer cannot read them.

    Args:
        chart: Made with ``interactive=True``.

    Returns:
        The specification, ready for JSON.
    """
    spec: dict[str, Any] = printable(chart.to_dict(validate=False))
    spec["width"] = "container"
    spec["autosize"] = {"type": "fit-x", "contains": "padding"}
    options = {"renderer": "svg", "actions": False, "ast": True}
    spec["usermeta"] = {**spec.get("usermeta", {}), "embedOptions": options}
    return spec


def responsive(wide: str, narrow: str) -> str:
    """Give two drawings of one chart of which the page shows the one that fits.

    One drawing for all widths would have letters of 5 px on a phone: text in an SVG shrinks with
    it. The hidden one is out of reach of screen readers too.

    Args:
        wide: SVG for 580 px and more.
        narrow: SVG for less.

    Returns:
        HTML; `stylesheet` shows one of the two.
    """
    parts = (("wide", wide), ("narrow", narrow))
    drawings = "".join(f'<div class="jt-chart__{name}">{svg}</div>' for name, svg in parts)
    return f'<div class="jt-chart"><div class="jt-chart__fit">{drawings}</div></div>'


def stylesheet() -> str:
    """Give the CSS that `responsive` needs."""
    return (
        ".jt-chart{container-type:inline-size;font-family:inherit}"
        ".jt-chart__wide{display:none}"
        ".jt-chart__narrow{max-width:30rem}"
        "@container (min-width:580px){"
        ".jt-chart__wide{display:block}.jt-chart__narrow{display:none}}"
        "@media print{.jt-chart{break-inside:avoid}}"
    )


@cache
def vega_bundle() -> str:
    """Give Vega, Vega-Lite and the embedder as one classic script that sets ``vegaEmbed``.

    The versions are those of the installed Altair. Wrapped in a function, since its one-letter
    names would else be global and clash with other scripts of the page; ASCII only, so that it
    does not depend on the encoding that a server declares.

    Returns:
        JavaScript.
    """
    script = vl_convert.javascript_bundle("window.vegaEmbed = vegaEmbed;", vl_version=VEGA_LITE)
    plain = re.sub(r"[^\x00-\x7f]", _escaped, script).replace("</script", "<\\/script")
    return f"(function () {{\n{plain}\n}})();\n"


def _escaped(found: re.Match[str]) -> str:
    """Give a character as JavaScript escapes of its UTF-16 units."""
    units = found[0].encode("utf-16-be").hex()
    return "".join(f"\\u{units[i : i + 4]}" for i in range(0, len(units), 4))


def printable(value: Any) -> Any:
    """Give a value of JSON with texts that can be drawn."""
    if isinstance(value, str):
        return _UNPRINTABLE.sub("", value)
    if isinstance(value, dict):
        return {key: printable(inner) for key, inner in value.items()}
    return [printable(inner) for inner in value] if isinstance(value, list) else value


def _clean(element: ET.Element) -> None:
    """Take from an element and all within what does not show, and shorten its numbers."""
    element.tag = element.tag.removeprefix(_SPACE)
    for key, value in list(element.attrib.items()):
        if key in _DROPPED or key.startswith("aria-") or (key, value) == ("opacity", "1"):
            del element.attrib[key]
        elif key == "d":
            element.set(key, short_path(value))
        elif "." in value and key not in ("fill", "stroke"):
            element.set(key, _NUMBER.sub(_rounded, value))
    if element.get("transform") == "translate(0,0)":
        del element.attrib["transform"]
    for child in list(element):
        _clean(child)
        if _is_empty(child):
            element.remove(child)


def _is_empty(element: ET.Element) -> bool:
    """Say whether an element draws nothing: Vega leaves groups and frames without content."""
    if element.tag in ("g", "defs"):
        return len(element) == 0
    if element.tag == "path":
        return not element.get("d") or not (element.get("fill") or element.get("stroke"))
    if element.tag == "rect":
        return element.get("fill") == "transparent"
    return element.tag == "text" and not (element.text or len(element))


def short_path(path: str) -> str:
    """Give a path with a tenth of a px, dots as strokes of no length, upright strokes as V.

    Args:
        path: The ``d`` of a path.

    Returns:
        A shorter one that draws the same.

    >>> short_path("M0.04,44L0.04,36.26M3,7Z")
    'M0,44V36.3M3,7h0'
    """
    if not _SIMPLE_PATH.fullmatch(path):
        return _NUMBER.sub(_rounded, path)
    pieces: list[str] = []
    x = y = ""
    for command, next_x, next_y in _PIECE.findall(path):
        before, x, y = (x, y), *((_short(next_x), _short(next_y)) if command else (x, y))
        if not command:
            pieces.append("h0" if pieces[-1].startswith("M") else "Z")
        elif command == "L" and x == before[0]:
            pieces.append(f"V{y}")
        elif command == "L" and y == before[1]:
            pieces.append(f"H{x}")
        else:
            pieces.append(f"{command}{x},{y}")
    return "".join(pieces)


def _short(number: str) -> str:
    """Give a number with at most one decimal."""
    text = f"{float(number):.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


def _rounded(found: re.Match[str]) -> str:
    """Give a matched number with at most one decimal."""
    return _short(found[0])


def _rename_ids(root: ET.Element, name: str) -> None:
    """Give all ids the name of the chart and a number; Vega counts on from chart to chart."""
    marked = [element for element in root.iter() if element.get("id")]
    names = {element.attrib["id"]: f"{name}-{i}" for i, element in enumerate(marked)}
    for element in root.iter():
        if element.get("id"):
            element.set("id", names[element.attrib["id"]])
        for key, value in element.attrib.items():
            if value.startswith("url("):
                element.set(key, _REFERENCE.sub(lambda m: f"url(#{names[m[1]]})", value))


def _label(root: ET.Element, name: str, title: str, description: str) -> None:
    """Make the root fit its place and say what it shows."""
    root.tag = "svg"
    root.attrib = {
        "xmlns": _SVG,
        "viewBox": root.attrib["viewBox"],
        "role": "img",
        "aria-labelledby": f"{name}-title" + (f" {name}-desc" if description else ""),
        "style": "display:block;width:100%;height:auto;font-family:inherit",
    }
    texts = [("desc", description)] if description else []
    for tag, text in [*texts, ("title", title)]:
        element = ET.Element(tag, {"id": f"{name}-{tag}"})
        element.text = text
        root.insert(0, element)
