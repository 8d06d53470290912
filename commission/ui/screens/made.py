"""A screen by its name, made when one goes there: the first picture needs none of them."""

from commission.ui.screens.base import BenchScreen
from commission.ui.screens.bench_app import BenchApp


def screen_of(bench: BenchApp, name: str, build_id: str) -> BenchScreen:
    """Return a screen by its name; of a stage that this program does not have, the record of the build."""
    from commission.bench.face import NO_SUCH_STAGE, face_of
    from commission.ui.screens.record import RecordScreen

    flow = bench.flow_of(name, build_id)
    if flow is not None:
        from commission.ui.screens.beside import Beside
        from commission.ui.screens.flow_screen import FlowScreen

        face = face_of(bench.faces, name)
        beside = face.beside(flow) if face is not None else None
        assert beside is None or isinstance(beside, Beside)  # a face makes nothing else
        return FlowScreen(name, flow, build_id=build_id if face is not None else "", beside=beside)
    if name == "report":
        from commission.ui.screens.report import ReportScreen

        return ReportScreen(bench.book, bench.faces, build_id)
    made = RecordScreen(bench.book, build_id)
    if name != made.help_key:
        bench.call_after_refresh(made.typed.refuse, f"{name.replace('_', ' ')}: {NO_SUCH_STAGE}")
    return made
