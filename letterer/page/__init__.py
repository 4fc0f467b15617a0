"""Composes one page: a display list of placed units, with all that a checker or writer needs."""
