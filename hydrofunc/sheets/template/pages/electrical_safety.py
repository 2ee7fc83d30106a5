"""Electrical safety: open volts, cable heat, fuse, dump load."""

PAGE = None
CHECKS = ()
