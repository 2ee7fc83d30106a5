"""Diagnosis: what the readings of the test day say."""

PAGE = None
CHECKS = ()
