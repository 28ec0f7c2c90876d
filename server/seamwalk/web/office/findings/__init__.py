"""Pages of sign-offs."""
