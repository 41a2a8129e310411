"""The engine's layout drawn as text, for the person to say yes to before any number is trusted."""

from __future__ import annotations

from benchvoice.domain.engine import BankOrder, Engine, Layout, NumberedFrom

_WIDTH = 13


def draw(engine: Engine) -> str:
    """A map of the engine seen from above, front at the top, and what follows from it, in lines of plain text."""
    return "\n".join((*_map(engine), "", *_says(engine)))


def _map(engine: Engine) -> list[str]:
    lines = ["front (accessory drive)".center(3 * _WIDTH).rstrip()]
    if engine.banks:
        lines.append("left bank".center(_WIDTH) + " " * _WIDTH + "right bank".center(_WIDTH).rstrip())
    mains = _mains_above(engine)
    for station in range(1, engine.rows + 1):
        lines += [_main(main) for main in mains.get(station, ())]
        lines.append(_station(engine, station))
    lines += [_main(main) for main in mains.get(engine.rows + 1, ())]
    lines.append("flywheel".center(3 * _WIDTH).rstrip())
    return lines


def _mains_above(engine: Engine) -> dict[int, list[int]]:
    """Which mains are drawn above each station, mains spread evenly; those at the end under rows + 1."""
    out: dict[int, list[int]] = {}
    gaps = max(1, engine.main_count - 1)
    for main in engine.journal_numbers:
        row = 1 + -(-(main - 1) * engine.rows // gaps)
        out.setdefault(row, []).append(main)
    return out


def _main(main: int) -> str:
    return " " * _WIDTH + f"== main {main} ==".center(_WIDTH).rstrip()


def _station(engine: Engine, station: int) -> str:
    def at(bank: str | None) -> str:
        found = [c for c in engine.cylinder_numbers if engine.station_of(c) == station and engine.bank_of(c) == bank]
        return f"( {found[0]} )" if found else ""

    if not engine.banks:
        return (" " * _WIDTH + at(None).center(_WIDTH)).rstrip()
    return (at("left").center(_WIDTH) + "|".center(_WIDTH) + at("right").center(_WIDTH)).rstrip()


def _says(engine: Engine) -> list[str]:
    """What the scheme makes of the engine, one sentence a line."""
    lines = ["Seen from above; left and right as seen from the flywheel end, looking forward."]
    end = "the front" if engine.numbering.numbered_from is NumberedFrom.FRONT else "the flywheel end"
    where = f"{engine.bank_of(1)} bank, " if engine.banks else ""
    lines.append(f"Number one: {where}at {end}. Main journals count from the front.")
    if engine.banks:
        order = "turn about" if engine.numbering.bank_order is BankOrder.ALTERNATE else "one bank, then the other"
        left, right = (", ".join(map(str, engine.cylinders_of_bank(bank))) for bank in engine.banks)
        lines.append(f"Numbers run {order}. Left bank: {left}. Right bank: {right}.")
    lines += _pins(engine)
    far = engine.journals_far_first()
    last = engine.cylinders_far_first()[: 2 if engine.banks else 1]
    numbers = " and ".join(map(str, sorted(last)))
    plural = "cylinders" if len(last) > 1 else "cylinder"
    lines.append(f"Oil enters at the {engine.pump_end}; furthest from the pump: main {far[0]}, {plural} {numbers}.")
    lines.append(_thrust(engine))
    return lines


def _pins(engine: Engine) -> list[str]:
    if engine.layout is not Layout.VEE:
        return ["Each rod has a crankpin of its own."]
    pairs = sorted({tuple(sorted((c, *engine.station_mates(c)))) for c in engine.cylinder_numbers})
    return ["Rods that share a crankpin: " + ", ".join(" and ".join(map(str, pair)) for pair in pairs) + "."]


def _thrust(engine: Engine) -> str:
    turns = "clockwise" if engine.clockwise else "anticlockwise"
    if not engine.banks:
        towards = engine.thrust_side_towards(None)
        return f"Crank turns {turns} seen from the front; the major thrust side of the bores is the {towards} side."
    sides = ", ".join(f"{bank} bank: {engine.thrust_side_towards(bank)}" for bank in engine.banks)
    return f"Crank turns {turns} seen from the front; major thrust side of the bores, {sides}."
