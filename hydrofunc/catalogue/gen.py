"""quick catalogue (fallback)"""
import inspect
from . import nomenclature as n
from ..registry import Argument, Example, declare, REQUIRED
EX = {}
def quick(physics, unit, group, **args):
    names = list(inspect.signature(physics).parameters)
    arguments=[]
    opt=False
    for name in names:
        a = args.get(name) or getattr(n, name.upper(), None)
        if opt and a.required: raise SystemExit((physics.__name__, name))
        opt = not a.required
        arguments.append(a)
    declare(physics, group=group, help=physics.__doc__.splitlines()[0][:250], arguments=arguments, unit=unit, meaning="x", equation="x", source="x", example=Example({arguments[0].name: 1.0}, 1.0))
