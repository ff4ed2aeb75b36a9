"""Text made fit for a terminal: what steers it, hides or turns writing round is shown as a dot, never sent."""

import unicodedata

DOT = "·"
_HIDDEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
_JOINERS = {"\u200c", "\u200d"}  # scripts and emoji need them, and they steer nothing


def shown(text: str) -> str:
    """The text with every control, override, surrogate and unassigned character replaced.

    >>> shown("a\\x1b[31mb\\nc")
    'a·[31mb c'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        " " if mark in "\n\t\r" else DOT if unicodedata.category(mark) in _HIDDEN and mark not in _JOINERS else mark
        for mark in text
    )
