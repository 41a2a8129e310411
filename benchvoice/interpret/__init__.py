"""Words become findings. Touches no disk."""
