"""The probes of a journal: every described file below ``probes/``, read once and kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from journal_tools.cache import Cache
from journal_tools.moments import local_time
from journal_tools.parameters import PARAMETERS
from journal_tools.probes import kept
from journal_tools.probes.clock import moments_of
from journal_tools.probes.days import BandSteps, Reduced, reduced
from journal_tools.probes.description import ProbeFile, read_description, unit_of
from journal_tools.probes.faults import Fault
from journal_tools.probes.table_file import read_bytes, read_table
from journal_tools.probes.values import checked, numbers_of
from journal_tools.problems import Problem, in_order
from journal_tools.profile import Profile
from journal_tools.quantities import Band
from journal_tools.read import Document, read_document

PROBE_FOLDER = "probes"
_DESCRIPTIONS = (".yml", ".yaml")
_DATA = (".csv", ".csv.gz", ".parquet")
_EARLIEST = dt.timedelta(days=400)
"""How long before the first day a probe may have been at work. Common practice, no source."""


@dataclass(frozen=True)
class ProbeSeries:
    """One parameter of one probe file.

    Attributes:
        source: Name of the description without its ending.
        file: Path of the file below the journal folder.
        parameter: Name of the parameter.
        instrument: The keeper's name for what measured, or ``""``.
        data: What is kept of the series, in the parameter's canonical unit.
    """

    source: str
    file: str
    parameter: str
    instrument: str
    data: Reduced


@dataclass(frozen=True)
class Probes:
    """All probe series of a journal and what is wrong with their files."""

    series: tuple[ProbeSeries, ...] = ()
    problems: tuple[Problem, ...] = ()


def load_probes(
    folder: Path, profile: Profile, today: dt.date, cache: Cache | None = None
) -> Probes:
    """Give the probe series of a journal. Never raises for what a keeper or a device wrote.

    Args:
        folder: Folder of the journal; files are looked for in its ``probes`` folder.
        profile: The tank: time zone, units and target bands.
        today: Rows after the end of this day are left out with a problem.
        cache: Where reductions are kept; None reads every file anew.
    """
    place = folder / PROBE_FOLDER
    if not place.resolve().is_relative_to(folder.resolve()):
        what, hint = "The link leads out of the journal.", "Copy the folder instead."
        return Probes((), (Problem(PROBE_FOLDER, 0, 0, "probe-outside", what, hint),))
    series: list[ProbeSeries] = []
    problems: list[Problem] = []
    used: set[Path] = set()
    paths = sorted(path for path in place.glob("*") if not path.name.startswith("."))
    for path in paths:
        if path.suffix.lower() not in _DESCRIPTIONS or not path.is_file():
            continue
        document = _document(path, problems)
        described, found = read_description(document, profile) if document else (None, [])
        problems += found
        if document is None or described is None:
            # Its data file is spoken for, by however broken a description.
            used.update(_named_alike(path))
            continue
        data = _data_file(path, described, document, problems)
        used.update(_named_alike(path) if data is None else [data])
        if data is not None:
            reader = _Reader(described, profile, today, cache)
            contents, faults = reader.contents(data)
            name = f"{PROBE_FOLDER}/{data.name}"
            problems += [fault.at(name) for fault in faults]
            series += _series(path.stem, name, described, contents)
    problems += _undescribed(paths, used)
    return Probes(tuple(series), in_order(problems))


def _document(path: Path, problems: list[Problem]) -> Document | None:
    name = f"{PROBE_FOLDER}/{path.name}"
    if not _lies_inside(path.parent, path.name):
        what, hint = "The link leads out of the probes folder.", "Copy the file instead."
        problems.append(Problem(name, 0, 0, "probe-outside", what, hint))
        return None
    try:
        content = path.read_bytes()
    except OSError as error:
        what = f"The file cannot be read: {error.strerror}."
        problems.append(Problem(name, 0, 0, "file-unreadable", what, "Check its permissions."))
        return None
    document, found = read_document(name, content)
    problems += found
    return document


def _series(
    source: str, name: str, described: ProbeFile, contents: dict[str, Reduced]
) -> Iterator[ProbeSeries]:
    for parameter, data in contents.items():
        instrument = described.by_parameter[parameter].instrument or ""
        yield ProbeSeries(source, name, parameter, instrument, data)


def _named_alike(path: Path) -> list[Path]:
    """Give the data files that have the name of a description."""
    files = (path.with_name(path.stem + ending) for ending in _DATA)
    return [file for file in files if file.is_file()]


def _data_file(
    path: Path, described: ProbeFile, document: Document, problems: list[Problem]
) -> Path | None:
    """Give the file that a description is about, or None with a problem."""
    if described.file is None:
        alike = _named_alike(path)
        if not alike:
            what = f"There is no file {path.stem}.csv beside the description."
            hint = "Put it there, or say 'file: NAME.csv'."
            problems.append(document.problem((), "probe-missing", what, hint))
            return None
        name = alike[0].name
    else:
        name = described.file
    if not _lies_inside(path.parent, name):
        what = f"'{name}' does not lie in the probes folder."
        hint = "Copy the file there and write its name alone."
        problems.append(document.problem(("file",), "probe-outside", what, hint))
        return None
    if not name.lower().endswith(_DATA):
        what = f"'{name}' is no kind of file that can be read here."
        hint = "Export it as CSV (.csv or .csv.gz) or Parquet (.parquet)."
        problems.append(document.problem(("file",), "probe-kind", what, hint))
        return None
    data = path.with_name(name)
    if not data.is_file():
        what = f"There is no file '{name}' in the probes folder."
        hint = "Put it there, or correct the name."
        problems.append(document.problem(("file",), "probe-missing", what, hint))
        return None
    return data


def _lies_inside(place: Path, name: str) -> bool:
    """Tell whether a name stays in its folder, links followed."""
    if "/" in name or "\\" in name or "\0" in name or name in (".", ".."):
        return False
    return (place / name).resolve().parent == place.resolve()


def _undescribed(paths: list[Path], used: set[Path]) -> Iterator[Problem]:
    for path in paths:
        if path.name.lower().endswith(_DATA) and path not in used and path.is_file():
            stem = path.name.partition(".")[0]
            what = "No description says what the columns of this file hold."
            hint = (
                f"Write {PROBE_FOLDER}/{stem}.yml with 'time: HEADING' and "
                "'columns: {temperature: HEADING}'."
            )
            yield Problem(f"{PROBE_FOLDER}/{path.name}", 0, 0, "probe-undescribed", what, hint)


@dataclass(frozen=True)
class _Reader:
    """Reads files by one description, or finds what was made of them before."""

    described: ProbeFile
    profile: Profile
    today: dt.date
    cache: Cache | None

    def contents(self, path: Path) -> kept.Contents:
        """Give what a file holds by parameter and what is wrong with it."""
        content = read_bytes(path)
        if isinstance(content, Fault):
            return {}, [content]
        found = self._made(content, path.name, until=None)
        end = local_time(self.today + dt.timedelta(days=1), self.profile)
        # Only of a file that runs ahead of the clock does the day of the build matter.
        last = max((int(data.recent_ns[-1]) for data in found[0].values()), default=0)
        if last >= end.as_unit("ns").value:
            return self._made(content, path.name, until=end.to_pydatetime())
        return found

    def _made(self, content: bytes, name: str, until: dt.datetime | None) -> kept.Contents:
        recipe = (
            self.described.model_dump_json(), name.partition(".")[2], self.profile.time_zone,
            str(self.profile.start), repr(self.profile.bare_units),
            repr([bands_of(self.profile, p) for p in self.described.by_parameter]), str(until),
        )  # fmt: skip
        key = kept.key_of(content, *recipe) if self.cache else ""
        found = kept.get(self.cache, key)
        if found is None:
            found = read_series(content, name, self.described, self.profile, until)
            kept.put(self.cache, key, found)
        return found


def read_series(
    content: bytes,
    name: str,
    described: ProbeFile,
    profile: Profile,
    until: dt.datetime | None = None,
) -> kept.Contents:
    """Read, check and boil down a file's content.

    Args:
        content: Bytes of the file, unpacked.
        name: Its name, whose ending tells the kind.
        described: What the keeper says of it.
        profile: Time zone, units and target bands.
        until: Moment from which rows are left out; None keeps all.
    """
    table = read_table(content, described, name)
    if isinstance(table, Fault):
        return {}, [table]
    start = dt.datetime.combine(profile.start - _EARLIEST, dt.time(0), profile.zone)
    zone = described.time.zone_name(profile)
    moments = moments_of(table, described.time, zone, start, until)
    faults = [*table.faults, *moments.faults]
    found: dict[str, Reduced] = {}
    if not moments.ns.size:
        return found, faults
    for parameter, column in described.by_parameter.items():
        unit = unit_of(column, PARAMETERS[parameter], profile)
        if unit is None or column.column not in table.columns:
            continue
        decimal = table.text.decimal if table.text else "."
        numbers, wrong = numbers_of(table, column.column, decimal)
        faults += wrong
        values = checked(moments.of(numbers), moments, column, PARAMETERS[parameter], unit)
        data = reduced(moments.ns, values, profile.zone, bands_of(profile, parameter))
        if data is not None:
            found[parameter] = data
    return found, faults


def bands_of(profile: Profile, parameter: str) -> BandSteps:
    """Give the target bands of a parameter by the day from which each holds."""
    stages = [(dt.date(1950, 1, 1), profile.targets)]
    stages += [(later.start, later.bands) for later in profile.later_targets]
    told = [(day, band) for day, bands in stages if (band := getattr(bands, parameter, None))]
    usual = PARAMETERS[parameter].usual
    if not told and usual is not None:
        told = [(dt.date(1950, 1, 1), Band(*usual))]
    return sorted(told, key=lambda step: step[0])
