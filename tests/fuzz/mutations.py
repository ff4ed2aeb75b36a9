"""Byte mutations of real files: what disks, editors, networks and people with bad intent do to them."""

import random
from collections.abc import Sequence

PIECES = (
    *(b"\n", b"\r\n", b"\r", b" ", b"\t", b"\x00", b"\xff", b"\xfe\xff", b"\xef\xbb\xbf", b"\xc3", b"\xed\xa0\x80"),
    *(b"[", b"]", b"{", b"}", b'"', b"'", b"\\", b"<", b">", b"&", b"#", b"=", b"-->", b"WEBVTT", b"NOTE"),
    *(b"[[entry]]", b"[0:00]", b"[99999999:99]", b"00:00:01,000 --> 00:00:00,000", b"<v A>", b"<00:01.000>"),
    *(b"\\u0000", b"\\ud800", b"1e999", b"NaN", b"-Infinity", b"null", b"true", b"9" * 400, b"0x", b"1_000"),
    *(b"'''", b'"""', b"../../etc/passwd", b"=1+1", b"@SUM(1)", b"<script>"),
    *("\u202e".encode(), "\u2028".encode(), "e\u0301".encode(), "\U0010ffff".encode()),
    *(b"sorry", b"no sign of", b"point", b"and a half", b"two or three", b"metres", b"percent", b"to", b"roots"),
)
LONGEST = 40_000  # bytes; larger files are the readers' limits' own tests


def mutated(seeds: Sequence[bytes], chance: random.Random) -> bytes:
    """One of the seeds, changed one to a dozen times."""
    data = chance.choice(seeds)
    for _ in range(min(12, 1 + int(chance.expovariate(0.5)))):
        data = _changed(data, seeds, chance)[:LONGEST]
    return data


def _changed(data: bytes, seeds: Sequence[bytes], chance: random.Random) -> bytes:
    at = chance.randint(0, len(data))
    to = min(len(data), at + int(chance.expovariate(0.02)))
    kind = chance.randrange(9)
    if kind == 0:  # a byte of another value
        return data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
    if kind == 1:  # a piece gone
        return data[:at] + data[to:]
    if kind == 2:  # the end gone
        return data[:at]
    if kind == 3:  # a piece put in
        return data[:at] + chance.choice(PIECES) + data[at:]
    if kind == 4:  # a piece in the place of another
        return data[:at] + chance.choice(PIECES) + data[to:]
    if kind == 5:  # a piece over and over: what makes an expression run away
        return data[:at] + (data[at:to] or b"a") * chance.choice([2, 10, 300]) + data[to:]
    if kind == 6:  # the end of another file
        other = chance.choice(seeds)
        return data[:at] + other[chance.randint(0, len(other)) :]
    if kind == 7:  # a run of bytes turned round
        return data[:at] + data[at:to][::-1] + data[to:]
    return data[:at] + chance.choice(PIECES) * chance.choice([1, 50, 2000]) + data[at:]
