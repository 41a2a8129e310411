"""Vehicle identification numbers: the check digit, and which spoken mix-ups it can't see.

Source of the rule: 49 CFR 565.15(c), tables III to V: letters have values, positions have weights, the weighted sum's
remainder modulo 11 stands in position 9, ten as X. I, O and Q are never used. The rule binds vehicles made for North
America; another market's number may fail it honestly.
"""

from __future__ import annotations

from dataclasses import dataclass

LENGTH = 17
CHECK_POSITION = 9

VALUES: dict[str, int] = {str(digit): digit for digit in range(10)} | {
    letter: value
    for value, letters in enumerate(("AJ", "BKS", "CLT", "DMU", "ENV", "FW", "GPX", "HY", "RZ"), start=1)
    for letter in letters
}
"""Table III: the value of each character."""

WEIGHTS: tuple[int, ...] = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
"""Table IV: the weight of each position."""

SOUND_ALIKE: tuple[str, ...] = ("AJ8H", "BCDEGPTVZ3", "MN", "SFX", "59")
"""Characters whose spoken names are easily taken for one another (common practice, no source)."""

SPELLING: dict[str, str] = {
    "A": "Alfa", "B": "Bravo", "C": "Charlie", "D": "Delta", "E": "Echo", "F": "Foxtrot", "G": "Golf", "H": "Hotel",
    "I": "India", "J": "Juliett", "K": "Kilo", "L": "Lima", "M": "Mike", "N": "November", "O": "Oscar", "P": "Papa",
    "Q": "Quebec", "R": "Romeo", "S": "Sierra", "T": "Tango", "U": "Uniform", "V": "Victor", "W": "Whiskey",
    "X": "X-ray", "Y": "Yankee", "Z": "Zulu", "0": "zero", "1": "one", "2": "two", "3": "three", "4": "four",
    "5": "five", "6": "six", "7": "seven", "8": "eight", "9": "nine",
}  # fmt: skip
"""The ICAO spelling alphabet (Annex 10, volume II), with plain digits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBack:
    """A position (1 to 17) to confirm aloud: the check digit is the same for each of `mistaken_for`."""

    position: int
    character: str
    mistaken_for: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VinCheck:
    """What the rule says of a number. `problem` is empty if it passes; `expected` is the digit that would pass."""

    vin: str
    problem: str = ""
    expected: str | None = None
    advice: str = ""
    near: tuple[str, ...] = ()
    """Numbers that pass and differ in one character that sounds alike."""

    @property
    def passes(self) -> bool:
        return not self.problem


def normalise(text: str) -> str:
    """Capitals, without spaces and hyphens.

    >>> normalise("1m8g dm9a-xkp042788")
    '1M8GDM9AXKP042788'
    """
    return "".join(text.split()).replace("-", "").upper()


def check_digit(vin: str) -> str:
    """The character that belongs in position 9, whatever stands there.

    Weighted sum of the regulation's kind: 351 = 31 x 11 + 10, and ten is written X.

    >>> check_digit("1M8GDM9A0KP042788")
    'X'

    Raises ValueError for a number that isn't 17 characters of the alphabet without I, O and Q.
    """
    if len(vin) != LENGTH or any(character not in VALUES for character in vin):
        raise ValueError(f"not a vehicle identification number: {vin!r}")
    total = sum(
        weight * (0 if position == CHECK_POSITION else VALUES[character])
        for position, (character, weight) in enumerate(zip(vin, WEIGHTS, strict=True), start=1)
    )
    remainder = total % 11
    return "X" if remainder == 10 else str(remainder)


def check(text: str) -> VinCheck:
    """Check a number as typed or spoken, and say what to do about one that fails.

    >>> check("1M8GDM9AXKP042788").passes
    True
    >>> check("1M8GDM9A0KP042788").expected
    'X'
    """
    vin = normalise(text)
    if len(vin) != LENGTH:
        return VinCheck(
            vin=vin,
            problem=f"it has {len(vin)} characters, a number has {LENGTH}",
            advice="Read it again from the plate. Vehicles made before 1981 have shorter ones: keep it as a note.",
        )
    strange = sorted({character for character in vin if character not in VALUES})
    if strange:
        return VinCheck(
            vin=vin,
            problem=f"it holds {', '.join(strange)}, which no number uses",
            advice="I and O are most often 1 and 0, Q is most often 0 or 9. Read it again from the plate.",
        )
    expected = check_digit(vin)
    if vin[CHECK_POSITION - 1] == expected:
        return VinCheck(vin=vin, expected=expected)
    return VinCheck(
        vin=vin,
        problem=f"its check digit (position {CHECK_POSITION}) is {vin[CHECK_POSITION - 1]} and should be {expected}",
        expected=expected,
        advice=(
            "Read it again from the plate, and compare it with the papers. "
            "One that wasn't made for North America may fail honestly: keep it with a note."
        ),
        near=_near(vin),
    )


def read_back(vin: str) -> tuple[ReadBack, ...]:
    """Positions to read back with the spelling alphabet although the check digit is right.

    Characters of equal value can never be told apart by it, and several of those sound alike (A and J, C and T and 3,
    G and P, E and V, H and 8). Position 9 itself has weight 0 and is checked by the sum, so it isn't listed.

    >>> [(item.position, item.character, item.mistaken_for) for item in read_back("11111111111111111")]
    []
    >>> read_back("1M8GDM9AXKP042788")[0]
    ReadBack(position=3, character='8', mistaken_for=('H',))
    """
    out = []
    for position, character in enumerate(vin, start=1):
        if position == CHECK_POSITION or character not in VALUES:
            continue
        others = tuple(
            other
            for other in _mistaken_for(character)
            if other in VALUES and VALUES[other] % 11 == VALUES[character] % 11
        )
        if others:
            out.append(ReadBack(position=position, character=character, mistaken_for=others))
    return tuple(out)


def spell(vin: str) -> str:
    """For reading aloud, each character by its spelling word.

    >>> spell("1AX")
    'one Alfa X-ray'
    """
    return " ".join(SPELLING.get(character, character) for character in vin)


def _mistaken_for(character: str) -> tuple[str, ...]:
    return tuple(other for group in SOUND_ALIKE if character in group for other in group if other != character)


def _near(vin: str) -> tuple[str, ...]:
    out = []
    for index, character in enumerate(vin):
        for other in _mistaken_for(character):
            candidate = vin[:index] + other + vin[index + 1 :]
            if other in VALUES and check_digit(candidate) == candidate[CHECK_POSITION - 1]:
                out.append(candidate)
    return tuple(dict.fromkeys(out))
