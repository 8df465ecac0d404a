"""First and second ways through the same code: `make test` goes the first, `make proof` all of them."""

from __future__ import annotations

from typing import Any

import pytest


def second(*values: Any) -> list[Any]:
    """Parameters with which a test is a second way through the same pages, run by `make proof`."""
    return [pytest.param(value, marks=pytest.mark.proof) for value in values]
