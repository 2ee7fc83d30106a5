"""What pays: each single change, its gain, cost and side effects, ranked."""

PAGE = None
CHECKS = ()
