"""Long series of probes: described, read, checked, and boiled down to what pages need."""

from journal_tools.probes.folder import PROBE_FOLDER, Probes, ProbeSeries, load_probes
from journal_tools.probes.frame import PROBE_DAY_COLUMNS, probe_days

__all__ = [
    "PROBE_DAY_COLUMNS",
    "PROBE_FOLDER",
    "ProbeSeries",
    "Probes",
    "load_probes",
    "probe_days",
]
