"""benchvoice verify"""

from __future__ import annotations

from pathlib import Path

import click

from benchvoice.cli import options, output


@click.command()
@click.argument("pack", metavar="PACK", type=click.Path(path_type=Path))
@options.as_json
@click.pass_context
def verify(ctx: click.Context, pack: Path, as_json: bool) -> None:
    """Check an evidence pack, a ZIP file or a folder: is every file as it was when the pack was made?

    The fingerprint names this pack and no other. Compare it with the one that the seller gives you by another way:
    whoever changes a file in a pack can write a new list of hashes, too. Nothing is unpacked.

    \b
    Examples:
      benchvoice verify E-0417-pack.zip
      benchvoice verify E-0417-pack --json
    """
    from dataclasses import asdict

    from benchvoice.report.verify import verify as check

    found = check(pack)
    if as_json:
        output.json_document({"ok": found.ok, **asdict(found)})
    else:
        revision = f"revision {found.revision}" if found.revision is not None else "not filed"
        output.line(f"{found.stock}, {revision}: {found.files} files, {found.clips} sound clips.")
        output.line(f"Fingerprint {found.fingerprint}")
        for problem in found.problems:
            output.line(f"  {problem}")
        output.line("Every file is as it was packed." if found.ok else f"{len(found.problems)} problems.")
    if not found.ok:
        ctx.exit(1)
