from __future__ import annotations

import pytest

from journal_tools.charts.theme import PALETTE, Scheme, colour, fixed_colours, variables_css


def luminance(colour_hex: str) -> float:
    """Relative luminance. Source: WCAG 2.2, definition of relative luminance."""
    parts = [int(colour_hex[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    """Contrast ratio. Source: WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted([luminance(first), luminance(second)], reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_and_white_is_21():
    # Source: WCAG 2.2, note to the definition: ratios range from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("role", ["ink", "muted", "kelp", "coral"])
def test_text_can_be_read_on_paper(role, scheme: Scheme):
    # Source: WCAG 2.2, success criterion 1.4.3 (4.5 to 1).
    assert contrast(getattr(PALETTE[role], scheme), getattr(PALETTE["paper"], scheme)) >= 4.5


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(
    "role,ground", [("kelp", "band"), ("bar", "paper"), ("bar-quiet", "paper")]
)
def test_marks_stand_out_from_their_ground(role, ground, scheme: Scheme):
    # Source: WCAG 2.2, success criterion 1.4.11 (3 to 1).
    assert contrast(getattr(PALETTE[role], scheme), getattr(PALETTE[ground], scheme)) >= 3


def test_colours_follow_the_page_and_can_be_fixed():
    text = f'<path stroke="{colour("kelp")}" fill="{colour("band-edge")}"/>'
    fixed = fixed_colours(text, "dark")
    assert "var(" not in fixed
    assert PALETTE["kelp"].dark in fixed
    assert PALETTE["band-edge"].dark in fixed


def test_every_colour_has_a_variable():
    css = variables_css("light")
    assert all(f"--jt-{role}: {ink.light};" in css for role, ink in PALETTE.items())
