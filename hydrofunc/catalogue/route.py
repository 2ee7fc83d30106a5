"""Declarations: route and grade line."""
