"""Thread designations: what a person types, read as a thread of a published standard.

Only listed threads are read. A pitch typed wrongly is far likelier than a thread of no standard,
so what is not listed is refused with what is, and what is ambiguous is answered with the choices.
"""

import re
from collections.abc import Callable, Iterable
from functools import cache, lru_cache
from typing import Literal, NamedTuple

from handwheel.errors import InputError, nearest, one_line
from handwheel.tables import table

__all__ = ["INCH", "ThreadSize", "known_threads", "parse_thread"]

INCH = 25.4
"""One inch [mm], exact by definition (ISO 80000-3)."""

Family = Literal["metric", "unified", "G", "NPT", "R", "Rp", "Rc", "Tr"]

_FORMS = "M8, M8x1, 1/4-20 UNC, #10-32 UNF, G 1/4, R 1/4, 1/8-27 NPT or Tr 20x4"


class ThreadSize(NamedTuple):
    """A thread of a standard: how it is written, its family, nominal diameter [mm], pitch [mm].

    The nominal diameter is the major diameter; of a tapered pipe thread, the outside of the pipe.
    """

    designation: str
    family: Family
    nominal_diameter: float
    pitch: float

    @property
    def has_drill(self) -> bool:
        """Whether a drill before tapping is on file: not for ISO 7-1, of which R is an outside thread."""
        return self.family not in ("R", "Rp", "Rc")


@lru_cache(maxsize=1024)
def parse_thread(text: str) -> ThreadSize:
    """Read a designation such as `M8`, `M8x1`, `M8 × 1,25`, `1/4-20`, `#10-32 UNF`, `G 1/4`, `Tr 20x4`.

    `LH` at the end marks a left-hand thread; its sizes are the same. Raises `InputError` with one
    line that names the choices or the nearest thread.
    """
    if len(text) > 40:
        raise InputError(f"a thread is written as {_FORMS}")
    clean = re.sub(r"[×*]", "x", text.strip().casefold()).replace(",", ".")
    clean, left = re.subn(r"[\s-]*lh$", "", clean)
    for pattern, read in _READERS:
        match = pattern.fullmatch(clean)
        if match:
            size = read(match, one_line(text.strip()))
            return size._replace(designation=f"{size.designation}-LH") if left else size
    raise InputError(f'"{one_line(text)}" is not a thread; write it as {_FORMS}')


@cache
def known_threads() -> dict[str, ThreadSize]:
    """Give every thread that is read, by its designation."""
    pipes = (one for family, name in _PIPES.items() for one in _pipe(family, name))
    sizes = (*_metric(), *_trapezoidal(), *_unified(), *pipes)
    return {size.designation: size for size in sizes}


def _metric() -> Iterable[ThreadSize]:
    for row in table("iso261").rows:
        diameter, coarse = row["diameter"], row["coarse"]
        if coarse:
            yield ThreadSize(f"M{diameter:g}", "metric", diameter, coarse)
        for pitch in row["fine"]:
            yield ThreadSize(f"M{diameter:g}x{pitch:g}", "metric", diameter, pitch)


def _trapezoidal() -> Iterable[ThreadSize]:
    for row in table("iso2904").rows:
        for pitch in row["pitches"]:
            yield ThreadSize(f"Tr {row['diameter']:g}x{pitch:g}", "Tr", row["diameter"], pitch)


def _unified() -> Iterable[ThreadSize]:
    for row in table("asme_b1_1").rows:
        name = f"{row['size']}-{row['threads_per_inch']:g} {row['series']}"
        yield ThreadSize(name, "unified", row["diameter"] * INCH, INCH / row["threads_per_inch"])


_PIPES: dict[Family, str] = {
    "G": "iso228",
    "NPT": "asme_b1_20_1",
    "R": "iso7_1",
    "Rp": "iso7_1",
    "Rc": "iso7_1",
}
"""The table of each family of pipe threads."""


def _pipe(family: Family, name: str) -> Iterable[ThreadSize]:
    published = table(name)
    unit = INCH if published.units["diameter"] == "in" else 1.0
    for row in published.rows:
        size, threads = row["size"], row["threads_per_inch"]
        text = f"{size}-{threads:g} NPT" if family == "NPT" else f"{family} {size}"
        yield ThreadSize(text, family, row["diameter"] * unit, INCH / threads)


def _read_diameter_and_pitch(match: re.Match[str], text: str) -> ThreadSize:
    """Read `M8`, `M8x1`, `Tr 20x4`: without a pitch, the coarse one."""
    family: Family = "metric" if match["letters"] == "m" else "Tr"
    prefix, standard = ("M", "ISO 261") if family == "metric" else ("Tr ", "ISO 2904")
    diameter = float(match["diameter"])
    listed = [size for size in known_threads().values() if size.family == family]
    same = [size for size in listed if size.nominal_diameter == diameter]
    if not same:
        near = sorted({size.nominal_diameter for size in listed}, key=lambda one: abs(one - diameter))[:2]
        pitches = (f"{prefix}{one:g} (pitch {_pitches(listed, one)})" for one in sorted(near))
        raise InputError(f'"{text}" is not a thread of {standard}; the nearest are {" and ".join(pitches)}')
    if match["pitch"] is None:
        coarse = [size for size in same if size.designation == f"M{diameter:g}"]
        return _only(coarse or same, text)
    pitched = [size for size in same if size.pitch == float(match["pitch"])]
    if not pitched:
        known = _pitches(same, diameter)
        raise InputError(
            f'"{text}" is not a thread of {standard}; {prefix}{diameter:g} has the pitch {known}'
        )
    return pitched[0]


def _read_inch(match: re.Match[str], text: str) -> ThreadSize:
    """Read `1/4-20 UNC`, `10-32`, `#10-32 UNF`, `.250-20`: the series settles the count, or the count it."""
    size, threads = match["size"].removesuffix('"').strip(), match["threads"]
    named = size.startswith(("#", "n"))
    size = re.sub(r"^(#|no\.?|nr\.?)\s*", "", size)
    names = {f"#{size}"} if named else {f"#{size}", size, _fraction(size)}
    series = (match["before"] or match["after"] or "").upper()
    rows = [one for one in known_threads().values() if one.family == "unified"]
    sized = [one for one in rows if one.designation.split("-")[0] in names]
    found = [
        one
        for one in sized
        if (threads is None or one.designation.split("-")[1].split()[0] == threads)
        and (series in ("", "UN") or one.designation.endswith(series))
    ]
    if found:
        return _only(found, text)
    if sized:
        raise InputError(f'"{text}" is not a thread of ASME B1.1; this size has {_names(sized)}')
    known = nearest(text, (one.designation for one in rows))
    raise InputError(f'"{text}" is not a thread of ASME B1.1 from No. 0 to 2 in{known}')


def _read_pipe(match: re.Match[str], text: str) -> ThreadSize:
    """Read `G 1/4`, `1/4 BSPP`, `R 1/2`, `Rp 1/2`, `Rc 1/2`, `1/8-27 NPT`, `NPT 1/8`."""
    letters: dict[str, Family] = {"npt": "NPT", "r": "R", "bspt": "R", "rp": "Rp", "rc": "Rc"}
    family = letters.get(match["letters"], "G")
    size = re.sub(r"\s+", " ", match["size"])
    listed = {name: one for name, one in known_threads().items() if one.family == family}
    for name, one in listed.items():
        threads = f"{INCH / one.pitch:g}"
        if size == name.removeprefix(f"{family} ").split("-")[0] and match["threads"] in (None, threads):
            return one
    raise InputError(f'"{text}" is not a pipe thread on file; there are {", ".join(listed)}')


def _only(found: list[ThreadSize], text: str) -> ThreadSize:
    if len(found) > 1:
        raise InputError(f'"{text}" could be {_names(found)}; write which')
    return found[0]


def _names(sizes: Iterable[ThreadSize]) -> str:
    return " or ".join(size.designation for size in sizes)


def _pitches(sizes: Iterable[ThreadSize], diameter: float) -> str:
    return " or ".join(f"{size.pitch:g}" for size in sizes if size.nominal_diameter == diameter)


def _fraction(size: str) -> str:
    """Give the listed fraction of a decimal size in inches, `.250` -> `1/4`, else nothing."""
    if "." not in size:
        return ""
    rows = table("asme_b1_1").rows
    return next((str(row["size"]) for row in rows if abs(row["diameter"] - float(size)) < 5e-4), "")


_NUMBER = r"\d{1,3}(?:\.\d{1,4})?"
_FRACTION = r"(?:\d{1,2}[ ]+)?\d{1,2}(?:/\d{1,2})?"
_PIPE = rf'(?P<size>{_FRACTION})"?(?:\s*-\s*(?P<threads>{_NUMBER}))?'
_Reader = Callable[[re.Match[str], str], ThreadSize]
_READERS: tuple[tuple[re.Pattern[str], _Reader], ...] = (
    (
        re.compile(rf"(?P<letters>m|tr)\s*(?P<diameter>{_NUMBER})(?:\s*x\s*(?P<pitch>{_NUMBER}))?"),
        _read_diameter_and_pitch,
    ),
    (re.compile(rf"(?P<letters>g|r[pc]?|bsp[pt]|npt)\s*{_PIPE}"), _read_pipe),
    (re.compile(rf"{_PIPE}\s*(?P<letters>bsp[pt]|npt)"), _read_pipe),
    (
        re.compile(
            rf'(?:(?P<before>un(?:ef|[cfs])?)\s*)?(?P<size>(?:#|n[or]\.?)?\s*(?:\d?\.\d{{2,4}}|{_FRACTION})\s*"?)'
            rf"(?:\s*-\s*(?P<threads>\d{{1,2}}(?:\.5)?))?\s*(?P<after>un(?:ef|[cfs])?)?"
        ),
        _read_inch,
    ),
)
