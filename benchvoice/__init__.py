"""An offline, hands-free, spoken teardown journal."""

__version__ = "0.1.0"
