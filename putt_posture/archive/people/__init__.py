"""Students, and what may be done with what is kept of them."""
