"""benchvoice microphones"""

from __future__ import annotations

from typing import Any

import click

from benchvoice.cli import messages, options, output


@click.command()
@click.option("--use", metavar="NAME", help="Remember this one, by its name or a part of it.")
@options.as_json
def microphones(use: str | None, as_json: bool) -> None:
    """List the microphones, with the level that each hears now; speak while it runs.

    The one that `benchvoice hear --mic` uses is marked with *. Nothing that is heard here is kept.

    \b
    Examples:
      benchvoice microphones
      benchvoice microphones --use headset
    """
    from benchvoice.app import settings
    from benchvoice.audio import microphone

    there = microphone.devices()
    wanted = use if use is not None else settings.load().microphone or None
    if use is not None:
        settings.save(microphone=microphone.find(use, among=there).name)
    chosen = _chosen(there, wanted)
    rows = []
    with messages.progress("Listening") as progress:
        for k, device in enumerate(there):
            progress(device.name, k / len(there))
            rows.append((device, microphone.measure(device)))
    if as_json:
        for device, level in rows:
            output.json_line(
                {
                    "name": device.name,
                    "host": device.host,
                    "rate": device.rate,
                    "channels": device.channels,
                    "used": device.name == chosen,
                    "level_db": None if level is None else round(level, 1),
                }
            )
        return
    if not there:
        messages.say("There is no microphone.")
        return
    output.table(
        ("", "microphone", "through", "rate", "level"),
        [
            ("*" if device.name == chosen else "", device.name, device.host, f"{device.rate} Hz", _level(level))
            for device, level in rows
        ],
    )


def _chosen(there: list[Any], wanted: str | None) -> str | None:
    from benchvoice.audio.microphone import find
    from benchvoice.errors import SoundError

    try:
        return find(wanted, among=there).name
    except SoundError as error:
        if there:
            messages.say(str(error))
        return None


def _level(level: float | None) -> str:
    if level is None:
        return "can't be opened"
    bars = max(0, min(20, round((level + 70) / 3)))
    return f"{level:6.1f} dB {'#' * bars}"
