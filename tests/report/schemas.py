"""The published schemas."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any


def report_schema() -> dict[str, Any]:
    text = (files("benchvoice.report") / "schema" / "report-1.schema.json").read_text(encoding="utf-8")
    schema: dict[str, Any] = json.loads(text)
    return schema
