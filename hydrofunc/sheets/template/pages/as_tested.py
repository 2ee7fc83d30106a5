"""As tested: the machine as designed and as its readings show it."""

PAGE = None
CHECKS = ()
