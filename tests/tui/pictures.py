"""Makes the README's pictures of the screens, from the tests' invented sitting.

python -m tests.tui.pictures [FOLDER]
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from benchvoice.tui.app import ReviewApp
from tests.tui import talk

SIZE = (100, 30)
PICTURES: dict[str, Sequence[str]] = {"log": ("n", "n"), "engine": ("g",), "clashes": ("z",)}


async def draw(folder: Path, name: str, keys: Sequence[str], journal: Path) -> Path:
    app = ReviewApp(talk.desk(journal, talk.BENCH), shop="Tallow Lane Engines")
    async with app.run_test(size=SIZE) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
        path = folder / f"{name}.svg"
        path.write_text(app.export_screenshot(title="benchvoice review"), encoding="utf-8")
    return path


def main() -> None:
    folder = Path(sys.argv[1] if len(sys.argv) > 1 else "demo_audio/pictures")
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["TEXTUAL_ANIMATIONS"] = "none"
    for name, keys in PICTURES.items():
        with tempfile.TemporaryDirectory() as place:
            os.environ["BENCHVOICE_HOME"] = place
            print(asyncio.run(draw(folder, name, keys, Path(place) / "journal.db")))


if __name__ == "__main__":
    main()
