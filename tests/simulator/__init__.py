"""Independent references for hydrofunc's tests: a plant simulator, a water-hammer run, a doubt generator.

None of these modules imports hydrofunc (test_independence.py reads their imports), so that agreement with the
product means something. They are slow and plain: one plant at a time, scipy root finders, loops.

- `plant`: a whole invented plant, healthy or with one fault, and what cheap meters read on it.
- `field` on `sampled`: test days with none, one or two troubles; water marched up the pipe, the bridge sampled in time.
- `yard`: test days of careful, ordinary and hasty people, also with troubles that the diagnosis has no name for.
- `season`: a log of years with dry spells, outages and repairs.
- `surge`: method of characteristics for a line of up to three pipes with a closing valve.
- `doubt`: invented sites with stated uncertainties and the true watts of one draw each.
"""
