"""Findings as CSV and as JSON."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import UTC
from typing import Any

from benchvoice.domain.findings import finding_to_contract
from benchvoice.report.common import kind
from benchvoice.report.model import Block, Bullets, Chart, Evidence, Paragraph, Report, Sentence, Table

PLACE_KEYS = ("cylinder", "journal", "bank", "end", "valve", "side", "shell", "level")
COLUMNS = (
    "number", "id", "kind", "part", *PLACE_KEYS, "condition", "present", "degree", "hedged", "quantity", "value",
    "upper", "unit", "resolution", "bound", "action", "done_by", "sentence", "words", "heard", "corrections",
    "sitting", "t0", "t1", "film", "film_t0",
)  # fmt: skip
"""Stable machine names, whatever the language; new ones are added at the end."""
_FORMULA = re.compile(r"^[\s'\"]*[=+\-@\uFF1D\uFF0B\uFF0D\uFF20\t\r|%]")


def safe_cell(value: object) -> str:
    """A cell that no spreadsheet takes for a formula: text that could begin one gets an apostrophe before it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, str) or isinstance(value, _Number):
        return str(value)
    text = re.sub(r"[\x00-\x1f\x7f\u2028\u2029]+", " ", value)
    return f"'{text}" if _FORMULA.match(text) else text


def to_csv(report: Report) -> str:
    """One finding a row, comma separated, every cell quoted, "\\r\\n" line ends (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for item in report.evidence:
        row = _row(item)
        writer.writerow([safe_cell(row[name]) for name in COLUMNS])
    return out.getvalue()


def _row(item: Evidence) -> dict[str, Any]:
    finding = item.finding
    row: dict[str, Any] = {name: getattr(finding.place, name) for name in PLACE_KEYS}
    row |= {
        "number": item.number, "id": item.id, "kind": finding.kind.value, "part": finding.part,
        "condition": finding.condition, "present": finding.present if finding.condition else None,
        "degree": finding.degree.value if finding.degree else None, "hedged": finding.hedged,
        "quantity": finding.quantity, "value": _plain(finding.value), "upper": _plain(finding.upper),
        "unit": finding.unit, "resolution": _plain(finding.resolution), "bound": finding.bound,
        "action": finding.action, "done_by": finding.done_by, "sentence": item.says, "words": item.words,
        "heard": item.heard, "corrections": item.corrections, "sitting": item.sitting, "t0": _seconds(item.t0),
        "t1": _seconds(item.t1), "film": item.film, "film_t0": _seconds(item.film_t0),
    }  # fmt: skip
    return row


class _Number(str):
    """A number in writing: it keeps its digits and is never taken for a formula, being made here."""

    __slots__ = ()


def _plain(value: object) -> object:
    return None if value is None else _Number(f"{value:f}")


def _seconds(value: float | None) -> object:
    return None if value is None else round(value, 3)


def to_json(report: Report) -> str:
    """The report as JSON by the published schema (`schema/report-1.schema.json`)."""
    return json.dumps(as_dict(report), ensure_ascii=False, indent=1) + "\n"


def as_dict(report: Report) -> dict[str, Any]:
    return {
        "format": "benchvoice-report",
        "version": report.version,
        "language": report.language,
        "made_at": report.made_at.astimezone(UTC).isoformat(timespec="seconds"),
        "stock": report.stock,
        "title": report.title,
        "description": report.subtitle,
        "notice": report.badge,
        "filed": {"revision": report.revision, "sha256": report.sealed} if report.revision is not None else None,
        "identity": [{"name": name, "value": value} for name, value in report.identity],
        "blurb": report.blurb,
        "sections": [
            {
                "key": section.key,
                "title": section.title,
                "level": section.level,
                "blocks": [_block(block) for block in section.blocks],
            }
            for section in report.sections
        ],
        "findings": [_finding(item) for item in report.evidence],
        "figures": [
            {
                "name": item.name, "subject": item.subject, "value": item.value, "uncertainty": item.uncertainty,
                "limit": item.limit, "verdict": item.verdict, "source": item.source, "unit": item.unit,
                "number": None if item.number is None else float(item.number), "evidence": list(item.evidence),
            }
            for item in report.figures
        ],
        "left_out": list(report.left_out),
    }  # fmt: skip


def _block(block: Block) -> dict[str, Any]:
    out: dict[str, Any] = {"block": kind(block)}
    if isinstance(block, Paragraph):
        out |= {"lead": block.lead, "sentences": [_sentence(item) for item in block.sentences]}
    elif isinstance(block, Bullets):
        out["items"] = [[_sentence(sentence) for sentence in item.sentences] for item in block.items]
    elif isinstance(block, Table):
        out |= {
            "title": block.title,
            "columns": [column.title for column in block.columns],
            "rows": [{"cells": list(row.cells), "evidence": list(row.evidence)} for row in block.rows],
        }
    elif isinstance(block, Chart):
        out |= {
            "title": block.title,
            "unit": block.unit,
            "points": [{"label": point.label, "group": point.group, "value": point.value} for point in block.points],
            "limits": [{"label": label, "value": value} for label, value in block.limits],
        }
    return out


def _sentence(item: Sentence) -> dict[str, Any]:
    return {"text": item.text, "says": item.says.value, "evidence": list(item.evidence)}


def _finding(item: Evidence) -> dict[str, Any]:
    return {
        "number": item.number, "id": item.id, **finding_to_contract(item.finding), "sentence": item.says,
        "withheld": item.withheld or None, "heard": item.heard or None, "corrections": item.corrections,
        "by_hand": item.by_hand, "sitting": item.sitting, "film": item.film or None, "film_t0": _seconds(item.film_t0),
    }  # fmt: skip
