"""Every command says what it does, what it takes, and what each option is for."""

from __future__ import annotations

import argparse
import io
from collections.abc import Iterator

import pytest

from headwater.cli import commands
from headwater.cli.commands import function_of
from headwater.cli.main import Terminal, make_parser, run
from headwater.drill.truth import LEVELS


def commands_of(
    parser: argparse.ArgumentParser, path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], argparse.ArgumentParser, str]]:
    """Yield (words, parser, help line) of every command and of the commands in it."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            lines = {choice.dest: choice.help or "" for choice in action._choices_actions}
            for name, inner in action.choices.items():
                yield (*path, name), inner, lines.get(name, "")
                yield from commands_of(inner, (*path, name))


COMMANDS = list(commands_of(make_parser()))


def test_the_table_names_every_command() -> None:
    top = [words[0] for words, _, _ in COMMANDS if len(words) == 1]
    assert top == list(commands.COMMANDS)
    for name in commands.COMMANDS:
        alone = [words[0] for words, _, _ in commands_of(make_parser(name))]
        assert set(alone) == {name}, f"{name} is not added by its own function alone"


def test_every_command_names_a_function_that_is_there() -> None:
    named = [parser.get_default("run") for _, parser, _ in COMMANDS if parser.get_default("run")]
    assert len(named) > len(commands.COMMANDS)
    for name in named:
        assert callable(function_of(argparse.Namespace(run=name))), name


def test_the_levels_are_those_of_the_drill() -> None:
    assert tuple(commands.LEVELS) == LEVELS


@pytest.mark.parametrize(
    ("words", "parser", "line"), COMMANDS, ids=[" ".join(c[0]) for c in COMMANDS]
)
def test_a_command_has_help(
    words: tuple[str, ...], parser: argparse.ArgumentParser, line: str
) -> None:
    assert line, "says nothing in the list of commands"
    assert not line.endswith(".")
    silent = [
        action.dest
        for action in parser._actions
        if not action.help and not isinstance(action, argparse._SubParsersAction)
    ]
    assert silent == []
    out, err = io.StringIO(), io.StringIO()
    assert run([*words, "--help"], Terminal(out, err, io.StringIO(), width=80)) == 0
    assert out.getvalue().startswith(f"usage: headwater {' '.join(words)}")
    assert err.getvalue() == ""


def test_version() -> None:
    out = io.StringIO()
    assert run(["--version"], Terminal(out, io.StringIO(), io.StringIO())) == 0
    assert out.getvalue().startswith("headwater ")
