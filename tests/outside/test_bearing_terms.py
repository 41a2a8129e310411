"""The words for bearing damage against the standard's families, and the refused words against the regulation."""

from __future__ import annotations

from benchvoice.lexicon.judging import judging_tables

# Families of damage to metallic plain bearings, ISO 7146-1:2019 (scope read; the list is from memory and has to be
# checked against the standard before its name is printed beside a claim).
FAMILIES = {
    "static overload", "dynamic overload", "wear by friction", "overheating", "insufficient lubrication",
    "contamination of the lubricant", "cavitation erosion", "electro-erosion", "hydrogen diffusion", "failure of bond",
}  # fmt: skip


def test_every_term_is_one_of_the_standards_families() -> None:
    terms = {item.term for item in judging_tables().observations.values() if item.term}
    assert terms
    assert terms <= FAMILIES


def test_terms_stand_on_plain_bearings_only() -> None:
    for item in judging_tables().observations.values():
        if item.term:
            assert set(item.parts) <= {"rod_bearing", "main_bearing", "cam_bearing", "thrust_bearing"}, item.id


# 16 CFR 20.1(a) and 20.3: words that a used part may not carry unless it was rebuilt as the text says.
def test_the_regulations_words_are_refused() -> None:
    refused = {word: row for row in judging_tables().refused for word in row.words}
    for word in ("rebuilt", "remanufactured", "factory rebuilt"):
        assert "20.3" in refused[word].source
    for word in ("new", "like new"):
        assert "20.1" in refused[word].source
