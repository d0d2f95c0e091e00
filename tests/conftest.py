"""What all tests share: settings of the property tests, tables to read, and quiet for the clock."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

import hypothesis
import pytest

# The same examples each time, so that a failure is the change's and not the day's.
hypothesis.settings.register_profile("tipsim", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("tipsim")

_TABLE = "report_table"
_tables = pytest.StashKey[list[tuple[str, str]]]()

ReportTable = Callable[[str, Iterable[str]], None]


@pytest.fixture
def report_table(request: pytest.FixtureRequest) -> ReportTable:
    """Print a table, ``report_table(title, lines)``, under the results of the whole run."""

    def keep(title: str, lines: Iterable[str]) -> None:
        # A property travels with the test's report, also from another process.
        request.node.user_properties.append((_TABLE, [title, *lines]))

    return keep


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    for reports in terminalreporter.stats.values():
        for report in reports:
            if getattr(report, "when", None) != "call":
                continue
            for name, table in report.user_properties:
                if name == _TABLE:
                    title, *lines = table
                    terminalreporter.section(title, sep="-")
                    for line in lines:
                        terminalreporter.line(line)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Let a test that measures time run while no other worker runs one."""
    if not hasattr(item.config, "workerinput"):
        return (yield)
    import fcntl

    with Path(__file__).open() as shared:
        timed = item.get_closest_marker("speed")
        fcntl.flock(shared, fcntl.LOCK_EX if timed else fcntl.LOCK_SH)
        return (yield)
