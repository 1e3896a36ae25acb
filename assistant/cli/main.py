"""The command ``sinkside``: each subcommand is imported only when it is called."""

from __future__ import annotations

import importlib
import sys

import click

from assistant import __version__

# name: (module, attribute, one line for --help)
_COMMANDS = {
    "demo": ("session", "demo", "A whole short cleaning on spoken audio, no devices needed."),
    "run": ("session", "run", "Lead a cleaning, by voice, keys or script."),
    "rehearse": ("session", "rehearse", "The same on a virtual clock; its record never counts."),
    "listen": ("listen", "listen", "What the recognizer hears in sound files."),
    "grammar": ("grammar", "grammar", "What may be said."),
    "wording": ("wording", "wording", "The words that would be spoken for a text."),
    "procedure": ("procedure", "procedure", "List, check and show procedures."),
    "station": ("station", "station", "Describe the sink and its taps, plan a cleaning there."),
    "record": ("record", "record", "List, show and verify the record."),
    "label": ("label", "label", "Labels of the parts that a session handed on."),
    "replay": ("record", "replay", "A session's log again, folded from the record."),
}


class _Lazy(click.Group):
    """A group that knows its subcommands by name and line only."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        module, attribute, _ = _COMMANDS[cmd_name]
        found: click.Command = getattr(
            importlib.import_module(f"assistant.cli.{module}"), attribute
        )
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in _COMMANDS.items()])


@click.group(cls=_Lazy)
@click.version_option(__version__, prog_name="sinkside")
def cli() -> None:
    """Voice-guided, hands-free, offline cleaning at the decontamination sink.

    It does not replace the device maker's instructions for use, facility policy
    or training.
    """


def main() -> None:
    """Run the command; known faults end in one sentence and their exit code."""
    from assistant.cli.failure import report  # noqa: PLC0415 - only after a fault

    for stream in (sys.stdout, sys.stderr):
        # A terminal without the degree sign must not end a session.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        cli(standalone_mode=True)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:  # noqa: BLE001 - the last resort is here
        sys.exit(report(error))
