"""What charts mark on their time axis: changes, doses, animals, equipment, milestones."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd

from journal_tools.tables import Tables


def chart_events(tables: Tables, volume_text: Callable[[float, int], str]) -> pd.DataFrame:
    """Give what charts mark on their time axis: time, kind, label, entry.

    Args:
        tables: The journal's tables.
        volume_text: Gives litres, with so many decimals, in words.
    """
    parts = [
        tables.water_changes.assign(
            kind="water_change",
            label=[f"{volume_text(v, 0)} water change" for v in tables.water_changes["volume_l"]],
        ),
        _plan_changes(tables.doses),
        _kinds(tables.livestock, {"added": "livestock", "lost": "loss", "removed": "livestock"}),
        _kinds(
            tables.equipment,
            dict.fromkeys(("installed", "changed", "removed", "failed"), "equipment"),
        ),
        tables.entries[tables.entries["milestone"] != ""].assign(
            kind="milestone", label=lambda rows: rows["milestone"]
        ),
    ]
    columns = ["time", "kind", "label", "entry"]
    events = pd.concat([part[columns] for part in parts], ignore_index=True)
    return events.sort_values("time", kind="stable", ignore_index=True)


def _kinds(rows: pd.DataFrame, kinds: dict[str, str]) -> pd.DataFrame:
    rows = rows[rows["event"].isin(list(kinds))]
    return rows.assign(kind=rows["event"].map(kinds), label=rows["event"] + " " + rows["name"])


def _plan_changes(doses: pd.DataFrame) -> pd.DataFrame:
    plans = doses[doses["scheduled"]].drop_duplicates(["entry", "line", "product"])
    # A map over no rows keeps the type of numbers, which nothing can be added to.
    amounts = plans["amount"].map("{:g}".format).astype("str")
    label = plans["product"] + " " + amounts + " " + plans["unit"] + "/day"
    return plans.assign(kind="dose_change", label=label)
