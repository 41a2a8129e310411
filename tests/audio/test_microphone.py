"""Choosing a microphone, without one."""

from __future__ import annotations

import sys

import pytest

from benchvoice.audio import microphone
from benchvoice.audio.microphone import Device, find
from benchvoice.errors import SoundError

THERE = [
    Device(index=0, name="Built-in Audio", host="ALSA", channels=2, rate=48_000),
    Device(index=3, name="Headset USB", host="ALSA", channels=1, rate=44_100, standard=True),
    Device(index=5, name="Headset", host="ALSA", channels=1, rate=16_000),
]


@pytest.mark.parametrize(("name", "index"), [(None, 3), ("built", 0), ("Headset", 5), ("headset usb", 3)])
def test_found_by_name_or_part_of_it(name: str | None, index: int) -> None:
    assert find(name, among=THERE).index == index


@pytest.mark.parametrize(("name", "says"), [("camera", "There are: Built-in"), ("head", "fits several")])
def test_a_name_that_does_not_decide_is_refused(name: str, says: str) -> None:
    with pytest.raises(SoundError, match=says):
        find(name, among=THERE)


def test_without_any_microphone() -> None:
    with pytest.raises(SoundError, match="There is no microphone"):
        find(None, among=[])


def test_a_machine_without_portaudio_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    class Missing:
        def find_spec(self, name: str, *_: object) -> None:
            if name == "sounddevice":
                raise OSError("PortAudio library not found")

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Missing(), *sys.meta_path])
    with pytest.raises(SoundError, match="apt install libportaudio2"):
        microphone.devices()
