"""benchvoice fetch-model"""

from __future__ import annotations

import click

from benchvoice.cli import messages, output


@click.command("fetch-model")
@click.argument("name", required=False, metavar="[NAME]")
def fetch_model(name: str | None) -> None:
    """Fetch a speech model for Vosk with Vosk's own downloader, once.

    This is the only command that uses the network. Without NAME it fetches the small English one. Hearing works
    without any of it; a model makes it better.

    \b
    Examples:
      benchvoice fetch-model
      benchvoice fetch-model vosk-model-en-us-0.22
    """
    from benchvoice.recognise import vosk_engine

    with messages.progress("Fetching") as progress:
        folder = vosk_engine.fetch_model(name or vosk_engine.FETCHED, on_progress=progress)
    output.line(f"The model is in {folder}.")
