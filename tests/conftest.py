"""Shared by all tests."""

from hypothesis import settings

settings.register_profile("project", deadline=None, max_examples=60)
settings.load_profile("project")
