"""What the numbers mean: units, wear, clearance, conformity with uncertainty."""
