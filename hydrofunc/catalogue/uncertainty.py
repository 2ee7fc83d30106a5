"""Declarations: uncertainty."""
