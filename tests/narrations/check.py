"""Check the narrations against the canonical names and count what they cover.

``python -m tests.narrations.check [FOLDER ...]`` prints one table per half and exits with status 1 when a name is
unknown, a place is out of range for the engine, a key is missing, or (for this folder) a name is too rare.
A FOLDER may also hold ``tuned.jsonl`` and ``held.jsonl`` directly. Standard library only.
"""

from __future__ import annotations

import json
import re
import sys
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
HALVES = ("tuned", "held")
LAYOUTS = {"inline", "vee", "flat"}
VALVE_GEAR = {"pushrod", "sohc", "dohc"}
FUELS = {"petrol", "diesel"}
NAMES = tomllib.loads((HERE / "names.toml").read_text(encoding="utf-8"))
GROUPS = ("parts", "conditions", "quantities", "units")

DEGREES = {None, "light", "moderate", "heavy"}
PLACES: dict[str, set[str]] = {
    "bank": {"left", "right"},
    "end": {"front", "rear"},
    "valve": {"intake", "exhaust"},
    "side": {"thrust", "minor"},
    "shell": {"upper", "lower"},
    "level": {"top", "middle", "bottom"},
}
KEYS = {
    "condition": {"part", "place", "kind", "condition", "present", "degree", "hedged"},
    "measurement": {"part", "place", "kind", "quantity", "value", "unit", "hedged"},
    "unseen": {"part", "place", "kind"},
    "event": {"part", "place", "kind", "action", "hedged"},
}
# Journal numbers belong to these parts, cylinder numbers to all others (contract: what "number three" means).
JOURNAL_PARTS = {
    "main_bearing",
    "main_cap",
    "main_bolt",
    "main_journal",
    "cam_bearing",
    "cam_journal",
    "thrust_bearing",
}


def check_place(place: dict[str, Any], part: str, engine: dict[str, Any] | None) -> list[str]:
    """Faults of one place: unknown keys, numbers the engine does not have, the wrong kind of number for the part."""
    faults = []
    most = {
        "cylinder": engine["cylinders"] if engine else 16,
        "journal": engine["mains"] if engine else 9,
    }
    for key, value in place.items():
        if key in most:
            if not isinstance(value, int) or not 1 <= value <= most[key]:
                faults.append(f"{key} {value} is out of range 1..{most[key]}")
            if (key == "journal") != (part in JOURNAL_PARTS):
                faults.append(f"{part} is not counted by {key}")
        elif value not in PLACES.get(key, set()):
            faults.append(f"unknown place {key}: {value}")
    return faults


def check_finding(f: dict[str, Any], engine: dict[str, Any] | None, events: bool) -> list[str]:
    """Faults of one expected finding."""
    kind = f.get("kind", "")
    if kind not in KEYS:
        return [f"unknown kind {kind!r}"]
    if set(f) != KEYS[kind]:
        return [f"keys of {kind} are {sorted(f)}, want {sorted(KEYS[kind])}"]
    faults = check_place(f["place"], f["part"], engine)
    if f["part"] not in NAMES["parts"]["names"]:
        faults.append(f"unknown part {f['part']}")
    if kind == "condition" and (
        f["condition"] not in NAMES["conditions"]["names"]
        or f["degree"] not in DEGREES
        or not isinstance(f["present"], bool)
        or (f["degree"] and not f["present"])
    ):
        faults.append(f"bad condition {f}")
    if kind == "measurement" and (
        f["quantity"] not in NAMES["quantities"]["names"]
        or f["unit"] not in NAMES["units"]["names"]
        or not isinstance(f["value"], int | float)
    ):
        faults.append(f"bad measurement {f}")
    if kind == "event" and (f["action"] not in NAMES["actions"]["names"] or not events):
        faults.append(f"bad event {f} (or the narration is not marked with 'events': true)")
    if kind != "unseen" and not isinstance(f["hedged"], bool):
        faults.append("hedged must be true or false")
    return faults


def check_narration(n: dict[str, Any], needs_engine: bool) -> list[str]:
    """Faults of one narration, each with the number of its utterance."""
    faults: list[str] = []
    engine = n.get("engine")
    if engine is None and needs_engine:
        faults.append("engine is missing")
    if engine is not None and not (
        engine.get("layout") in LAYOUTS
        and engine.get("valve_gear") in VALVE_GEAR
        and engine.get("fuel") in FUELS
        and isinstance(engine.get("cylinders"), int)
        and isinstance(engine.get("mains"), int)
        and isinstance(engine.get("numbering"), dict)
    ):
        faults.append(f"bad engine {engine}")
        engine = None
    utterances = n["utterances"]
    for i, u in enumerate(utterances):
        where = f"{i} {u.get('say')!r}: "
        if not re.fullmatch(r"[a-z']+( [a-z']+)*", u.get("say", "")):
            faults.append(where + "not plain lower-case words")
        if set(u) - {"id", "say", "findings", "domain", "withdrawn", "withdraws"}:
            faults.append(where + f"unknown keys {sorted(u)}")
        if (u.get("domain") is False or u.get("withdrawn")) and u["findings"]:
            faults.append(where + "must have no findings")
        for back in u.get("withdraws", []):
            if not (0 <= back < i and utterances[back].get("withdrawn")):
                faults.append(where + f"withdraws {back}, which is not marked as withdrawn")
        for f in u["findings"]:
            faults += [where + x for x in check_finding(f, engine, n.get("events", False))]
    withdrawn = {i for i, u in enumerate(utterances) if u.get("withdrawn")}
    taken = {b for u in utterances for b in u.get("withdraws", [])}
    if withdrawn != taken:
        faults.append(f"withdrawn {sorted(withdrawn)} but taken back {sorted(taken)}")
    return faults


def load(folder: Path, half: str) -> list[dict[str, Any]]:
    """The narrations of one half, from ``half/*.jsonl`` or ``half.jsonl``."""
    files = sorted((folder / half).glob("*.jsonl")) or [p for p in [folder / f"{half}.jsonl"] if p.exists()]
    return [
        json.loads(line) for path in files for line in path.read_text(encoding="utf-8").splitlines() if line.strip()
    ]


def tally(narrations: list[dict[str, Any]]) -> dict[str, Counter[str]]:
    """How often each name and kind occurs."""
    out: dict[str, Counter[str]] = {k: Counter() for k in ("parts", "conditions", "quantities", "units", "kinds")}
    for n in narrations:
        for u in n["utterances"]:
            for f in u["findings"]:
                out["kinds"][f["kind"]] += 1
                out["parts"][f["part"]] += 1
                for field, group in (
                    ("condition", "conditions"),
                    ("quantity", "quantities"),
                    ("unit", "units"),
                ):
                    if field in f:
                        out[group][f[field]] += 1
    return out


def report(half: str, narrations: list[dict[str, Any]]) -> None:
    """Print the counts of one half."""
    us = [u for n in narrations for u in n["utterances"]]
    count = tally(narrations)
    chatter = sum(u.get("domain") is False for u in us)
    layouts = {f"{n['engine']['layout']}-{n['engine']['cylinders']}" for n in narrations if "engine" in n}
    words = {w for u in us for w in u["say"].split()}
    print(f"{half}: {len(narrations)} narrations, {len(us)} utterances, {sum(count['kinds'].values())} findings")
    print(
        f"  {', '.join(f'{k} {v}' for k, v in sorted(count['kinds'].items()))}; chatter {chatter}; words {len(words)}"
    )
    print(f"  layouts: {', '.join(sorted(layouts))}")
    for group in GROUPS:
        print(f"  {group}: {len(count[group])} different")


def too_rare(narrations: list[dict[str, Any]]) -> list[str]:
    """Canonical names that the whole set uses less often than it promises."""
    count = tally(narrations)
    return [
        f"{group}: {name} occurs {count[group][name]} times, want {NAMES[group]['least']}"
        for group in GROUPS
        for name in NAMES[group]["names"]
        if count[group][name] < NAMES[group]["least"]
    ]


def main(folders: list[str]) -> int:
    """Check each folder (this one by default); 0 when all is well."""
    faults: list[str] = []
    for folder in map(Path, folders or [str(HERE)]):
        own = folder.resolve() == HERE
        everything: list[dict[str, Any]] = []
        for half in HALVES:
            narrations = load(folder, half)
            everything += narrations
            report(half, narrations)
            for n in narrations:
                faults += [f"{half}/{n['narration']} {x}" for x in check_narration(n, own)]
        names = Counter(n["narration"] for n in everything)
        faults += [f"narration {k} occurs {v} times" for k, v in names.items() if v > 1]
        if own:
            faults += too_rare(everything)
    for fault in faults:
        print("FAULT", fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
