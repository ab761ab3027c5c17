"""What every metric must state, and what every result of the demo journal must hold."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal_tools.metrics import METRICS, Metric, Metrics, Result, compute_metrics
from journal_tools.metrics.record import CAUTIONS
from journal_tools.science.validity import in_scalar_range
from journal_tools.tables import Tables, build_tables
from tests.journals import TANK, read
from tests.metrics.conftest import CONTENT, DEMO_TODAY, assert_sound


@pytest.mark.parametrize("metric", METRICS, ids=lambda metric: metric.name)
def test_a_metric_says_what_how_and_by_whom(metric: Metric) -> None:
    assert metric.name.replace("_", "").isalnum() and metric.name.islower()
    assert metric.title[0].isupper() or metric.title.startswith("pH")
    assert not metric.title.endswith(".")
    assert metric.method.endswith(".") and len(metric.method) > 20
    assert metric.source.endswith(".")
    assert metric.hazard in CAUTIONS
    assert bool(metric.caution) == (metric.hazard != "none")


def test_names_are_unique() -> None:
    names = [metric.name for metric in METRICS]
    titles = [metric.title for metric in METRICS]
    assert len(set(names)) == len(names) and len(set(titles)) == len(titles)


def test_cautions_send_people_to_someone_who_knows() -> None:
    assert "licensed" in CAUTIONS["mains"] and "local code" in CAUTIONS["mains"]
    assert "not a verdict" in CAUTIONS["load"] and "engineer" in CAUTIONS["load"]
    assert "not a verdict" in CAUTIONS["glass"] and "gloves" in CAUTIONS["chemical"]
    assert "entilat" in CAUTIONS["gas"] and "medical" in CAUTIONS["animal"]


def test_what_can_hurt_carries_a_caution() -> None:
    hazards = {metric.name: metric.hazard for metric in METRICS}
    for name in ("rated_turnover", "return_flow", "turnover"):
        assert hazards[name] == "mains"
    for name in ("flow_lost", "flow_gained", "back_siphon", "heater_needed", "mean_power"):
        assert hazards[name] == "mains"
    for name in ("consumption", "consumption_between_tests", "dose_per_day", "dose_effect"):
        assert hazards[name] == "chemical"


ONLY_WHERE_SOMETHING_IS_ODD = {
    "odd_reading", "level_jump", "leaves_band", "tests_disagree", "volume_by_dose",
}  # fmt: skip


def test_the_demo_has_something_of_every_metric(demo_metrics: Metrics) -> None:
    found = {result.metric for result in demo_metrics}
    assert found | ONLY_WHERE_SOMETHING_IS_ODD == {metric.name for metric in METRICS}
    assert list(demo_metrics.definitions) == [metric.name for metric in METRICS]


def test_every_interval_holds_its_value(demo_metrics: Metrics) -> None:
    for result in demo_metrics:
        assert math.isfinite(result.value), result
        assert (result.low is None) == (result.high is None), result
        if result.low is not None and result.high is not None:
            assert result.low <= result.value <= result.high, result
            assert demo_metrics.definitions[result.metric].interval, result.metric
        if result.start is not None:
            assert result.end is not None and result.start <= result.end, result


RATIOS = {"aragonite_saturation"}
"""Pure numbers: their unit is one, which is not written (ISO 80000-1, 7.2.3)."""


def test_units_are_stated(demo_metrics: Metrics) -> None:
    for result in demo_metrics:
        assert bool(result.unit) == (result.metric not in RATIOS), result
        assert demo_metrics.definitions[result.metric].unit in ("", result.unit), result


def test_every_input_leads_to_a_line_of_an_entry(demo: Tables, demo_metrics: Metrics) -> None:
    files = {path.stem: path for path in (CONTENT / "log").rglob("*.yml")}
    lines = {row.entry: len(files[row.entry].read_text().splitlines())
             for row in demo.entries.itertuples()}  # fmt: skip
    told = [line for result in demo_metrics for line in result.inputs if line.entry]
    assert len(told) > 100
    for line in told:
        assert line.entry in lines, line
        assert 1 <= line.line <= lines[line.entry], line


def test_nothing_of_the_demo_lies_in_the_future(demo: Tables, demo_metrics: Metrics) -> None:
    assert demo.today == DEMO_TODAY
    # a month that has begun is counted to its end
    for result in demo_metrics:
        if result.end is not None and not result.metric.endswith("_per_month"):
            assert result.end <= demo.now, result


def test_results_are_found_by_metric_and_subject() -> None:
    found = Metrics()
    a, b = (metric_of(name) for name in "ab")
    results = [Result("a", 1, "L", subject="x"), Result("a", 2, "L", subject="y")]
    found.add(a, results)
    assert found.of("b") == [] and found.one("b") is None
    found.add(b, [Result("b", 3, "L")])
    assert found.of("a") == results
    assert found.of("a", "x") == results[:1]
    assert found.one("a") == results[1] and found.one("a", "z") is None
    assert [r.value for r in found] == [1, 2, 3]


def metric_of(name: str) -> Metric:
    return Metric(name, name, "L", "By hand.", "Definition.", "none", "", lambda *_: ())


def test_what_lies_beyond_a_method_is_told_and_the_rest_is_kept() -> None:
    """A metric that stops half way keeps what it gave, and the ones after it are reckoned."""

    def results() -> Iterator[Result]:
        yield Result("a", 1, "L", subject="x")
        in_scalar_range("temperature", 60.0, 0.0, 40.0, "°C")
        yield Result("a", 2, "L", subject="y")

    found = Metrics()
    found.add(metric_of("a"), results())
    found.add(metric_of("b"), [Result("b", 3, "L")])
    assert [r.value for r in found] == [1, 3]
    assert found.one("a", "x") is not None and found.one("a", "y") is None
    assert found.beyond == {"a": "temperature 60 °C is outside 0 to 40 °C"}
    assert list(found.definitions) == ["a", "b"]


def test_a_mistake_of_the_program_is_not_taken_for_one_of_the_method() -> None:
    def results() -> Iterator[Result]:
        raise ValueError("no such thing")
        yield

    with pytest.raises(ValueError, match="no such thing"):
        Metrics().add(metric_of("a"), results())


def test_the_demo_lies_within_every_method(demo_metrics: Metrics) -> None:
    assert demo_metrics.beyond == {}


def test_what_is_beyond_a_method_of_a_journal_is_told() -> None:
    text = TANK + "vessels: {name: d, length: 90, width: 40, water_height: 40}\n"
    text += "room: {coldest: 18}\nequipment: [{name: h, kind: heater, set_point: 55}]\n"
    found = compute_metrics(build_tables(read({"tank.yml": text})))
    assert "55" in found.beyond["heat_loss"] and found.one("net_volume") is not None


SHAPES = {
    "rectangle": "length: {}, width: {}, water_height: {}",
    "cylinder": "diameter: {}, water_height: {}",
    "bow_front": "length: {}, width: {}, bow: {}, water_height: {}",
    "regular_polygon": "sides: 6, side_length: {}, water_height: {}",
    "stated": "volume: {}",
}
PROFILE = (
    "fill: {{rock: {{mass: {}}}, sand: {{bed_volume: {}}}}}\n"
    "equipment:\n"
    "  - name: pump\n"
    "    kind: return pump\n"
    "    rated_flow: {}\n"
    "    curve: [{{flow: 0, head: {}}}, {{flow: {}, head: {}}}, {{flow: {}, head: 0}}]\n"
    "    plumbing: {{static_head: {}, pipes: [{{length: {}, bore: {}}}], fittings: {{exit: 1}}}}\n"
    "supplements:\n"
    "  - {{name: mix, salts: {{NaHCO3: {}}}, made_up_to: {}}}\n"
    "  - {{name: ready, potency: {{by: {}, water: {}, raises: {{calcium: {}}}}}}}\n"
    "animals: [{{name: fish, group: fish, adult_length: {}, mass_a: {}, mass_b: {}}}]\n"
)
ENTRY = (
    "readings: {{alkalinity: 8, calcium: 420}}\n"
    "livestock: [{{added: fish, count: 3, length: {}}}, {{added: fish}}]\n"
    "doses: [{{what: mix, amount: {}}}, {{what: ready, amount: {}}}]\n"
    "water_change: {{volume: {}, fresh: {{alkalinity: {}}}}}\n"
    "costs: [{{what: salt, amount: {}}}]\n"
)
numbers = st.one_of(
    st.sampled_from(["0", "0.001", "0.3", "1", "25", "90", "2000", "1e5", "1e6", "1e9", "-1"]),
    st.floats(0, 1e4).map("{:.3f}".format),
)


@settings(max_examples=30, deadline=None)
@given(shape=st.sampled_from(sorted(SHAPES)), draw=st.lists(numbers, min_size=32, max_size=32))
def test_no_number_that_a_keeper_writes_stops_a_build(shape: str, draw: list[str]) -> None:
    """What cannot be is a problem with a line, and the rest is reckoned with: nothing raises."""
    vessel = SHAPES[shape].format(*draw[:4])
    files = {
        "tank.yml": TANK + f"vessels: {{name: d, shape: {shape}, {vessel}}}\n"
        + PROFILE.format(*draw[4:22]),
        "log/2026-03-01.yml": ENTRY.format(*draw[22:28]),
        "log/2026-03-09.yml": ENTRY.format(*draw[26:32]),
    }  # fmt: skip
    journal = read(files)
    assert all(problem.line for problem in journal.problems)
    for result in compute_metrics(build_tables(journal)):
        assert math.isfinite(result.value), result
        if result.low is not None and result.high is not None:
            assert result.low <= result.value <= result.high, result


GEAR = (
    "vessels:\n"
    "  - {{name: display, length: {}, width: {}, water_height: {}, height: {}, "
    "glass_thickness: {}, drains_down: {}}}\n"
    "  - {{name: sump, length: {}, width: {}, water_height: {}, height: {}}}\n"
    "fill: {{measured_volume: {}}}\n"
    "stand: {{mass: {}, length: {}, width: {}, rated_load: {}, feet: 4}}\n"
    "room: {{coldest: {}, humidity: {}, carbon_dioxide: {}}}\n"
    "equipment:\n"
    "  - {{name: h, kind: heater, power: {}, set_point: {}}}\n"
    "  - {{name: g, kind: heater, power: {}}}\n"
    "  - {{name: t, kind: top-off, reservoir: {}}}\n"
    "  - {{name: l, kind: light, power: {}, hours_per_day: 9, light: {{on: '20:00', off: '04:00', "
    "par: {{top: {}}}}}}}\n"
    "foods: [{{name: flakes, protein: {}}}]\n"
    "tariff: {}\n"
    "altitude: {}\n"
)
LOG = (
    "readings: {{alkalinity: {}, ph: {}, temperature: {}, salinity: {}, calcium: {}, ammonia: {}, "
    "nitrite: {}, oxygen: {}}}\n"
    "top_off: {}\n"
    "feed: {{what: flakes, amount: {}}}\n"
)


@settings(max_examples=30, deadline=None)
@given(draw=st.lists(numbers, min_size=47, max_size=47))
def test_no_room_gear_or_reading_stops_a_build(draw: list[str]) -> None:
    files = {
        "tank.yml": TANK + GEAR.format(*draw[:27]),
        "log/2026-03-01.yml": LOG.format(*draw[27:37]),
        "log/2026-03-09.yml": LOG.format(*draw[37:47]),
    }
    assert_sound(compute_metrics(build_tables(read(files))))
