"""Paper, and files for other programs: what the crew pins up, carries, and shows an inspector.

* `paper`      blocks of text set on A4 pages as PDF; the only file that knows the library
* `tables`     a list as rows of text; as CSV and on paper
* `amounts`    how amounts, times and names are written
* `allergy`    what is in each dish as its labels say
* `strip`      the next 90 minutes, allergens, the emergency card
* `lists`      buy list, prep sheets, load-out list
* `labels`     tub labels
* `ledger`     a whole log made ready to be set
* `readings`   readings by critical limit, with what was done
* `safety`     lifts, labels, thermometers, incidents, what is open
* `inspector`  the inspector's sheet
* `ics`        the plan as a calendar, RFC 5545
"""

from bot.sheets.ics import plan_ics
from bot.sheets.inspector import inspector_pdf
from bot.sheets.labels import label_table, labels_pdf
from bot.sheets.lists import buy_table, lists_pdf, load_out_table, prep_tables
from bot.sheets.strip import strip_pdf
from bot.sheets.tables import csv_bytes

__all__ = [
    "buy_table",
    "csv_bytes",
    "inspector_pdf",
    "label_table",
    "labels_pdf",
    "lists_pdf",
    "load_out_table",
    "plan_ics",
    "prep_tables",
    "strip_pdf",
]
