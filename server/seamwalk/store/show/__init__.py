"""What belongs to a show beside its walls: its log, contacts, procedures."""
