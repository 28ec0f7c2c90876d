"""Procedures: the steps behind a check, as YAML data, with their texts in the catalogue."""

from seamwalk.procedures.edition import built_in, company_edition, edition_hash
from seamwalk.procedures.load import load_procedure, load_procedures

__all__ = ["built_in", "company_edition", "edition_hash", "load_procedure", "load_procedures"]
