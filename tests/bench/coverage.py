"""How often a projected day came true: `python -m tests.bench.coverage` prints the table.

80 % are wanted. Answers of one vehicle hang together, so that 50 vehicles leave about 5 points of
spread. What is generated, and the two ways of asking, stand in tests/calc/uses.py.
"""

from tests.calc.uses import KINDS, covered

WAYS = ("asked", "kept")


def table() -> str:
    rows = [f"{'use':<10}{'way':<8}{'inside':>8}{'answers':>9}{'days wide':>11}"]
    for kind in KINDS:
        for way in WAYS:
            found = covered(kind, way)
            rows.append(
                f"{kind:<10}{way:<8}{found.share:>8.1%}{found.asked:>9}{found.days_wide:>11.1f}"
            )
    return "\n".join(rows)


if __name__ == "__main__":
    print(table())
