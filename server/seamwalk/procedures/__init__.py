"""Procedures: the steps behind a check, as YAML data, with their texts in the catalogue."""

from seamwalk.procedures.load import edition, load_procedure, load_procedures

__all__ = ["edition", "load_procedure", "load_procedures"]
