"""A kept book is the parsed one, and nothing that is wrong with keeping it is ever seen."""

from __future__ import annotations

import json
import os
import resource
import stat
import subprocess
import sys
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from process import ROOT, environment
from process import run as run_process
from small_book import change, write_book

from headwater.book import cache
from headwater.book.cache import KEPT, cache_folder, kept_book
from headwater.book.files import Expect, Sample
from headwater.book.flat import flatten, restore
from headwater.book.load import load_book
from headwater.book.problem import BookError
from headwater.book.records import Book, Override
from headwater.book.seal import Sealed, unseal
from headwater.book.shape import Ref
from headwater.book.tables import Drive
from headwater.errors import Place
from headwater.yamltext import Table, Value

SHIPPED = sorted(head.parent for head in (ROOT / "knowledge").glob("*/pack.yaml"))
NOBODY = 65534


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


@pytest.fixture
def keep(tmp_path: Path) -> Path:
    return tmp_path / "kept"


def differences(a: Any, b: Any, path: str = "book") -> list[str]:
    """Return where two values differ: kind, order, places of references, sealed items and all."""
    if type(a) is not type(b):
        return [f"{path}: {type(a).__name__} and {type(b).__name__}"]
    if isinstance(a, Sealed):
        return differences(unseal(a), unseal(b), f"{path}.sealed")
    if is_dataclass(a):
        pairs = [(f".{f.name}", getattr(a, f.name), getattr(b, f.name)) for f in fields(a)]
    elif isinstance(a, dict):
        keys = differences(tuple(a), tuple(b), f"{path} keys")
        pairs = [] if keys else [(f"[{k}]", a[k], b[k]) for k in a]
        return keys + [d for name, x, y in pairs for d in differences(x, y, path + name)]
    elif isinstance(a, (tuple, list)):
        if len(a) != len(b):
            return [f"{path}: {len(a)} and {len(b)} long"]
        pairs = [(f"[{n}]", x, y) for n, (x, y) in enumerate(zip(a, b, strict=True))]
    else:
        signed = isinstance(a, float) and repr(a) != repr(b)  # 0.0 and -0.0
        own = [f"{path}: {a!r} and {b!r}"] if a != b or signed else []
        return own + (differences(a.place, b.place, f"{path}.place") if isinstance(a, Ref) else [])
    return [d for name, x, y in pairs for d in differences(x, y, path + name)]


def parses(
    monkeypatch: pytest.MonkeyPatch, packs: Sequence[Path], keep: Path, samples: bool = False
) -> bool:
    """Say whether the packs are parsed once more; the book is right either way."""
    calls: list[Any] = []

    def noted(folders: Sequence[Path], samples: bool = False) -> Book:
        calls.append(folders)
        return load_book(folders, samples)

    with monkeypatch.context() as patch:
        patch.setattr(cache, "load_book", noted)
        book = kept_book(packs, samples, keep)
    assert differences(book, load_book(packs, samples)) == []
    return bool(calls)


def entry_of(keep: Path) -> Path:
    """Return the one entry that is kept."""
    (entry,) = keep.iterdir()
    return entry


def is_kept(keep: Path) -> bool:
    """Say whether anything is kept."""
    return keep.is_dir() and any(keep.iterdir())


@pytest.mark.parametrize("samples", [False, True])
def test_a_kept_book_is_the_parsed_one(
    monkeypatch: pytest.MonkeyPatch, keep: Path, samples: bool
) -> None:
    assert parses(monkeypatch, SHIPPED, keep, samples)
    assert not parses(monkeypatch, SHIPPED, keep, samples)


def test_the_comparison_sees_places_and_sealed_items(small: Path) -> None:
    book, other = load_book([small], samples=True), load_book([small], samples=True)
    assert differences(book, other) == []
    change(small, "bore-burns-pads.yaml", "found: pads-burnt", "found:  pads-burnt")
    change(small, "conditions.yaml", "Bush the bore.", "Bush the bore well.")
    found = " ".join(differences(book, load_book([small], samples=True)))
    assert "book.chains[bore-burns-pads].found.place[2]" in found
    assert "book.conditions[bore-worn].origin.corrections.sealed[0].text" in found


def test_what_is_shared_stays_shared(small: Path, keep: Path) -> None:
    kept_book([small], False, keep)
    book = kept_book([small], False, keep)
    chain = book.chains["bore-burns-pads"]
    ends = "bore-worn", "gear-displaced"
    assert book.links[ends].often is chain.because[1].said.often
    assert book.links[ends].when is chain.because[1].said.when


def test_values_that_are_only_equal_stay_apart() -> None:
    here = Place("a.yaml", 1, 0)
    data = (1, 1.0, True, 0, 0.0, -0.0, False, "1", "", None, 10**17, 0.1 + 0.2, "\ud800")
    items = tuple(Value(item, here) for item in data)
    table = Table({"a": Value(items, here), "b": Value((), here)}, {"a": here, "b": here})
    given = {Ref("x", here): Value(table, here), Ref("x-2"): Value((Value(table, here),), here)}
    sample = Sample(name="n", given=given, expect=Expect(drive=Drive.LIMP), why="w")
    override = Override("parts", "p", "shop", here, Place("(program)"))
    book = Book(samples={"c": (sample,)}, overrides=[override], owner={("parts", "p"): "shop"})
    assert differences(restore(json.loads(json.dumps(flatten(book)))), book) == []


def test_what_has_no_place_in_a_book_is_not_kept(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    book = load_book([small])
    book.files = frozenset(book.files)  # type: ignore[assignment]  # what is tried here
    with pytest.raises(TypeError, match="frozenset has no place in a book"):
        flatten(book)
    monkeypatch.setattr(cache, "load_book", lambda *_: book)
    assert kept_book([small], False, keep) is book
    assert not is_kept(keep)


def test_two_books_that_say_the_same_are_kept_apart(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, keep: Path
) -> None:
    # The places name the folder, so one's faults would be told of the other.
    one, other = write_book(tmp_path / "one"), write_book(tmp_path / "other")
    assert parses(monkeypatch, [one], keep)
    assert parses(monkeypatch, [other], keep)
    monkeypatch.chdir(tmp_path)
    assert parses(monkeypatch, [Path("one")], keep)
    assert not parses(monkeypatch, [one], keep)


def _replaced(small: Path) -> None:
    change(small, "checks.yaml", "How large is", "How large was")


def _added(small: Path) -> None:
    (small / "more.yaml").write_text("parts:\n  half: {title: rear half}\n", encoding="utf-8")


def _renamed(small: Path) -> None:
    (small / "words.yaml").rename(small / "yet-more-words.yaml")  # the last one still


def _moved_down(small: Path) -> None:
    (small / "below").mkdir()
    (small / "words.yaml").rename(small / "below" / "words.yaml")


def _one_letter_with_the_old_times(small: Path) -> None:
    before = (small / "checks.yaml").stat()
    path = change(small, "checks.yaml", "How large is", "How lxrge is")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))


@pytest.mark.parametrize(
    "alter", [_replaced, _added, _renamed, _moved_down, _one_letter_with_the_old_times]
)
def test_other_packs_are_parsed_anew(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path, alter: Callable[[Path], None]
) -> None:
    assert parses(monkeypatch, [small], keep)
    alter(small)
    assert parses(monkeypatch, [small], keep)
    assert not parses(monkeypatch, [small], keep)


def test_the_cases_count_only_where_they_are_read(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    assert parses(monkeypatch, [small], keep)
    assert parses(monkeypatch, [small], keep, samples=True)
    change(small, "bore-burns-pads.cases.yaml", "why: the float", "why: the large float")
    assert not parses(monkeypatch, [small], keep)
    assert parses(monkeypatch, [small], keep, samples=True)


def test_the_packs_that_a_pack_builds_on_count(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    shop = small.parent / "shop"
    shop.mkdir()
    (shop / "pack.yaml").write_text('pack: shop\nversion: "1"\ntitle: shop\nuses: [small]\n')
    assert parses(monkeypatch, [shop], keep)
    assert not parses(monkeypatch, [shop], keep)
    assert parses(monkeypatch, [small, shop], keep)
    change(small, "words.yaml", "title: front bore", "title: the front bore")
    assert parses(monkeypatch, [shop], keep)


@pytest.mark.parametrize(
    ("owner", "name", "value"),
    [
        (cache, "__version__", "99"),
        (sys, "version", "99"),
        (cache, "_sum_of_source", lambda: "another source"),
    ],
)
def test_another_program_reads_its_own_entries(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path, owner: Any, name: str, value: Any
) -> None:
    assert parses(monkeypatch, [small], keep)
    monkeypatch.setattr(owner, name, value)
    assert parses(monkeypatch, [small], keep)


def test_the_source_of_the_room_has_a_say(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    room = tmp_path / "headwater" / "book"
    room.mkdir(parents=True)
    read_with = [room.parent / name for name in ("errors.py", "files.py", "yamltext.py")]
    for path in (room / "model.py", *read_with):
        path.write_text("# as it was\n")
    monkeypatch.setattr(cache, "__file__", str(room / "cache.py"))
    sums = [cache._sum_of_source()]
    for path in (room / "model.py", *read_with):
        path.write_text("# otherwise\n")
        sums.append(cache._sum_of_source())
    assert len(set(sums)) == 5


def test_without_its_source_nothing_is_kept(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path, tmp_path: Path
) -> None:
    monkeypatch.setattr(cache, "__file__", str(tmp_path / "packed.zip" / "book" / "cache.py"))
    assert parses(monkeypatch, [small], keep)
    assert not is_kept(keep)


def test_a_book_with_faults_is_not_kept(small: Path, keep: Path) -> None:
    change(
        small, "checks.yaml", "pads-burnt: decisive}}\n      sound", "pads: decisive}}\n      sound"
    )
    for _ in range(2):
        with pytest.raises(BookError, match="there is no condition 'pads'"):
            kept_book([small], False, keep)
    assert not is_kept(keep)


def test_packs_that_change_while_they_are_parsed_are_not_kept(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    def slow(folders: Sequence[Path], samples: bool = False) -> Book:
        book = load_book(folders, samples)
        change(small, "words.yaml", "title: front bore", "title: the front bore")
        return book

    with monkeypatch.context() as patch:
        patch.setattr(cache, "load_book", slow)
        kept_book([small], False, keep)
    assert not is_kept(keep)


def _cut(data: bytes) -> bytes:
    return data[: len(data) // 2]


def _one_letter(data: bytes) -> bytes:
    return data.replace(b"front bore", b"front b0re")


def _with_right_sum(body: Any) -> Callable[[bytes], bytes]:
    """Return what puts another body into an entry, with a sum that is right for it."""

    def forge(data: bytes) -> bytes:
        text = body if isinstance(body, bytes) else json.dumps(body).encode()
        head = json.loads(data.partition(b"\n")[0])
        return json.dumps({**head, "body": cache._sum(text)}).encode() + b"\n" + text

    return forge


FORGED = {
    "no data": b"",
    "no JSON": b"{",
    "nested too deep": b"[" * 100_000,
    "a list": [],
    "no groups": {"plain": [], "root": 0},
    "no book": {"plain": ["book"], "groups": [], "root": 0},
    "a number too many": {"plain": [], "groups": [["tuple", 1, [[1], [7]]]], "root": 0},
    "an unknown kind": {"plain": ["true"], "groups": [["system", 1, [[0]]]], "root": 1},
    "too few columns": {"plain": [], "groups": [["Book", 1, [[]]]], "root": 0},
    "columns of text": {"plain": [], "groups": [["Book", 1, "abc"]], "root": 0},
    "no seat": {"plain": ["moon"], "groups": [["Seat", 1, [[0]]]], "root": 1},
}


@pytest.mark.parametrize(
    "spoil",
    [
        _cut,
        _one_letter,
        lambda data: data + b" ",
        lambda _: b"",
        lambda _: b"\x00\xff" * 50,
        lambda _: b"[]\n{}",
        lambda _: b"null\n",
        *(_with_right_sum(body) for body in FORGED.values()),
    ],
    ids=["cut", "one letter", "longer", "empty", "bytes", "list", "null", *FORGED],
)
def test_a_spoilt_entry_is_made_anew(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path, spoil: Callable[[bytes], bytes]
) -> None:
    assert parses(monkeypatch, [small], keep)
    entry = entry_of(keep)
    good = entry.read_bytes()
    entry.write_bytes(spoil(good))
    assert entry.read_bytes() != good
    assert parses(monkeypatch, [small], keep)
    assert not parses(monkeypatch, [small], keep)
    assert entry.read_bytes() == good


def _link_to_entry(keep: Path) -> None:
    entry = entry_of(keep)
    entry.rename(keep.parent / "elsewhere")
    entry.symlink_to(keep.parent / "elsewhere")


def _link_to_folder(keep: Path) -> None:
    keep.rename(keep.parent / "elsewhere")
    keep.symlink_to(keep.parent / "elsewhere")


def _pipe(keep: Path) -> None:
    entry = entry_of(keep)
    entry.unlink()
    os.mkfifo(entry, 0o600)


def _folder_for_entry(keep: Path) -> None:
    entry = entry_of(keep)
    entry.unlink()
    entry.mkdir()


def _open_to_group(keep: Path) -> None:
    entry_of(keep).chmod(0o620)


def _open_to_others(keep: Path) -> None:
    entry_of(keep).chmod(0o602)


def _folder_open_to_group(keep: Path) -> None:
    keep.chmod(0o770)


def _folder_open_to_others(keep: Path) -> None:
    keep.chmod(0o1777)


def _entry_of_another(keep: Path) -> None:
    os.chown(entry_of(keep), NOBODY, NOBODY)


def _folder_of_another(keep: Path) -> None:
    os.chown(keep, NOBODY, NOBODY)


@pytest.mark.parametrize(
    "alter",
    [
        _link_to_entry,
        _link_to_folder,
        _pipe,
        _folder_for_entry,
        _open_to_group,
        _open_to_others,
        _folder_open_to_group,
        _folder_open_to_others,
        _entry_of_another,
        _folder_of_another,
    ],
)
def test_what_another_could_have_written_is_not_read(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path, alter: Callable[[Path], None]
) -> None:
    if "another" in alter.__name__ and os.geteuid() != 0:
        pytest.skip("only root can give files away")
    assert parses(monkeypatch, [small], keep)
    alter(keep)
    assert parses(monkeypatch, [small], keep)


def test_files_of_another_user_are_not_read(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    assert parses(monkeypatch, [small], keep)
    monkeypatch.setattr(os, "geteuid", lambda: os.getuid() + 1)
    assert parses(monkeypatch, [small], keep)


def test_entries_are_closed_to_others(small: Path, keep: Path) -> None:
    kept_book([small], False, keep)
    assert stat.S_IMODE(keep.stat().st_mode) == 0o700
    assert stat.S_IMODE(entry_of(keep).stat().st_mode) == 0o600


def _no_folder_above(tmp_path: Path) -> Path:
    return tmp_path / "home" / "somebody" / ".cache" / "headwater"


def _a_file(tmp_path: Path) -> Path:
    (tmp_path / "kept").write_text("a file")
    return tmp_path / "kept"


def _not_to_be_written(_: Path) -> Path:
    return Path("/proc/headwater")


@pytest.mark.parametrize("place", [_no_folder_above, _a_file, _not_to_be_written])
def test_a_folder_that_cannot_be_used_is_no_error(
    monkeypatch: pytest.MonkeyPatch, small: Path, tmp_path: Path, place: Callable[[Path], Path]
) -> None:
    folder = place(tmp_path)
    assert parses(monkeypatch, [small], folder)
    assert parses(monkeypatch, [small], folder)
    assert not folder.is_dir()
    assert not (tmp_path / "home").exists()


def test_a_folder_that_may_only_be_read_is_no_error(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    opened = os.open

    def only_read(path: Any, flags: int, *more: Any, **named: Any) -> int:
        if flags & os.O_CREAT:
            raise PermissionError(13, "read-only file system", path)
        return opened(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", only_read)
    assert parses(monkeypatch, [small], keep)
    assert parses(monkeypatch, [small], keep)
    assert not is_kept(keep)


def test_a_disk_that_is_full_is_no_error(small: Path, keep: Path) -> None:
    # A limit on the size of files fails a write as a full disk does: in its middle.
    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    for _ in range(2):
        found = subprocess.run(
            [sys.executable, "-m", "headwater", "book", "show", "pads", "--book", str(small)],
            env=environment(HEADWATER_CACHE=str(keep), PYTHONDONTWRITEBYTECODE="1"),
            preexec_fn=limit,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert (found.returncode, found.stderr) == (0, "")
        assert "How do the pads look?" in found.stdout
    assert keep.is_dir()
    assert not is_kept(keep)


def test_processes_that_keep_the_same_book_at_once(keep: Path) -> None:
    words = [sys.executable, "-m", "headwater", "book", "show", "range-fork"]
    runs = [
        subprocess.Popen(
            words,
            env=environment(HEADWATER_CACHE=str(keep)),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(3)
    ]
    told = [run.communicate(timeout=60) for run in runs]
    assert {run.returncode for run in runs} == {0}
    assert len(set(told)) == 1
    assert told[0][1] == ""
    assert entry_of(keep).suffix == ".json"


def test_old_entries_go_and_other_files_stay(
    monkeypatch: pytest.MonkeyPatch, small: Path, keep: Path
) -> None:
    keep.mkdir(mode=0o700)
    (keep / "mine.txt").write_text("not an entry")
    (keep / "book-0.json.0.part").write_text("half an entry")
    os.utime(keep / "book-0.json.0.part", (0, 0))
    for number in range(KEPT + 2):
        for path in keep.glob("book-*.json"):
            os.utime(path, (path.stat().st_mtime - 10, path.stat().st_mtime - 10))
        monkeypatch.setattr(cache, "__version__", str(number))
        kept_book([small], False, keep)
    assert (keep / "mine.txt").exists()
    assert len(list(keep.glob("book-*"))) == KEPT
    assert not list(keep.glob("*.part"))
    assert not parses(monkeypatch, [small], keep)
    monkeypatch.setattr(cache, "__version__", "0")
    assert parses(monkeypatch, [small], keep)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give files away")
def test_root_makes_no_folder_in_the_home_of_another(small: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    os.chown(home, NOBODY, NOBODY)
    kept_book([small], False, home / ".cache" / "headwater")
    assert list(home.iterdir()) == []


def test_where_books_are_kept() -> None:
    home = {"HOME": "/home/kim"}
    assert cache_folder(home) == Path("/home/kim/.cache/headwater")
    assert cache_folder({**home, "XDG_CACHE_HOME": "/var/kim"}) == Path("/var/kim/headwater")
    assert cache_folder({**home, "XDG_CACHE_HOME": "kim"}) == Path("/home/kim/.cache/headwater")
    assert cache_folder({**home, "HEADWATER_CACHE": "/tmp/kim"}) == Path("/tmp/kim")
    assert cache_folder({**home, "HEADWATER_CACHE": "off"}) is None
    assert cache_folder({}) is None


def test_where_files_have_no_owner_nothing_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delattr(os, "geteuid")
    assert cache_folder({"HOME": "/home/kim"}) is None


def test_off_parses_and_keeps_nothing(monkeypatch: pytest.MonkeyPatch, small: Path) -> None:
    monkeypatch.setattr(cache, "_take", None)
    monkeypatch.setattr(cache, "_keep", None)
    assert differences(kept_book([small], True, None), load_book([small], samples=True)) == []


def test_book_check_reads_the_packs_and_nothing_else(small: Path, keep: Path) -> None:
    found = run_process("book", "check", small, HEADWATER_CACHE=str(keep))
    assert found.returncode in (0, 1)
    assert not keep.exists()


def test_a_missing_home_is_made_no_home(small: Path, tmp_path: Path) -> None:
    home = tmp_path / "nobody"
    found = run_process(
        *("book", "show", "pads", "--book", small),
        HOME=str(home),
        HEADWATER_CACHE="",
        XDG_CACHE_HOME="",
    )
    assert (found.returncode, found.stderr) == (0, "")
    assert not home.exists()
    home.mkdir()
    run_process(
        *("book", "show", "pads", "--book", small),
        HOME=str(home),
        HEADWATER_CACHE="",
        XDG_CACHE_HOME="",
    )
    assert is_kept(home / ".cache" / "headwater")
