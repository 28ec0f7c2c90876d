"""Who gets in: logins of the office, invites and sessions of phones."""
