"""A damaged, foreign, old or new file; a full disk; a sudden end; many programs at once. Nothing committed is lost."""

from __future__ import annotations

import random
import signal
import sqlite3
import stat
import subprocess
import sys
import textwrap
import time
from pathlib import Path

import pytest
from sqlite_utils import Database

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn, SittingOpened
from benchvoice.errors import JournalError
from benchvoice.journal import BusyJournalError, DamagedJournalError, Journal, connection, rescue
from benchvoice.journal.schema import APPLICATION_ID, NAMES, VERSION, migrations
from tests.domain.strategies import SITTING, STOCK
from tests.domain.test_fold import finding, heard

ROOT = Path(__file__).resolve().parents[2]


def fill(path: Path, count: int = 400) -> None:
    with Journal.open(path) as journal:
        journal.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
        journal.append(SittingOpened(sitting=SITTING, source="text"), STOCK)
        with journal.writing():
            for n in range(count):
                journal.append(heard(n, finding()), STOCK)


def child(code: str, *arguments: str) -> subprocess.Popen[str]:
    """Another program with our code."""
    head = "import sys\nfrom pathlib import Path\nfrom benchvoice.journal import Journal\n"
    head += "from tests.domain.strategies import SITTING, STOCK\nfrom tests.domain.test_fold import finding, heard\n"
    return subprocess.Popen(
        [sys.executable, "-c", head + textwrap.dedent(code), *arguments],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def one_line(error: pytest.ExceptionInfo[JournalError]) -> str:
    text = str(error.value)
    assert "\n" not in text
    return text


def test_a_newer_journal_is_refused_and_left_as_it_is(path: Path) -> None:
    fill(path, 1)
    with sqlite3.connect(path) as conn:
        conn.execute(f"PRAGMA user_version={VERSION + 1}")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="newer benchvoice") as caught:
        Journal.open(path)
    assert "Install the newest benchvoice" in one_line(caught)
    assert path.read_bytes() == before


def test_an_older_journal_is_upgraded_with_a_backup_beside_it(path: Path) -> None:
    path.parent.mkdir()
    old = Database(path, execute_plugins=False)
    migrations.apply(old, stop_before=NAMES[1])
    old.conn.execute(f"PRAGMA application_id={APPLICATION_ID}")
    old.conn.execute("PRAGMA user_version=1")
    old.execute(
        "INSERT INTO engines VALUES ('E-0417', '', '', '', 'inline', 4, 'pushrod', 'petrol', NULL, '', NULL, '', 1, 1)"
    )
    old.execute("INSERT INTO sittings VALUES ('E-0417-s1', 'E-0417', 'text', '', '', '', 1, 0, NULL)")
    old.execute(
        "INSERT INTO utterances (stock, sitting, n, words, heard, confidence, recogniser, about_engine, withdrawn, "
        "blanked) VALUES ('E-0417', 'E-0417-s1', 0, 'rod bearing wiped', '', 1, 'text', 1, 0, 0)"
    )
    old.conn.close()
    with Journal.open(path) as journal:
        assert [hit.n for hit in journal.search(STOCK, "bearing")] == [0], "what was there is searchable now"
        assert journal._db.conn.execute("PRAGMA user_version").fetchone()[0] == VERSION
    (backup,) = path.parent.glob("journal.db.version1-*")
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    with sqlite3.connect(backup) as conn:
        assert conn.execute("PRAGMA user_version").fetchone()[0] == 1
        assert conn.execute("SELECT words FROM utterances").fetchall() == [("rod bearing wiped",)]
        assert not conn.execute("SELECT name FROM sqlite_master WHERE name = 'utterances_fts'").fetchall()
    with Journal.open(path):
        assert len(list(path.parent.glob("journal.db.version*"))) == 1


def test_every_version_has_its_migration() -> None:
    assert tuple(item.name for item in migrations._migrations) == NAMES


def test_a_failing_upgrade_leaves_the_old_journal(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path.parent.mkdir()
    old = Database(path, execute_plugins=False)
    migrations.apply(old, stop_before=NAMES[1])
    old.conn.execute(f"PRAGMA application_id={APPLICATION_ID}")
    old.conn.execute("PRAGMA user_version=1")
    old.execute("CREATE TABLE utterances_fts (in_the_way TEXT)")
    old.conn.close()
    with pytest.raises(JournalError):
        Journal.open(path)
    with sqlite3.connect(path) as conn:
        assert conn.execute("PRAGMA user_version").fetchone()[0] == 1


def test_another_programs_database_is_never_written_to(path: Path) -> None:
    path.parent.mkdir()
    with sqlite3.connect(path) as conn:
        conn.execute("CREATE TABLE accounts (name TEXT)")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="another program"):
        Journal.open(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content", [b"not a database at all" * 400, b"SQLite format 3\x00" + b"\xff" * 8000], ids=["text", "garbled"]
)
def test_a_file_that_is_no_database_is_damaged_and_kept(path: Path, content: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(content)
    with pytest.raises(DamagedJournalError, match="benchvoice rescue") as caught:
        Journal.open(path)
    one_line(caught)
    assert path.read_bytes() == content
    found = rescue(path)
    assert found.events == 0
    assert found.aside.read_bytes() == content
    with Journal.open(path) as journal:
        assert journal.engines() == []


def test_what_a_damaged_journal_still_holds_is_carried_over(path: Path) -> None:
    fill(path)
    with Journal.open(path) as journal:
        whole = journal.events()
    content = bytearray(path.read_bytes())
    page = int.from_bytes(content[16:18], "big")
    rng = random.Random(7)
    for number in rng.sample(range(len(content) // page // 3, len(content) // page), 12):
        content[number * page : (number + 1) * page] = rng.randbytes(page)
    path.write_bytes(bytes(content))
    found = rescue(path)
    assert found.aside.read_bytes() == bytes(content), "the damaged file is kept as it was"
    with Journal.open(path) as journal:
        kept = journal.events()
        assert not journal.check()
        assert len(journal.record(STOCK).said) == len(kept) - 2
    assert found.events == len(kept) >= len(whole) // 2
    assert [event for event in whole if event.id in {item.id for item in kept}] == kept
    last = max(event.id for event in kept)
    assert set(found.missing) == {event.id for event in whole if event.id <= last} - {event.id for event in kept}


def test_damage_found_while_reading_is_said_on_one_line(path: Path) -> None:
    fill(path)
    content = bytearray(path.read_bytes())
    page = int.from_bytes(content[16:18], "big")
    for number in range(20, len(content) // page):
        content[number * page : number * page + 100] = b"\xff" * 100
    path.write_bytes(bytes(content))

    def use() -> None:
        with Journal.open(path) as journal:
            journal.events()

    with pytest.raises(DamagedJournalError) as caught:
        use()
    one_line(caught)


def test_the_companions_of_a_damaged_journal_go_with_it(path: Path) -> None:
    path.parent.mkdir()
    for end in ("", "-wal", "-shm"):
        path.with_name(path.name + end).write_bytes(b"x" * 5000)
    found = rescue(path)
    for end in ("", "-wal", "-shm"):
        assert found.aside.with_name(found.aside.name + end).read_bytes() == b"x" * 5000
    with Journal.open(path) as journal:
        assert journal.events() == []


def test_no_journal_to_rescue(path: Path) -> None:
    with pytest.raises(JournalError, match="no journal"):
        rescue(path)


def test_a_folder_that_cant_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match="can't be used") as caught:
        Journal.open(tmp_path / "file" / "journal.db")
    one_line(caught)


def test_a_full_database_takes_nothing_by_halves(path: Path) -> None:
    """SQLite's own limit on pages gives the same error as a full disk, at every possible place."""
    fill(path, 20)
    with Journal.open(path) as journal:
        conn = journal._db.conn
        pages = conn.execute("PRAGMA page_count").fetchone()[0]
        conn.execute(f"PRAGMA max_page_count={pages + 3}")
        n = 20
        with pytest.raises(JournalError, match="disk is full") as caught:  # noqa: PT012 which one fails is the question
            for n in range(20, 2000):
                journal.append(heard(n, finding()), STOCK)
        one_line(caught)
        assert n > 20
        conn.execute("PRAGMA max_page_count=1000000")
        assert len(journal.record(STOCK).said) == n
        assert not journal.check()
        journal.append(heard(n, finding()), STOCK)


def test_a_disk_that_is_really_full(path: Path) -> None:
    """A limit on file size makes the operating system refuse the write, in a program of its own."""
    fill(path, 20)
    code = """
        import resource, signal
        from benchvoice.errors import JournalError
        path = Path(sys.argv[1])
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        journal = Journal.open(path)
        wal = path.with_name("journal.db-wal")
        resource.setrlimit(resource.RLIMIT_FSIZE, (wal.stat().st_size + 200_000, resource.RLIM_INFINITY))
        n = 20
        try:
            while True:
                journal.append(heard(n, finding()), STOCK)
                n += 1
        except JournalError as error:
            print(n)
            print(error)
    """
    done = child(code, str(path))
    out, err = done.communicate(timeout=120)
    n, message = out.splitlines()
    assert "Traceback" not in err
    assert "journal.db" in message
    with Journal.open(path) as journal:
        assert len(journal.record(STOCK).said) == int(n)
        assert not journal.check()


def test_kill_at_any_moment_loses_nothing_that_was_committed(path: Path) -> None:
    """The writer says each utterance's number after its transaction; whatever it said must be there afterwards."""
    fill(path, 0)
    code = """
        journal = Journal.open(Path(sys.argv[1]))
        n = int(sys.argv[2])
        while True:
            journal.append(heard(n, finding()), STOCK)
            print(n, flush=True)
            n += 1
    """
    rng, start = random.Random(11), 0
    for _ in range(8):
        writer = child(code, str(path), str(start))
        assert writer.stdout is not None
        first = writer.stdout.readline()
        assert first, writer.stderr and writer.stderr.read()
        time.sleep(rng.uniform(0.0, 0.25))
        writer.send_signal(signal.SIGKILL)
        said = [int(line) for line in [first, *writer.stdout.read().splitlines()] if str(line).strip().isdigit()]
        writer.wait()
        with Journal.open(path) as journal:
            assert not journal.check()
            there = [n for _, n in journal.record(STOCK).said]
            assert there == list(range(len(there)))
            assert said[-1] < len(there) <= said[-1] + 2
            assert len(journal.record(STOCK).entries) == len(there)
        start = len(there)
    assert start > 8


def test_writers_and_a_reader_at_once_never_see_a_lock(path: Path) -> None:
    fill(path, 0)
    code = """
        from benchvoice.domain.events import FindingsAccepted
        journal, me = Journal.open(Path(sys.argv[1])), int(sys.argv[2])
        for k in range(60):
            journal.append(heard(1000 * me + k, finding()), STOCK)
            journal.append(FindingsAccepted(finding_ids=(f"{SITTING}.{1000 * me + k}.0",)), STOCK)
    """
    writers = [child(code, str(path), str(me)) for me in range(3)]
    with Journal.open(path) as journal:
        while any(writer.poll() is None for writer in writers):
            journal.record(STOCK)
            journal.engines()
            time.sleep(0.01)
        for writer in writers:
            _, err = writer.communicate()
            assert (writer.returncode, err) == (0, "")
        record = journal.record(STOCK)
    assert len(record.said) == len(record.accepted()) == 180
    with Journal.open(path) as journal:
        assert journal.record(STOCK) == record


def test_two_programs_may_make_the_journal_at_once(path: Path) -> None:
    code = "Journal.open(Path(sys.argv[1])).close()"
    openers = [child(code, str(path)) for _ in range(4)]
    for opener in openers:
        _, err = opener.communicate()
        assert (opener.returncode, err) == (0, "")
    with Journal.open(path) as journal:
        assert not journal.check()


def test_a_lock_that_never_ends_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(path, 0)
    monkeypatch.setattr(connection, "PATIENCE_SECONDS", 0.2)
    monkeypatch.setattr(connection, "BUSY_SECONDS", 0.05)
    holder = sqlite3.connect(path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    try:
        with Journal.open(path) as journal, pytest.raises(BusyJournalError, match="Another program holds") as caught:
            journal.append(heard(0), STOCK)
        one_line(caught)
    finally:
        holder.close()


def test_a_second_opening_in_one_program_keeps_the_first_ones_locks(path: Path) -> None:
    """Closing any descriptor of a file drops all of a process's locks on it; ours must not be lost that way."""
    fill(path, 0)
    with Journal.open(path) as first, first.writing():
        first.append(heard(0, finding()), STOCK)
        Journal.open(path).close()
        code = """
            from benchvoice.journal import connection, BusyJournalError
            connection.PATIENCE_SECONDS = connection.BUSY_SECONDS = 0.2
            try:
                Journal.open(Path(sys.argv[1])).append(heard(1, finding()), STOCK)
                print("written")
            except BusyJournalError:
                print("busy")
        """
        out, _ = child(code, str(path)).communicate()
        assert out.strip() == "busy"
