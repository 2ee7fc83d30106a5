"""LibreOffice Calc: one .oxt from the registry, and the worker that answers it.

`build` writes the extension, `install` hands it to LibreOffice. `component` runs inside LibreOffice's own
Python, which may lack numpy and be older than ours; it asks `worker`, which runs in the environment that
hydrofunc was installed in, over pipes.
"""
