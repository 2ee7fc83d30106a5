"""What nobody would type on purpose, fed to every door of the package: seeded, so that every finding can be repeated.

`python -m tests.attack SECONDS [SEED]` prints what was tried, refused, and what crashed, hung or was wrong.
"""
