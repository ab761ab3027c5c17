"""Upkeep: what is due, when each task was done, and how well it was kept."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from itertools import pairwise

from journal_tools.pages.ordering import orders_of, reminders
from journal_tools.pages.site import Site
from journal_tools.pages.tree import Asset, Page
from journal_tools.tasks import Task, calendar_text
from journal_tools.words import ago, counted, span_text

CALENDAR_ASSET = "upkeep.ics"
_WEEKS = 26
_DAY, _HEIGHT = 2, 16


@dataclass(frozen=True)
class TaskView:
    """One task as the page shows it."""

    task: Task
    when: str
    state: str
    last: str
    kept: float | None
    strip: str


def upkeep_page(site: Site) -> tuple[Page, list[Asset]]:
    """Give the upkeep page, and the calendar file that it offers."""
    name, tasks = site.journal.profile.name, site.tasks
    views = [task_view(task, site.today) for task in tasks]
    own = [view for view in views if view.task.meant]
    orders = orders_of(site)
    offered = bool(own or orders)
    page = site.page(
        "upkeep.html",
        "upkeep",
        "Upkeep",
        description=_description(name, own),
        due=[view for view in own if view.state != "later"],
        meant=len(own),
        groups=_groups(views),
        done=list(site.tables.upkeep.iloc[::-1].head(12).itertuples()),
        calendar=CALENDAR_ASSET if offered else "",
        orders=orders,
        weeks=_WEEKS,
    )
    if not offered:
        return page, []
    meant = [view.task for view in own]
    text = calendar_text(meant, f"Upkeep of {name}", site.today, reminders(orders))
    return page, [Asset(CALENDAR_ASSET, text.encode())]


_HEADINGS = {
    "upkeep": "On the list",
    "service": "Services",
    "media": "Media",
    "calibration": "Calibrations",
    "test": "Tests",
}


def _groups(views: list[TaskView]) -> list[tuple[str, list[TaskView]]]:
    groups = [(words, [v for v in views if v.task.kind == kind]) for kind, words in
              _HEADINGS.items()]  # fmt: skip
    return [(words, found) for words, found in groups if found]


def _description(name: str, views: list[TaskView]) -> str:
    late = sum(view.state == "late" for view in views)
    return f"Upkeep of {name}: {counted(len(views), 'task')}, {late} overdue."


def task_view(task: Task, today: dt.date) -> TaskView:
    """Give a task in words, with the strip of the last weeks."""
    over = task.days_over(today)
    if over > 0:
        state, when = "late", f"{span_text(over)} overdue"
    elif over == 0:
        state, when = "due", "due today"
    else:
        state, when = "later", f"in {span_text(-over)}"
    last = ago(task.last.day, today) if task.last else "not yet"
    return TaskView(task, when, state, last, task.kept(today), strip_svg(task, today))


def strip_svg(task: Task, today: dt.date) -> str:
    """Give the last weeks as a line: a mark for each time done, a gap in it where it was late.

    The table beside it says the same in words, so screen readers pass it over.
    """
    first = today - dt.timedelta(weeks=_WEEKS) + dt.timedelta(days=1)
    middle, width = _HEIGHT / 2, _WEEKS * 7 * _DAY

    def place(day: dt.date) -> int:
        return min(width, max(0, (day - first).days * _DAY))

    days = [task.begins, *(done.day for done in task.done), today + dt.timedelta(days=1)]
    kept, late = [], []
    for start, end in pairwise(days):
        until = min(end, start + dt.timedelta(days=task.every_days + 1))
        if place(until) > place(start):
            kept.append(f"M{place(start)} {middle:g}H{place(until)}")
        if place(end) > place(until):
            late.append(f"M{place(until)} {middle:g}H{place(end)}")
    marks = [f"M{place(done.day)} 2V{_HEIGHT - 2}" for done in task.done if done.day >= first]
    return (
        f'<svg class="jt-task" viewBox="0 0 {width} {_HEIGHT}" preserveAspectRatio="none" '
        'aria-hidden="true" focusable="false">'
        f'<path class="jt-task__kept" d="{"".join(kept)}"/>'
        f'<path class="jt-task__late" d="{"".join(late)}"/>'
        f'<path class="jt-task__mark" d="{"".join(marks)}"/></svg>'
    )
