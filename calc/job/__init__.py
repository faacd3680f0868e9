"""The record of a job: what it may hold, its checksum, and what a report needs from it.

Knows no JSON, no clock and no HTML. `calc.jobfile` reads and writes the file.
"""

from calc.files.canon import FileRefusal, canonical, checksum
from calc.job.ledger import book
from calc.job.records import sound
from calc.job.rows import csv_text

__all__ = ["FileRefusal", "book", "canonical", "checksum", "csv_text", "sound"]
