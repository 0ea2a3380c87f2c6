"""Plans the water for an operation on an ornamental pond fish, with the error and the source of every number."""

import os

# The matrices here are small. Left to share them among threads, OpenBLAS takes up to a thousand times as long on a busy
# machine; it reads this once, when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
