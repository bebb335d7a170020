"""Files to photos."""
