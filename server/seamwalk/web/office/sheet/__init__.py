"""Pages of figures: build sheet, cable plan, pick list."""
