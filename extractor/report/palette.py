"""The report's colours, one place for all outputs. Meaning never rests on them: a shape or a word says the same.

Contrast follows WCAG 2.2 (1.4.3: text 4.5 to 1; 1.4.11: lines that carry meaning 3 to 1); the tests compute it.
"""

INK = "#1b2a2f"
QUIET = "#4b5a60"
LINE = "#76868c"
FAINT = "#d9e0e2"
PAPER = "#ffffff"
SHADE = "#f3f6f6"
ACCENT = "#0b5a55"
FINDING = "#9a3b12"
CLEARED = "#1f4f86"
ASK = "#7a4a00"

FINDING_FILL = "#f6ddcd"
CLEARED_FILL = "#dbe7f4"
FINE_FILL = "#d3e8de"
ASK_FILL = "#fdf1d8"

TEXT_PAIRS = (
    (INK, PAPER),
    (INK, SHADE),
    (QUIET, PAPER),
    (QUIET, SHADE),
    (ACCENT, PAPER),
    (ACCENT, SHADE),
    (FINDING, PAPER),
    (CLEARED, PAPER),
    (ASK, ASK_FILL),
    (INK, ASK_FILL),
    (INK, FINDING_FILL),
    (INK, CLEARED_FILL),
    (INK, FINE_FILL),
    (PAPER, ACCENT),
)
LINE_PAIRS = ((LINE, PAPER), (LINE, SHADE), (FINDING, FINDING_FILL), (CLEARED, CLEARED_FILL), (INK, FINE_FILL))
