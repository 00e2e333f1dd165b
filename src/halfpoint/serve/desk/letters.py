"""Letters to tasters and hosts as one file to download."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal

from halfpoint.publish.whole_result import Depth
from halfpoint.serve.desk.weighing import standing_now
from halfpoint.tasting.model import Tasting
from halfpoint.teach.letters.of_record import letters_of_record
from halfpoint.teach.letters.write import write_letters

SEED = 20
# One moment for all members: the same letters give the same bytes.
MOMENT = (1980, 1, 1, 0, 0, 0)


def letters_zip(tasting: Tasting, paper: Literal['a4', 'us-letter']) -> bytes:
    """Every letter as a PDF, with the list for mailing.

    Raises:
        NotInLedger: nothing was gathered, or the wines are not revealed yet.
        EstimateError, InputError: the marks cannot be weighed, or a name cannot be set.
    """
    letters, unwritten = letters_of_record(
        tasting, standing_now(tasting), ('taster', 'host'), least=Depth().least, seed=SEED
    )
    packed = io.BytesIO()
    with TemporaryDirectory(prefix='halfpoint-') as folder:
        written = write_letters(
            letters, tasting, Path(folder) / 'letters', unwritten=unwritten, paper=paper
        )
        root = Path(folder) / 'letters'
        with zipfile.ZipFile(packed, 'w', zipfile.ZIP_DEFLATED) as archive:
            for file in written.files:
                name = file.relative_to(root).as_posix()
                archive.writestr(zipfile.ZipInfo(name, MOMENT), file.read_bytes())
    return packed.getvalue()
