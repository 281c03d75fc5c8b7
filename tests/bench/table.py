"""The table that the bench prints: ours beside the yardstick, and whether the goal was met."""

from tests.bench.measure import BulkRow, Row

HEADS = ("", "queries", "facts", "ours ms", "p95 ms", "empty ms", "SQL ms", "ratio", "min", "max",
         "goal", "peak MB", "")  # fmt: skip
NOTE = """\
ours: the whole HTTP answer. empty: a signed-in answer of the same frame with nothing in it. SQL:
the same facts by hand-written statements on the same connection, checked equal beforehand; for the
close, the same rows in one transaction. ratio: (ours - empty) / SQL, median of paired runs."""


BULK_HEADS = ("", "rows", "ours s", "COPY s", "ratio", "min", "max", "goal", "others wait s",
              "peak MB", "")  # fmt: skip
BULK_NOTE = """\
Bringing in. rows: all rows that came of it, those of the trail with them. COPY: the same rows once
more under other ids, in one transaction; on SQLite one prepared statement a table. others wait: the
longest that somebody else who wants to write had to wait meanwhile (SQLite has one write lock)."""


def table(title: str, rows: list[Row]) -> str:
    return plain_table(title, [HEADS, *(_cells(row) for row in rows)])


def bulk_table(rows: list[BulkRow], title: str = "Bringing in") -> str:
    return plain_table(title, [BULK_HEADS, *(_bulk_cells(row) for row in rows)])


def plain_table(title: str, cells: list[tuple[str, ...]]) -> str:
    """A plain table, each column as wide as it needs."""
    widths = [max(len(line[i]) for line in cells) for i in range(len(cells[0]))]
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


def _bulk_cells(row: BulkRow) -> tuple[str, ...]:
    waited = "" if row.waited is None else f"{row.waited:.2f}"
    return (
        row.name, f"{row.rows:,}", f"{row.ours:.2f}", f"{row.yardstick:.2f}",
        f"{row.ratio:.3g}", f"{row.low:.3g}", f"{row.high:.3g}", f"< {row.goal:g}", waited,
        f"{row.peak_mb:.0f}", "" if row.ratio < row.goal else "not met",
    )  # fmt: skip
