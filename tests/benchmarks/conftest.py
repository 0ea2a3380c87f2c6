"""One table of all benchmarks that ran: what is timed, over which peer or floor of the same run, wanted and seen."""

import pytest

_ROWS = pytest.StashKey[list[tuple[str, str, float, float]]]()


@pytest.fixture
def seen(request):
    """Tells a ratio for the table and returns it: `seen(what, over, wanted, ratio)`, at most or (negative) at least wanted."""

    def tell(what, over, wanted, ratio):
        request.config.stash.setdefault(_ROWS, []).append((what, over, wanted, ratio))
        return ratio

    return tell


def pytest_terminal_summary(terminalreporter, config):
    """Prints the table, in the form in which DEVELOPERS.md keeps it."""
    rows = config.stash.get(_ROWS, [])
    if rows:
        terminalreporter.write_line("| what | over | wanted | seen |\n| --- | --- | --- | --- |")
    for what, over, wanted, ratio in rows:
        terminalreporter.write_line(f"| {what} | {over} | {_bound(wanted)} | {ratio:.3g} |")


def _bound(wanted):
    return f"at least {-wanted:g}" if wanted < 0 else f"at most {wanted:g}"
