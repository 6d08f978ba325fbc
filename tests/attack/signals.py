"""Ctrl-C at any moment, streams that are closed or left, terminals of any width."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random

from attack.ending import obeyed, wrong_end
from attack.registry import Attack, Outcome
from process import environment

ROOT = Path(__file__).resolve().parents[2]
FROZEN = ROOT / "tests" / "frozen"
BOOKS = ("--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch"))
SETTLED, HELD = (str(FROZEN / "cases" / f"{name}.yaml") for name in ("bore", "pads"))
MISSING = str(FROZEN / "cases" / "none.yaml")


def _listening() -> None:
    """Let a process hear Ctrl-C: a shell lets its background jobs ignore it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _interrupted(words: Sequence[str], typed: str, after: float, folder: Path) -> str:
    """Return what is wrong with how a command ends that is stopped after so many seconds."""
    process = subprocess.Popen(
        [sys.executable, "-m", "headwater", *words],
        preexec_fn=_listening,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(TMPDIR=str(folder)),
        cwd=folder,
    )
    try:
        if typed and process.stdin:
            process.stdin.write(typed)
            process.stdin.flush()
        time.sleep(after)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=20)
    except subprocess.TimeoutExpired:
        return f"hangs after {after:.3f} s"
    except BrokenPipeError:
        return ""
    finally:
        process.kill()
        process.wait()
    return _wrong_after(process.returncode, err, after)


def _wrong_after(status: int, err: str, after: float) -> str:
    if "Traceback" in err and str(ROOT / "src") not in err:
        return ""  # Python itself was starting: no line of the program had run
    if status == -signal.SIGINT and not err:
        return ""
    told = list(wrong_end(status, err)) if status != 2 or err else []
    told += ["a traceback"] if "Traceback" in err else []
    told += [f"{len(err.splitlines())} lines"] if len(err.splitlines()) > 1 else []
    return f"after {after:.3f} s: {'; '.join(told)} {err[-300:]!r}" if told else ""


def _stops(dice: Random, runs: int, folder: Path) -> Outcome:
    failures = []
    for number in range(runs):
        case = str(folder / f"{number}.yaml")
        words, typed = dice.choice(
            (
                (["diagnose", SETTLED, *BOOKS], ""),
                (["diagnose", HELD, "--json", *BOOKS], ""),
                (["bench", case, "--family", "drive=chain", *BOOKS], "\n\nburnt pads\n"),
                (["call", case, *BOOKS], "it makes a noise\nit howls\n"),
                (["book", "check", str(FROZEN / "winch"), str(FROZEN / "looks")], ""),
                (["--help"], ""),
            )
        )
        failures.append(_interrupted(words, typed, dice.random() ** 2 * 1.5, folder))
    return Outcome(runs, tuple(filter(None, failures)))


OUTPUTS = {"shut": ">&-", "gone": "| true", "full": ">/dev/full", "both": ">&- 2>&-", "none": "<&-"}
COLUMNS = ("", "0", "1", "-5", "²", "9" * 30, "9" * 5000, "x", "\x1b[2J", "80", "nan")


def _streams(dice: Random, runs: int, folder: Path) -> Outcome:
    failures = []
    for _ in range(runs):
        case, status = dice.choice(((SETTLED, 0), (HELD, 1), (MISSING, 2)))
        form = dice.choice(("", "--json", "--csv"))
        end = dice.choice(list(OUTPUTS))
        width = dice.choice(COLUMNS)
        words = [sys.executable, "-m", "headwater", "diagnose", case, *BOOKS, *form.split()]
        script = f'"$@" {OUTPUTS[end]}; echo "${{PIPESTATUS[0]}}" >{folder}/status'
        found = subprocess.run(
            ["bash", "-c", script, "sh", *words],
            capture_output=True,
            text=True,
            timeout=30,
            check=False,
            env=environment(COLUMNS=width, LINES=dice.choice(COLUMNS), TMPDIR=str(folder)),
        )
        got = int((folder / "status").read_text())
        wanted = 2 if end == "full" else status
        wrong = [f"status {got}, not {wanted}"] if got != wanted else []
        wrong += ["a traceback"] if "Traceback" in found.stderr else []
        if end == "full" and not found.stderr.startswith("headwater: "):
            wrong.append("no word of a full disk")
        wrong += [f"holds {obeyed(found.stdout)!a}"] if obeyed(found.stdout) - {"\r"} else []
        failures += [f"{one}: {case[-9:]} {form} {end} COLUMNS={width[:9]!r}" for one in wrong]
    return Outcome(runs, tuple(failures))


ATTACKS = (
    Attack("Ctrl-C at any moment", _stops, 3, 500),
    Attack("streams closed, left or full, any width", _streams, 3, 300),
)
