def add_plant(result): pass
