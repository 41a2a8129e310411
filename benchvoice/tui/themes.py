"""Our two themes; those that come with the library, the terminal's own colours among them, are offered beside them."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="bench-night",
    primary="#d8a657",
    secondary="#7a8b99",
    accent="#d8a657",
    warning="#e8a33d",
    error="#e06c5a",
    success="#8fb573",
    foreground="#d9d4c7",
    background="#191b1d",
    surface="#1f2225",
    panel="#282c30",
    dark=True,
    variables={
        "row-here": "#3b3427",
        "row-marked": "#2e3a42",
        "footer-key-foreground": "#d8a657",
        "footer-background": "#1f2225",
        "block-cursor-text-style": "none",
    },
)

LIGHT = Theme(
    name="bench-day",
    primary="#7a4f12",
    secondary="#51616e",
    accent="#7a4f12",
    warning="#8a5200",
    error="#a32b1b",
    success="#3a6b22",
    foreground="#26241f",
    background="#f5f2ea",
    surface="#ece7db",
    panel="#e0d9c9",
    dark=False,
    variables={
        "row-here": "#e8d6ae",
        "row-marked": "#cfdbe0",
        "footer-key-foreground": "#7a4f12",
        "footer-background": "#ece7db",
        "block-cursor-text-style": "none",
    },
)

ROWS = {"row-here": "#3b3f46", "row-marked": "#2c3e50"}
"""Colours of the row at the cursor and of a marked stretch, for themes that don't name them."""
