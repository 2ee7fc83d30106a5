"""Doubt: what is not known well, and how far the watts may be off."""

PAGE = None
CHECKS = ()
