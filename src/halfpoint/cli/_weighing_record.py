"""Marks for `results` from the record of a tasting."""

from __future__ import annotations

from halfpoint.cli._record import open_record
from halfpoint.cli._weighing import Asked, Collected
from halfpoint.errors import NotInLedger, UsageError


def marks_of_record(asked: Asked) -> Collected:
    """The entries that count now, with the wines called by name.

    Raises:
        UsageError: an option that only a table takes.
        NotInLedger: nothing was gathered yet.
    """
    from halfpoint.ledger.replay import replay
    from halfpoint.publish.from_record import marks_of_state
    from halfpoint.tasting.load import load_tasting

    _refuse_table_options(asked)
    tasting = load_tasting(asked.source)
    with open_record(tasting) as record:
        state = replay(record.records())
    try:
        found = marks_of_state(tasting, state, covariates=asked.covariates)
    except NotInLedger as nothing:
        nothing.remedy = f'halfpoint gather {asked.source} FILE…'
        raise
    return Collected(
        frame=found.frame,
        marks=found.marks,
        covariates=found.covariates,
        title=tasting.title,
        sheet=tasting.sheet.label,
        invented=tasting.invented,
        held=found.held,
        set_aside=found.set_aside,
        notes=found.notes,
        gathered=None,
        source=asked.source,
        audit=found.audit,
        words=found.words,
        tasting=tasting,
        state=state,
    )


def _refuse_table_options(asked: Asked) -> None:
    given = {'--mark': asked.mark, '--sheet': asked.sheet, '--map': asked.mapping}
    for option, value in given.items():
        if value:
            raise UsageError(
                'a tasting file already says this',
                where=option,
                remedy='leave the option out, or weigh a table of marks instead',
            )
