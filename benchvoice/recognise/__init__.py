"""Sound becomes words. Knows no parts."""
