"""Pages about logins."""
