"""Coverage, next checks, causes, worth and what may be claimed."""
