"""What is wrong with a plant, from the readings of a test day. SI units; speed is in rad/s.

A forward model made of this package's own physics says what each instrument reads for given causes: how rough the
pipe is, how wide the nozzle, how well the jet meets the cups, and so on. Each cause has a prior: the scatter of an
ordinary build, narrow, or, where it is the fault under question, wide. A wide prior is a sum of Gaussians, one
per `Component`. Within each the model is made linear around its best fit, step by step (iterated, so that the
fit is exact), and the evidence of the component, the probability density of the readings, is then known in closed form:

    r = y - m(x) - J (mu - x),   S = J P J' + R,   ln E = -(r' S^-1 r + ln det S) / 2

with readings y, model m, Jacobian J, prior mean mu and covariance P, covariance of the readings R. Readings of one
instrument share the error of its scale, or do not; meters and builds may be worse than stated: the evidence is the mean
over these (`SCALES`). The probability of a fault is its prior times the evidence of its components, over the sum of all
(Bayes' theorem).
Estimates are those of the likeliest fault, with the standard uncertainties of the fit's covariance P - P J' S^-1 J P.

What was surveyed as available is a dry day's flow, and the test day may be a wetter one. A plan that takes all of it is
judged by either day; a wider nozzle, which may, has components for both.

A reading counts where its uncertainty is above 0. Everything is batched over plants and components; no loop runs
over plants (but large batches are cut into pieces, for memory).

`priors` holds faults, causes and their scatter, `model` the forward model, `evidence` the fit of one component,
`judgement` the diagnosis, `answers` what the worksheet functions say.

References
----------
Bayes' theorem and the evidence of a linear Gaussian model: C. M. Bishop, Pattern Recognition and Machine Learning
(2006), sections 2.3.3 and 3.4 (from memory, not looked up). Standard uncertainties: JCGM 100:2008 (GUM). The
priors are common practice, no published source.
"""

from .judgement import PLANT, Diagnosis, diagnose
from .priors import CAUSES, COMPONENTS, FAULTS, ITEMS, LOOKS, METERED, READINGS, TWO_OR_NONE, USUAL_UNCERTAINTY

__all__ = (
    "CAUSES",
    "COMPONENTS",
    "FAULTS",
    "ITEMS",
    "LOOKS",
    "METERED",
    "PLANT",
    "READINGS",
    "TWO_OR_NONE",
    "USUAL_UNCERTAINTY",
    "Diagnosis",
    "diagnose",
)
