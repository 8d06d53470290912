"""Loaded last by the fork server: the collector in the children leaves alone what it imported.

Else each child would touch all of it at its first collection, and the system would copy it.
"""

import gc

gc.collect()
gc.freeze()
