"""The arithmetic stands alone, and shows how it is used."""

import doctest
import importlib
import pkgutil
import subprocess
import sys

import pytest

import fleet.calc

MODULES = [f"fleet.calc.{module.name}" for module in pkgutil.iter_modules(fleet.calc.__path__)]
#: Tables and helpers that only other modules of calc call.
INNER = {"fleet.calc.limit_tables", "fleet.calc.unit_errors", "fleet.calc.field_types"}
INNER |= {"fleet.calc.figures", "fleet.calc.stretches", "fleet.calc.life_errors"}
INNER |= {"fleet.calc.weibull_rows", "fleet.calc.weibull_paths", "fleet.calc.climb"}
INNER |= {"fleet.calc.vehicle_hills", "fleet.calc.turnbull_cells"}
FRAMEWORKS = {"django", "celery", "redis", "rest_framework", "psycopg"}


def test_a_fresh_interpreter_loads_it_without_any_framework() -> None:
    code = f"import sys, {', '.join(MODULES)}; print(*sys.modules)"
    command = [sys.executable, "-c", code]
    shown = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603 - ours
    loaded = {name.partition(".")[0] for name in shown.stdout.split()}
    assert "fleet" in loaded
    assert not loaded & FRAMEWORKS


@pytest.mark.parametrize("name", sorted(set(MODULES) - INNER))
def test_a_public_module_has_examples_that_run(name: str) -> None:
    """They are run where they stand, by --doctest-modules over fleet/calc."""
    found = doctest.DocTestFinder(exclude_empty=True).find(importlib.import_module(name))
    assert any(test.examples for test in found)
