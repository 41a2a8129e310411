"""A small share of every fault; `python -m tests.faults` brings all of them about."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from tests.faults import full_disk, kills, malformed, microphones, network, portaudio, recogniser, writers
from tests.faults.table import Row


def check(row: Row) -> None:
    if not row.runs:
        pytest.skip(row.figures)
    assert row.passed, (str(row), row.wrong)


def test_killed_sittings_keep_what_was_committed(tmp_path: Path) -> None:
    check(kills.run(4, tmp_path, take_up_every=2))


def test_a_full_disk_closes_the_sitting(tmp_path: Path) -> None:
    check(full_disk.run(3, tmp_path))


def test_a_killed_recogniser_loses_nothing(tmp_path: Path) -> None:
    check(recogniser.run(3, tmp_path))


def test_a_pulled_microphone_is_waited_for(tmp_path: Path) -> None:
    check(microphones.run(2, tmp_path))


def test_a_real_device_is_waited_for(tmp_path: Path) -> None:
    check(portaudio.run(1, tmp_path))


def test_malformed_sound_is_refused(tmp_path: Path) -> None:
    check(malformed.run(tmp_path))


def test_two_writers_and_a_reader(tmp_path: Path) -> None:
    check(writers.run(0.1, tmp_path))


def test_no_network_socket_is_opened(tmp_path: Path) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as held:
        held.bind(("127.0.0.1", 0))
        assert any(name.startswith("udp") for name in network.open_sockets(os.getpid())), "the look sees no socket"
    check(network.run(2.0, tmp_path))
