"""The table that the bench prints: ours beside the yardstick, and whether the goal was met."""

from tests.bench.measure import Row

HEADS = ("", "queries", "facts", "ours ms", "p95 ms", "empty ms", "SQL ms", "ratio", "min", "max",
         "goal", "peak MB", "")  # fmt: skip
NOTE = """\
ours: the whole HTTP answer. empty: a signed-in answer of the same frame with nothing in it. SQL:
the same facts by hand-written statements on the same connection, checked equal beforehand; for the
close, the same rows in one transaction. ratio: (ours - empty) / SQL, median of paired runs."""


def table(title: str, rows: list[Row]) -> str:
    """A plain table, each column as wide as it needs."""
    cells = [HEADS, *(_cells(row) for row in rows)]
    widths = [max(len(line[i]) for line in cells) for i in range(len(HEADS))]
    lines = [
        "  ".join(
            text.ljust(width) if i == 0 else text.rjust(width)
            for i, (text, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]
    return "\n".join([title, "", *lines])


def _cells(row: Row) -> tuple[str, ...]:
    figures = (row.ours, row.p95, row.empty, row.yardstick)
    return (
        row.name, str(row.queries), str(row.facts), *(f"{figure:.1f}" for figure in figures),
        f"{row.ratio:.1f}", f"{row.low:.1f}", f"{row.high:.1f}", f"< {row.goal:.0f}",
        f"{row.peak_mb:.0f}", "" if row.met else "not met",
    )  # fmt: skip
