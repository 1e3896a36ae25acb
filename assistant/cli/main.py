"""The command ``sinkside``: each subcommand is imported only when it is called."""

from __future__ import annotations

import importlib
import sys
from typing import TYPE_CHECKING

import click

from assistant import __version__

if TYPE_CHECKING:
    from collections.abc import Mapping

# name: (module, attribute, one line for --help)
_COMMANDS = {
    "demo": ("session", "demo", "A whole short cleaning on spoken audio, no devices needed."),
    "run": ("session", "run", "Lead a cleaning, by voice, keys or script."),
    "rehearse": ("session", "rehearse", "The same on a virtual clock; its record never counts."),
    "listen": ("listen", "listen", "What the recognizer hears in sound files."),
    "grammar": ("grammar", "grammar", "What may be said."),
    "wording": ("wording", "wording", "The words that would be spoken for a text."),
    "procedure": ("procedure", "procedure", "List, check and show procedures."),
    "record": ("record", "record", "List, show and verify the record."),
    "replay": ("record", "replay", "A session's log again, folded from the record."),
}


class _Lazy(click.Group):
    """A group that knows its subcommands by name and line only."""

    def __init__(self, *args: object, commands: Mapping[str, tuple[str, str, str]]) -> None:
        super().__init__(*args, help=__doc__)  # type: ignore[arg-type] # click's own positional name
        self._known = commands

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(self._known)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in self._known:
            return None
        module, attribute, _ = self._known[cmd_name]
        found = getattr(importlib.import_module(f"assistant.cli.{module}"), attribute)
        assert isinstance(found, click.Command)  # noqa: S101 - the table above is ours
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in self._known.items()])


cli = _Lazy("sinkside", commands=_COMMANDS)
cli.help = (
    "Voice-guided, hands-free, offline cleaning at the decontamination sink.\n\n"
    "It does not replace the device maker's instructions for use, facility policy or training."
)
cli = click.version_option(__version__, prog_name="sinkside")(cli)


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
