"""Letters to tasters and hosts as one file to download."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from halfpoint.publish.whole_result import Depth
from halfpoint.serve.desk.files import zipped
from halfpoint.serve.desk.known import known_now
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.of_record import letters_of_record
from halfpoint.teach.letters.write import write_letters

SEED = 20


def letters_zip(tasting: Tasting, paper: Literal['a4', 'us-letter']) -> bytes:
    """Every letter as a PDF, with the list for mailing.

    Raises:
        NotInLedger: nothing was gathered, or the wines are not revealed yet.
        EstimateError, InputError: the marks cannot be weighed, or a name cannot be set.
    """
    with known_now(tasting) as known:
        letters, unwritten = letters_of_record(
            tasting, known.state, ('taster', 'host'), least=Depth().least, seed=SEED
        )
    with TemporaryDirectory(prefix='halfpoint-') as folder:
        root = Path(folder) / 'letters'
        written = write_letters(letters, tasting, root, unwritten=unwritten, paper=paper)
        return zipped(
            (file.relative_to(root).as_posix(), file.read_bytes()) for file in written.files
        )
