"""setups."""
