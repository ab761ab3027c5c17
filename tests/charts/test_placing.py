from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.charts.placing import Area, Ground, sampled

PLOT = Area(0, 0, 300, 150)


def covers(found: Area, dots: list[tuple[float, float]]) -> bool:
    return any(found.left < x < found.right and found.top < y < found.bottom for x, y in dots)


def test_a_label_goes_beside_its_line_and_not_on_it():
    ground = Ground(PLOT)
    line = [(0.0, 75.0), (300.0, 75.0)]
    ground.draw(line)
    found = ground.place([(150, 75)], 60, 15)
    assert not covers(found, sampled(line))
    assert found.gap((150, 75)) < 10


def test_a_second_label_does_not_cover_the_first():
    ground = Ground(PLOT)
    first, second = (ground.place([(150, 75)], 80, 15) for _ in range(2))
    assert second.right <= first.left or first.right <= second.left or (
        second.bottom <= first.top or first.bottom <= second.top
    )  # fmt: skip


def test_a_full_plot_still_gives_a_place():
    ground = Ground(Area(0, 0, 40, 20))
    ground.draw([(0, 0), (40, 20)])
    ground.draw([(0, 20), (40, 0)])
    assert ground.place([(20, 10)], 90, 30).left == 0


def test_a_grid_line_is_avoided_only_if_that_costs_little():
    grid = [(float(x), 75.0) for x in range(0, 300, 5)]
    near = Ground(PLOT, faint=list(grid)).place([(150, 75)], 60, 15)
    assert not covers(near, grid)
    walled = Ground(PLOT, faint=list(grid))
    for y in (60.0, 90.0):
        walled.draw([(0, y), (300, y)])
    assert covers(walled.place([(150, 75)], 60, 15), grid)


@settings(max_examples=50, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 300), st.floats(0, 150)), max_size=8),
    st.tuples(st.floats(-50, 350), st.floats(-50, 200)),
    st.floats(10, 120),
)
def test_labels_stay_in_the_plot(line, anchor, width_px):
    ground = Ground(PLOT)
    ground.draw(line)
    found = ground.place([anchor], width_px, 15)
    assert found.left >= 0
    assert found.top >= 0
    assert found.right <= 301
    assert found.bottom <= 151


@given(st.lists(st.tuples(st.floats(-999, 999), st.floats(-999, 999)), max_size=6))
def test_samples_are_close_and_hold_both_ends(path):
    spots = sampled(path)
    assert spots[:1] == path[:1]
    for (x1, y1), (x2, y2) in pairwise(spots):
        assert (x2 - x1) ** 2 + (y2 - y1) ** 2 <= 25.01
    if path:
        assert abs(spots[-1][0] - path[-1][0]) < 1e-9
