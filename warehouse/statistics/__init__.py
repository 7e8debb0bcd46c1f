"""Statistics that SQL cannot express, each a function of plain lists that a model calls for each of its groups.

`catalog` names them for the engine. Every module here may import numpy and scipy.special at once; what is slower to load
(scipy.stats, scipy.optimize, statsmodels) waits for the function that needs it. Nothing else imports these modules, but
within the function that starts the work; `wording` alone is plain Python and may be imported anywhere.
"""
