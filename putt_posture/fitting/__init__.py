"""fitting."""
