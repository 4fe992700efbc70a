"""The whole archive copied out, checked and brought back."""
