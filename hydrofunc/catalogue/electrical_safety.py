"""Declarations: electrical safety and dump load."""
