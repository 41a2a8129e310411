"""benchvoice demo"""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import messages, options, output


@click.command()
@click.option("--to", "folder", type=options.FOLDER, metavar="FOLDER", help="A new folder for all of it.")
@click.option("--recogniser", metavar="NAME", help="See `benchvoice recognisers`.")
@options.as_json
def demo(folder: Path | None, recogniser: str | None, as_json: bool) -> None:
    """Run the whole job on an invented engine: hear a spoken teardown, record, file, report.

    Everything goes into a folder of its own; your record isn't touched. The first time, the language model is made,
    which takes some seconds more.

    \b
    Examples:
      benchvoice demo
      benchvoice demo --to /tmp/teardown
    """
    from dataclasses import asdict

    from benchvoice import paths
    from benchvoice.app.demo import free_folder, run_demo

    where = folder if folder is not None else free_folder(paths.data() / "demo")
    with messages.progress("Demo") as progress:
        done = run_demo(where, recogniser=recogniser, progress=progress)
    if as_json:
        whole = asdict(done) | {"files": [str(path) for path in done.files]}
        output.json_document(whole | {"folder": str(done.folder), "journal": str(done.journal)})
        return
    output.line(
        f"{done.stock}, an invented engine: {done.utterances} utterances heard, {done.accepted} findings filed."
    )
    if done.settled:
        output.line(f"{done.settled} contradictions were decided for what was said last.")
    if done.left:
        output.line(f"{done.left} doubtful findings are left for you to look at.")
    for note in done.notes:
        messages.say(note)
    output.line(f"Record:  {done.journal}")
    for path in done.files:
        output.line(f"Report:  {path}")
    output.line(f"Look at it:  BENCHVOICE_HOME={done.folder} benchvoice review {done.stock}")
