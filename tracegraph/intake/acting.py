"""Record what a person says a number means, and link the records by it."""

from __future__ import annotations

from tracegraph.domain.acts import Act, meanings_in_force
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.domain.permission import Deed, Person
from tracegraph.intake.finishing import relink
from tracegraph.store import StoreDirectory
from tracegraph.store.acts import read_acts
from tracegraph.store.audit import permit
from tracegraph.store.queries import sql_text
from tracegraph.store.reader import open_build


def act_on_records(directory: StoreDirectory, act: Act, *, by: Person | None = None) -> str:
    """Append an act and put a newly linked build in force.

    Parameters
    ----------
    directory : StoreDirectory
        A store with records.
    act : Act
        What is accepted or undone, by whom and why.
    by : Person, optional
        Who does it; the owner of the machine when left out.

    Returns
    -------
    str
        The new data version.

    Raises
    ------
    NotAllowedError
        If the role does not cover it, or the act is signed with somebody else's code.
    UnknownNameError
        If the written number is not in the records, or the meant one does not exist.
    DefinitionError
        If an undo names a meaning that is not in force.
    StoreBusyError
        If a load holds the store; the act is then not recorded.
    """
    about = f"{act.act} {act.link}: {act.written} for {act.meant}"
    permit(directory.path, by, Deed.SETTLE, about, signed=act.who)
    with open_build(directory.require_current()) as store, store.session() as session:
        if not session.scalar(
            sql_text("records/written_exists"), {"link": act.link, "written": act.written}
        ):
            raise UnknownNameError("written number", act.written)
        if not session.scalar(
            sql_text("records/target_exists"), {"link": act.link, "meant": act.meant}
        ):
            raise UnknownNameError("number to stand for it", act.meant)
    if act.act == "undo":
        in_force = {
            (meaning.link, meaning.written): meaning.meant
            for meaning in meanings_in_force(read_acts(directory.path))
        }
        if in_force.get((act.link, act.written)) != act.meant:
            raise DefinitionError(
                f"{act.written} does not stand for {act.meant} now, so there is nothing to "
                "undo. List the acts: tracegraph records acts."
            )
    return relink(directory, act)
