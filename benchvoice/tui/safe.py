"""Words from outside made harmless before they reach the terminal: nothing that was heard or typed may steer it."""

from __future__ import annotations

import unicodedata

_STEERING = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Unicode's categories of controls, invisible format signs, surrogates, private and unassigned signs, line ends."""


def shown(text: str) -> str:
    """The text with every sign that could steer a terminal, or hide in it, replaced by a visible one.

    >>> shown("wiped\\x1b[2J")
    'wiped␛[2J'
    >>> shown("rod\\u202egnir")
    'rod⟨202E⟩gnir'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_sign, text))


def _sign(sign: str) -> str:
    code = ord(sign)
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "␡"
    if unicodedata.category(sign) == "Zs":
        return " "
    return f"⟨{code:04X}⟩" if unicodedata.category(sign) in _STEERING else sign
