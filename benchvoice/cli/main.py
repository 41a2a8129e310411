"""The entry point. Commands are named here and imported when they are called, so that help comes at once."""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module
from typing import Final

import click

from benchvoice import __version__
from benchvoice.cli import messages
from benchvoice.errors import BenchvoiceError

COMMANDS: Final[dict[str, dict[str, tuple[str, str]]]] = {
    "The job, in order": {
        "intake": ("benchvoice.cli.intake:intake", "Take an engine in: what it is, where from, what was claimed."),
        "hear": ("benchvoice.cli.hear:hear", "Hear a microphone or a sound file, print what was found, keep it."),
        "review": ("benchvoice.cli.review:review", "Go through what was heard: accept, correct, drop, undo."),
        "file": ("benchvoice.cli.file:file", "Seal what was accepted as a revision of the record."),
        "report": ("benchvoice.cli.report:report", "Write the inspection narrative and the findings as files."),
    },
    "Looking": {
        "engines": ("benchvoice.cli.engines:engines", "List the engines with how far each has come."),
        "show": ("benchvoice.cli.show:show", "Show one engine: identity, layout, sittings, findings, revisions."),
        "figures": ("benchvoice.cli.figures:figures", "Compute wear, clearances and sealing, each against its limit."),
        "unseen": ("benchvoice.cli.unseen:unseen", "List what was not looked at, by importance to a sale."),
        "judge": ("benchvoice.cli.judge:judge", "Judge an engine: causes, next looks, worth, what may be said."),
        "read": ("benchvoice.cli.read:read", "Read typed talk as if it had been heard; explain what was understood."),
    },
    "Setting up and looking after": {
        "demo": ("benchvoice.cli.demo:demo", "Run the whole job on an invented engine, from sound to report."),
        "recognisers": ("benchvoice.cli.recognisers:recognisers", "List what can recognise speech here, and why not."),
        "fetch-model": (
            "benchvoice.cli.fetch_model:fetch_model",
            "Fetch a Vosk model; the only command that goes online.",
        ),
        "grammar": (
            "benchvoice.cli.grammar:grammar",
            "Check the words of the trade, sample sentences, look a word up.",
        ),
        "microphones": ("benchvoice.cli.microphones:microphones", "List the microphones with how loud each is now."),
        "voice": ("benchvoice.cli.voice:voice", "Read out some sentences once, so that you are heard better."),
        "align": ("benchvoice.cli.align:align", "Find a sitting in a film of it, so that findings have a film time."),
        "blank": ("benchvoice.cli.blank:blank", "Remove a stretch of a sitting, sound and words, for good."),
        "verify": ("benchvoice.cli.verify:verify", "Check an evidence pack: is every file as it was packed?"),
        "spec": ("benchvoice.cli.spec:spec", "Check a spec sheet: problems with their lines, and likely misprints."),
        "rerun": ("benchvoice.cli.rerun:rerun", "Read old sittings again with today's grammars."),
        "rescue": ("benchvoice.cli.rescue:rescue", "Carry everything readable over from a damaged journal."),
    },
}
"""Section -> command -> (module:attribute, the line in the help). A new command is one line here and one file."""

_TARGETS: Final = {name: target for section in COMMANDS.values() for name, target in section.items()}


class LazyGroup(click.Group):
    """A group whose commands are imported when they are asked for; the list of them imports nothing."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_TARGETS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _TARGETS:
            return None
        module, _, attribute = _TARGETS[cmd_name][0].partition(":")
        command: click.Command = getattr(import_module(module), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _TARGETS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], _TARGETS, n=1, cutoff=0.5)
            hint = f" Did you mean {near[0]}?" if near else " `benchvoice --help` lists them."
            raise click.UsageError(f"There is no command {args[0]}.{hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        width = max(len(name) for name in _TARGETS)
        for section, commands in COMMANDS.items():
            with formatter.section(section):
                formatter.write_dl([(name.ljust(width), line) for name, (_, line) in commands.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="benchvoice")
def cli() -> None:
    """A spoken teardown journal: talk while you take an engine apart, get a record and an honest report.

    Everything stays on this machine. BENCHVOICE_HOME names the folder that holds it, otherwise the platform's own
    data folder is used.

    \b
    Examples:
      benchvoice demo
      benchvoice intake E-0417 --layout inline --cylinders 4
      benchvoice hear teardown.flac --engine E-0417
      benchvoice review E-0417
      benchvoice file E-0417 --by "Our shop"
      benchvoice report E-0417 --to reports

    Exit status: 0 done; 1 something failed, and the message says what to do; 2 the command line was wrong.
    """


def run(arguments: list[str] | None = None) -> int:
    """Run one command line and return the exit status. Whatever happens, a person sees one line and no traceback."""
    try:
        status = cli.main(args=arguments, prog_name="benchvoice", standalone_mode=False)
    except click.ClickException as error:
        messages.usage(error)
        return error.exit_code
    except BenchvoiceError as error:
        messages.failed(error)
        return error.exit_status
    except (click.Abort, KeyboardInterrupt):
        messages.say("Stopped.")
        return 130
    except BrokenPipeError:
        # Whoever read our output has had enough; what is still buffered must not fail on the way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    except OSError as error:
        messages.failed(_of_the_system(error))
        return 1
    except Exception as error:
        messages.failed(messages.unexpected(error))
        return 1
    return status if isinstance(status, int) else 0


def _of_the_system(error: OSError) -> BenchvoiceError:
    where = f" ({error.filename})" if error.filename else ""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return BenchvoiceError(f"The disk is full{where}.", hint="Free some space; what was committed is kept.")
    return BenchvoiceError(f"{error.strerror or error}{where}.", hint="Check the path and its permissions.")


def main() -> None:
    """The console script."""
    sys.exit(run())
