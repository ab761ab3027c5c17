"""A site's own data folder back into facts: the tables that ``export`` has written."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from journal_tools.names import name_key
from journal_tools.parameters import PARAMETERS
from journal_tools.profile import Profile
from journal_tools.rows import reading_error
from journal_tools.tables import COLUMNS
from journal_tools.writing.clauses import bare_number
from journal_tools.writing.facts import (
    SECTION_OF_TABLE,
    Fact,
    Key,
    fact_key,
    volume_written,
    written_quantity,
)
from journal_tools.writing.rows_taken import Untaken, row_trace
from journal_tools.writing.spreadsheet import decoded

_NUMBERS = frozenset(
    {"value", "error", "amount", "volume_l", "length_cm", "amount_g", "count", "line", "shown"}
    | {"standard", "millivolts", "step"}
    | {f"fresh_{name}" for name in PARAMETERS}
)


@dataclass(frozen=True)
class DataRow:
    """One row of a published table.

    Attributes:
        table: Name of the table.
        number: Row as a spreadsheet program counts it; the headings are row 1.
        moment: When, in the keeper's time zone.
        values: Its cells by column: numbers, texts, and true or false.
    """

    table: str
    number: int
    moment: dt.datetime
    values: dict[str, Any]

    @property
    def entry(self) -> str:
        """Id of the entry that it came from; empty for the profile."""
        return str(self.values.get("entry") or "")

    @property
    def key(self) -> Key:
        """What makes it the same fact as another."""
        return fact_key(self.table, self.moment, self.values)

    @property
    def trace(self) -> str:
        """A short hash of what it says."""
        said = {k: v for k, v in self.values.items() if k != "line"}
        return row_trace([(self.table, "")] + [(k, str(v)) for k, v in said.items()])


def published_tables(path: Path) -> dict[str, Path]:
    """Give the published tables of a folder, or of one file, by name; none if it is no such thing.

    Args:
        path: The ``data`` folder of a site, or a CSV file of it.
    """
    if path.is_dir():
        return {t: path / f"{t}.csv" for t in _ITEMS if is_published(t, path / f"{t}.csv")}
    return {t: path for t in _ITEMS if path.name == f"{t}.csv" and is_published(t, path)}


def is_published(table: str, path: Path) -> bool:
    """Tell whether a file has the columns of a published table; a site of old may have fewer."""
    if not path.is_file():
        return False
    with path.open("rb") as file:
        columns = set(decoded(file.readline()).strip().split(","))
    return {"time", "entry", "line"} <= columns <= set(COLUMNS[table])


def read_table(table: str, path: Path, profile: Profile) -> Iterator[DataRow | Untaken]:
    """Give the rows of a published table, and what is wrong with others."""
    text = path.read_bytes().decode("utf-8-sig", errors="replace")
    for number, cells in enumerate(csv.DictReader(io.StringIO(text, newline="")), 2):
        try:
            moment = dt.datetime.fromisoformat(cells["time"] or "")
            values = {k: _value(k, v) for k, v in cells.items() if k is not None and k != "time"}
            if table == "readings":
                values.setdefault("shown", values["value"])
        except ValueError as error:
            column = "A (time)" if "isoformat" in str(error) else ""
            yield Untaken(number, column, f"A cell of {path.name} cannot be read: {error}.",
                          "Take the file as the site has it.")  # fmt: skip
            continue
        if len(cells["time"] or "") == len("2026-03-14"):
            moment = moment.replace(hour=12)  # a site that keeps times private; no time is noon
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=profile.zone)
        yield DataRow(table, number, moment.astimezone(profile.zone), values)


def _value(column: str, written: str | None) -> Any:
    """Give a cell as the table held it; texts lose the apostrophe that keeps them from running."""
    text = written or ""
    if column in _NUMBERS:
        return float(text) if text else None
    if column in ("scheduled", "spread", "adjusted"):
        return text == "true"
    return text.removeprefix("'")


# --- Facts ------------------------------------------------------------------------------------


def data_facts(rows: Iterable[DataRow], profile: Profile) -> Iterator[Fact]:
    """Give the facts of published rows: prices beside what was bought, daily doses as plans."""
    rows = list(rows)
    events = [row for row in rows if row.table in ("livestock", "equipment")]
    prices = [row for row in rows if row.table == "costs"]
    price_of = _prices_of_events(events, prices)
    spent = {id(price) for price in price_of.values()}
    yield from _plans(row for row in rows if row.values.get("scheduled"))
    yield from _calibrations(row for row in rows if row.table == "calibrations")
    for row in rows:
        gathered = row.values.get("scheduled") or row.table == "calibrations"
        if id(row) in spent or gathered:
            continue
        item = _ITEMS[row.table](row.values, profile)
        if price := price_of.get(id(row)):
            item["price"] = price.values["amount"]
        name = row.values["parameter"] if row.table == "readings" else ""
        section = SECTION_OF_TABLE[row.table]
        yield Fact(section, row.moment, item, name, row.entry, row.number)


def _prices_of_events(events: list[DataRow], prices: list[DataRow]) -> dict[int, DataRow]:
    """Find the price of each event: the cost of its kind and name on the same line of its entry."""
    waiting: dict[tuple[Any, ...], list[DataRow]] = {}
    for price in prices:
        values = price.values
        place = (values["category"], price.entry, values["line"], name_key(values["what"]))
        waiting.setdefault(place, []).append(price)
    found = {}
    for event in events:
        values = event.values
        place = (event.table, event.entry, values["line"], name_key(values["name"]))
        if event.entry and waiting.get(place):
            found[id(event)] = waiting[place].pop(0)
    return found


def _plans(rows: Iterable[DataRow]) -> Iterator[Fact]:
    """Give one plan for each run of equal daily doses."""
    runs: list[list[DataRow]] = []
    ordered = sorted(rows, key=lambda row: (row.entry, row.values["line"], row.values["product"],
                                            row.moment))  # fmt: skip
    for row in ordered:
        if runs and _goes_on(runs[-1][-1], row):
            runs[-1].append(row)
        else:
            runs.append([row])
    for run in runs:
        first, last, values = run[0].moment.date(), run[-1].moment.date(), run[0].values
        plan = {
            "what": values["product"],
            "per_day": _dosed(values),
            "start": first.isoformat(),
            "until": last.isoformat(),
        }
        if not values.get("spread", True):
            plan["time"] = f"{run[0].moment:%H:%M}"
        yield Fact("dosing_plan", _written(run[0]), plan, "", run[0].entry, run[0].number)


def _written(row: DataRow) -> dt.datetime:
    """Give the day on which a plan was written: its entry's, of which the id tells."""
    try:
        day = dt.date.fromisoformat(row.entry[:10])
    except ValueError:
        return row.moment
    return dt.datetime.combine(day, dt.time(12), row.moment.tzinfo)


def _calibrations(rows: Iterable[DataRow]) -> Iterator[Fact]:
    """Put the points of one calibration together."""
    groups: dict[tuple[Any, ...], list[DataRow]] = {}
    for row in rows:
        values = row.values
        place = (row.entry, values["line"], name_key(values["instrument"]), row.moment)
        groups.setdefault(place, []).append(row)
    for group in groups.values():
        first = group[0]
        item: dict[str, Any] = {"instrument": first.values["instrument"]}
        for row in group:
            item.setdefault(row.values["parameter"], []).append(_checkpoint(row.values))
        item |= {} if first.values["adjusted"] else {"adjusted": False}
        yield Fact("calibrations", first.moment, item, "", first.entry, first.number)


def _checkpoint(values: dict[str, Any]) -> dict[str, Any]:
    unit = PARAMETERS[values["parameter"]].unit
    # "pH" is no unit that anybody writes after a number.
    written = {key: f"{_number(values[key])} {unit}".removesuffix(" pH")
               for key in ("standard", "shown") if values[key] is not None}  # fmt: skip
    point: dict[str, Any] = {key: bare_number(text) for key, text in written.items()}
    return point | (
        {"millivolts": values["millivolts"]} if values["millivolts"] is not None else {}
    )


def _goes_on(before: DataRow, row: DataRow) -> bool:
    same = ("entry", "line", "product", "amount", "unit")
    following = (row.moment.date() - before.moment.date()).days == 1
    clocks = before.moment.time() == row.moment.time()
    return following and clocks and all(before.values[key] == row.values[key] for key in same)


def _number(value: float) -> str:
    return f"{value:.15g}"


def _dosed(values: dict[str, Any]) -> str:
    return f"{_number(values['amount'])} {values['unit']}"


def _reading(values: dict[str, Any], profile: Profile) -> Any:
    parameter = PARAMETERS[values["parameter"]]
    sign = {"below": "<", "above": ">"}.get(values["censored"], "")
    number, error = f"{sign}{_number(values['shown'])}", values["error"]
    usual = reading_error(parameter, profile, values["shown"])
    # A step is told where the error is that of the test; and the error of a corrected reading
    # holds that of its correction, which will be added again.
    given = error is not None and not values.get("step") and not values.get("correction")
    if given and f"{error:.9g}" != f"{usual:.9g}":
        written: Any = f"{number} ± {_number(error)} {parameter.unit}"
    else:
        bare = profile.bare_units.of_parameter(parameter)
        written = written_quantity(number, parameter.unit, parameter.dimension, bare)
    test = getattr(profile.tests, parameter.name, None)
    more = {"kit": values["kit"]} if values["kit"] != ((test and test.kit) or "") else {}
    more |= {"when": values["when"]} if values["when"] else {}
    return {"value": written, **more} if more else written


def _point(values: dict[str, Any], _profile: Profile) -> Any:
    return {"instrument": values["instrument"], values["parameter"]: [_checkpoint(values)]}


def _dose(values: dict[str, Any], _profile: Profile) -> Any:
    return {"what": values["product"], "amount": _dosed(values)}


def _water_change(values: dict[str, Any], profile: Profile) -> Any:
    volume = volume_written(_number(values["volume_l"]), "L", profile.bare_units)
    usual = profile.salt_mix.fresh if profile.salt_mix else None
    fresh = {}
    for name, parameter in PARAMETERS.items():
        value, stated = values[f"fresh_{name}"], getattr(usual, name, None)
        if value is None or (stated and f"{stated.value:.10g}" == f"{value:.10g}"):
            continue
        bare = profile.bare_units.of_parameter(parameter)
        fresh[name] = written_quantity(_number(value), parameter.unit, parameter.dimension, bare)
    return {"volume": volume, "fresh": fresh} if fresh else volume


def _top_off(values: dict[str, Any], profile: Profile) -> Any:
    volume = volume_written(_number(values["volume_l"]), "L", profile.bare_units)
    return {"volume": volume, "what": values["product"]} if values["product"] else volume


def _animal(values: dict[str, Any], _profile: Profile) -> Any:
    item: dict[str, Any] = {values["event"]: values["name"]}
    if values["count"] != 1:
        item["count"] = int(values["count"])
    if values["length_cm"] is not None:
        item["length"] = f"{_number(values['length_cm'])} cm"
    return item | ({"why": values["why"]} if values["why"] else {})


def _piece(values: dict[str, Any], _profile: Profile) -> Any:
    detail = "to" if values["event"] == "changed" else "note"
    more = {detail: values["detail"]} if values["detail"] else {}
    return {values["event"]: values["name"]} | more


def _cost(values: dict[str, Any], _profile: Profile) -> Any:
    item = {"what": values["what"], "amount": values["amount"]}
    return item | ({"category": values["category"]} if values["category"] != "other" else {})


def _task(values: dict[str, Any], _profile: Profile) -> Any:
    return {"task": values["task"], "note": values["note"]} if values["note"] else values["task"]


def _food(values: dict[str, Any], _profile: Profile) -> Any:
    if values["amount_g"] is None:
        return values["what"]
    return {"what": values["what"], "amount": f"{_number(values['amount_g'])} g"}


def _photo(values: dict[str, Any], _profile: Profile) -> Any:
    more = {key: values[key] for key in ("view", "caption") if values[key]}
    return {"file": values["file"], **more} if more else values["file"]


_ITEMS: dict[str, Callable[[dict[str, Any], Profile], Any]] = {
    "readings": _reading, "doses": _dose, "water_changes": _water_change, "top_offs": _top_off,
    "livestock": _animal, "equipment": _piece, "costs": _cost, "upkeep": _task,
    "feedings": _food, "photos": _photo, "calibrations": _point,
}  # fmt: skip
"""How a row of each table is written in an entry."""
