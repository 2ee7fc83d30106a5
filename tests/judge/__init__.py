"""An independent judge: how good are the watts, the bands, the advice and the proposals of the product?

    python -m tests.judge [--population own|published] [--only PART] [--seed N] [--sites N] [--product module:function]

None of these modules imports hydrofunc but the adapter, `product` (test_independence.py reads their imports); who
makes the product's method does not read where the sites and the readings come from.

- `names`: the quantities, the stages, what is chosen;
- `population`: what a population of true sites is, and the machine a maker brings for a proposal;
- `sites`: the judge's own population; `sites_published`: one that rests on published measurements;
- `measuring`: what instruments say of them, and how far they may be off;
- `truth`: true watts into the battery, and where the rest of the water's power goes;
- `optimum`: the best nozzle, pitch circle and volts by brute force;
- `protocol`: what a product is, for the adapter's author;
- `scores`: the referee;
- `fakes`: an honest product and faulty ones, to judge the judge by.
"""
