"""What all tests share: settings of the property tests, tables to read, rows of VALIDATION.md."""

from collections.abc import Callable, Iterable

import hypothesis
import pytest

# The same examples each time, so that a failure is the change's and not the day's.
hypothesis.settings.register_profile("tipsim", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("tipsim")

_TABLE, _ROW, _WRITE = "report_table", "validation", "--write-validation"

_ORDER = (
    "tests/unit/test_setup",
    "tests/unit/test_motion",
    "tests/browser/test_lessons_by_mouse",  # the longest file: the other worker fills up beside it
    "tests/browser",
    "tests/unit",
    "tests/pe",
)
"""Beginnings of test files, in the order in which they run; all others follow."""

ReportTable = Callable[[str, Iterable[str]], None]
Validation = Callable[[str, str, str, str, str], None]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(_WRITE, action="store_true", help="write tests/VALIDATION.md anew")


@pytest.fixture
def report_table(request: pytest.FixtureRequest) -> ReportTable:
    """Print a table, ``report_table(title, lines)``, under the results of the whole run."""

    def keep(title: str, lines: Iterable[str]) -> None:
        # A property travels with the test's report, also from another process.
        request.node.user_properties.append((_TABLE, [title, *lines]))

    return keep


@pytest.fixture
def validation(request: pytest.FixtureRequest) -> Validation:
    """Declare a row of VALIDATION.md: ``validation(check, outside, ours, allowed, source)``."""
    from tests import validation as file

    def declare(check: str, outside: str, ours: str, allowed: str, source: str) -> None:
        path = request.path.relative_to(request.config.rootpath).as_posix()
        row = file.line(check, outside, ours, allowed, source, path)
        request.node.user_properties.append((_ROW, row))
        if not request.config.getoption(_WRITE):
            assert row in file.lines(), f"run `python tests/validation.py`; now it is\n{row}"

    return declare


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put quick files first, long ones next, and those that fill the gaps at the end.

    Where the rows of VALIDATION.md are written, only the tests that declare one are run.
    """
    items.sort(key=lambda item: _rank(item.nodeid))
    if config.getoption(_WRITE):
        items[:] = [
            i
            for i in items
            # The test of this machinery declares a row that is meant to be wrong.
            if _ROW in getattr(i, "fixturenames", ()) and i.path.name != "test_validation.py"
        ]


def _rank(nodeid: str) -> int:
    return next((i for i, start in enumerate(_ORDER) if nodeid.startswith(start)), len(_ORDER))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    reports = [report for some in terminalreporter.stats.values() for report in some]
    for report in reports:
        if getattr(report, "when", None) != "call":
            continue
        for name, table in report.user_properties:
            if name == _TABLE:
                title, *lines = table
                terminalreporter.section(title, sep="-")
                for line in lines:
                    terminalreporter.line(line)
    if terminalreporter.config.getoption(_WRITE):
        _write(reports)


def _write(reports: list[pytest.TestReport]) -> None:
    from tests import validation as file

    rows = [row for r in reports if hasattr(r, "when") for n, row in r.user_properties if n == _ROW]
    whole, skipped = (
        {r.nodeid.split("::")[0] for r in reports if getattr(r, how, False)}
        for how in ("passed", "skipped")
    )
    file.write(list(dict.fromkeys(rows)), whole - skipped)
