"""The command line of Headwater: one parser, one place where faults become one line and a status.

Exit status: 0 done; 1 the case is held or the book has faults; 2 the input cannot be used;
3 the program itself is at fault.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import IO, TYPE_CHECKING, Any, NamedTuple, NoReturn

from headwater import __version__
from headwater.cli.commands import COMMANDS, function_of
from headwater.cli.streams import process_streams
from headwater.errors import HeadwaterError

if TYPE_CHECKING:
    from headwater.cli.console import Screen

DONE, HELD, UNUSABLE, OUR_FAULT = 0, 1, 2, 3

ABOUT = """\
Headwater finds why a driveline unit failed. It follows the chain from what is burnt, cut or leaking
back to where it began, and it refuses to recommend a part before the origin of its damage is named.

  headwater demo                   see it work, in under a minute
  headwater call my-unit.yaml      triage on the phone: may it be driven, what to bring
  headwater bench my-unit.yaml     guided questions over a torn-down unit
  headwater diagnose my-unit.yaml  judge a case file once
"""


class Terminal(NamedTuple):
    """The streams a command talks to, and the screens over them, made when one is printed on."""

    out: IO[str]
    err: IO[str]
    stdin: IO[str]
    width: int | None = None

    def write(self, text: str) -> None:
        """Print a text as it is, but for what a terminal would obey."""
        from headwater.render.clean import fit_rows

        self.out.write(fit_rows(text))

    def complain(self, text: str) -> None:
        """Print one line beside the result, for what went wrong."""
        from headwater.render.clean import clean

        print(clean(f"headwater: {text}"), file=self.err, flush=True)

    @property
    def screen(self) -> Screen:
        """Return a screen over the output."""
        from headwater.cli.console import Screen

        return Screen(self.out, self.width)

    @property
    def side(self) -> Screen:
        """Return a screen over the error stream, for what is not the result."""
        from headwater.cli.console import Screen

        return Screen(self.err, self.width)


class UsageError(HeadwaterError):
    """A command line that cannot be understood."""


class HelpAsked(Exception):  # noqa: N818 - no error
    """Help or a version that was asked for, to be printed instead of running a command."""


class Parser(argparse.ArgumentParser):
    """A parser whose faults are one line that names the nearest word there is."""

    def __init__(self, **settings: Any) -> None:
        """Take options in full only: a shortened one may come to mean another."""
        super().__init__(**settings, allow_abbrev=False)

    def _print_message(self, message: str, file: Any = None) -> NoReturn:  # noqa: ARG002
        """Hand over what the library would print on the process's own output."""
        raise HelpAsked(message)

    def error(self, message: str) -> NoReturn:
        """Raise the fault, with the command whose help lists what there is."""
        raise UsageError(f"{message}; see '{self.prog} --help'")

    def parse_args(  # type: ignore[override]  # the overloads of the library are not needed here
        self, args: Sequence[str] | None = None, namespace: None = None
    ) -> argparse.Namespace:
        """Return what the arguments say; an option that does not exist brings the nearest one."""
        found, unknown = self.parse_known_args(args, namespace)
        if unknown:
            from headwater.book.problem import nearest

            told = [word for word in args or () if not word.startswith("-")]
            options = self._options(told)
            where = " ".join(["headwater", *told[:1]])
            mend = nearest(unknown[0], options) or f"; see '{where} --help'"
            raise UsageError(f"'{unknown[0]}' is not understood here{mend}")
        return found

    def _options(self, words: Sequence[str]) -> list[str]:
        """Return the options of this parser and of the commands among some words."""
        options = [text for action in self._actions for text in action.option_strings]
        for action in self._actions:
            if isinstance(action, argparse._SubParsersAction):
                for name, parser in dict(action.choices).items():
                    options += parser._options(words) if name in words else ()
        return options

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """Refuse a word that is not among the choices, and name the nearest."""
        if action.choices is not None and value not in action.choices:
            from headwater.book.problem import nearest

            known = [str(choice) for choice in action.choices]
            mend = nearest(str(value), known) or f"; it is one of {', '.join(known)}"
            inner = isinstance(action, argparse._SubParsersAction)
            what = str(action.metavar).lower() if inner else "value"
            raise UsageError(f"there is no {what} '{value}'{mend}")


def make_parser(wanted: str | None = None) -> Parser:
    """Return the parser; only of the wanted command if it is known, to start faster."""
    parser = Parser(
        prog="headwater", description=ABOUT, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--version", action="version", version=f"headwater {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in [wanted] if wanted in COMMANDS else COMMANDS:
        COMMANDS[name](commands)
    return parser


def _run(argv: Sequence[str], terminal: Terminal) -> int:
    if not argv:
        from headwater.cli.welcome import WELCOME

        terminal.write(WELCOME)
        return DONE
    try:
        args = make_parser(argv[0] if argv else None).parse_args(argv)
    except HelpAsked as asked:
        terminal.write(str(asked))
        return DONE
    return function_of(args)(args, terminal)


def run(argv: Sequence[str], terminal: Terminal) -> int:
    """Run one command and return its exit status. Whatever is wrong becomes one line."""
    try:
        status = _run(argv, terminal)
        terminal.out.flush()
        return status
    except HeadwaterError as error:
        return _refuse(argv, terminal, UNUSABLE, error)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        text = f"{error.filename or 'the output'}: cannot be used ({reason})"
        return _refuse(argv, terminal, UNUSABLE, HeadwaterError(text))
    except KeyboardInterrupt:
        return _refuse(argv, terminal, UNUSABLE, HeadwaterError("stopped"))
    except Exception as error:
        if _is_stop(error):
            return _refuse(argv, terminal, UNUSABLE, HeadwaterError("stopped"))
        from headwater.cli.ownfault import own_fault

        return _refuse(argv, terminal, OUR_FAULT, own_fault(error))


def _is_stop(error: BaseException | None) -> bool:
    """Say whether a Ctrl-C is behind an error: one that meets the making of a class is wrapped."""
    while error and not isinstance(error, KeyboardInterrupt):
        error = error.__cause__ or error.__context__
    return error is not None


def _refuse(argv: Sequence[str], terminal: Terminal, status: int, error: HeadwaterError) -> int:
    """Say what is wrong, a line for each fault, and as JSON to whoever asked for that."""
    if "--json" in argv:
        from headwater import outputs
        from headwater.view.refusal import TurnedAway

        with suppress(OSError):  # the output may be what cannot be used
            told = outputs.json_text("refusal", TurnedAway(status, error.every))
            terminal.write(f"{told}\n")
            terminal.out.flush()
    with suppress(OSError):  # nobody can be told that nobody can be told
        for line in error.lines:
            terminal.complain(line)
    return status


def collect_seldom() -> None:
    """Look for garbage less often than usual.

    A book is many thousand small objects that live to the end: looking through them at the usual
    rate costs a tenth of a cold start, and more with each pack.
    """
    gc.set_threshold(1_000_000, 20, 20)


def entry() -> None:
    """Run the command line of this process."""
    collect_seldom()
    out, err, stdin = process_streams()
    try:
        status = run(sys.argv[1:], Terminal(out, err, stdin))
    except KeyboardInterrupt:
        status = UNUSABLE
    # Python reports a Ctrl-C that met the import of a module as unhandled even when it was handled,
    # and then ends by the signal whatever the status. All is written, so nothing is left to do.
    with suppress(OSError):
        out.flush()
    os._exit(status)
