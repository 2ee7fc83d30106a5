"""Log: readings of a season, trend, service."""

PAGE = None
CHECKS = ()
