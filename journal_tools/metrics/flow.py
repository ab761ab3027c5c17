"""How often the return pump moves the whole water volume."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from journal_tools.metrics.gear import in_use, planned_note
from journal_tools.metrics.record import Input, Metric, Metrics, Result
from journal_tools.metrics.volume import relative_volume_error
from journal_tools.science.flow.hydraulics import Pipe, Plumbing, PumpCurve, operating_point
from journal_tools.science.flow.plumbing_changes import (
    BORES_MM,
    FlowChange,
    flow_with_bores,
    flow_without_each,
    next_bore_mm,
)
from journal_tools.science.flow.turnover import turnovers_per_hour
from journal_tools.system import Equipment
from journal_tools.system import Plumbing as PlumbingFacts
from journal_tools.tables import Tables


def return_pumps(tables: Tables) -> list[Equipment]:
    """Give the return pumps in service today, or the planned ones where there is none yet."""
    return in_use(tables, "return pump")


def _rated(tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for pump in return_pumps(tables):
        if net is None or pump.rated_flow is None:
            continue
        value = turnovers_per_hour(pump.rated_flow.value, net.value)
        error = value * relative_volume_error(net)
        inputs = (
            Input("rated flow", pump.rated_flow.said),
            Input("net volume", f"{net.value:.0f} L"),
        )
        yield Result("rated_turnover", value, "1/h", 1, pump.name, value - error, value + error,
                     inputs=inputs, note=" ".join(("By the box; the real flow is less.",
                                   planned_note(tables, pump))).strip())  # fmt: skip


RATED_TURNOVER = Metric(
    "rated_turnover", "Turnover by the pump's rating", "1/h",
    "Rated flow divided by net volume. A rating is taken at no height and no pipe.",
    "Definition. 3 to 10 times an hour is common practice for a sump, no source.",
    "mains", "one standard deviation of the volume", _rated,
)  # fmt: skip


def plumbing_of(facts: PlumbingFacts) -> Plumbing:
    """Give the profile's return line in the terms of hydraulics.

    Fittings of the whole line are allowed only where all pipes have one bore: then it does not
    matter which piece they are counted with.
    """
    pipes = tuple(
        Pipe(
            inner_diameter_mm=pipe.bore.value * 10,
            length_m=pipe.length.value / 100,
            fittings=Counter(pipe.fittings) + Counter({} if position else facts.fittings),
        )
        for position, pipe in enumerate(facts.pipes)
    )
    return Plumbing(facts.static_head.value / 100, pipes)


def curve_of(pump: Equipment) -> PumpCurve:
    """Give the pump curve of the profile, by rising flow."""
    points = sorted((point.flow.value, point.head.value / 100) for point in pump.curve)
    return PumpCurve(tuple(points))


def _real_flow(tables: Tables, _done: Metrics) -> Iterator[Result]:
    for pump in return_pumps(tables):
        if pump.plumbing is None or len(pump.curve) < 2:
            continue
        point = operating_point(curve_of(pump), plumbing_of(pump.plumbing))
        error = point.flow_l_h * point.relative_error
        pipes = ", ".join(f"{p.length.said} of {p.bore.said}" for p in pump.plumbing.pipes)
        pieces = plumbing_of(pump.plumbing).pipes
        counts = sum((Counter(piece.fittings) for piece in pieces), Counter[str]())
        fittings = ", ".join(f"{n} {name}" for name, n in counts.items())
        inputs = (
            Input("pump curve", ", ".join(f"{p.flow.said} at {p.head.said}" for p in pump.curve)),
            Input("height, surface to surface", pump.plumbing.static_head.said),
            Input("pipes (inner diameter)", pipes),
            Input("fittings", fittings or "none"),
            Input("head at this flow", f"{point.head_m:.2f} m"),
        )
        note = planned_note(tables, pump)
        if not point.lifts:
            note = f"By its curve the pump cannot lift water to this height. {note}".strip()
        flow = point.flow_l_h
        yield Result("return_flow", flow, "L/h", -1, pump.name, flow - error, flow + error,
                     inputs=inputs, note=note)  # fmt: skip


RETURN_FLOW = Metric(
    "return_flow", "Real flow of the return pump", "L/h",
    "Where the pump curve meets the height plus the friction of pipes and fittings "
    "(Darcy-Weisbach; friction factor by Colebrook; losses of fittings by handbook).",
    "Darcy-Weisbach with Colebrook 1939 (Moody 1944); fitting losses from the fluids library's "
    "handbook tables. ± 15 % for three or more curve points, ± 25 % for two.",
    "mains", "likely range", _real_flow,
)  # fmt: skip


def _changes(
    tables: Tables, done: Metrics
) -> Iterator[tuple[Equipment, PumpCurve, Plumbing, Result]]:
    for pump in return_pumps(tables):
        flow = done.one("return_flow", pump.name)
        if pump.plumbing is not None and flow is not None and flow.value > 0:
            yield pump, curve_of(pump), plumbing_of(pump.plumbing), flow


def _flow_lost(tables: Tables, done: Metrics) -> Iterator[Result]:
    """Give the flow that each part of the return line costs, the costliest first."""
    for pump, curve, plumbing, flow in _changes(tables, done):
        for change in flow_without_each(curve, plumbing):
            yield _change("flow_lost", pump, _part(plumbing, change), change, flow)


def _flow_gained(tables: Tables, done: Metrics) -> Iterator[Result]:
    for pump, curve, plumbing, flow in _changes(tables, done):
        for number, pipe in enumerate(plumbing.pipes):
            if pipe.inner_diameter_mm > BORES_MM[-1] - 0.1:
                continue
            wider = next_bore_mm(pipe.inner_diameter_mm)
            (change,) = flow_with_bores(curve, plumbing, (wider,), number)
            part = f"{wider:g} mm instead of {pipe.inner_diameter_mm:g} mm in pipe {number + 1}"
            yield _change("flow_gained", pump, part, change, flow)


def _part(plumbing: Plumbing, change: FlowChange) -> str:
    what = change.what.replace("_", " ")
    if change.pipe is None:
        return what
    pipe = plumbing.pipes[change.pipe]
    count = pipe.fittings.get(change.what, 0)
    one = f" (one of {count})" if count > 1 else ""
    return f"{what}{one} in pipe {change.pipe + 1} of {pipe.inner_diameter_mm:g} mm"


def _change(metric: str, pump: Equipment, part: str, change: FlowChange, flow: Result) -> Result:
    inputs = (Input("flow as it is", f"{flow.value:.0f} L/h"),
              Input("flow with the change", f"{change.flow_l_h:.0f} L/h"))  # fmt: skip
    return Result(metric, change.gain_l_h, "L/h", -1, f"{pump.name}: {part}", inputs=inputs,
                  note=flow.note)  # fmt: skip


FLOW_LOST = Metric(
    "flow_lost", "Flow that a part of the return line costs", "L/h",
    "The operating point worked out again without that part (of like fittings, without one).",
    "Darcy-Weisbach as for the real flow.", "mains", "", _flow_lost,
)  # fmt: skip
FLOW_GAINED = Metric(
    "flow_gained", "Flow that the next larger bore would give", "L/h",
    "The operating point worked out again with the next usual bore of that pipe; the height and "
    "the pump stay.",
    "Darcy-Weisbach as for the real flow. The list of bores is common practice, no source.",
    "mains", "", _flow_gained,
)  # fmt: skip


def _real(_tables: Tables, done: Metrics) -> Iterator[Result]:
    net = done.one("net_volume")
    for flow in done.of("return_flow"):
        if net is None or flow.low is None or flow.high is None:
            continue
        value = turnovers_per_hour(flow.value, net.value)
        share = (flow.high - flow.low) / 2 / flow.value if flow.value else 0.0
        error = value * (share**2 + relative_volume_error(net) ** 2) ** 0.5
        inputs = (
            Input("real flow", f"{flow.value:.0f} L/h"),
            Input("net volume", f"{net.value:.0f} L"),
        )
        yield Result("turnover", value, "1/h", 1, flow.subject, value - error, value + error,
                     inputs=inputs, note=flow.note)  # fmt: skip


REAL_TURNOVER = Metric(
    "turnover", "Turnover at the real flow", "1/h",
    "Flow at the operating point divided by net volume.",
    "Definition; the flow as stated there. 3 to 10 times an hour is common practice, no source.",
    "mains", "likely range", _real,
)  # fmt: skip
