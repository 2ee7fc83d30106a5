"""Declarations: diagnosis of a test day."""
