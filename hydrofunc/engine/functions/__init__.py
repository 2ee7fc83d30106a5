"""The ordinary worksheet functions by kind; each is put into `table.TABLE` beside its body.

Behaviour follows Microsoft's function reference; where that is silent, what formulon 0.18.0 and LibreOffice
7.4 agree on. Functions are called within `numpy.errstate(all="ignore")`.
"""
