"""Pages of a show beside its walls."""
