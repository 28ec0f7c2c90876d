"""The things of the company across all books."""
