"""Declarations: housing and drain."""
