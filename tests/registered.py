"""What reads and folds entries, with all the stages: for tests that are not about which stages there are."""

from functools import partial

from commission import bootstrap
from commission.__main__ import job
from commission.record import admission, entry_text, fold, kept
from commission.storage import chain, exchange, opening

REGISTRY = job().registry()
"""All the stages."""

KINDS = REGISTRY.kinds
"""Every kind of entry, by its word."""

tell = partial(entry_text.entry_text, REGISTRY)
fold_build = partial(fold.fold_build, REGISTRY)
fold_shop = partial(fold.fold_shop, REGISTRY)
new_kept = partial(kept.Kept, REGISTRY)
new_admission = partial(admission.Admission, REGISTRY)
read_body = partial(chain.read_body, registry=REGISTRY)
open_log = partial(opening.open_log, registry=REGISTRY)
open_log_for_reading = partial(opening.open_log_for_reading, registry=REGISTRY)
import_bundle = partial(exchange.import_bundle, registry=REGISTRY)
open_logbook = partial(bootstrap.open_logbook, registry=REGISTRY)
sample_logbook = partial(bootstrap.sample_logbook, registry=REGISTRY)
