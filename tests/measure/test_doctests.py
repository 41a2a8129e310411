"""Every worked example in the docstrings of benchvoice.measure and the shared types of figures."""

import doctest
import importlib
import pkgutil

import pytest

import benchvoice.measure

MODULES = [item.name for item in pkgutil.walk_packages(benchvoice.measure.__path__, "benchvoice.measure.")]
FORMULAS = ["clearance", "machining", "roundness", "sealing", "atmosphere", "valvetrain", "outliers", "heat", "units",
            "uncertainty", "conformity", "bolts", "hardness"]  # fmt: skip


@pytest.mark.parametrize("name", [*MODULES, "benchvoice.domain.vin"])
def test_worked_examples(name):
    found = doctest.testmod(importlib.import_module(name))
    assert found.failed == 0


@pytest.mark.parametrize("name", FORMULAS)
def test_every_public_formula_has_one(name):
    module = importlib.import_module(f"benchvoice.measure.{name}")
    without = {
        key
        for key, item in vars(module).items()
        if callable(item)
        and not key.startswith("_")
        and getattr(item, "__module__", "") == module.__name__
        and not isinstance(item, type)
        and ">>>" not in (item.__doc__ or "")
    }
    assert not without
