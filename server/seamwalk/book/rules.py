"""The rules have numbers: an entry by the owner begins the next ones in a book.

What stands before it was let in under older rules. It stays, and what the newer rules forbid is flagged.
"""

# under rules 1 a signature could be twisted into a new entry, and texts, numbers and admissions were taken
# that rules 2 refuse
FIRST, NEWEST = 1, 2
# the member of pydantic's context that says under which rules a body is checked
RULES = "rules"
