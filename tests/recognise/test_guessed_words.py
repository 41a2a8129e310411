"""Words of a person's own, known to the recogniser by a guess only: are they heard?"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchvoice import resources
from benchvoice.audio.blocks import to_pcm
from benchvoice.recognise import open_recogniser
from tests.hearing.corpus import speakers, spoken
from tests.recognise.spelling import dictionary

SAID = {
    "gronkled": "number two rod bearing is gronkled",
    "sprattled": "number two rod bearing is sprattled",
    "splashgronk": "the splashgronk is cracked",
    "drobe": "the drobe is cracked",
}


@pytest.mark.sound
@pytest.mark.skipif(not speakers(), reason="no speech synthesiser is installed")
def test_words_of_ones_own_are_heard_without_an_entry(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Invented words, spoken by voices that have their own rules for reading them. All six voices: 42 of 48 heard."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    own = tmp_path / "config" / "grammars" / "en"
    own.mkdir(parents=True)
    (own / "conditions.toml").write_text('[wiped]\nadj = ["gronkled", "sprattled"]\n', encoding="utf-8")
    (own / "parts.toml").write_text('[oil_pan]\nsays = ["splashgronk", "drobe"]\n', encoding="utf-8")
    recogniser = open_recogniser("pocketsphinx")
    try:
        heard = [
            word in [said.text for said in recogniser.hear(to_pcm(spoken(text, voice, tmp_path))).words]
            for voice in speakers()[:2]
            for word, text in SAID.items()
        ]
    finally:
        recogniser.close()
    assert sum(heard) >= 0.75 * len(heard)


def test_the_readmes_sounds_are_all_there_with_words_that_hold_them() -> None:
    text = (resources.folder("grammars") / "README.md").read_text(encoding="utf-8")
    section = text.partition("## How a word of yours sounds")[2].partition("\n## ")[0]
    found = re.findall(r"\b([A-Z]{1,2}) ([a-z*]+)", section.partition("The sounds are:")[2])
    ways = {sound: dictionary()[word.replace("*", "")] for sound, word in found}
    assert [sound for sound, said in ways.items() if not any(sound in way for way in said)] == []
    assert set(ways) == {sound for said in dictionary().values() for way in said for sound in way}
