"""Files of every kind, mutated, for every command that reads them."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from random import Random

from attack.ending import failures_of
from attack.registry import Attack, Outcome
from small_book import FILES, write_book

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
BOOKS = ["--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch")]
BIT: tuple[str, ...] = (
    *"\x00\x1b\x07\x9b\u202e\u2028\ufeff:-,#{}[]&*!|>'\"%@`\\\n\t²٣",
    "\x1b[2J", "\\e]0;X\\a", "null", "true", "no", "~", "---", "...", "&a", "*a", "!!x", "<<: *a",
    "{" * 40, "[" * 2000, "- " * 40, "x" * 5000, "9" * 5000, "1e999", "-1e308", ".inf", ".nan",
    "0x7f", "1:30", "2031-04-08", "1 ± 1e300 in", "1e-300 mm", "± mm", "about", "gone", "not-gone",
    "../../etc/passwd", "/dev/null", "é", "\U0001f600",
)  # fmt: skip
"""Pieces that are put in."""
CODINGS = ("utf-16", "utf-32", "utf-8-sig")
CASES = ("bore", "pads", "two", "loop", "disputed", "undetermined", "healthy", "back")
TYPED = "\n\nburnt pads\n1\n?\nx\nwhy\nback\nlist\nfind oil\ndone\ndone\ndone\n"
ANSWERS = "\n\nburnt pads\n\nhelp\nwhy bore-worn\nlater\nbearing-float: 0.4 mm\nlist\nback\ndone\n"
PROGRESS = (
    "apprentices:\n  a:\n    done: 1\n    points: 7\n    missed: {bore-drops-gear: 2}\n"
    "    open: {level: 1, seed: 3, book: 0123456789abcdef, orders: [bore-look]}\n"
)


PRICED = ("options GOOD --prices FILE", "options GOOD --prices FILE --json")
AUDITED = ("audit GOOD --plan FILE", "audit GOOD --plan FILE --json")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: what it holds, and the commands that read it, FILE standing for it."""

    name: str
    texts: tuple[str, ...]
    commands: tuple[str, ...]
    typed: str = ""


def _read(*names: str) -> tuple[str, ...]:
    return tuple((FROZEN / "cases" / f"{name}.yaml").read_text() for name in names)


KINDS = (
    Kind(
        "case",
        _read(*CASES),
        (
            "diagnose FILE", "diagnose FILE --json", "diagnose FILE --csv", "plan FILE",
            "plan FILE --json", "plan FILE --csv", "options FILE --json", "audit FILE --parts oil",
            "report FILE -o OUT.html --force", "report FILE -o OUT.md --for customer --force",
            "diagnose FILE --why bore-worn", "book cover --told FILE", "drill walk --case FILE",
        ),
    ),
    Kind("case at a seat", _read(*CASES), ("bench FILE", "hoist FILE", "call FILE"), TYPED),
    Kind("prices", _read("prices"), PRICED),
    Kind("plan", _read("whole", "bare"), AUDITED),
    Kind("answers", (ANSWERS,), ("bench OUT.yaml --answers FILE", "call OUT.yaml --answers FILE")),
    Kind(
        "progress",
        (PROGRESS,),
        (
            "drill order bore-drops-gear --who a --progress FILE",
            "drill solve --seed 3 --who a --progress FILE",
        ),
        "1 2\n2 1\n1 2 3\n3 2 1\n1\n2\nlook\n",
    ),
)  # fmt: skip


def mutate(dice: Random, whole: str) -> bytes:
    """Return the bytes of a text after a few changes of any kind."""
    data = whole.encode()
    for _ in range(dice.choice((1, 1, 1, 2, 3, 8))):
        data = _change(dice, data)
    return data


def _change(dice: Random, data: bytes) -> bytes:
    at = dice.randrange(len(data) + 1)
    end = min(len(data), at + dice.choice((1, 1, 4, 30, 300)))
    bit = dice.choice(BIT).encode(errors="replace")
    lines = data.split(b"\n")
    kind = dice.randrange(9)
    if kind == 0:
        return data[:at] + bytes([dice.randrange(256)]) + data[at + 1 :]
    if kind == 1:
        return data[:at] + data[end:]
    if kind == 2:
        return data[:at]
    if kind == 3:
        return data[:end] + data[at:]
    if kind == 4:
        return data[:at] + bit + data[end:]
    if kind == 5:
        line = dice.choice(lines)
        return data + b"\n" + line + b"\n"
    if kind == 6:
        return data.decode(errors="replace").encode(dice.choice(CODINGS))
    if kind == 7:
        number = dice.randrange(len(lines))
        head, colon, _ = lines[number].partition(b": ")
        lines[number] = head + colon + bit
        return b"\n".join(lines)
    return data[:at] + bit + data[at:]


def _files(dice: Random, runs: int, folder: Path) -> Outcome:
    good = folder / "good.yaml"
    good.write_text(_read("bore")[0])
    failures: list[str] = []
    for run in range(runs):
        kind = dice.choice(KINDS)
        file = folder / "file.yaml"
        file.write_bytes(mutate(dice, dice.choice(kind.texts)))
        where = {"FILE": str(file), "GOOD": str(good)}
        out = str(folder / f"out-{run}")
        words = [where.get(w, w.replace("OUT", out)) for w in dice.choice(kind.commands).split()]
        failures += _kept(failures_of([*words, *BOOKS], kind.typed), file, len(failures))
        for made in (*folder.glob("out-*"), *folder.glob("file.yaml?*")):
            made.unlink()
    return Outcome(runs, tuple(failures))


def _kept(faults: list[str], file: Path, number: int) -> list[str]:
    """Keep the file of a failure beside the folders of the attack, and name it."""
    if not faults:
        return []
    kept = file.parent.parent / f"failed-{file.parent.name}-{number}{file.suffix}"
    if file.exists():
        shutil.copyfile(file, kept)
    return [f"{fault} with {kept}" for fault in faults]


PACK_COMMANDS = (
    "book check PACK", "book check PACK --json", "book show bore-worn --book PACK",
    "book graph --book PACK", "book graph --form dot --book PACK", "trace bore-worn --book PACK",
    "diagnose GOOD --book PACK --json", "diagnose GOOD --book PACK", "plan GOOD --book PACK",
    "book diff WHOLE PACK", "hear 'pads are burnt' --book PACK", "book cover PACK",
)  # fmt: skip
GOOD = (
    "case: a\nunit: {family: {drive: chain}}\nfindings:\n"
    "  - {check: pads, answer: burnt}\n  - {check: bore-float, answer: 0.9 mm}\n"
)


def _packs(dice: Random, runs: int, folder: Path) -> Outcome:
    whole, good = write_book(folder / "whole"), folder / "good.yaml"
    good.write_text(GOOD)
    failures: list[str] = []
    for _ in range(runs):
        pack = write_book(folder / "pack")
        name = dice.choice(list(FILES))
        (pack / name).write_bytes(mutate(dice, FILES[name]))
        where = {"PACK": str(pack), "GOOD": str(good), "WHOLE": str(whole)}
        words = [where.get(w, w) for w in dice.choice(PACK_COMMANDS).split()]
        failures += _kept(failures_of(words), pack / name, len(failures))
    return Outcome(runs, tuple(failures))


ATTACKS = (
    Attack("mutated case, prices, plan, answers, progress", _files, 150, 14_000),
    Attack("mutated pack", _packs, 60, 6_000),
)
